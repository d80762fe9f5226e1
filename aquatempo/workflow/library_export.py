"""Tracks of the library as a table or a playlist."""

from __future__ import annotations

from pathlib import Path

from aquatempo.exports.library_table import library_csv, library_parquet
from aquatempo.exports.playlist import playlist_of
from aquatempo.records.library import LibraryTrack
from aquatempo.store.library_query import condition_of
from aquatempo.store.results import refuse_target, write_result
from aquatempo.workflow.library import open_books

__all__ = ["FORMATS", "export_library"]

FORMATS = (".csv", ".parquet", ".m3u", ".m3u8")


def export_library(
    out: str, query: str = "", *, library: str | None = None, force: bool = False
) -> int:
    """Write the tracks that a query names to a file, as its name ends; return how many.

    Raises InputError for another ending or a query that is not understood, OutputError.
    """
    refuse_target(out, "export", FORMATS, force)
    with open_books(library) as books:
        condition, values = condition_of(query, tuple(books.pools()))
        tracks = books.find(condition, values, "title", 0, 1_000_000_000).tracks
    write_result(out, _encoded(out, tracks), force)
    return len(tracks)


def _encoded(out: str, tracks: tuple[LibraryTrack, ...]) -> str | bytes:
    suffix = Path(out).suffix.lower()
    if suffix == ".csv":
        return library_csv(tracks)
    if suffix == ".parquet":
        return library_parquet(tracks)
    listed = [(one.files[0], one.title, one.duration_s) for one in tracks if one.files]
    return playlist_of(listed, Path(out).parent)
