"""Tracks of the library found: rows for people, whole tracks for checks and plans."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from aquatempo.errors import InputError
from aquatempo.records.library import LibraryPage, LibraryTrack
from aquatempo.records.track import Failure, Track
from aquatempo.store.library import tracks, verdicts
from aquatempo.store.library.query import condition_of, likely_slip
from aquatempo.store.library.tables import Books
from aquatempo.workflow.library.judging import corrected
from aquatempo.workflow.library.opening import open_books

__all__ = ["find_tracks", "library_tracks", "whole_track"]

AT_ONCE = 500  # rows that lie in memory while tracks are handed on one by one


def find_tracks(
    query: str = "",
    *,
    order: str = "title",
    first: int = 0,
    most: int = 50,
    library: str | None = None,
) -> LibraryPage:
    """Return a page of the tracks that a query names; an empty one names all.

    order: "title", "tempo", "length", "confidence" or "newest". first: the row from 0 with
    which the page starts; most: rows of it. library: its file, None for the user's own.
    Raises InputError for a term or an order that does not exist.
    """
    if not (0 <= first <= 10**9 and 0 <= most <= 10**6):
        raise InputError(f"rows {first} and {most} more: needs 0 or more, a million at most")
    with open_books(library) as books:
        condition, values = condition_of(query, tuple(verdicts.pools(books)))
        page = tracks.find(books, condition, values, order, first, most)
    return replace(page, hint=likely_slip(query, page.total))


def library_tracks(
    query: str = "", *, order: str = "title", library: str | None = None
) -> Iterator[Track | Failure]:
    """Yield the tracks that a query names as heard and corrected, without opening their files.

    order, library: as for ``find_tracks``. A track whose analysis is damaged, or whose file
    is gone, is a Failure. Raises InputError for a term that is not understood.
    """
    with open_books(library) as books:
        condition, values = condition_of(query, tuple(verdicts.pools(books)))
        first = 0
        while page := tracks.find(books, condition, values, order, first, AT_ONCE).tracks:
            for row in page:
                yield whole_track(books, row)
            first += AT_ONCE


def whole_track(books: Books, row: LibraryTrack) -> Track | Failure:
    """Return a track of open books as heard and corrected, or why there is none.

    row: what was found of it.
    """
    file = next((one for one in row.files if "://" in one or Path(one).exists()), "")
    if not file:
        shown = row.files[0] if row.files else row.title
        return Failure(shown, f"{shown!r} is gone: add it again from where it is now")
    kept = tracks.analysis_of(books, row.content_key)
    if kept is None:
        return Failure(file, f"what was heard in {file!r} is damaged: add it again")
    analysis, is_corrected = corrected(row.content_key, kept[0])
    return Track(file, row.title, analysis, row.content_key, is_corrected)
