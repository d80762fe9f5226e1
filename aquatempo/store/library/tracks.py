"""Tracks of the library: what was heard kept, and rows found."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Sequence
from itertools import islice
from typing import Any

from aquatempo.errors import InputError
from aquatempo.records.library import LibraryPage, LibraryTrack, Mark, StoredVerdict
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.store.analyses import pack, unpack
from aquatempo.store.database import transaction
from aquatempo.store.library.marks import digest_of
from aquatempo.store.library.tables import FACTS, Books, Facts
from aquatempo.store.library.verdicts import fits_of

__all__ = [
    "ORDERS",
    "analysis_of",
    "cheapest",
    "find",
    "numbers",
    "put_facts",
    "put_heard",
    "rows_of",
]

MANY = 2000
DEEP = 1000  # rows before a page
ORDERS = {
    "title": "title COLLATE NOCASE, number",
    "tempo": "tempo_bpm, number",
    "length": "duration_s, number",
    "confidence": "confidence, number",
    "newest": "number DESC",
}


def put_heard(
    books: Books,
    file: str,
    content_key: str,
    facts: Facts,
    analysis: RhythmAnalysis,
    verdicts: Sequence[StoredVerdict] = (),
) -> int:
    """Keep in open books what was heard in a file, all of it or nothing; return the number.

    content_key: of its audio. analysis: as it came; facts, verdicts: after corrections.
    """
    data, digest = pack(content_key, facts.method, analysis)
    with transaction(books):
        number = _put_facts(books, content_key, facts, verdicts)
        books.execute(
            "DELETE FROM analyses WHERE key = ? AND method <> ?", (content_key, facts.method)
        )
        books.execute(
            "INSERT OR REPLACE INTO analyses VALUES (?, ?, ?, ?, ?)",
            (content_key, facts.method, time.time(), data, digest),
        )
        books.execute(
            "UPDATE places SET track = ?, state = 'heard', reason = '' WHERE file = ?",
            (number, os.fsencode(file)),
        )
    return number


def put_facts(
    books: Books, content_key: str, facts: Facts, verdicts: Sequence[StoredVerdict]
) -> None:
    """Renew facts and verdicts of a track of open books, as corrections changed them.

    content_key: of its audio.
    """
    with transaction(books):
        _put_facts(books, content_key, facts, verdicts)


def find(
    books: Books,
    condition: str = "1",
    values: Sequence[object] = (),
    order: str = "title",
    first: int = 0,
    most: int = 50,
) -> LibraryPage:
    """Return a page of the tracks of open books for which a condition holds.

    condition: SQL with a ? for each of values, as ``query.condition_of`` makes it. order: of
    ORDERS. first: row from 0; most: rows. Raises InputError for another order.
    """
    if order not in ORDERS:
        raise InputError(f"order {order!r}: needs one of {', '.join(ORDERS)}")
    few = books.execute(
        f"SELECT number FROM tracks WHERE {condition} LIMIT ?", (*values, MANY + 1)
    ).fetchall()
    if len(few) <= MANY:
        total, page = len(few), _sorted(books, [row[0] for row in few], order, first, most)
    else:
        (total,) = books.execute(
            f"SELECT count(*) FROM tracks WHERE {condition}", values
        ).fetchone()
        page = _page_of_many(books, condition, values, order, first, most)
    return LibraryPage(rows_of(books, page), total, first)


def numbers(books: Books, condition: str = "1", values: Sequence[object] = ()) -> list[int]:
    """Return the numbers of all tracks of open books for which a condition holds.

    condition, values: as for ``find``.
    """
    # In one text: stepping through the rows would take several times as long as finding them.
    (text,) = books.execute(
        f"SELECT group_concat(number) FROM tracks WHERE {condition}", values
    ).fetchone()
    return [int(number) for number in text.split(",")] if text else []


def cheapest(
    books: Books,
    condition: str,
    values: Sequence[object],
    cost: str,
    cost_values: Sequence[object],
    most: int,
) -> list[tuple[int, float]]:
    """Return number and length [s] of the tracks of open books that cost least, in order.

    condition, values: as for ``find``. cost: SQL over the facts, with a ? for each of
    cost_values. most: tracks.
    """
    return books.execute(
        f"SELECT number, duration_s FROM tracks WHERE {condition} ORDER BY {cost}, number LIMIT ?",
        (*values, *cost_values, most),
    ).fetchall()


def rows_of(books: Books, numbers: Sequence[int]) -> tuple[LibraryTrack, ...]:
    """Return the tracks of open books with some numbers, in that order."""
    wanted = (json.dumps(list(numbers)),)
    these = "IN (SELECT value FROM json_each(?))"

    def of_each(columns: str, table: str, order: str) -> dict[int, list[Sequence[Any]]]:
        found: dict[int, list[Sequence[Any]]] = {}
        rows = books.execute(
            f"SELECT track, {columns} FROM {table} WHERE track {these} ORDER BY track, {order}",
            wanted,
        )
        for track, *rest in rows:
            found.setdefault(track, []).append(rest)
        return found

    files = of_each("file", "places", "file")
    marks = of_each("kind, value, until", "marks", "kind, value")
    verdicts = of_each("pool, fit, speed, reason", "verdicts", "pool")
    found = {}
    for number, key, *facts in books.execute(
        f"SELECT number, content_key, {', '.join(FACTS[:-1])} FROM tracks WHERE number {these}",
        wanted,
    ):
        values = dict(zip(FACTS, facts, strict=False))
        values |= {name: bool(values[name]) for name in ("steady", "corrected")}
        found[number] = LibraryTrack(
            number=number,
            content_key=key,
            files=tuple(os.fsdecode(file) for (file,) in files.get(number, ())),
            marks=tuple(Mark(*one) for one in marks.get(number, ())),
            verdicts=tuple(StoredVerdict(*one) for one in verdicts.get(number, ())),
            **values,
        )
    return tuple(found[number] for number in numbers if number in found)


def analysis_of(books: Books, content_key: str) -> tuple[RhythmAnalysis, str] | None:
    """Return what was heard in a track of open books, as it came, and by which method.

    content_key: of its audio. None where that is damaged or was never kept.
    """
    row = books.execute(
        "SELECT method, CAST(data AS BLOB), digest FROM analyses WHERE key = ?", (content_key,)
    ).fetchone()
    analysis = None if row is None else unpack(content_key, *row)
    return None if analysis is None else (analysis, str(row[0]))


def _sorted(books: Books, found: Sequence[int], order: str, first: int, most: int) -> list[int]:
    """Return a page of a few numbers, in an order."""
    rows = books.execute(
        "SELECT number FROM tracks WHERE number IN (SELECT value FROM json_each(?)) "
        f"ORDER BY {ORDERS[order]} LIMIT ? OFFSET ?",
        (json.dumps(found), most, first),
    )
    return [row[0] for row in rows]


def _page_of_many(
    books: Books, condition: str, values: Sequence[object], order: str, first: int, most: int
) -> list[int]:
    """Return a page of the many tracks for which a condition holds, in an order.

    By title it is soon full on the way through the titles, unless it lies deep: then it is
    known before which tracks count, so that the way leads through the index alone.
    """
    by_title = order == "title"
    if not (by_title and first > DEEP and condition != "1"):
        way = "INDEXED BY tracks_by_title" if by_title else ""
        rows = books.execute(
            f"SELECT number FROM tracks {way} WHERE {condition} "
            f"ORDER BY {ORDERS[order]} LIMIT ? OFFSET ?",
            (*values, most, first),
        )
        return [row[0] for row in rows]
    wanted = set(numbers(books, condition, values))
    rows = books.execute(f"SELECT number FROM tracks ORDER BY {ORDERS[order]}")
    return list(islice((number for (number,) in rows if number in wanted), first, first + most))


def _put_facts(
    books: Books, content_key: str, facts: Facts, verdicts: Sequence[StoredVerdict]
) -> int:
    values = [getattr(facts, name) for name in FACTS]
    values[:2] = (one.encode("utf-8", "replace").decode() for one in (facts.title, facts.artist))
    assignments = ", ".join(f"{name} = excluded.{name}" for name in FACTS)
    (number,) = books.execute(
        f"INSERT INTO tracks (content_key, {', '.join(FACTS)}, added_at, words) "
        f"VALUES ({', '.join('?' * (len(FACTS) + 3))}) "
        f"ON CONFLICT (content_key) DO UPDATE SET {assignments} RETURNING number",
        (content_key, *values, time.time(), digest_of(())),
    ).fetchone()
    books.execute("DELETE FROM verdicts WHERE track = ?", (number,))
    fits = fits_of(books, verdicts)
    books.execute("UPDATE tracks SET fits = ? WHERE number = ?", (fits, number))
    books.executemany(
        "INSERT INTO verdicts VALUES (?, ?, ?, ?, ?)",
        ((number, one.pool, one.fit, one.speed, one.reason) for one in verdicts),
    )
    return int(number)
