"""Samples to wav, flac and ogg files with tags, whole or not at all."""

from __future__ import annotations

import contextlib
import secrets
from collections.abc import Iterable, Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError, OutputError

__all__ = ["FORMATS", "ceiling_before_coding", "write_audio", "write_blocks"]

FORMATS = {".wav": ("WAV", "PCM_16"), ".flac": ("FLAC", "PCM_16"), ".ogg": ("OGG", "VORBIS")}
TAGS = ("title", "artist", "album", "comment", "date", "genre", "tracknumber", "copyright")
VORBIS_COMPRESSION = 0.4  # libsndfile's scale: Vorbis quality 6, about 190 kbit/s in stereo
VORBIS_OVERSHOOT_DB = 1.5  # measured: up to 1.1 on songs limited hard (docs/design/audio.md)
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
    (unless force) or cannot be written. path: of the file; sample_rate_hz: frames a second
    [Hz].
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
    container, coding = FORMATS[target.suffix.lower()]
    temporary = target.with_name(f".writing-{secrets.token_hex(8)}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with soundfile.SoundFile(
            temporary,
            "w",
            sample_rate_hz,
            channels,
            coding,
            format=container,
            compression_level=VORBIS_COMPRESSION if container == "OGG" else None,
        ) as file:
            for tag, text in (tags or {}).items():
                setattr(file, tag, text)
            for block in blocks:
                for start in range(0, len(block), WRITE_FRAMES):
                    file.write(np.clip(block[start : start + WRITE_FRAMES], -1.0, 1.0))
        temporary.replace(target)
    except (OSError, soundfile.SoundFileError) as exc:
        reason = getattr(exc, "strerror", None) or str(exc).splitlines()[0]
        raise OutputError(str(target), reason) from exc
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink()
