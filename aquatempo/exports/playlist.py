"""An M3U playlist: one file a line, with the title and length that players show."""

from __future__ import annotations

from collections.abc import Iterable

from aquatempo.records.track import Track

__all__ = ["playlist"]


def playlist(tracks: Iterable[Track]) -> str:
    """Return the text of an extended M3U playlist in UTF-8.

    A file name with a line break cannot stand in a playlist and is left out.
    """
    lines = ["#EXTM3U"]
    for track in tracks:
        if "\n" in track.file or "\r" in track.file:
            continue
        title = " ".join(track.title.split())
        lines += [f"#EXTINF:{track.analysis.duration_s:.0f},{title}", track.file]
    return "\n".join(lines) + "\n"
