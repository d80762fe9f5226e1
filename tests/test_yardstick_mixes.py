"""What is true of stored mixes: joins, cuts, and the blocks of music by others."""

from __future__ import annotations

import numpy as np
import pytest
from yardstick.held.other_mixes import blocks_of, fits
from yardstick.joins import Joined, found_in, of_track

from aquatempo.rhythm.analysis import analyse

PERIOD_S = 0.5


def part(start: int, counts: int, kind: str = "phrase") -> dict[str, object]:
    """Return a part of a truth at 120 bpm."""
    return {"start_s": start * PERIOD_S, "start_beat": start, "counts": counts, "kind": kind}


def test_a_join_is_told_apart_by_what_was_cut_before_it() -> None:
    """A join counts where a whole phrase begins, and is after a cut where a part was left."""
    parts = [part(0, 32), part(32, 8, "bridge"), part(40, 32), part(72, 16, "bridge"), part(88, 32)]
    track = {
        "id": "mix",
        "beats_s": [PERIOD_S * beat for beat in range(120)],
        "phrases": parts,
        "splices_s": [20.0, 36.0],  # at beats 40 and 72: the second begins no phrase
    }
    truth = of_track(track)
    assert truth.joins == [(20.0, True)]
    assert truth.starts_s.tolist() == [0.0, 20.0, 44.0]


def test_blocks_begin_with_count_1_and_need_three() -> None:
    """Music by others stands in blocks of 32 counts from its first count 1; two are too few."""
    song = {
        "level_arguable": False,
        "beats_per_bar": 4,
        "beats_s": [PERIOD_S * beat for beat in range(100)],
        "downbeats_s": [1.0, 3.0],
    }
    assert [block["start_beat"] for block in blocks_of(song)] == [2, 34, 66]
    assert fits(song)
    assert not fits(song | {"beats_s": song["beats_s"][:97]})  # type: ignore[index]
    assert not fits(song | {"level_arguable": True})


def test_where_no_phrase_is_heard_every_join_is_missed() -> None:
    """Silence has no phrase starts: nothing of a mix is found in it, and F is 0."""
    truth = Joined("mix", PERIOD_S, np.array([10.0, 26.0]), [(10.0, False)])
    found = found_in(truth, analyse(np.zeros(22_050 * 10), 22_050))
    assert found.missed_s == [10.0]
    assert found.phrase_f == pytest.approx(0.0)
