"""Paths of the user to a list of tracks: files, folders, M3U playlists, track sheets."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from aquatempo.records.track import Failure

__all__ = ["AUDIO_SUFFIXES", "SHEET_SUFFIXES", "gather"]

AUDIO_SUFFIXES = (
    *(".wav", ".flac", ".ogg", ".oga", ".opus", ".mp3", ".m4a", ".aac", ".mp4", ".aif", ".aiff"),
    *(".aifc", ".wma", ".webm", ".caf", ".au"),
)
SHEET_SUFFIXES = (".toml", ".jams")  # what stands in for audio: track sheets, JAMS
PLAYLIST_SUFFIXES = frozenset({".m3u", ".m3u8"})
_ADDRESS = re.compile(r"[a-z][a-z0-9+.-]+://", re.IGNORECASE)


def gather(paths: Iterable[str]) -> tuple[str | Failure, ...]:
    """Return the tracks that paths name, in order, each once; a Failure where there is none.

    A folder gives the audio files in it and below, sorted by name (hidden ones and track
    sheets are left out: those are named one by one). A playlist gives its entries,
    relative to where it lies. Anything else is passed on as it is.
    """
    seen: dict[str, str | Failure] = {}
    for item in _expand(paths):
        seen.setdefault(item if isinstance(item, str) else item.file, item)
    return tuple(seen.values())


def _expand(paths: Iterable[str]) -> Iterator[str | Failure]:
    for given in paths:
        path = Path(given)
        if path.is_dir():
            yield from _in_folder(path)
        elif path.suffix.lower() in PLAYLIST_SUFFIXES and path.is_file():
            yield from _in_playlist(path)
        else:
            yield given


def _in_folder(folder: Path) -> Iterator[str | Failure]:
    try:
        found = sorted(
            path
            for path in folder.rglob("*")
            if path.suffix.lower() in AUDIO_SUFFIXES
            and not any(part.startswith(".") for part in path.relative_to(folder).parts)
            and path.is_file()
        )
    except OSError as exc:
        yield Failure(str(folder), f"cannot read folder {str(folder)!r}: {exc.strerror}")
        return
    if not found:
        known = ", ".join(sorted(suffix[1:] for suffix in AUDIO_SUFFIXES))
        yield Failure(
            str(folder), f"no audio in folder {str(folder)!r}: needs files such as {known}"
        )
    yield from map(str, found)


def _in_playlist(path: Path) -> Iterator[str | Failure]:
    try:
        raw = path.read_bytes()
    except OSError as exc:
        yield Failure(str(path), f"cannot read playlist {str(path)!r}: {exc.strerror}")
        return
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")  # what plain .m3u means by definition
    entries = [line.strip() for line in text.splitlines()]
    entries = [entry for entry in entries if entry and not entry.startswith("#")]
    if not entries:
        yield Failure(str(path), f"no entries in playlist {str(path)!r}: needs a file a line")
    for entry in entries:
        if _ADDRESS.match(entry):
            reason = f"{entry!r} in playlist {path.name!r} is a network address: needs a file"
            yield Failure(entry, reason)
            continue
        target = Path(entry.replace("\\", "/")) if "\\" in entry else Path(entry)
        target = target if target.is_absolute() else path.parent / target
        if target.exists():
            yield str(target)
        else:
            reason = (
                f"{entry!r} in playlist {path.name!r} does not exist "
                "(was the file moved or renamed after the list was made?)"
            )
            yield Failure(str(target), reason)
