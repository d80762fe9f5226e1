"""From cues at each beat to log-odds that it is count 1 of a bar, and of a phrase."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.perbeat import BeatCues

__all__ = ["bar_odds", "change", "phrase_odds"]

Doubles = NDArray[np.float64]


def change(rows: Doubles, beats: int) -> Doubles:
    """Return 1 - cosine between what sounds before each beat and after it, 0 at the ends."""
    before, after = _spans(rows, beats)
    product = (before * after).sum(axis=1)
    norms = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    return np.asarray(np.where(norms > 1e-9, 1 - product / np.maximum(norms, 1e-9), 0.0))


def difference(rows: Doubles, beats: int) -> Doubles:
    """Return the Euclidean distance between the means before and after each beat."""
    before, after = _spans(rows, beats)
    return np.asarray(np.linalg.norm(after - before, axis=1))


def _spans(rows: Doubles, beats: int) -> tuple[Doubles, Doubles]:
    """Return the means of up to so many rows before, and from, each row; edges repeat."""
    count = len(rows)
    sums = np.concatenate([np.zeros((1, rows.shape[1])), np.cumsum(rows, axis=0)])
    at = np.arange(count)
    low, high = np.maximum(at - beats, 0), np.minimum(at + beats, count)
    after = (sums[high] - sums[at]) / (high - at)[:, None]
    before = (sums[at] - sums[low]) / np.maximum(at - low, 1)[:, None]
    return np.where((at > low)[:, None], before, after), after


def score(values: Doubles) -> Doubles:
    """Return values in robust standard deviations above their median, cut at -2 and 6."""
    middle = np.median(values)
    spread = 1.4826 * np.median(np.abs(values - middle)) + 0.1 * values.std() + 1e-9
    return np.asarray(np.clip((values - middle) / spread, -2, 6))


def bar_odds(cues: BeatCues) -> Doubles:
    """Return the log-odds that each beat is count 1 of a bar [nats]."""
    harmony = score(change(cues.chroma, 2)) + 0.5 * score(change(cues.bass, 1))
    drums = score(cues.onset[:, 0]) * 0.3
    return np.asarray(0.4 * (cues.downbeat + 1.1) + 0.25 * harmony + 0.2 * drums - 1.1)


def phrase_odds(cues: BeatCues) -> Doubles:
    """Return the log-odds that each beat is count 1 of a phrase [nats]."""
    arrangement = score(difference(cues.timbre, 8)) + score(difference(cues.timbre, 16))
    crash = score(cues.onset[:, -1]) + score(cues.onset[:, -2])
    tonal = score(change(cues.chroma, 4))
    return np.asarray(0.4 * cues.phrase + 0.35 * arrangement + 0.2 * crash + 0.2 * tonal - 2.0)
