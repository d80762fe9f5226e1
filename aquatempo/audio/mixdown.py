"""Any number of channels to one for hearing, or to two for playing."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

__all__ = ["MonoMix", "to_stereo"]

WATCH_S = 20.0  # how much sound is watched before it is settled whether channels cancel
CANCEL_SHARE = 1e-3  # -30 dB: far below the -3 dB of unrelated channels

Samples = NDArray[np.float32]


class MonoMix:
    """The mean of all channels, or the first where the channels cancel each other.

    What sounds waits until WATCH_S of sound has been seen; cancels tells the outcome. Silence
    takes no memory while it waits, so that a track may begin with any length of it.
    """

    def __init__(self) -> None:
        self.cancels = False
        self._waiting: list[tuple[Samples, Samples]] | None = []  # mean, first channel
        self._sounding = 0
        self._mix_energy = self._channel_energy = 0.0

    def feed(self, block: Samples, sample_rate_hz: int) -> Iterator[Samples]:
        """Take a block of shape (frames, channels); yield mono blocks that are settled.

        sample_rate_hz: frames a second [Hz].
        """
        if block.shape[1] == 1:
            yield block[:, 0]
            return
        if self._waiting is None:
            yield self._settled(block)
            return
        if not block.any():
            silence = np.broadcast_to(np.float32(0.0), len(block))  # one number, seen often
            if self._waiting:
                self._waiting.append((silence, silence))
            else:
                yield np.array(silence)
            return
        flat = block.ravel(order="K")
        mix = _mean(block)
        self._channel_energy += float(np.dot(flat, flat)) / block.shape[1]
        self._mix_energy += float(np.dot(mix, mix))
        self._waiting.append((mix, block[:, 0].copy()))
        self._sounding += len(block)
        if self._sounding >= WATCH_S * sample_rate_hz:
            yield from self.flush()

    def flush(self) -> Iterator[Samples]:
        """Settle with what was seen; yield the blocks that waited."""
        waiting, self._waiting = self._waiting or [], None
        self.cancels = self._mix_energy < CANCEL_SHARE * self._channel_energy
        for mix, first in waiting:
            yield np.array(first if self.cancels else mix)

    def _settled(self, block: Samples) -> Samples:
        return np.ascontiguousarray(block[:, 0]) if self.cancels else _mean(block)


def to_stereo(block: Samples) -> Samples:
    """Return a block of shape (frames, channels) as (frames, 2).

    5.0 and 5.1 in the order front left, front right, centre, (low frequency,) surround
    left, surround right follow ITU-R BS.775-3, Table 2 (centre and surrounds at -3 dB, no
    low-frequency channel), scaled so that it cannot clip. Other layouts beyond two
    channels give the mean of all on both sides.
    """
    channels = block.shape[1]
    if channels == 2:
        return block
    if channels in (5, 6):
        left, right, centre = block[:, 0], block[:, 1], block[:, 2]
        half = np.float32(np.sqrt(0.5))
        scale = np.float32(1.0 / (1.0 + 2.0 * half))
        surround = block[:, -2:] * half
        both = np.stack((left, right), axis=1) + (centre * half)[:, None] + surround
        return np.asarray(both * scale, dtype=np.float32)
    mono = _mean(block)
    return np.stack((mono, mono), axis=1)


def _mean(block: Samples) -> Samples:
    """Return the mean over channels; adding columns is far faster than mean(axis=1)."""
    mix = block[:, 0] + block[:, 1] if block.shape[1] > 1 else block[:, 0].copy()
    for channel in range(2, block.shape[1]):
        mix += block[:, channel]
    mix *= np.float32(1.0 / block.shape[1])
    return np.asarray(mix, dtype=np.float32)
