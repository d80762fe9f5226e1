"""Stated pools, and how each track suits them."""

from __future__ import annotations

import json
from collections.abc import Iterable

from aquatempo.records.library import StoredVerdict
from aquatempo.store.database import transaction
from aquatempo.store.library.tables import Books

__all__ = ["pools", "put_pool", "put_verdicts", "unjudged"]


def pools(books: Books) -> dict[str, dict[str, object]]:
    """Return the stated pools by name, each as it was stated."""
    rows = books.execute("SELECT name, stated FROM pools ORDER BY name")
    return {name: json.loads(stated) for name, stated in rows}


def put_pool(books: Books, name: str, stated: object) -> None:
    """State a pool in open books under a name; earlier verdicts of that name are dropped.

    stated: plain data.
    """
    with transaction(books):
        books.execute("DELETE FROM verdicts WHERE pool = ?", (name,))
        books.execute("INSERT OR REPLACE INTO pools VALUES (?, ?)", (name, json.dumps(stated)))


def unjudged(books: Books, pool: str) -> list[tuple[int, float | None, int | None, bool, int]]:
    """Return the tracks of open books that have no verdict for a stated pool.

    Each as number, tempo [beats/min], beats a bar, steadiness, phrases.
    """
    return books.execute(
        "SELECT number, tempo_bpm, beats_per_bar, steady, phrases FROM tracks WHERE NOT "
        "EXISTS (SELECT 1 FROM verdicts WHERE track = number AND pool = ?)",
        (pool,),
    ).fetchall()


def put_verdicts(books: Books, verdicts: Iterable[tuple[int, StoredVerdict]]) -> None:
    """Keep verdicts in open books, each with the number of its track."""
    with transaction(books):
        books.executemany(
            "INSERT OR REPLACE INTO verdicts VALUES (?, ?, ?, ?, ?)",
            ((number, one.pool, one.fit, one.speed, one.reason) for number, one in verdicts),
        )
