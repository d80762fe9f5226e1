"""Which pulse is the beat: the whole song decoded at several levels, and compared.

A path that scores best frame by frame may still be the eighths, every second beat, every
third eighth, or the off-beats. So the song is decoded again at 1/2, 2/3, 3/2 and 2 times
the tempo found, each also half a beat later, and a logistic choice between these readings
weighs what the whole song shows of each.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import RangeError
from aquatempo.records.rhythm import TempoAlternative
from aquatempo.rhythm.beats import BeatPath, decode, period_grid
from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.frames import Frames
from aquatempo.rhythm.network import TEMPO_CLASSES_BPM

__all__ = ["Level", "Reading", "choose_level", "inputs_of", "readings_of"]

LOWEST_BPM, HIGHEST_BPM = 55.0, 215.0
RATIOS = (1.0, 0.5, 2.0, 2 / 3, 1.5)
MARGIN = 0.04  # relative, on both sides of the tempi of the first path, at each ratio
CENTRE_BPM = 125.0
WEIGHTS: dict[str, float] = {
    "on": 1.5,
    "between": -0.7,
    "thirds": -0.7,
    "uneven by two": -0.5,
    "uneven by three": -0.5,
    "bars": 0.5,
    "tempo": 1.0,
    "far from usual": -1.0,
}

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to count the song. ratio: its tempo over that of the first path."""

    path: BeatPath
    ratio: float

    @property
    def tempo_bpm(self) -> float:
        """Median tempo [beats/min], to about 1 %."""
        return float(60 * FRAME_RATE_HZ / np.median(self.path.periods))


@dataclass(frozen=True, slots=True)
class Level:
    """The chosen reading, its odds, and the other levels: ratio to it, odds."""

    path: BeatPath
    odds: float
    margin: float
    others: tuple[tuple[float, float], ...]

    def alternatives(self, tempo_bpm: float) -> tuple[TempoAlternative, ...]:
        """Return all levels as tempi, the chosen one first, when its exact tempo is known."""
        levels = ((1.0, self.odds), *self.others)
        return tuple(TempoAlternative(round(tempo_bpm * r, 2), round(o, 4)) for r, o in levels)


def choose_level(
    frames: Frames,
    odds: Floats,
    span_s: tuple[float, float],
    expect_bpm: tuple[float, float] | None,
) -> Level:
    """Return the best reading of what sounds within span_s [s]; its path starts there.

    Raises RangeError where expect_bpm [beats/min] is not a range.
    """
    first, last = (int(time_s * FRAME_RATE_HZ) for time_s in span_s)
    readings = readings_of(odds[first : last + 1], expect_bpm)
    part = _Part(frames, odds, first, last)
    scores = np.array([_score(inputs_of(reading, part)) for reading in readings])
    share = np.exp(scores - scores.max())
    share /= share.sum()
    best = int(share.argmax())
    by_ratio: dict[float, float] = {}
    for reading, value in zip(readings, share, strict=True):
        relative = reading.ratio / readings[best].ratio
        by_ratio[relative] = by_ratio.get(relative, 0.0) + float(value)
    chosen = by_ratio.pop(1.0)
    others = sorted(by_ratio.items(), key=lambda item: -item[1])
    ranked = np.sort(scores)
    margin = float(ranked[-1] - ranked[-2]) if len(ranked) > 1 else 10.0
    return Level(readings[best].path, chosen, margin, tuple(others))


class _Part:
    """The part of a track that sounds, as the readings see it."""

    def __init__(self, frames: Frames, odds: Floats, first: int, last: int) -> None:
        self.odds = odds[first : last + 1]
        clipped = np.clip(frames.downbeat[first : last + 1], 0.02, 0.98)
        self.downbeat = np.log(clipped / (1 - clipped))
        rise = np.zeros(len(frames.bands), np.float32)
        rise[3:-2] = np.maximum(frames.bands[5:] - frames.bands[:-5], 0).mean(axis=1)
        self.struck = rise[first : last + 1]
        rows = frames.tempo[first // 100 : last // 100 + 1]
        self.tempo = np.log(rows + 1e-4).mean(axis=0)


def readings_of(odds: Floats, expect_bpm: tuple[float, float] | None = None) -> list[Reading]:
    """Return the ways to count a song from its log-odds at frame rate."""
    low, high = LOWEST_BPM, HIGHEST_BPM
    if expect_bpm is not None:
        if not 0 < expect_bpm[0] < expect_bpm[1]:
            slip = "give the lower number first, as in 120-150"
            raise RangeError("expected tempo", expect_bpm[0], "bpm", 20, expect_bpm[1], slip)
        low, high = max(20.0, expect_bpm[0] * 0.99), min(400.0, expect_bpm[1] * 1.01)
    main = decode(odds, period_grid(low, high, FRAME_RATE_HZ))
    tempi = 60 * FRAME_RATE_HZ / np.quantile(main.periods, [0.95, 0.5, 0.05])
    readings = []
    for ratio in RATIOS:
        if not low <= tempi[1] * ratio <= high:
            continue
        slow, fast = tempi[0] * ratio * (1 - MARGIN), tempi[2] * ratio * (1 + MARGIN)
        path = main if ratio == 1.0 else decode(odds, period_grid(slow, fast, FRAME_RATE_HZ))
        readings += [Reading(path, ratio), Reading(_half_a_beat_later(path), ratio)]
    return readings


def _half_a_beat_later(path: BeatPath) -> BeatPath:
    """Return the beats between those of a path."""
    between = (path.frames[1:] + path.frames[:-1]) // 2
    return BeatPath(between, path.periods[1:], path.score)


def inputs_of(reading: Reading, part: _Part) -> dict[str, float]:
    """Return what speaks for and against a reading, by name."""
    frames = reading.path.frames
    steps = np.diff(frames)
    on = _best_near(part.odds, frames)
    thirds = [_best_near(part.odds, frames[:-1] + steps * p).mean() for p in (1 / 3, 2 / 3)]
    tempo = reading.tempo_bpm
    nearest = int(np.abs(np.log(TEMPO_CLASSES_BPM / tempo)).argmin())
    around = part.tempo[max(0, nearest - 1) : nearest + 2]
    struck = _best_near(part.struck, frames)
    struck_between = _best_near(part.struck, frames[:-1] + steps / 2)
    distance = float(np.log2(tempo / CENTRE_BPM))
    return {
        "on": float(on.mean()),
        "between": float(_best_near(part.odds, frames[:-1] + steps / 2).mean()),
        "thirds": float(max(thirds)),
        "uneven by two": _unevenness(on, 2),
        "uneven by three": _unevenness(on, 3),
        "bars": _unevenness(_best_near(part.downbeat, frames), 4),
        "bars of three": _unevenness(_best_near(part.downbeat, frames), 3),
        "struck": float(np.log((struck.mean() + 0.02) / (struck_between.mean() + 0.02))),
        "struck unevenly": _unevenness(struck / (struck.mean() + 0.02), 2),
        "tempo": float(around.max()),
        "far from usual": distance**2,
        "fast": distance,
    }


def _score(inputs: dict[str, float]) -> float:
    return sum(weight * inputs[name] for name, weight in WEIGHTS.items())


def _best_near(values: Floats, places: NDArray[np.int64] | Doubles) -> Doubles:
    """Return the largest value within two frames of each place [frames]."""
    near = np.round(np.asarray(places)).astype(np.int64)[:, None] + np.arange(-2, 3)
    heard = values[np.clip(near, 0, len(values) - 1)].max(axis=1)
    return np.asarray(heard, dtype=np.float64)


def _unevenness(values: Doubles, cycle: int) -> float:
    """Return how far the strongest place in a cycle of beats stands above the others."""
    usable = len(values) // cycle * cycle
    if usable == 0:
        return 0.0
    means = np.sort(values[:usable].reshape(-1, cycle).mean(axis=0))
    return float(means[-1] - means[:-1].mean())
