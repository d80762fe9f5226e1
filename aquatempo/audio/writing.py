"""Samples to wav, flac and ogg files with tags, whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError, OutputError
from aquatempo.files import replacing

__all__ = ["FORMATS", "ceiling_before_coding", "write_audio", "write_blocks"]

FORMATS = {".wav": ("WAV", "PCM_16"), ".flac": ("FLAC", "PCM_16"), ".ogg": ("OGG", "VORBIS")}
TAGS = ("title", "artist", "album", "comment", "date", "genre", "tracknumber", "copyright")
VORBIS_COMPRESSION = 0.4  # libsndfile's scale: Vorbis quality 6, about 190 kbit/s in stereo
VORBIS_OVERSHOOT_DB = 1.5  # measured: up to 1.1 on songs limited hard (docs/design/audio.md)
MADE_BY = "made by aquatempo"  # by this comment a later run knows that it may replace a file
WRITE_FRAMES = 8192  # one long block of Vorbis makes libsndfile overrun its stack

Samples = NDArray[np.float32]


def ceiling_before_coding(path: str | Path, ceiling_dbtp: float = -1.0) -> float:
    """Return the ceiling [dBTP] to limit to, so that the decoded file keeps ceiling_dbtp.

    Vorbis does not keep a waveform to the letter: its peaks come out a little higher. path:
    whose suffix tells the format.

    >>> ceiling_before_coding("mix.wav"), ceiling_before_coding("mix.ogg")
    (-1.0, -2.5)
    """
    return ceiling_dbtp - (VORBIS_OVERSHOOT_DB if Path(path).suffix.lower() == ".ogg" else 0.0)


def write_audio(
    path: str | Path,
    samples: Samples,
    sample_rate_hz: int,
    tags: Mapping[str, str] | None = None,
    *,
    force: bool = False,
) -> None:
    """Write samples, shape (frames,) or (frames, channels); see write_blocks.

    path: of the file; sample_rate_hz: frames a second [Hz]; tags: title and the like; force:
    replace a file that exists.
    """
    columns = samples[:, None] if samples.ndim == 1 else samples
    write_blocks(path, [columns], sample_rate_hz, columns.shape[1], tags, force=force)


def write_blocks(
    path: str | Path,
    blocks: Iterable[Samples],
    sample_rate_hz: int,
    channels: int,
    tags: Mapping[str, str] | None = None,
    *,
    force: bool = False,
) -> None:
    """Write blocks, shape (frames, channels), full scale 1.0, as the suffix says.

    The file appears when all is written; where anything fails, none does. Samples beyond full
    scale are clipped. tags: any of title, artist, album, comment, date, genre, tracknumber,
    copyright. Raises InputError for another suffix or tag, OutputError where the file exists
    (unless force), is a song that was not written here, or cannot be written. path: of the
    file; sample_rate_hz: frames a second [Hz].
    """
    import soundfile

    target = Path(path)
    if target.suffix.lower() not in FORMATS:
        known = ", ".join(suffix.lstrip(".") for suffix in FORMATS)
        raise InputError(f"sound format {target.suffix!r}: needs {known}")
    if unknown := [tag for tag in tags or {} if tag not in TAGS]:
        raise InputError(f"tag {unknown[0]!r}: needs one of {', '.join(TAGS)}")
    if target.exists() and not force:
        raise OutputError(str(target), "it exists already (--force overwrites it)")
    _refuse_songs(target)
    container, coding = FORMATS[target.suffix.lower()]
    with replacing(target) as raw:
        watched = _Watched(raw)
        try:
            with soundfile.SoundFile(
                watched,
                "w",
                sample_rate_hz,
                channels,
                coding,
                format=container,
                compression_level=VORBIS_COMPRESSION if container == "OGG" else None,
            ) as file:
                for tag, text in {"comment": MADE_BY, **(tags or {})}.items():
                    setattr(file, tag, text)
                for block in blocks:
                    for start in range(0, len(block), WRITE_FRAMES):
                        file.write(np.clip(block[start : start + WRITE_FRAMES], -1.0, 1.0))
                        watched.check()
        except (soundfile.SoundFileError, AssertionError) as exc:
            watched.check()
            raise OutputError(str(target), str(exc).splitlines()[0] or "it was cut off") from exc
        watched.check()


def _refuse_songs(target: Path) -> None:
    """Raise OutputError where a song stands that was not written here, force or not."""
    import soundfile

    try:
        with soundfile.SoundFile(target) as there:
            ours = "aquatempo" in there.comment
    except (OSError, RuntimeError, TypeError):
        return  # nothing, or no sound
    if not ours:
        raise OutputError(
            str(target), "a song is there that aquatempo did not make (choose another name)"
        )


class _Watched:
    """A file that remembers why writing failed: libsndfile only hears that it did.

    It asks for no more than these methods; an error raised in one of them would be printed
    on stderr and lost.
    """

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self._failure: OSError | None = None

    def check(self) -> None:
        """Raise what went wrong, if anything did."""
        if self._failure is not None:
            raise self._failure

    def write(self, data: bytes) -> int:
        """Write, or remember why not."""
        return self._attempt(lambda: self._file.write(data))

    def seek(self, offset: int, whence: int = 0) -> int:
        """Move to a place, or remember why not."""
        return self._attempt(lambda: self._file.seek(offset, whence))

    def tell(self) -> int:
        """Return the place."""
        return self._attempt(self._file.tell)

    def read(self, size: int = -1) -> bytes:
        """Read nothing: the file is only written."""
        return b""

    def _attempt(self, job: Callable[[], int]) -> int:
        try:
            return job()
        except OSError as exc:
            self._failure = self._failure or exc
            return 0
