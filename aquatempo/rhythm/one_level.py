"""One song, one level: passages counted at half, double or 3:2 of the rest are counted anew.

The best path of beats may count a thin opening at half the tempo of what follows. Music does
not change so: where the tempo of a passage is a plain ratio of that of the passages beside it,
the passage is decoded again near their tempo. Other changes of tempo, as in a mix, stay.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.beats import BeatPath, decode, period_grid
from aquatempo.rhythm.features import FRAME_RATE_HZ

__all__ = ["at_one_level"]

RATIOS = (0.5, 2.0, 2 / 3, 1.5, 1 / 3, 3.0)
BRIEF_RATIOS = (0.75, 4 / 3)  # a mix may go from 128 to 96 beats a minute, for long
BRIEF = 64  # beats below which a passage is brief
NEAR = 0.03  # relative: how near to a plain ratio counts as one
MARGIN = 0.04  # relative, around the tempo that the passage is counted at
SHORTEST = 8  # beats of a passage
SPLIT = 0.12  # relative: a change of period that begins another passage
SLIDE = 12  # beats over which the period may slide there

Floats = NDArray[np.float32]


def at_one_level(path: BeatPath, odds: Floats) -> BeatPath:
    """Return the path with passages at another level counted as the longest one is.

    odds: log-odds at frame rate [nats] that the path was found in.
    """
    passages = _passages(path.periods)
    if len(passages) < 2:
        return path
    lengths = [path.frames[last - 1] - path.frames[first] for first, last in passages]
    usual = float(np.median(path.periods[slice(*passages[int(np.argmax(lengths))])]))
    usual_like = np.abs(np.log(path.periods / usual)) < MARGIN
    frames, periods, done = [path.frames[:0]], [path.periods[:0]], 0
    for first, last in passages:
        own = float(np.median(path.periods[first:last]))
        if not _plain_ratio(own / usual, last - first < BRIEF):
            continue
        first, last = _with_slides(first, last, usual_like)
        first = max(first, done)
        frames.append(path.frames[done:first])
        periods.append(path.periods[done:first])
        start = int(path.frames[first - 1]) if first else 0
        stop = int(path.frames[last]) if last < len(path.frames) else len(odds)
        again = _counted(odds[start:stop], usual)
        keep = np.ones(len(again.frames), bool)
        if first:
            keep &= again.frames > 0.5 * usual
        if last < len(path.frames):
            keep &= again.frames < stop - start - 0.5 * usual
        frames.append(again.frames[keep] + start)
        periods.append(again.periods[keep])
        done = last
    if not done:
        return path
    frames.append(path.frames[done:])
    periods.append(path.periods[done:])
    return BeatPath(np.concatenate(frames), np.concatenate(periods), path.score)


def _with_slides(first: int, last: int, usual_like: NDArray[np.bool_]) -> tuple[int, int]:
    """Return a passage with the beats beside it over which the period slides to the usual one."""
    if first:
        before = np.flatnonzero(usual_like[max(first - SLIDE, 0) : first])
        first = max(first - SLIDE, 0) + int(before[-1]) + 1 if len(before) else first
    after = np.flatnonzero(usual_like[last : last + SLIDE])
    return first, last + int(after[0]) if len(after) else last


def _passages(periods: Floats) -> list[tuple[int, int]]:
    """Return first and last (exclusive) beat of passages between which the period changes.

    It may jump from one beat to the next or slide over up to ``SLIDE`` beats: then a passage
    begins in the middle of the slide.
    """
    logs = np.log(np.pad(_median_of_five(periods), SLIDE, mode="edge"))
    changed = np.abs(logs[SLIDE:] - logs[:-SLIDE]) > SPLIT  # from SLIDE beats before each
    ends = np.flatnonzero(np.diff(np.concatenate([[0], changed.astype(np.int8), [0]])))
    middles = [(first + last - SLIDE) // 2 for first, last in ends.reshape(-1, 2).tolist()]
    edges = [0, *(edge for edge in middles if 0 < edge < len(periods)), len(periods)]
    joined: list[tuple[int, int]] = []
    for first, last in pairwise(edges):
        brief = last - first < SHORTEST
        if joined and (brief or joined[-1][1] - joined[-1][0] < SHORTEST):
            joined[-1] = (joined[-1][0], last)
        else:
            joined.append((first, last))
    return joined


def _median_of_five(values: Floats) -> Floats:
    padded = np.pad(values, 2, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 5)
    return np.asarray(np.median(windows, axis=1), np.float32)


def _plain_ratio(ratio: float, brief: bool) -> bool:
    plain_ratios = RATIOS + BRIEF_RATIOS if brief else RATIOS
    return any(abs(ratio / plain - 1) < NEAR for plain in plain_ratios)


def _counted(odds: Floats, period: float) -> BeatPath:
    """Return the beats of a passage near one period [frames]."""
    tempo_bpm = 60 * FRAME_RATE_HZ / period
    grid = period_grid(tempo_bpm * (1 - MARGIN), tempo_bpm * (1 + MARGIN), FRAME_RATE_HZ)
    return decode(odds, grid)
