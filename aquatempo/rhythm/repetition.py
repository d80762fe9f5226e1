"""How much a recording repeats itself: a loop tells many times what a song tells once.

Bars of a loop are one bar heard again: what speaks for one place of count 1 must not be
counted anew with each of them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.frames import Frames
from aquatempo.rhythm.joins import unit

__all__ = ["fresh_share", "likeness"]

PERIODS = (4, 8, 16)  # beats after which loops begin again
PARTS = 4  # of a beat, in each of which the strokes of each band are one value
RISE = 4  # frames over which a stroke rises
LOOP, SONG = 0.95, 0.85  # likeness from which on all is repeated, and below which nothing is
STILL = 0.1  # spread of harmony, of directions of length 1, below which it does not move

Doubles = NDArray[np.float64]


def likeness(frames: Frames, beats_s: Doubles, chroma: Doubles) -> dict[int, float]:
    """Return how like the track is to itself so many beats later: correlations, -1 to 1.

    What is struck and which harmony sounds are compared each by itself, and the less alike counts.
    frames: signals of the track; beats_s: ascending [s]; chroma: what sounds on each beat, shape
    (beats, 12). Periods longer than half of the track are left out.
    """
    strokes = _struck(frames, beats_s)
    harmony = unit(chroma)[: len(strokes)]
    return {
        period: min(_correlation(strokes, period), _correlation(harmony, period, STILL))
        for period in PERIODS
        if 2 * period <= len(strokes)
    }


def fresh_share(frames: Frames, beats_s: Doubles, chroma: Doubles) -> float:
    """Return which share of the bars says anything that no bar before it has said, 0 to 1.

    frames: signals of the track; beats_s: ascending [s]; chroma: what sounds on each beat.
    """
    share = 1.0
    for period, alike in likeness(frames, beats_s, chroma).items():
        again = float(np.clip((alike - SONG) / (LOOP - SONG), 0, 1))
        share = min(share, 1 - again * (1 - period / len(beats_s)))
    return share


def _struck(frames: Frames, beats_s: Doubles) -> Doubles:
    """Return how much each band rises in each part of each beat but the last."""
    count = len(beats_s)
    places_s = np.interp(np.arange(0, count - 1, 1 / PARTS), np.arange(count), beats_s)
    at = np.round(places_s * FRAME_RATE_HZ).astype(int)
    last = len(frames.bands) - 1
    before = frames.bands[np.clip(at - RISE, 0, last)]
    after = before
    for step in range(-1, RISE + 1):
        after = np.maximum(after, frames.bands[np.clip(at + step, 0, last)])
    return np.asarray(after - before, np.float64).reshape(count - 1, -1)


def _correlation(rows: Doubles, period: int, still: float = 0.0) -> float:
    """Return the correlation of rows with those a period later.

    still: spread below which differences are noise.
    """
    rows = rows - rows.mean(axis=0)
    early, late = rows[:-period], rows[period:]
    noise = still**2 * len(early)
    size = np.sqrt(((early**2).sum() + noise) * ((late**2).sum() + noise))
    return float(((early * late).sum() + noise) / (size + 1e-9))
