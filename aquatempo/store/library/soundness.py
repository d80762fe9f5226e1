"""What is wrong in a library, and a whole copy of it."""

from __future__ import annotations

from pathlib import Path

from aquatempo.store.database import copy_database, faults_of, transaction
from aquatempo.store.library.marks import digest_of, marks_of
from aquatempo.store.library.tables import Books
from aquatempo.store.library.tracks import analysis_of

__all__ = ["copy_to", "faults", "hear_damaged_again"]


def faults(books: Books) -> tuple[str, ...]:
    """Return what is wrong in the file, one line each: structure, analyses, words."""
    found = list(faults_of(books))
    for number, title, key, words in books.execute(
        "SELECT number, title, content_key, words FROM tracks"
    ).fetchall():
        if analysis_of(books, key) is None:
            found.append(f"{title!r}: what was heard is damaged: hear it again")
        if words != digest_of(marks_of(books, number)):
            found.append(f"{title!r}: tags, rights or approvals are damaged: look them over")
    return tuple(found)


def hear_damaged_again(books: Books) -> int:
    """Let the files of tracks whose analysis is damaged wait again; return how many."""
    keys = [
        (key,)
        for (key,) in books.execute("SELECT content_key FROM tracks").fetchall()
        if analysis_of(books, key) is None
    ]
    with transaction(books):
        books.executemany(
            "UPDATE places SET state = 'waiting' WHERE track = "
            "(SELECT number FROM tracks WHERE content_key = ?)",
            keys,
        )
    return len(keys)


def copy_to(books: Books, target: Path) -> None:
    """Write a whole copy of open books to a target, also while others write.

    Raises OutputError.
    """
    copy_database(books, target)
