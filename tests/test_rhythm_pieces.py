"""Borders between lines: where pieces that were cut in the wrong place are cut anew."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from test_rhythm_lines import tempi

from aquatempo.rhythm import lines
from aquatempo.rhythm.lines import LinePiece, Observed


def cut(heard: Observed, *borders: int) -> list[LinePiece]:
    """Return the lines through the beats between borders."""
    ends = [0, *borders, len(heard.times_s)]
    return [lines._line(heard, a, b)[0] for a, b in pairwise(ends)]


def borders(pieces: list[LinePiece]) -> list[int]:
    """Return where pieces begin, after making sure that they cover all once."""
    assert pieces[0].first == 0
    assert [piece.last for piece in pieces[:-1]] == [piece.first for piece in pieces[1:]]
    return [piece.first for piece in pieces[1:]]


@pytest.mark.parametrize(
    ("middle", "change"), [(16, 64), (16, 68), (24, 64), (24, 78), (31, 68), (31, 85)]
)
def test_a_short_piece_that_straddles_a_border_is_shared_out(middle: int, change: int) -> None:
    """Beats 60 on were cut out as a piece of their own though the tempo changes inside them.

    Less than 32 beats that are bent go to the neighbours, cut where the tempo changes.
    """
    heard = tempi((change, 0.5), (160 - change, 0.44))
    found = lines._settled(cut(heard, 60, 60 + middle), heard)
    assert borders(found) == pytest.approx([change], abs=1)
    assert [piece.period_s for piece in found] == pytest.approx([0.5, 0.44], abs=1e-4)
    assert found[-1].last == 160


def test_the_first_of_two_short_pieces_is_shared_out_and_the_next_looked_at() -> None:
    """Two changes of tempo, each inside a short piece: three lines are left, cut at the changes."""
    heard = tempi((70, 0.5), (80, 0.44), (70, 0.5))
    found = lines._settled(cut(heard, 60, 84, 140, 164), heard)
    assert borders(found) == pytest.approx([70, 150], abs=1)
    assert found[-1].last == 220


def test_a_long_bent_piece_keeps_its_beats_apart() -> None:
    """A bent piece of 32 beats is no short one: its borders move, but three pieces stay."""
    heard = tempi((76, 0.5), (84, 0.44))
    assert len(lines._settled(cut(heard, 60, 92), heard)) == 3
    assert len(lines._settled(cut(heard, 61, 92), heard)) == 2  # 31 beats


def test_a_short_straight_piece_stays() -> None:
    """24 beats at a tempo of their own are no border between their neighbours."""
    heard = tempi((60, 0.5), (24, 0.46), (70, 0.5))
    found = lines._settled(cut(heard, 60, 84), heard)
    assert borders(found) == [60, 84]


@pytest.mark.parametrize("off", [-8, -3, 3, 8])
@pytest.mark.parametrize("which", [0, 1, 2])
def test_borders_move_to_where_the_tempo_changes(off: int, which: int) -> None:
    """A piece cut some beats beside a change is cut on it; a piece is kept for each tempo."""
    heard = tempi((70, 0.5), (64, 0.49), (60, 0.51), (66, 0.495))
    ends = [70, 134, 194]
    ends[which] += off
    found = lines._settled(cut(heard, *ends), heard)
    assert borders(found) == pytest.approx([70, 134, 194], abs=1)
    assert [piece.period_s for piece in found] == pytest.approx([0.5, 0.49, 0.51, 0.495], abs=2e-4)


def test_what_would_bend_a_line_is_left_as_it_was() -> None:
    """Beats that wander everywhere lie on no lines wherever they are cut: nothing moves."""
    wave = 0.05 * np.sin(np.arange(140) / 4)
    heard = Observed(0.5 * np.arange(140) + wave, np.ones(140))
    for ends in ((60, 80), (50,), (50, 100)):
        pieces = cut(heard, *ends)
        assert lines._settled(pieces, heard) == pieces


def test_neighbours_on_one_line_are_joined_wherever_they_are() -> None:
    """Of A, B and C cut into five pieces, each tempo becomes one piece again."""
    heard = tempi((40, 0.5), (50, 0.46), (70, 0.52))
    whole = cut(heard, 40, 90)
    assert lines._united(cut(heard, 40, 90, 120, 140), heard) == whole
    assert lines._united(cut(heard, 20, 40, 60, 90), heard) == whole
    assert lines._united(whole, heard) == whole


def test_what_a_line_leaves_is_what_is_heard_less_the_line() -> None:
    """Beats 10 to 29 of an even song leave nothing; a late one leaves its lateness."""
    heard = tempi((40, 0.5))
    heard.times_s[20] += 0.03
    piece, left = lines._line(heard, 10, 30)
    assert (piece.first, piece.last) == (10, 30)
    assert (piece.start_s, piece.period_s) == pytest.approx((0.3, 0.5))
    assert left == pytest.approx(np.where(np.arange(10, 30) == 20, 0.03, 0.0), abs=1e-9)
    assert lines._straight(piece, heard)
