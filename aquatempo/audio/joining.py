"""Tracks one after the other on one timeline, in a stream."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from aquatempo.audio.clicks import sample_at
from aquatempo.audio.mixing import crossfade
from aquatempo.errors import InputError

__all__ = ["join_tracks"]

GAP_FRAMES = 65_536  # silence comes in blocks too, however long a gap is

Samples = NDArray[np.float32]


def join_tracks(parts: Iterable[tuple[float, Samples]], sample_rate_hz: int) -> Iterator[Samples]:
    """Yield blocks of tracks placed at their start [s] on one timeline.

    parts: (start [s], samples of shape (frames, channels)) in order; each is asked for when the
    one before it is done, so that an hour of music never lies in memory. Where two overlap they
    crossfade at equal power over the whole overlap; gaps are silent. Raises InputError where a
    track starts before the one before it, or while the last but one still plays.
    sample_rate_hz: frames a second [Hz].
    """
    at = 0  # frames yielded so far
    held: Samples | None = None  # the track that plays, from `at` on
    free_from = 0  # where the last overlap ended: no other may start before
    for number, (start_s, samples) in enumerate(parts, 1):
        start = sample_at(start_s, sample_rate_hz)
        if start < free_from:
            raise InputError(
                f"track {number} starts at {start_s:.2f} s: "
                f"needs {free_from / sample_rate_hz:.2f} s or later, two tracks at most at a time"
            )
        if held is not None and start < at + len(held):
            yield held[: start - at]
            ending = held[start - at :]
            overlap = min(len(ending), len(samples))
            if overlap < len(ending):
                raise InputError(
                    f"track {number} ends before the track that it fades in over: needs a later end"
                )
            yield crossfade(ending, samples[:overlap])
            samples = samples[overlap:]
            at = free_from = start + overlap
        else:
            if held is not None:
                yield held
                at += len(held)
            for first in range(at, start, GAP_FRAMES):
                frames = min(GAP_FRAMES, start - first)
                yield np.zeros((frames, samples.shape[1]), dtype=np.float32)
            at = free_from = start
        held = samples
    if held is not None:
        yield held
