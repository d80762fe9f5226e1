"""Which pulse is the beat: the whole song decoded at several levels, and compared."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import RangeError
from aquatempo.records.rhythm import TempoAlternative
from aquatempo.rhythm.beats import BeatPath, decode, period_grid
from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.frames import Frames

__all__ = ["Level", "choose_level"]

LOWEST_BPM, HIGHEST_BPM = 55.0, 215.0
RATIOS = (1.0, 0.5, 2.0, 2 / 3, 1.5)
BAND = 0.05  # relative half-width of the tempo range when a level is decoded anew
CENTRE_BPM, OCTAVES = 122.0, 0.55  # prior: log-normal

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Level:
    """The path at the chosen level, how sure it is, and the other levels with their odds."""

    path: BeatPath
    tempo_bpm: float
    confidence: float
    alternatives: tuple[TempoAlternative, ...]


def choose_level(
    frames: Frames,
    odds: Floats,
    span_s: tuple[float, float],
    expect_bpm: tuple[float, float] | None,
) -> Level:
    """Return the best reading of the beats within span_s [s]."""
    if expect_bpm is not None and not 0 < expect_bpm[0] < expect_bpm[1]:
        raise RangeError(
            "expected tempo", expect_bpm[0], "bpm", 0, expect_bpm[1], "give the lower number first"
        )
    first, last = (int(t * FRAME_RATE_HZ) for t in span_s)
    heard = odds[first : last + 1]
    low, high = expect_bpm or (LOWEST_BPM, HIGHEST_BPM)
    low, high = max(low * 0.98, 30.0), min(high * 1.02, 400.0)
    main = decode(heard, period_grid(low, high, FRAME_RATE_HZ))
    tempo = _tempo(main)
    readings = [main]
    for ratio in RATIOS[1:]:
        if low <= tempo * ratio <= high:
            grid = period_grid(
                tempo * ratio * (1 - BAND), tempo * ratio * (1 + BAND), FRAME_RATE_HZ
            )
            readings.append(decode(heard, grid))
    scores = np.array([_score(path, frames.beat[first : last + 1]) for path in readings])
    share = np.exp(scores - scores.max())
    share /= share.sum()
    order = np.argsort(-share)
    best = readings[order[0]]
    others = tuple(
        TempoAlternative(round(_tempo(readings[i]), 2), round(float(share[i]), 4)) for i in order
    )
    return Level(best, _tempo(best), float(share[order[0]]), others)


def _tempo(path: BeatPath) -> float:
    return float(60 * FRAME_RATE_HZ / np.median(path.periods))


def _score(path: BeatPath, activation: Floats) -> float:
    """Return the worth of a reading [nats]: beats heard, little between them, usual tempo."""
    on = _mean_near(activation, path.frames)
    steps = np.diff(path.frames)
    between = _mean_near(activation, path.frames[:-1] + steps / 2)
    thirds = [_mean_near(activation, path.frames[:-1] + steps * part) for part in (1 / 3, 2 / 3)]
    prior = -0.5 * float(np.log2(_tempo(path) / CENTRE_BPM) / OCTAVES) ** 2
    return 8 * on - 4 * between - 4 * max(thirds) + prior


def _mean_near(activation: Floats, places: NDArray[np.float64] | NDArray[np.int64]) -> float:
    """Return the mean of the best activation within two frames of some places [frames]."""
    near = np.asarray(np.round(places), dtype=np.int64)[:, None] + np.arange(-2, 3)
    heard = activation[np.clip(near, 0, len(activation) - 1)]
    return float(heard.max(axis=1).mean())
