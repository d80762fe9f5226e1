"""Tags, rights and approvals on tracks of the library."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.errors import InputError
from aquatempo.records.library import Mark
from aquatempo.store.library import marks as stored
from aquatempo.store.library import tracks, verdicts
from aquatempo.store.library.query import condition_of
from aquatempo.workflow.library.opening import open_books

__all__ = ["KINDS", "mark_tracks"]

KINDS = ("tag", "rights", "approval")
LONGEST = 200  # characters


def mark_tracks(
    query: str, marks: Sequence[Mark], *, drop: bool = False, library: str | None = None
) -> int:
    """Put marks on the tracks that a query names, or take them off; return how many tracks.

    drop: take off. library: its file, None for the user's own. Raises InputError for a mark
    without words or a term that is not understood, OutputError.
    """
    for mark in marks:
        if mark.kind not in KINDS or not mark.value.strip():
            raise InputError(f"mark {mark.kind} {mark.value!r}: needs a tag, rights or a name")
        if len(mark.value) > LONGEST or not mark.value.isprintable():
            raise InputError(f"a mark: needs {LONGEST} printable characters at most")
    with open_books(library) as books:
        condition, values = condition_of(query, tuple(verdicts.pools(books)))
        numbers = tracks.numbers(books, condition, values)
        stored.put_marks(books, numbers, marks, drop)
        return len(numbers)
