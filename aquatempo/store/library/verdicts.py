"""Stated pools, and how each track suits them."""

from __future__ import annotations

import json
from collections.abc import Iterable

from aquatempo.errors import InputError
from aquatempo.records.library import StoredVerdict
from aquatempo.store.database import transaction
from aquatempo.store.library.tables import Books

__all__ = ["MOST_POOLS", "fits_of", "pools", "put_pool", "put_verdicts", "unjudged"]

MOST_POOLS = 31  # two bits each in a number of 63
CODES = {"suits": 2, "suits with changes": 1}


def pools(books: Books) -> dict[str, dict[str, object]]:
    """Return the stated pools by name, each as it was stated."""
    rows = books.execute("SELECT name, stated FROM pools ORDER BY name")
    return {name: json.loads(stated) for name, stated in rows}


def put_pool(books: Books, name: str, stated: object) -> None:
    """State a pool in open books under a name; earlier verdicts of that name are dropped.

    stated: plain data.
    """
    with transaction(books):
        places = _places(books)
        place = places.pop(name.casefold(), None)
        if place is None:
            free = set(range(MOST_POOLS)) - set(places.values())
            if not free:
                raise InputError(f"{MOST_POOLS} pools are stated: needs one of their names")
            place = min(free)
        books.execute("DELETE FROM verdicts WHERE pool = ?", (name,))
        books.execute(
            "UPDATE tracks SET fits = fits & ~(3 << ?1) WHERE fits & (3 << ?1)", (2 * place,)
        )
        books.execute(
            "INSERT OR REPLACE INTO pools VALUES (?, ?, ?)", (name, json.dumps(stated), place)
        )


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
    shifts = {pool: 2 * place for pool, place in _places(books).items()}
    kept = list(verdicts)
    bits = ((number, shifts[one.pool.casefold()], CODES.get(one.fit, 0)) for number, one in kept)
    with transaction(books):
        books.executemany(
            "INSERT OR REPLACE INTO verdicts VALUES (?, ?, ?, ?, ?)",
            ((number, one.pool, one.fit, one.speed, one.reason) for number, one in kept),
        )
        books.executemany(
            "UPDATE tracks SET fits = (fits & ~(3 << ?2)) | (?3 << ?2) WHERE number = ?1 "
            "AND (fits >> ?2) & 3 <> ?3",
            bits,
        )


def fits_of(books: Books, verdicts: Iterable[StoredVerdict]) -> int:
    """Return verdicts for the stated pools of open books in one number, as it is searched."""
    places = _places(books)
    return sum(CODES.get(one.fit, 0) << 2 * places[one.pool.casefold()] for one in verdicts)


def _places(books: Books) -> dict[str, int]:
    return {
        name.casefold(): place for name, place in books.execute("SELECT name, place FROM pools")
    }
