"""Tracks of the library as a table or a playlist."""

from __future__ import annotations

from pathlib import Path

from aquatempo.exports.library_table import library_csv, library_parquet
from aquatempo.exports.playlist import playlist_of
from aquatempo.records.library import LibraryTrack
from aquatempo.store.library import tracks, verdicts
from aquatempo.store.library.query import condition_of
from aquatempo.store.results import refuse_target, write_result
from aquatempo.workflow.library.opening import open_books

__all__ = ["TABLES", "export_library"]

TABLES = (".csv", ".parquet", ".m3u", ".m3u8")


def export_library(
    out: str, query: str = "", *, library: str | None = None, force: bool = False
) -> int:
    """Write the tracks that a query names to a file, as its name ends; return how many.

    out: ends in one of TABLES. library: its file, None for the user's own. force: replace a
    file that exists. Raises InputError for another ending or a query that is not understood,
    MissingExtraError for Parquet without its package, OutputError.
    """
    refuse_target(out, "export", TABLES, force)
    with open_books(library) as books:
        condition, values = condition_of(query, tuple(verdicts.pools(books)))
        found = tracks.find(books, condition, values, "title", 0, 1_000_000_000).tracks
    write_result(out, _encoded(out, found), force)
    return len(found)


def _encoded(out: str, found: tuple[LibraryTrack, ...]) -> str | bytes:
    suffix = Path(out).suffix.lower()
    if suffix == ".csv":
        return library_csv(found)
    if suffix == ".parquet":
        return library_parquet(found)
    listed = [(one.files[0], one.title, one.duration_s) for one in found if one.files]
    return playlist_of(listed, Path(out).parent)
