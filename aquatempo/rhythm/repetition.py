"""How much a recording repeats itself: a loop tells many times what a song tells once.

Bars of a loop are one bar heard again: what speaks for one place of count 1 must not be
counted anew with each of them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.frames import Frames

__all__ = ["fresh_share", "likeness"]

PERIODS = (4, 8, 16)  # beats after which loops begin again
PARTS = 4  # of a beat, in each of which the strokes of each band are one value
RISE = 4  # frames over which a stroke rises
LOOP, SONG = 0.95, 0.85  # likeness from which on all is repeated, and below which nothing is

Doubles = NDArray[np.float64]


def likeness(frames: Frames, beats_s: Doubles) -> dict[int, float]:
    """Return how like what is struck is to itself so many beats later: correlations, -1 to 1.

    frames: signals of the track; beats_s: ascending [s]. Periods longer than half of the track
    are left out.
    """
    count = len(beats_s)
    places_s = np.interp(np.arange(0, count - 1, 1 / PARTS), np.arange(count), beats_s)
    at = np.round(places_s * FRAME_RATE_HZ).astype(int)
    last = len(frames.bands) - 1
    after = np.max([frames.bands[np.clip(at + k, 0, last)] for k in range(-1, RISE + 1)], axis=0)
    rise = np.maximum(after - frames.bands[np.clip(at - RISE, 0, last)], 0).astype(np.float64)
    rows = rise[: len(rise) // PARTS * PARTS].reshape(-1, PARTS * rise.shape[1])
    rows -= rows.mean(axis=0)
    found = {}
    for period in PERIODS:
        if 2 * period <= len(rows):
            early, late = rows[:-period], rows[period:]
            size = np.sqrt((early**2).sum() * (late**2).sum())
            found[period] = float((early * late).sum() / (size + 1e-9))
    return found


def fresh_share(frames: Frames, beats_s: Doubles) -> float:
    """Return which share of the bars says anything that no bar before it has said, 0 to 1.

    frames: signals of the track; beats_s: ascending [s].
    """
    share = 1.0
    for period, alike in likeness(frames, beats_s).items():
        again = float(np.clip((alike - SONG) / (LOOP - SONG), 0, 1))
        share = min(share, 1 - again * (1 - period / len(beats_s)))
    return share
