"""The songs of a plan as files: told from where the plan lies, found again from there."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path, PureWindowsPath
from urllib.parse import quote, unquote_to_bytes

from aquatempo.records.plan import ClassPlan

__all__ = ["with_files_seen_from", "with_files_told_from"]

_SPELLED = "file:"  # before a name that is no text: its bytes as %FF (RFC 3986)


def with_files_seen_from(plan: ClassPlan, path: str) -> ClassPlan:
    """Return a plan whose files are told as seen from here; path: where the plan lies.

    A plan that was copied elsewhere finds its songs by name: beside it, in a folder beside it,
    or where the command runs. Whether they are the recordings planned is asked when they are
    heard. plan: as read.
    """
    folder = Path(path).parent
    return _with_files(plan, lambda file: _found(file, folder))


def with_files_told_from(plan: ClassPlan, path: str) -> ClassPlan:
    """Return a plan whose files are told as seen from a path, where it is to lie."""
    return _with_files(plan, lambda file: _told(file, Path(path).parent))


def _with_files(plan: ClassPlan, seen: Callable[[str], str]) -> ClassPlan:
    tracks = tuple(
        replace(track, file=seen(track.file) if track.file else "") for track in plan.tracks
    )
    return replace(plan, tracks=tracks)


def _found(file: str, folder: Path) -> str:
    if file.startswith(_SPELLED):
        file = os.fsdecode(unquote_to_bytes(file[len(_SPELLED) :]))
    usual = os.path.normpath(folder / file)
    if Path(usual).exists():
        return usual
    name = PureWindowsPath(file).name  # parts at both kinds of strokes
    try:
        below = sorted(one for one in folder.iterdir() if one.is_dir())
    except OSError:
        below = []
    places = (folder / name, *(one / name for one in below), Path(name))
    return next((os.path.normpath(one) for one in places if one.is_file()), usual)


def _told(file: str, folder: Path) -> str:
    try:
        told = Path(os.path.relpath(file, folder)).as_posix()
    except ValueError:  # another drive
        told = file
    try:
        told.encode()
    except UnicodeEncodeError:
        return _SPELLED + quote(os.fsencode(told))
    return _SPELLED + quote(told) if told.startswith(_SPELLED) else told
