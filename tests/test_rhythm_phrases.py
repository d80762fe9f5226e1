"""Bars and phrases out of evidence per beat (self-made values)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.phrases import segment

Doubles = NDArray[np.float64]


def evidence(
    starts: list[int], count: int, meter: int = 4, trust: float = 1.0
) -> tuple[Doubles, Doubles, Doubles]:
    """Return noisy log-odds of bars, phrases and bridges for segments that start at some beats."""
    random = np.random.default_rng(5)
    bars, phrases = random.normal(-1.5, 1.0, count), random.normal(-3.0, 1.0, count)
    for first, last in zip(starts, [*starts[1:], count], strict=True):
        bars[first:last:meter] += 3.0
        phrases[first] += 4.0
    return trust * bars, phrases, phrases


def test_even_phrases_are_found() -> None:
    """Five phrases of 32 counts and nothing else give just these starts."""
    found = segment(*evidence([0, 32, 64, 96, 128], 160))
    assert found.starts == (0, 32, 64, 96, 128)
    assert found.downbeats == tuple(range(0, 160, 4))


def test_a_bridge_moves_what_follows() -> None:
    """Eight counts after the second phrase are a segment of their own."""
    found = segment(*evidence([0, 32, 64, 72, 104, 136], 168))
    assert found.starts == (0, 32, 64, 72, 104, 136)


def test_one_bridge_after_another_is_one() -> None:
    """Eight counts and four counts between phrases are a bridge of twelve."""
    found = segment(*evidence([0, 32, 64, 72, 76, 108, 140], 172))
    assert found.starts == (0, 32, 64, 76, 108, 140)


def test_odd_bridges_need_overwhelming_evidence() -> None:
    """Ten bars two beats late do not move the bars; half of a long song does."""
    few = segment(*evidence([0, 32, 64, 66, 98], 106, trust=0.3))
    assert 66 not in few.starts
    long = [*range(0, 449, 32), 450, *range(482, 900, 32)]
    many = segment(*evidence(long, 906, trust=0.5))
    assert {416, 448, 450, 482} <= set(many.starts)
    assert 482 in many.downbeats


def test_a_splice_may_cut_a_phrase_anywhere() -> None:
    """Where a mix goes over to another song after 19 counts, the phrases start anew."""
    starts = [0, 32, 64, 83, 115, 147]
    odds = evidence(starts, 179, trust=0.3)
    assert 83 not in segment(*odds).starts
    assert segment(*odds, splices=[82, 83, 84]).starts == tuple(starts)


def test_a_pick_up_comes_before_count_one() -> None:
    """Three beats of pick-up belong to a first segment without a downbeat."""
    found = segment(*evidence([3, 35, 67, 99], 131))
    assert found.starts == (0, 3, 35, 67, 99)
    assert found.downbeats[0] == 3


def test_three_beats_a_bar_beat_four_where_they_are_there() -> None:
    """Evidence every third beat scores higher in bars of three, every fourth in four."""
    waltz, march = evidence([0, 24, 48, 72], 96, meter=3), evidence([0, 32, 64], 96)
    assert segment(*waltz, 3).score > segment(*waltz, 4).score
    assert segment(*march, 4).score > segment(*march, 3).score


def test_what_is_forced_holds() -> None:
    """A start that an instructor marks is taken against all evidence, a ban too."""
    found = segment(*evidence([0, 32, 64, 96], 128), forced={45: True, 64: False})
    assert 45 in found.starts
    assert 64 not in found.starts


def test_few_beats_are_one_segment() -> None:
    """Less than a bar is still an answer, not an error."""
    found = segment(np.zeros(3), np.zeros(3), np.zeros(3))
    assert found.starts[0] == 0
