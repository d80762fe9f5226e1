"""An M3U playlist: one file a line, with the title and length that players show."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from urllib.parse import quote

from aquatempo.records.track import Track

__all__ = ["entry_of", "playlist", "playlist_of"]


def playlist(tracks: Iterable[Track], folder: Path) -> str:
    """Return the text of an extended M3U playlist in UTF-8 that is saved in a folder.

    Entries are relative to that folder, so that list and music can move together. tracks: in
    the order of the list.
    """
    listed = ((track.file, track.title, track.analysis.duration_s) for track in tracks)
    return playlist_of(listed, folder)


def playlist_of(listed: Iterable[tuple[str, str, float]], folder: Path) -> str:
    """Return the same for listed tracks, (file, title, length [s]), and a folder."""
    lines = ["#EXTM3U"]
    for file, title, duration_s in listed:
        words = "".join(mark if mark.isprintable() else " " for mark in title)
        lines += [f"#EXTINF:{duration_s:.0f},{' '.join(words.split())}", entry_of(file, folder)]
    return "\n".join(lines) + "\n"


def entry_of(file: str, folder: Path) -> str:
    """Return the line that names a file in a list saved in a folder.

    What other readers would take for a comment, or strip, follows ``./``; what no line can
    hold (line breaks, blanks at the end, bytes that are no UTF-8) is a ``file:`` address.
    """
    try:
        entry = os.path.relpath(file, folder)
    except ValueError:  # another drive
        entry = str(Path(file).absolute())
    if not entry.isprintable() or entry != entry.rstrip():
        return "file://" + quote(os.fsencode(Path(file).absolute()))
    return f"./{entry}" if entry[0] in "# \t" or ":" in Path(entry).parts[0] else entry
