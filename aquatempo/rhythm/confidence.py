"""How sure an analysis is, as a probability.

Two logistic models over a few measures of the whole track: one for the tempo, one for
tempo and count 1 together. How they were calibrated, and the curve, is in docs/rhythm.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.grid import Stretch
from aquatempo.rhythm.levels import Level
from aquatempo.rhythm.perbeat import BeatCues
from aquatempo.rhythm.phrases import Segmentation
from aquatempo.rhythm.weights import weights_of

__all__ = ["bar_confidence", "measures_of", "tempo_confidence"]

AT_ODDS = 0.7  # the most where the beat may as well be half a beat away
FAINT = 0.5  # mean activation on the beats below which they are doubtful
USUAL_BPM = (100.0, 160.0)  # what most songs for classes have
FAR_OCTAVES = 0.15  # beyond that range, from where on a tempo counts as unusual
PARTS = 4  # of the track, each of which should agree on the bar

Doubles = NDArray[np.float64]


def measures_of(
    level: Level,
    stretches: Sequence[Stretch],
    cues: BeatCues,
    bars: Doubles,
    found: Segmentation,
) -> dict[str, float]:
    """Return the measures that the models weigh.

    clear: mean activation on the beats. faint: by how much that falls short of 0.5 [0.1]. level
    margin, half margin [nats]: to the next best reading, and to the same one half a beat later, at
    most 8. tempo head [nats]: evidence for the tempo itself. loose: mean scatter about the grid
    [10 ms]. pieces: number of stretches beyond the first, at most 3. phase margin, worst part
    [nats a bar]: by how much the bar found beats its rivals, over the track and in its worst
    quarter. unusual: how far the tempo lies from 100 to 160 bpm, where one pattern can be counted
    at two levels: 1 from 0.15 octaves on. doubt: 1 where the beat may as well be half a beat
    away. cues: at the beats; bars: log-odds of count 1 of a bar [nats], shape (beats,).
    """
    clear = 1 / (1 + np.exp(-np.maximum(cues.beat, -4)))
    sizes = np.array([len(stretch.times_s) for stretch in stretches], dtype=float)
    loose = np.array([stretch.residual_s for stretch in stretches])
    whole, worst = _phase_margins(bars, found)
    longest = stretches[int(sizes.argmax())].tempo_bpm
    unusual = max(np.log2(USUAL_BPM[0] / longest), np.log2(longest / USUAL_BPM[1]), 0.0)
    return {
        "clear": float(clear.mean()),
        "faint": 10 * max(FAINT - float(clear.mean()), 0.0),
        "level margin": min(level.margin, 8.0),
        "doubt": float(level.doubt),
        "half margin": float(np.clip(level.half_margin, 0.0, 8.0)),
        "tempo head": max(level.tempo_odds, -4.0),
        "loose": float(min((sizes * loose).sum() / sizes.sum() / 0.01, 4.0)),
        "pieces": float(min(len(stretches) - 1, 3)),
        "phase margin": whole,
        "worst part": worst,
        "unusual": float(min(unusual / FAR_OCTAVES, 1.0)),
    }


def tempo_confidence(measures: Mapping[str, float]) -> float:
    """Return the probability that the tempo is right."""
    return _logistic(measures, weights_of("tempo confidence"))


def bar_confidence(measures: Mapping[str, float]) -> float:
    """Return the probability that tempo and count 1 are right."""
    return _logistic(measures, weights_of("confidence"))


def _logistic(measures: Mapping[str, float], weights: Mapping[str, float]) -> float:
    total = sum(weight * measures[name] for name, weight in weights.items() if name != "constant")
    total += weights["constant"]
    sure = float(1 / (1 + np.exp(-total)))
    return min(sure, AT_ODDS) if measures["doubt"] else sure


def _phase_margins(bars: Doubles, found: Segmentation) -> tuple[float, float]:
    """Return by how much the downbeats beat the best other phase, overall and at the worst."""
    ones = np.array(found.downbeats)
    size = found.beats_per_bar
    ones = ones[(ones >= size) & (ones < len(bars) - size)]
    if len(ones) < PARTS:
        return 0.0, 0.0
    rivals = [step for step in range(1 - size, size) if step]
    ahead = np.array([bars[ones] - bars[ones + step] for step in rivals])
    parts = [part.mean(axis=1).min() for part in np.array_split(ahead, PARTS, axis=1)]
    return float(ahead.mean(axis=1).min()), float(min(parts))
