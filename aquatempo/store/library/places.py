"""Files of the library: which wait to be heard, are heard, or could not be."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from aquatempo.records.library import LibraryProgress
from aquatempo.store.database import transaction
from aquatempo.store.library.tables import Books

__all__ = ["add", "progress", "put_failed", "waiting"]


def add(books: Books, files: Iterable[str], again: bool = False) -> int:
    """Note files in open books as waiting; return how many wait anew.

    One that is known waits again where it changed since, or failed, or with again.
    """
    before = books.total_changes
    with transaction(books):
        for file in files:
            size, modified_ns = _state_of(file)
            books.execute(
                "INSERT INTO places (file, size, modified_ns, state) VALUES (?1, ?2, ?3, "
                "'waiting') ON CONFLICT (file) DO UPDATE SET size = ?2, modified_ns = ?3, "
                "state = 'waiting', reason = '' WHERE ?4 OR state = 'failed' "
                "OR size <> ?2 OR modified_ns <> ?3",
                (os.fsencode(file), size, modified_ns, again),
            )
    return books.total_changes - before


def waiting(books: Books, most: int = 1_000_000) -> list[str]:
    """Return at most so many files of open books that wait to be heard, by name."""
    rows = books.execute(
        "SELECT file FROM places WHERE state = 'waiting' ORDER BY file LIMIT ?", (most,)
    )
    return [os.fsdecode(row[0]) for row in rows]


def put_failed(books: Books, file: str, reason: str) -> None:
    """Keep in open books the reason why a file could not be heard."""
    with transaction(books):
        books.execute(
            "UPDATE places SET state = 'failed', reason = ? WHERE file = ?",
            (reason.encode("utf-8", "replace").decode(), os.fsencode(file)),
        )


def progress(books: Books, shown: int = 20) -> LibraryProgress:
    """Return how many files of open books wait, are heard, failed; reasons of so many shown."""
    counts = dict(books.execute("SELECT state, count(*) FROM places GROUP BY state").fetchall())
    failures = books.execute(
        "SELECT file, reason FROM places WHERE state = 'failed' ORDER BY file LIMIT ?",
        (shown,),
    )
    return LibraryProgress(
        counts.get("waiting", 0),
        counts.get("heard", 0),
        counts.get("failed", 0),
        tuple((os.fsdecode(file), reason) for file, reason in failures),
    )


def _state_of(file: str) -> tuple[int, int]:
    """Return size and time of change of a file; zeros for an address, or where it is gone."""
    try:
        found = Path(file).stat()
    except (OSError, ValueError):
        return 0, 0
    return found.st_size, found.st_mtime_ns
