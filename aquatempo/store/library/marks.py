"""Words of the user's on tracks, each track's with a digest: nobody could compute them again."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from hashlib import blake2b

from aquatempo.records.library import Mark
from aquatempo.store.database import transaction
from aquatempo.store.library.tables import Books

__all__ = ["digest_of", "marks_of", "put_marks"]


def put_marks(
    books: Books, numbers: Sequence[int], marks: Sequence[Mark], drop: bool = False
) -> None:
    """Put marks on the tracks of open books with these numbers, or take them off (drop)."""
    with transaction(books):
        for number in numbers:
            for mark in marks:
                if drop:
                    books.execute(
                        "DELETE FROM marks WHERE track = ? AND kind = ? AND value = ?",
                        (number, mark.kind, mark.value),
                    )
                else:
                    books.execute(
                        "INSERT OR REPLACE INTO marks VALUES (?, ?, ?, ?)",
                        (number, mark.kind, mark.value, mark.until),
                    )
            books.execute(
                "UPDATE tracks SET words = ? WHERE number = ?",
                (digest_of(marks_of(books, number)), number),
            )


def marks_of(books: Books, number: int) -> tuple[Mark, ...]:
    """Return the marks on a track of open books by its number, in a fixed order."""
    rows = books.execute(
        "SELECT kind, value, until FROM marks WHERE track = ? ORDER BY kind, value", (number,)
    )
    return tuple(Mark(*row) for row in rows)


def digest_of(marks: Iterable[Mark]) -> bytes:
    """Return the digest that is kept with the marks of a track, 16 bytes."""
    text = json.dumps([[mark.kind, mark.value, mark.until] for mark in marks])
    return blake2b(text.encode(), digest_size=16).digest()
