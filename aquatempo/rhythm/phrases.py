"""Bars and phrases together: one dynamic program over the beats of the whole song.

A song is a row of segments: whole phrases of eight bars, and shorter bridges at a cost.
Each segment starts a bar, so the choice of segments is the choice of bars too, and the
bar phase can move only where a bridge of an odd length is paid for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "BARS_PER_PHRASE",
    "Segmentation",
    "bounds",
    "segment",
    "standardise_by_phase",
]

BARS_PER_PHRASE = 8
BRIDGE_COSTS = {
    4.0: 2.5, 2.0: 2.5, 1.0: 3.0, 3.0: 5.0, 5.0: 5.0, 6.0: 5.0, 7.0: 5.0,
    0.5: 10.0, 1.5: 11.0, 2.5: 11.0,
}  # fmt: skip
"""Cost [nats] of a segment by its length in bars; a phrase of eight bars costs nothing."""
ODD_COST = 10.0  # a segment of 1 or 3 beats: the bar itself is broken
INTRO_COST = 2.0  # a first segment that is longer than a bar and not a phrase
FORCED = 1e6  # evidence of an instructor outweighs everything

Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Segmentation:
    """Starts of the segments (beat indices, the first always 0), downbeats, and the score.

    Every segment but the first starts on count 1. lead: beats of the first segment before
    its first downbeat.
    """

    starts: tuple[int, ...]
    downbeats: tuple[int, ...]
    beats_per_bar: int
    score: float


def segment(
    bar_odds: Doubles,
    phrase_odds: Doubles,
    beats_per_bar: int = 4,
    *,
    forced: Mapping[int, bool] | None = None,
) -> Segmentation:
    """Return the best segmentation of beats with log-odds of being count 1 of bar and phrase.

    forced: beats that must (True) or must not (False) start a segment.
    """
    count = len(bar_odds)
    phrase = BARS_PER_PHRASE * beats_per_bar
    start_odds = phrase_odds.copy()
    for beat, wanted in (forced or {}).items():
        start_odds[beat] += FORCED if wanted else -FORCED
    # ladder[n]: sum of bar odds at n, n - bar, n - 2 bars ...
    ladder = bar_odds.copy()
    for beat in range(beats_per_bar, count):
        ladder[beat] += ladder[beat - beats_per_bar]

    def bars(first: int, last: int) -> float:
        """Sum the bar odds on the downbeats of a segment, beats first to last (exclusive)."""
        top = first + (last - 1 - first) // beats_per_bar * beats_per_bar
        below = ladder[first - beats_per_bar] if first >= beats_per_bar else 0.0
        return float(ladder[top] - below)

    costs = _costs(beats_per_bar)
    if forced:  # what an instructor marks may have any length
        costs |= {length: ODD_COST for length in range(1, phrase) if length not in costs}
    best = np.full(count + 1, -np.inf)
    origin = np.full(count + 1, -1, dtype=np.int64)
    for beat in range(min(phrase, count)):  # the first segment ends here; bars run back from it
        lead = float(ladder[beat - beats_per_bar]) if beat >= beats_per_bar else 0.0
        best[beat] = lead - (INTRO_COST if beat >= beats_per_bar else 0.0)
        if beat % beats_per_bar == 0 and beat in costs:
            best[beat] = max(best[beat], lead - costs[beat] / 2)
    for beat in range(1, count):
        for length, cost in costs.items():
            first = beat - length
            if first < 0:
                continue
            value = best[first] + start_odds[first] + bars(first, beat) - cost
            if value > best[beat]:
                best[beat], origin[beat] = value, first
    ends = range(max(0, count - phrase), count)
    finals = [best[first] + start_odds[first] + bars(first, count) for first in ends]
    last = ends[int(np.argmax(finals))]
    starts = [last]
    while origin[starts[-1]] >= 0:
        starts.append(int(origin[starts[-1]]))
    starts.reverse()
    downbeats = list(range(starts[0] % beats_per_bar, starts[0], beats_per_bar))
    for first, stop in zip(starts, [*starts[1:], count], strict=True):
        downbeats += range(first, stop, beats_per_bar)
    if starts[0] > 0:
        starts.insert(0, 0)
    return Segmentation(tuple(starts), tuple(downbeats), beats_per_bar, float(max(finals)))


def _costs(beats_per_bar: int) -> dict[int, float]:
    """Return the cost of a segment by its length in beats."""
    costs = {BARS_PER_PHRASE * beats_per_bar: 0.0}
    for bars, cost in BRIDGE_COSTS.items():
        length = bars * beats_per_bar
        if length == int(length):
            costs[int(length)] = cost
    for length in (1, beats_per_bar - 1):
        costs.setdefault(length, ODD_COST)
    return costs


def standardise_by_phase(values: Doubles, beats_per_bar: int) -> Doubles:
    """Return values less their mean, over the spread of the means of the phases."""
    usable = len(values) // beats_per_bar * beats_per_bar
    if usable == 0:
        return np.zeros_like(values)
    means = values[:usable].reshape(-1, beats_per_bar).mean(axis=0)
    return np.asarray((values - means.mean()) / (means.std() + 0.25 * values.std() + 1e-9))


def bounds(starts: Sequence[int], count: int) -> list[tuple[int, int]]:
    """Return pairs of first beat and end (exclusive) of segments with these starts."""
    return list(zip(starts, [*starts[1:], count], strict=True))
