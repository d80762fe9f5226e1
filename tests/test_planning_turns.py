"""Work and rest by the clock: on which count each turn ends; worked by hand."""

from __future__ import annotations

import pytest

from aquatempo.planning.turns import cut_for_intervals, first_counts, turns_of
from aquatempo.records.plan import Block, Intervals, IntervalUnit, PlannedPhrase
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

TABATA = Intervals(20, 10, 2, IntervalUnit.SECONDS)  # at 120 beats/min 40 and 20 counts


@pytest.mark.parametrize(("counts", "done", "turns"), [
    (128, 0, [(True, 1, 40), (False, 1, 20), (True, 2, 40), (False, 2, 20), (False, 0, 8)]),
    (120, 0, [(True, 1, 40), (False, 1, 20), (True, 2, 40), (False, 2, 20)]),
    (119, 0, [(True, 1, 40), (False, 1, 20), (True, 2, 40), (False, 0, 19)]),
    (80, 1, [(False, 1, 20), (True, 2, 40), (False, 2, 20)]),
    (50, 2, [(True, 2, 40), (False, 0, 10)]),
    (32, 4, [(False, 0, 32)]), (39, 0, [(False, 0, 39)]), (0, 0, []),
])  # fmt: skip
def test_turns_follow_one_another_until_the_sets_are_done(
    counts: int, done: int, turns: list[tuple[bool, int, int]]
) -> None:
    """Work, rest, work, rest; what no whole turn fits into is rest of no set."""
    found = turns_of(counts, 120.0, TABATA, done)
    assert [(one.works, one.number, one.counts) for one in found] == turns


@pytest.mark.parametrize(("tempo_bpm", "work", "rest", "counts"), [
    (120.0, 9, 9, [16, 20, 16, 20]),  # 18 in steps of 4, a step of 2 s: what is owed is paid
    (119.0, 9, 9, [18, 18, 18, 18]),  # 17.85 in steps of 2, as 4 counts last more than 2 s
    (60.0, 9, 5, [8, 6, 8, 6]),  # 9 and 5 in steps of 2
    (59.0, 9, 5, [9, 5, 9, 4]),  # 8.85 and 4.92 in steps of 1; by then 0.46 too much is done
    (120.0, 1, 1, [4, 4, 4, 4]),  # never less than a step
])  # fmt: skip
def test_a_turn_ends_on_the_count_nearest_its_time(
    tempo_bpm: float, work: int, rest: int, counts: list[int]
) -> None:
    """Told from where the one before really ended, in steps of 2 seconds at most."""
    asked = Intervals(work, rest, 2, IntervalUnit.SECONDS)
    assert [one.counts for one in turns_of(sum(counts), tempo_bpm, asked, 0)] == counts


@pytest.mark.parametrize(("counts", "done", "cut"), [
    (128, 0, (120, 4)), (119, 0, (60, 2)), (60, 0, (60, 2)), (59, 0, (0, 0)), (80, 1, (80, 3)),
    (70, 1, (20, 1)), (64, 4, (0, 0)),
])  # fmt: skip
def test_a_song_is_cut_after_its_last_rest(counts: int, done: int, cut: tuple[int, int]) -> None:
    """Counts and turns up to the last whole rest, so that the next song begins with work."""
    assert cut_for_intervals(counts, 120.0, TABATA, done) == cut


def phrase(*counts: int) -> PlannedPhrase:
    """Return a phrase of blocks of so many counts."""
    blocks = tuple(Block(one, "jog") for one in counts)
    return PlannedPhrase(0, sum(counts), PhraseKind.PHRASE, EnergyLevel.HIGH, blocks)


@pytest.mark.parametrize(("counts", "left"), [
    (96, [(16, 16), (32,), (8, 24)]), (64, [(16, 16), (32,)]), (40, [(16, 16), (8,)]),
    (65, [(16, 16), (32,), (1,)]), (72, [(16, 16), (32,), (8,)]), (80, [(16, 16), (32,), (8, 8)]),
    (16, [(16,)]), (17, [(16, 1)]), (0, []), (999, [(16, 16), (32,), (8, 24)]),
])  # fmt: skip
def test_the_first_counts_of_a_song_cut_its_blocks(
    counts: int, left: list[tuple[int, ...]]
) -> None:
    """Whole phrases as they are, the last one shortened with its blocks, none of no counts."""
    found = first_counts([phrase(16, 16), phrase(32), phrase(8, 24)], counts)
    assert [tuple(one.counts for one in each.blocks) for each in found] == left
    assert [each.counts for each in found] == [sum(one) for one in left]
