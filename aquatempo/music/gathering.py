"""Paths of the user to a list of tracks: files, folders, M3U playlists, track sheets."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from urllib.parse import unquote_to_bytes

from aquatempo.files import note_input
from aquatempo.records.track import Failure

__all__ = ["AUDIO_SUFFIXES", "SHEET_SUFFIXES", "gather"]

AUDIO_SUFFIXES = (
    *(".wav", ".flac", ".ogg", ".oga", ".opus", ".mp3", ".m4a", ".aac", ".mp4", ".aif", ".aiff"),
    *(".aifc", ".wma", ".webm", ".caf", ".au"),
)
SHEET_SUFFIXES = (".toml", ".jams")  # what stands in for audio: track sheets, JAMS
PLAYLIST_SUFFIXES = frozenset({".m3u", ".m3u8"})
LARGEST_PLAYLIST = 16 << 20  # bytes: some hundred thousand entries
SHEET_HEAD = 4096  # bytes of a text that tell whether it is a track sheet
LONGEST_SHOWN = 120  # characters of an entry in a message
_ADDRESS = re.compile(r"[a-z][a-z0-9+.-]{1,20}://", re.IGNORECASE)


def gather(paths: Iterable[str]) -> tuple[str | Failure, ...]:
    """Return the tracks that paths name, in order, each once; a Failure where there is none.

    A folder gives the audio files, track sheets and JAMS files in it and below, sorted by name
    (hidden ones are left out, and TOML that is no track sheet: plans, briefs). A sheet beside
    audio of its name stands in for nothing and is left out too. A playlist gives its entries,
    relative to where it lies. Anything else is passed on as it is.
    """
    seen: dict[str, str | Failure] = {}
    for item in _expand(paths):
        if isinstance(item, Failure):
            seen.setdefault(f"{item.file}\0{item.reason}", item)
            continue
        note_input(item)
        seen.setdefault(_place(item), item)  # links and detours lead to the same file
    return tuple(seen.values())


def _place(file: str) -> str:
    try:
        found = Path(file).stat()
        if found.st_nlink > 1 and found.st_ino:  # one file under several names
            return f"{found.st_dev} {found.st_ino}"
    except (OSError, ValueError):
        pass
    try:
        return os.path.realpath(file)
    except (OSError, ValueError):
        return file


def _expand(paths: Iterable[str]) -> Iterator[str | Failure]:
    for given in paths:
        path = Path(given)
        try:
            if path.is_dir():
                yield from _in_folder(path)
                continue
            is_list = path.suffix.lower() in PLAYLIST_SUFFIXES and path.is_file()
        except (OSError, ValueError) as exc:  # a folder above may not be read, a name is too long
            yield Failure(given, f"cannot read {_shown(given)}: {_reason(exc)}")
            continue
        if is_list:
            yield from _in_playlist(path)
        else:
            yield given


def _in_folder(folder: Path) -> Iterator[str | Failure]:
    failures: list[Failure] = []

    def refused(exc: OSError) -> None:
        failures.append(
            Failure(str(exc.filename), f"cannot read folder {exc.filename!r}: {_reason(exc)}")
        )

    found: list[Path] = []
    for place, below, names in os.walk(folder, onerror=refused):
        below[:] = [name for name in below if not name.startswith(".")]
        found += [
            Path(place, name)
            for name in names
            if not name.startswith(".")
            and name.lower().endswith((*AUDIO_SUFFIXES, *SHEET_SUFFIXES))
        ]
    yield from failures
    heard = {path.with_suffix("") for path in found if _is_audio(path)}
    tracks = [
        str(path)
        for path in sorted(found)
        if path.is_file()
        and (_is_audio(path) or (path.with_suffix("") not in heard and _is_sheet(path)))
    ]
    if not tracks and not failures:
        known = ", ".join(sorted(suffix[1:] for suffix in AUDIO_SUFFIXES))
        yield Failure(
            str(folder),
            f"no audio in folder {str(folder)!r}: needs files such as {known}, or track sheets",
        )
    yield from tracks


def _is_audio(path: Path) -> bool:
    return path.name.lower().endswith(AUDIO_SUFFIXES)


def _is_sheet(path: Path) -> bool:
    """Tell a track sheet, which has a tempo and a length before any table, from other TOML."""
    if path.suffix.lower() != SHEET_SUFFIXES[0]:
        return True
    try:
        with path.open("rb") as file:
            start = file.read(SHEET_HEAD).decode("utf-8", "replace")
    except OSError:
        return False
    top = re.split(r"^\s*\[", start, maxsplit=1, flags=re.MULTILINE)[0]
    return all(re.search(rf"^\s*{key}\s*=", top, re.MULTILINE) for key in ("tempo_bpm", "length"))


def _in_playlist(path: Path) -> Iterator[str | Failure]:
    note_input(path)
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_PLAYLIST + 1)
    except OSError as exc:
        yield Failure(str(path), f"cannot read playlist {str(path)!r}: {_reason(exc)}")
        return
    if len(raw) > LARGEST_PLAYLIST or b"\0" in raw:
        reason = f"playlist {str(path)!r} is no list of files, but something else (renamed?)"
        yield Failure(str(path), reason)
        return
    lines = raw.removeprefix(b"\xef\xbb\xbf").splitlines()
    entries = [line for line in lines if line.strip() and not line.lstrip().startswith(b"#")]
    if not entries:
        yield Failure(str(path), f"no entries in playlist {str(path)!r}: needs a file a line")
    for entry in entries:
        yield _entry(entry, path)


def _entry(entry: bytes, playlist: Path) -> str | Failure:
    """Return the file that a line of a playlist names, or why it names none."""
    text = entry.strip().decode("utf-8", "surrogateescape")
    if _ADDRESS.match(text) and not text.lower().startswith("file://"):
        reason = f"{_shown(text)} in playlist {playlist.name!r} is a network address: needs a file"
        return Failure(text, reason)
    names = [os.fsdecode(entry), text, entry.strip().decode("latin-1")]
    if text.lower().startswith("file://"):
        names.insert(
            0,
            os.fsdecode(
                unquote_to_bytes(text[len("file://") :].encode("utf-8", "surrogateescape"))
            ),
        )
    names += [name.replace("\\", "/") for name in names if "\\" in name]
    for name in dict.fromkeys(names):
        target = playlist.parent / name
        try:
            if target.exists():
                return str(target)
        except (OSError, ValueError) as exc:
            return Failure(text, f"cannot read {_shown(text)} in {playlist.name!r}: {_reason(exc)}")
    reason = (
        f"{_shown(text)} in playlist {playlist.name!r} does not exist "
        "(was the file moved or renamed after the list was made?)"
    )
    return Failure(str(playlist.parent / text), reason)


def _shown(text: str) -> str:
    """Return a name as messages show it: quoted, and cut where it is very long."""
    return repr(text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}...")


def _reason(exc: Exception) -> str:
    return getattr(exc, "strerror", None) or str(exc)
