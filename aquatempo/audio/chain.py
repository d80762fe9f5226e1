"""What libsndfile reads, chained Ogg files heard to the end of their last link."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from aquatempo.audio.ogg import find_links
from aquatempo.audio.readers import Reader, Samples, SoundfileReader
from aquatempo.records.audio import AudioInfo

__all__ = ["ChainReader", "open_with_soundfile"]


def open_with_soundfile(path: str) -> Reader:
    """Return a reader of a file that libsndfile knows. Raises RuntimeError, TypeError, OSError."""
    with Path(path).open("rb") as file:
        is_ogg = file.read(4) == b"OggS"
    links = find_links(path) if is_ogg else ()
    return SoundfileReader(path) if len(links) < 2 else ChainReader(path, links)


class ChainReader:
    """The links of a chained Ogg file, one after the other, as one recording.

    Links of another sample rate or number of channels follow the first that can be read.
    """

    def __init__(self, path: str, links: tuple[int, ...]) -> None:
        """Look at each link, which starts at a byte. Raises RuntimeError where none opens."""
        self._path = path
        self._spans = tuple(zip(links, (*links[1:], None), strict=True))
        self.damaged = False
        infos = []
        for reader in self._readers():
            infos.append(reader.info)
            reader.close()
        if not infos:
            raise RuntimeError(f"none of its {len(links)} streams can be read")
        whole_s = sum(info.duration_s or 0.0 for info in infos)
        self.info: AudioInfo = replace(infos[0], duration_s=whole_s)

    def blocks(self) -> Iterator[Samples]:
        """Yield blocks of shape (frames, channels) to the end of the last link."""
        for reader in self._readers():
            try:
                yield from self._like_the_first(reader)
            finally:
                reader.close()
            self.damaged |= reader.damaged

    def close(self) -> None:
        """Nothing stays open between blocks."""

    def _readers(self) -> Iterator[SoundfileReader]:
        for start, end in self._spans:
            try:
                reader = SoundfileReader(self._path, start, end)
            except (RuntimeError, TypeError, OSError):
                self.damaged = True
                continue
            yield reader

    def _like_the_first(self, reader: SoundfileReader) -> Iterator[Samples]:
        import soxr  # type: ignore[import-untyped]

        rate_hz, channels = self.info.sample_rate_hz, self.info.channels
        blocks = reader.blocks()
        if reader.info.channels != channels:
            blocks = (_spread(block, channels) for block in blocks)
        if reader.info.sample_rate_hz == rate_hz:
            yield from blocks
            return
        resampler = soxr.ResampleStream(reader.info.sample_rate_hz, rate_hz, channels)
        for block in blocks:
            yield resampler.resample_chunk(np.ascontiguousarray(block)).reshape(-1, channels)
        nothing = np.zeros((0, channels), dtype=np.float32)
        yield resampler.resample_chunk(nothing, last=True).reshape(-1, channels)


def _spread(block: Samples, channels: int) -> Samples:
    """Return a block of another number of channels: all say the mean, as in a mono mix."""
    mean = block.mean(axis=1, keepdims=True)
    return np.repeat(mean, channels, axis=1)
