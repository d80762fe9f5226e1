"""A song that was dropped on the page, taken into the page's own music folder."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

from aquatempo.errors import InputError
from aquatempo.music.gathering import AUDIO_SUFFIXES
from aquatempo.store.dropped import DroppedFile

__all__ = ["receive_song"]


async def receive_song(name: str, body: AsyncIterator[bytes]) -> Path:
    """Keep a song that comes bit by bit; return where. Raises InputError, OutputError."""
    suffix = Path(name).suffix.lower()
    if suffix not in AUDIO_SUFFIXES:
        known = ", ".join(sorted(one[1:] for one in AUDIO_SUFFIXES))
        raise InputError(f"{name!r} is no song: needs a file such as {known}")
    with DroppedFile(name) as file:
        size = 0
        async for chunk in body:
            size += len(chunk)
            file.write(chunk)
        if not size:
            raise InputError(f"{name!r} is empty (0 bytes)")
        return file.finish()
