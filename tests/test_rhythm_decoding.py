"""The decoder alone, on activations drawn around known beats (self-made values)."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from aquatempo.rhythm.beats import decode, log_odds, period_grid
from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.grid import Stretch, stretches_of
from aquatempo.rhythm.lines import observe

Doubles = NDArray[np.float64]


def activation_of(beats_s: Doubles, length_s: float, missed: float = 0.1) -> NDArray[np.float32]:
    """Return a bump on every beat but a share of missed ones, over a noisy floor."""
    random = np.random.default_rng(7)
    times = np.arange(int(length_s * FRAME_RATE_HZ)) / FRAME_RATE_HZ
    out = np.abs(random.normal(0.02, 0.02, len(times)))
    for beat_s in beats_s[random.random(len(beats_s)) > missed]:
        near = np.abs(times - beat_s) < 0.05
        bump = 0.9 * np.exp(-0.5 * ((times[near] - beat_s) * FRAME_RATE_HZ / 0.8) ** 2)
        out[near] = np.maximum(out[near], bump)
    return np.clip(out, 0, 1).astype(np.float32)


def stretches(beats_s: Doubles, length_s: float, missed: float = 0.1) -> list[Stretch]:
    """Return what is decoded from the activation around some beats."""
    activation = activation_of(beats_s, length_s, missed)
    odds = log_odds(activation)
    path = decode(odds, period_grid(55, 215, FRAME_RATE_HZ))
    heard = observe(activation, path.frames, FRAME_RATE_HZ)
    return stretches_of(heard, odds, activation, (0.0, length_s))


def worst_ms(beats_s: Doubles, found: list[Stretch]) -> float:
    """Return how far the found beats are from the known ones at most [ms]."""
    heard = np.concatenate([stretch.times_s for stretch in found])
    return float(1000 * max(np.abs(heard - beat_s).min() for beat_s in beats_s))


@pytest.mark.parametrize("tempo_bpm", [61.3, 99.99, 137.77, 171.37, 203.0])
def test_steady_beats_become_an_exact_grid(tempo_bpm: float) -> None:
    """A constant tempo comes out to 0.01 bpm and its beats to 1 ms, off the frame grid."""
    beats_s = np.arange(0.31, 100, 60 / tempo_bpm)
    found = stretches(beats_s, 100.0)
    assert [stretch.kind for stretch in found] == ["steady"]
    assert found[0].tempo_bpm == pytest.approx(tempo_bpm, abs=0.01)
    assert worst_ms(beats_s, found) < 1.0


def test_a_passage_without_beats_keeps_the_grid() -> None:
    """Twenty seconds without any beat are bridged on the grid of what surrounds them."""
    beats_s = np.arange(0.5, 120, 0.4)
    played = beats_s[(beats_s < 50) | (beats_s > 70)]
    found = stretches(played, 120.0)
    assert len(found) == 1
    assert worst_ms(beats_s, found) < 1.0


def test_joined_tracks_keep_their_own_tempo() -> None:
    """Three tempos with a splice off the beat between them give three steady stretches."""
    parts, start_s = [], 0.5
    for tempo_bpm in (128.0, 132.0, 126.0):
        parts.append(start_s + np.arange(150) * 60 / tempo_bpm)
        start_s = float(parts[-1][-1]) + 60 / tempo_bpm + 0.21
    found = stretches(np.concatenate(parts), start_s)
    assert [round(stretch.tempo_bpm, 1) for stretch in found] == [128.0, 132.0, 126.0]
    starts = [float(stretch.times_s[0]) for stretch in found[1:]]
    assert starts == pytest.approx([parts[1][0], parts[2][0]], abs=2.0)  # s: a bar


def test_slow_drift_is_followed_not_forced() -> None:
    """A tempo that rises by 2 % is one drifting stretch whose beats stay within 10 ms."""
    beats_s = np.cumsum(60 / np.linspace(120, 122.4, 400))
    found = stretches(beats_s, float(beats_s[-1]) + 0.2)
    assert [stretch.kind for stretch in found] == ["drifting"]
    assert worst_ms(beats_s, found) < 10.0


def test_a_live_player_keeps_their_own_beats() -> None:
    """Beats that wander by some 14 ms each are not put on a line, and all are found."""
    random = np.random.default_rng(3)
    periods_s = 0.5 * np.exp(np.cumsum(random.normal(0, 0.0015, 300)))
    beats_s = np.cumsum(periods_s) + random.normal(0, 0.014, 300)
    found = stretches(beats_s, float(beats_s[-1]) + 0.3, missed=0.0)
    assert {stretch.kind for stretch in found} == {"live"}
    assert worst_ms(beats_s, found) < 70.0  # the window of mir_eval


def test_no_activation_means_even_odds_of_nothing() -> None:
    """Clipped log-odds stay finite at 0 and 1 and are symmetric."""
    odds = log_odds(np.array([0.0, 0.5, 1.0], np.float32))
    assert odds[1] == 0.0
    assert odds[0] == pytest.approx(-odds[2], abs=1e-5)
