"""The network that hears joins: against slow loops, its rows, its reach, and short music."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from aquatempo.rhythm import join_network
from aquatempo.rhythm.evidence import MIX, SONG, score, start_inputs
from aquatempo.rhythm.hearing import kind_of
from aquatempo.rhythm.join_network import (
    DILATIONS,
    HEADS,
    SIGNS,
    clear_joins,
    forward,
    network_rows,
)
from aquatempo.rhythm.perbeat import BeatCues

Floats = NDArray[np.float32]


def cues(count: int, seed: int = 1) -> BeatCues:
    """Return cues without any order."""
    random = np.random.default_rng(seed)
    level, beat, downbeat, phrase = random.normal(0, 1, (4, count))
    onset, busy, timbre = random.normal(0, 1, (3, count, 10))
    chroma, bass = random.uniform(0, 1, (count, 12)), random.uniform(0, 1, (count, 24))
    return BeatCues(level, onset, busy, timbre, chroma, bass, beat, downbeat, phrase)


def slow(weights: dict[str, Floats], rows: Floats) -> Floats:
    """Return what the network tells, summed up beat by beat and tap by tap."""

    def layer(x: Floats, name: str, dilation: int) -> Floats:
        kernel, bias = weights[f"{name}.w"], weights[f"{name}.b"]
        out = np.zeros((len(x), len(bias)), np.float32)
        for beat in range(len(x)):
            out[beat] = bias
            for tap in range(len(kernel)):
                other = beat + (tap - len(kernel) // 2) * dilation
                if 0 <= other < len(x):
                    out[beat] += x[other] @ kernel[tap]
        return out

    x = np.clip((rows - weights["mean"]) / weights["std"], -6, 6)
    x = np.maximum(layer(x, "in", 1), 0)
    for place, dilation in enumerate((1, 2, 4, 8, 16, 32)):
        hidden = np.maximum(layer(np.maximum(x, 0), f"block{place}", dilation), 0)
        x = x + layer(hidden, f"mix{place}", 1)
    return layer(np.maximum(x, 0), "out", 1)


def test_network_agrees_with_slow_loops() -> None:
    """The packaged weights tell the same by matrix products and by loops, within 1e-3 nats."""
    made = cues(150)
    rows = network_rows(made, start_inputs(made, MIX), score(made.level))
    weights = dict(join_network._weights())
    assert forward(weights, rows) == pytest.approx(slow(weights, rows), abs=1e-3)


def test_rows_are_signs_and_likenesses() -> None:
    """Signs first; a likeness is the cosine of harmony with the beat so many counts earlier."""
    made = cues(120, 2)
    signs = start_inputs(made, MIX)
    rows = network_rows(made, signs, score(made.level))
    assert rows.shape == (120, 81)
    for place, name in enumerate(SIGNS):
        assert rows[:, place] == pytest.approx(signs[name], abs=1e-5)
    both = [part / np.linalg.norm(part, axis=1, keepdims=True) for part in (made.chroma, made.bass)]
    harmony = np.concatenate(both, axis=1)
    harmony = harmony - harmony.mean(axis=0)
    harmony /= np.linalg.norm(harmony, axis=1, keepdims=True)
    first = len(SIGNS) + 3 + 1 + 10  # log-odds, loudness, bands of sound
    earlier, later = rows[:, first], rows[:, first + 1]
    for beat in range(120):
        for found, other in ((earlier, beat - 4), (later, beat + 4)):
            wanted = harmony[beat] @ harmony[other] if 0 <= other < 120 else 0.0
            assert found[beat] == pytest.approx(wanted, abs=1e-5)


def test_far_beats_do_not_matter() -> None:
    """A beat is judged by the 128 counts to either side and by nothing beyond."""
    weights = dict(join_network._weights())
    rows = np.random.default_rng(3).normal(0, 1, (400, 81)).astype(np.float32)
    other = rows.copy()
    other[:50] = 0
    reach = 2 + sum(2 * dilation for dilation in DILATIONS)
    assert reach == 128
    changed = np.abs(forward(weights, rows) - forward(weights, other)).max(axis=1)
    assert changed[50 + reach :].max() < 1e-4
    assert changed[:50].min() > 1e-4


@pytest.mark.parametrize("beats", [1, 3, 9, 40])
def test_short_music_is_judged_too(beats: int) -> None:
    """However few the beats, each has an answer within 8 nats; a song is not asked."""
    made = cues(beats, 4)
    heard = start_inputs(made, MIX)
    for name in HEADS:
        assert heard[name].shape == (beats,)
        assert np.abs(heard[name]).max() <= 8
    assert not set(HEADS) & set(start_inputs(made, SONG))


@pytest.mark.parametrize(
    ("odds", "found"),
    [
        ({}, []),
        ({30: 1.49}, []),  # less than 4 to 1
        ({30: 1.5}, [30]),
        ({0: 3.0, 99: 4.0}, [0, 99]),  # both ends
        ({30: 3.0, 46: 4.0}, [46]),  # 16 counts apart are one join, the better
        ({30: 4.0, 46: 3.0}, [30]),
        ({30: 3.0, 47: 4.0}, [30, 47]),
        ({30: 3.0, 40: 3.0}, [30]),  # of equals the first
        ({30: 3.0, 46: 3.0, 62: 3.0}, [30, 62]),
        ({10: 5.0, 24: 4.0, 38: 3.0}, [10]),  # the third is beside the second, which is none
    ],
)
def test_clear_joins(odds: dict[int, float], found: list[int]) -> None:
    """A join is heard for itself at 1.5 nats and more, once in the 16 counts to either side."""
    heard = np.full(100, -8.0)
    heard[list(odds)] = list(odds.values())
    assert clear_joins(heard) == found


@pytest.mark.parametrize(
    ("joins", "length_s", "splices", "kind"),
    [
        (2, 300.0, [], SONG),
        (3, 300.0, [], MIX),
        (0, 480.0, [], SONG),
        (0, 481.0, [], MIX),
        (0, 300.0, [64], MIX),
    ],
)
def test_what_is_taken_for_a_mix(
    joins: int, length_s: float, splices: list[int], kind: str
) -> None:
    """Two tempi, three joins heard for themselves, or more than eight minutes make a mix."""
    heard = np.full(400, -5.0)
    heard[50 : 50 + 64 * joins : 64] = 2.5
    assert kind_of(clear_joins(heard), splices, length_s) == kind
