"""Audio files to samples: streamed or whole, mono for hearing, stereo for playing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aquatempo.audio.mixdown import MonoMix, to_stereo
from aquatempo.audio.opening import open_audio
from aquatempo.errors import DecodeError, TooLongError, TooShortError
from aquatempo.records.audio import Audio, AudioInfo

__all__ = [
    "LONGEST_S",
    "SHORTEST_S",
    "SampleStream",
    "load_mono",
    "load_stereo",
    "mono_blocks",
    "probe",
    "stereo_blocks",
]

SHORTEST_S = 5.0  # less than ten beats at a slow tempo: too little to hear a pulse
LONGEST_S = 4 * 3600.0  # what hearing keeps of four hours stays below 600 MB
LOUDEST = 1e6  # 120 dB over full scale; files scaled as 24-bit whole numbers lie above too
LOST_S = 0.5  # a header may be off by a packet or two; more is a loss worth a note

Samples = NDArray[np.float32]


class SampleStream:
    """Samples of one file, block by block; iterate once.

    Attributes: info (AudioInfo), sample_rate_hz of the blocks, and, complete when the
    iteration has ended: duration_s [s] of what was decoded, notes on what was odd.
    """

    def __init__(
        self, path: str | Path, channels: int, sample_rate_hz: int | None, shortest_s: float
    ) -> None:
        self.info = probe(path)
        self._channels, self._shortest_s = channels, shortest_s
        self.sample_rate_hz = sample_rate_hz or self.info.sample_rate_hz
        self.duration_s = 0.0
        self.notes: tuple[str, ...] = ()

    def __iter__(self) -> Iterator[Samples]:
        """Yield float32 blocks at sample_rate_hz; shape (frames,) or (frames, 2)."""
        self._reader = open_audio(self.info.path)  # nothing stays open that nobody reads
        try:
            yield from self._resampled()
        finally:
            self._reader.close()

    def _resampled(self) -> Iterator[Samples]:
        import soxr  # type: ignore[import-untyped]

        if self.sample_rate_hz == self.info.sample_rate_hz:
            yield from self._mixed()
            return
        resampler = soxr.ResampleStream(
            self.info.sample_rate_hz, self.sample_rate_hz, self._channels, quality="HQ"
        )
        for block in self._mixed():
            yield resampler.resample_chunk(block)
        shape = (0,) if self._channels == 1 else (0, self._channels)
        yield resampler.resample_chunk(np.zeros(shape, dtype=np.float32), last=True)

    def _mixed(self) -> Iterator[Samples]:
        mono = MonoMix() if self._channels == 1 else None
        frames = unreal = 0
        if (self.info.duration_s or 0.0) > LONGEST_S:
            self._doubt_the_header()
        for block in self._reader.blocks():
            frames += len(block)
            self._refuse_beyond(frames)
            unreal += _silence_unreal(block)
            if mono is not None:
                yield from mono.feed(block, self.info.sample_rate_hz)
            else:
                yield to_stereo(block)
        if mono is not None:
            yield from mono.flush()
        self.duration_s = frames / self.info.sample_rate_hz
        self.notes = tuple(self._find_notes(unreal, mono is not None and mono.cancels))
        if frames == 0:
            slip = "it holds no sound at all: was the export or the copy cut off?"
            raise DecodeError(self.info.path, [(self.info.decoder, "0 samples")], slip)
        if self.duration_s < self._shortest_s:
            raise TooShortError(self.info.path, self.duration_s, self._shortest_s)

    def _doubt_the_header(self) -> None:
        """Raise TooLongError where a track really is as long as its header says.

        Counting alone takes a tenth of the time after which it would be refused otherwise.
        """
        frames = 0
        for block in self._reader.blocks():
            frames += len(block)
            self._refuse_beyond(frames)
        self._reader.close()
        self._reader = open_audio(self.info.path)

    def _refuse_beyond(self, frames: int) -> None:
        if frames > LONGEST_S * self.info.sample_rate_hz:
            raise TooLongError(self.info.path, LONGEST_S)

    def _find_notes(self, unreal: int, cancels: bool) -> Iterator[str]:
        told_s = self.info.duration_s
        if told_s is not None and told_s - self.duration_s > LOST_S:
            yield (
                f"only {self.duration_s:.1f} s of {told_s:.1f} s could be read: "
                "the file is damaged or cut off"
            )
        elif self._reader.damaged:
            yield "a part could not be read: the file is damaged"
        if unreal:
            yield (
                f"{unreal} samples are no sound (NaN, infinite or absurdly large) and count "
                "as silence: the file was exported wrongly or is damaged"
            )
        if cancels:
            yield "the channels cancel (one is wired in reverse): only the first is heard"


def probe(path: str | Path) -> AudioInfo:
    """Return what the header tells: length, rate, channels, format, title, artist.

    Raises UnreadableFileError, DecodeError.
    """
    reader = open_audio(path)
    reader.close()
    return reader.info


def mono_blocks(
    path: str | Path, sample_rate_hz: int = 22_050, shortest_s: float = SHORTEST_S
) -> SampleStream:
    """Stream a file as mono blocks of float32, shape (frames,), at a rate [Hz].

    Memory stays bounded for any length. Blocks vary in length. Iterating raises DecodeError
    where there is no sample, TooShortError where the whole lasts less than shortest_s [s],
    TooLongError beyond LONGEST_S; opening raises as probe does. path: of the file;
    sample_rate_hz: wanted of the blocks [Hz].
    """
    return SampleStream(path, 1, sample_rate_hz, shortest_s)


def stereo_blocks(path: str | Path, sample_rate_hz: int | None = None) -> SampleStream:
    """Stream a file as stereo blocks of float32, shape (frames, 2), for playing.

    The rate is the file's own unless one is given [Hz]. Raises as mono_blocks does. path: of
    the file; sample_rate_hz: wanted of the blocks [Hz], None for the file's own.
    """
    return SampleStream(path, 2, sample_rate_hz, 0.0)


def load_mono(
    path: str | Path, sample_rate_hz: int = 22_050, shortest_s: float = SHORTEST_S
) -> Audio:
    """Return a whole file as mono samples, shape (frames,); see mono_blocks.

    path: of the file; sample_rate_hz: wanted [Hz]; shortest_s: below, TooShortError [s].
    """
    return _whole(mono_blocks(path, sample_rate_hz, shortest_s))


def load_stereo(path: str | Path, sample_rate_hz: int | None = None) -> Audio:
    """Return a whole file as stereo samples, shape (frames, 2); see stereo_blocks.

    path: of the file; sample_rate_hz: wanted [Hz], None for the file's own.
    """
    return _whole(stereo_blocks(path, sample_rate_hz))


def _whole(stream: SampleStream) -> Audio:
    samples = np.concatenate(list(stream))  # before the notes, which are complete after it
    return Audio(samples, stream.sample_rate_hz, stream.info, stream.notes)


def _silence_unreal(block: Samples) -> int:
    """Zero samples that are NaN, infinite or absurdly large, in place; return how many."""
    flat = block.ravel(order="K")
    with np.errstate(over="ignore", invalid="ignore"):
        # One dot product tells in passing whether a closer look is needed.
        if np.dot(flat, flat) < LOUDEST**2:
            return 0
        unreal = ~(np.abs(block) <= LOUDEST)
    block[unreal] = 0.0
    return int(unreal.sum())
