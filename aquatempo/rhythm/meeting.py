"""Where two tempi meet: a tempo-matched join lies where the two grids share a beat.

Through a fade the old beat is heard on, so the border between two stretches lies late. But songs
are joined with the count of one on the count of the other, and lines of two tempi share a beat
only once in 1 / (their difference) beats: 40 at 2.5 %. That place tells the join to the beat.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.lines import line_fit, scatter

if TYPE_CHECKING:
    from aquatempo.rhythm.grid import Stretch

__all__ = ["where_lines_meet"]

LINE_BEATS = 48  # next to a border from which each line is drawn
LEAST_BEATS = 24  # fewer tell no line
STRAIGHT_S = 0.006  # scatter about it that a line may leave
TWO_TEMPI = (0.005, 0.035)  # differences between which two tempi are matched
EARLIER, LATER = 34, 2  # beats by which a border is moved: fades last up to 32
SHARED = 0.06  # of a beat: so near two beats are one
APART = (0.06, 0.35)  # of a beat: strokes of two songs are told apart there
NEAR_BEATS = 32  # whose strokes are the usual ones
BOTH_SOUND = 0.2  # from which on two songs are taken to sound at once

Doubles = NDArray[np.float64]


def where_lines_meet(found: list[Stretch], strokes: NDArray[np.float32]) -> list[Stretch]:
    """Return stretches with the borders of two tempi on the beat that both lines share.

    found: in order. strokes: how fast the sound rises, of mean 1, shape (frames,). A border stays
    where it is where only one song sounds between that beat and it: songs that follow each other
    anyhow share a beat by chance.
    """
    out = found[:1]
    for after in found[1:]:
        before = out.pop()
        out += _met(before, after, strokes)
    return out


def _met(before: Stretch, after: Stretch, strokes: NDArray[np.float32]) -> tuple[Stretch, Stretch]:
    left, right = _line(before.times_s[-LINE_BEATS:]), _line(after.times_s[:LINE_BEATS])
    if left is None or right is None:
        return before, after
    (left_s, left_period), (right_s, right_period) = left, right
    left_s += left_period * (min(len(before.times_s), LINE_BEATS) - 1)  # now of its last beat
    if not TWO_TEMPI[0] < abs(right_period / left_period - 1) < TWO_TEMPI[1]:
        return before, after
    steps = np.arange(-EARLIER, LATER + 1)
    place = (right_s + right_period * steps - left_s) / left_period
    off = np.abs(place - np.round(place))
    shared = steps[(off < SHARED) & _least(off)]
    if not len(shared):
        return before, after
    step = int(shared[np.abs(shared).argmin()])
    meet_s = right_s + right_period * step
    added = left_s + left_period * np.arange(1, round((meet_s - left_s) / left_period))
    old = np.append(before.times_s[before.times_s < meet_s - 0.5 * left_period], added)
    lead = right_s + right_period * np.arange(step, 0, dtype=np.float64)
    new = np.append(lead, after.times_s[after.times_s > meet_s - 0.5 * right_period])
    if min(len(old), len(new)) < LEAST_BEATS // 2:
        return before, after
    if len(lead) > 1 and _both(old, before.times_s, lead, after.times_s, strokes) < BOTH_SOUND:
        return before, after
    return replace(before, times_s=old), replace(after, times_s=new)


def _both(
    old: Doubles, heard: Doubles, lead: Doubles, new: Doubles, strokes: NDArray[np.float32]
) -> float:
    """Return how much sounds of the next song while the last one goes on, and of its fading.

    old, lead: beats of the last song before, of the next one after they share one; heard: all of
    the last as they were heard; new: those of the next without ``lead`` [s]. The next song's
    strokes are those on its beats above those as far from the old ones on their other side.
    """
    nearest = heard[np.abs(heard - lead[:, None]).argmin(axis=1)]
    off = np.abs(lead - nearest) / float(np.median(np.diff(new)))
    apart = (off > APART[0]) & (off < APART[1])
    if not apart.any():
        return BOTH_SOUND  # two beats as near as that are one
    lead, nearest = lead[apart], nearest[apart]
    usual_new = _strength(new[:NEAR_BEATS], strokes)
    usual_old = _strength(old[-NEAR_BEATS:], strokes)
    entered = _strength(lead, strokes) - _strength(2 * nearest - lead, strokes)
    return entered / usual_new + 1 - _strength(nearest, strokes) / usual_old


def _strength(times_s: Doubles, strokes: NDArray[np.float32]) -> float:
    """Return the mean of the strongest stroke within a frame of some times."""
    frames = np.round(times_s * FRAME_RATE_HZ).astype(int)[:, None] + np.arange(-1, 2)
    return float(strokes[np.clip(frames, 0, len(strokes) - 1)].max(axis=1).mean()) + 1e-6


def _line(times_s: Doubles) -> tuple[float, float] | None:
    """Return first beat and period of a line through beats [s]; None where they are not on one."""
    if len(times_s) < LEAST_BEATS:
        return None
    index = np.arange(len(times_s), dtype=np.float64)
    weights = np.ones(len(times_s))
    start, period = line_fit(index, times_s, weights)
    if scatter(times_s - start - period * index, weights) > STRAIGHT_S:
        return None
    return start, period


def _least(values: Doubles) -> NDArray[np.bool_]:
    """Tell which values are no greater than both neighbours."""
    padded = np.pad(values, 1, constant_values=np.inf)
    return np.asarray((values <= padded[:-2]) & (values < padded[2:]))
