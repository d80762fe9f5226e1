"""Put sounds together: placing, ducking, fades, crossfades."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from aquatempo.audio.clicks import sample_at
from aquatempo.errors import InputError

__all__ = ["crossfade", "ducking_gain", "fade", "place_sounds"]

Samples = NDArray[np.float32]


def place_sounds(
    sounds: Sequence[tuple[float, Samples]], frames: int, sample_rate_hz: int
) -> Samples:
    """Return mono silence of some frames with each (time [s], mono sound) added in.

    What lies outside the span is cut off. sounds: pairs of start [s] and samples, shape
    (frames,); sample_rate_hz: frames a second [Hz].
    """
    track = np.zeros(frames, dtype=np.float32)
    for time_s, sound in sounds:
        start = sample_at(time_s, sample_rate_hz)
        first, last = max(start, 0), min(start + len(sound), frames)
        if first < last:
            track[first:last] += sound[first - start : last - start]
    return track


def ducking_gain(
    spans_s: Sequence[tuple[float, float]],
    frames: int,
    sample_rate_hz: int,
    depth_db: float = 12.0,
    ramp_s: float = 0.08,
) -> Samples:
    """Return the gain of a song, shape (frames,), that is lower within spans [s].

    It falls by depth_db [dB] before each span's start and rises after its end, each time within
    ramp_s [s], along a straight line in decibels. Overlapping spans duck once. spans_s: (start,
    end) of what the song gives way to [s]; sample_rate_hz: frames a second [Hz].

    >>> gain = ducking_gain([(1.0, 2.0)], 40, 10, depth_db=20.0, ramp_s=0.5)
    >>> [round(float(gain[i]), 2) for i in (0, 10, 20, 30)]
    [1.0, 0.1, 0.1, 1.0]
    """
    if not (depth_db >= 0 and ramp_s > 0):
        raise InputError(f"ducking by {depth_db:g} dB in {ramp_s:g} s: needs depth >= 0, ramp > 0")
    lowered_db = np.zeros(frames, dtype=np.float32)
    ramp = round(ramp_s * sample_rate_hz)
    for start_s, end_s in spans_s:
        start, end = sample_at(start_s, sample_rate_hz), sample_at(end_s, sample_rate_hz)
        first, last = max(start - ramp, 0), min(end + ramp, frames)
        if first >= last:
            continue
        at = np.arange(first, last)
        shape = np.interp(at, (start - ramp, start, end, end + ramp), (0.0, 1.0, 1.0, 0.0))
        np.maximum(lowered_db[first:last], depth_db * shape, out=lowered_db[first:last])
    return np.asarray(10.0 ** (lowered_db / -20.0), dtype=np.float32)


def fade(samples: Samples, start_frames: int = 0, end_frames: int = 0) -> Samples:
    """Return samples, shape (frames,) or (frames, channels), faded in and out.

    The fades are quarter sines, so that two of them crossfade at equal power. start_frames:
    length of the rise; end_frames: length of the fall [frames].
    """
    faded = samples.copy()
    rise = _rise(min(start_frames, len(samples)))
    fall = _rise(min(end_frames, len(samples)))[::-1]
    if samples.ndim == 2:
        rise, fall = rise[:, None], fall[:, None]
    faded[: len(rise)] *= rise
    faded[len(faded) - len(fall) :] *= fall
    return faded


def crossfade(ending: Samples, starting: Samples) -> Samples:
    """Return two stretches of the same shape joined at equal power.

    ending: what goes out; starting: what comes in, shape (frames,) or (frames, channels).
    """
    if ending.shape != starting.shape:
        raise InputError(
            f"a crossfade of {ending.shape} into {starting.shape}: needs the same shape"
        )
    return fade(ending, end_frames=len(ending)) + fade(starting, start_frames=len(starting))


def _rise(frames: int) -> Samples:
    return np.sin(np.pi / 2 * (np.arange(frames) + 0.5) / max(frames, 1)).astype(np.float32)
