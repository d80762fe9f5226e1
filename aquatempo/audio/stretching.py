"""Change the speed of a song and keep its pitch."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import RangeError

__all__ = ["stretch", "stretched_frames"]

SLOWEST, FASTEST = 0.5, 2.0  # beyond, the library smears onsets; a class needs 0.9 to 1.1
SEED = 1  # the library dithers phases; the same song must give the same file

Samples = NDArray[np.float32]


def stretched_frames(frames: int, speed: float) -> int:
    """Return how many frames a stretch of some frames has at another speed.

    >>> stretched_frames(44_100, 1.05)
    42000
    """
    if not SLOWEST <= speed <= FASTEST:
        slip = "1.05 is five percent faster"
        raise RangeError("speed", speed, "", SLOWEST, FASTEST, slip)
    return round(frames / speed)


def stretch(samples: Samples, sample_rate_hz: int, speed: float) -> Samples:
    """Return samples, shape (frames, channels), played at a speed with the pitch kept.

    A moment at t [s] comes to t / speed. The result has stretched_frames frames. Raises
    RangeError for a speed outside 0.5 to 2. sample_rate_hz: frames a second [Hz].
    """
    frames = stretched_frames(len(samples), speed)
    if frames == len(samples):
        return samples.copy()
    from python_stretch import Signalsmith

    stretcher = Signalsmith.Stretch(SEED)
    stretcher.preset(samples.shape[1], float(sample_rate_hz))
    stretcher.setTimeFactor(speed)
    moved = np.asarray(stretcher.process(np.ascontiguousarray(samples.T)), dtype=np.float32).T
    missing = frames - len(moved)  # the library rounds down, we to nearest
    return np.pad(moved, ((0, missing), (0, 0))) if missing > 0 else moved[:frames]
