"""The folders of this machine that a person may open, and which of them are open."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

from aquatempo.errors import InputError
from aquatempo.music.gathering import AUDIO_SUFFIXES
from aquatempo.records.music import Folder, Folders

__all__ = ["folders_in", "is_within", "real_path", "tops"]

MOST_FOLDERS = 1_000  # shown of one folder; more is not a music folder that one picks by eye
_REMOVABLE = ("/media", "/run/media", "/mnt", "/Volumes")


def tops() -> tuple[Path, ...]:
    """Return the folders below which one may look: home, and drives that were plugged in."""
    found = [Path.home()]
    if sys.platform == "win32":
        found += [Path(f"{letter}:\\") for letter in "DEFGHIJKLMNOPQRSTUVWXYZ"]
    found += [Path(folder) for folder in _REMOVABLE]
    return tuple(Path(real_path(folder)) for folder in found if _is_there(folder))


def folders_in(path: str = "") -> Folders:
    """Return the folders in a folder, or the tops themselves where none is named.

    Where there is one top alone, it is what one begins in. Hidden folders and links that lead
    out are left out. Raises InputError for a folder that is not below a top, or cannot be read.
    """
    known = tops()
    if not path and len(known) == 1:
        path = str(known[0])
    if not path:
        listed = tuple(_folder(top, str(top)) for top in known)
        return Folders("", "", 0, listed)
    here = Path(real_path(path))
    if not any(is_within(here, top) for top in known):
        raise InputError(f"folder {path!r} is none of those offered (home and plugged-in drives)")
    try:
        inside = sorted(_visible(here), key=lambda entry: entry.name.casefold())
        songs = sum(entry.is_file() and _is_song(entry.name) for entry in os.scandir(here))
    except OSError as exc:
        raise InputError(f"cannot read folder {path!r}: {exc.strerror}") from exc
    listed = tuple(_folder(Path(entry.path), entry.name) for entry in inside[:MOST_FOLDERS])
    top = "" if len(known) > 1 else str(here)
    above = top if here in known else str(here.parent)
    return Folders(str(here), above, songs, listed)


def real_path(path: str | Path) -> str:
    """Return a path with every link and ``..`` in it followed. Raises InputError for nonsense."""
    try:
        real = os.path.realpath(path)
        Path(real).exists()  # which a name too long for the file system refuses
        return real
    except (OSError, ValueError) as exc:
        raise InputError(f"{str(path)!r} is not a path") from exc


def is_within(path: str | Path, folder: str | Path) -> bool:
    """Return whether a real path is a folder or lies below it."""
    return Path(path).is_relative_to(folder)


def _is_there(folder: Path) -> bool:
    try:
        return folder.is_dir()
    except OSError:  # the system may refuse to say
        return False


def _visible(folder: Path) -> Iterator[os.DirEntry[str]]:
    for entry in os.scandir(folder):
        if not entry.name.startswith(".") and entry.is_dir(follow_symlinks=False):
            yield entry


def _folder(path: Path, name: str) -> Folder:
    try:
        songs = sum(_is_song(entry.name) for entry in os.scandir(path))
    except OSError:
        songs = 0
    return Folder(str(path), name, songs)


def _is_song(name: str) -> bool:
    return Path(name).suffix.lower() in AUDIO_SUFFIXES
