"""The library's database: tracks, where they lie, what was heard, marks, pools, verdicts."""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path

from aquatempo.errors import InputError
from aquatempo.records.library import (
    LibraryPage,
    LibraryProgress,
    LibraryTrack,
    Mark,
    StoredVerdict,
)
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.store.analyses import ANALYSES_TABLE, pack, unpack
from aquatempo.store.database import (
    Schema,
    copy_database,
    faults_of,
    open_database,
    transaction,
)
from aquatempo.store.folders import data_folder

__all__ = ["ORDERS", "Facts", "Library", "library_path", "open_library"]

_TABLES = """
CREATE TABLE tracks (
    number INTEGER PRIMARY KEY,
    content_key TEXT NOT NULL UNIQUE,
    title TEXT NOT NULL,
    artist TEXT NOT NULL,
    duration_s REAL NOT NULL,
    tempo_bpm REAL,
    confidence REAL NOT NULL,
    beats_per_bar INTEGER,
    steady INTEGER NOT NULL,
    phrases INTEGER NOT NULL,
    bridges INTEGER NOT NULL,
    breaks INTEGER NOT NULL,
    energy REAL NOT NULL,
    corrected INTEGER NOT NULL,
    method TEXT NOT NULL,
    added_at REAL NOT NULL,
    words BLOB NOT NULL       -- digest over the marks, which nobody could compute again
);
CREATE INDEX tracks_by_tempo ON tracks (tempo_bpm, confidence, phrases, bridges);
CREATE INDEX tracks_by_title ON tracks (title COLLATE NOCASE, number);
CREATE TABLE places (
    file BLOB PRIMARY KEY,    -- the bytes of the path, which need not be text
    track INTEGER REFERENCES tracks (number),
    size INTEGER NOT NULL,
    modified_ns INTEGER NOT NULL,
    state TEXT NOT NULL,      -- waiting, heard or failed
    reason TEXT NOT NULL DEFAULT ''
);
CREATE INDEX places_by_track ON places (track);
CREATE INDEX places_by_state ON places (state);
CREATE TABLE marks (
    track INTEGER NOT NULL REFERENCES tracks (number),
    kind TEXT NOT NULL,
    value TEXT NOT NULL COLLATE NOCASE,
    until TEXT NOT NULL,
    PRIMARY KEY (track, kind, value)
);
CREATE INDEX marks_by_value ON marks (kind, value, track);
CREATE TABLE pools (
    name TEXT PRIMARY KEY COLLATE NOCASE,
    stated TEXT NOT NULL      -- pool and group, as JSON
);
CREATE TABLE verdicts (
    track INTEGER NOT NULL REFERENCES tracks (number),
    pool TEXT NOT NULL COLLATE NOCASE REFERENCES pools (name) ON DELETE CASCADE,
    fit TEXT NOT NULL,
    speed REAL NOT NULL,
    reason TEXT NOT NULL,
    PRIMARY KEY (track, pool)
);
CREATE INDEX verdicts_by_fit ON verdicts (pool, fit, track);
"""
_SCHEMA = Schema("the library", 0x6171746C, (ANALYSES_TABLE + _TABLES,), durable=True)

ORDERS = {
    "title": "title COLLATE NOCASE, number",
    "tempo": "tempo_bpm, number",
    "length": "duration_s, number",
    "confidence": "confidence, number",
    "newest": "number DESC",
}
_FACTS = (
    *("title", "artist", "duration_s", "tempo_bpm", "confidence", "beats_per_bar", "steady"),
    *("phrases", "bridges", "breaks", "energy", "corrected", "method"),
)


@dataclass(frozen=True, slots=True)
class Facts:
    """What of a track is searched for, after corrections; names and units as in LibraryTrack."""

    title: str
    artist: str
    duration_s: float
    tempo_bpm: float | None
    confidence: float
    beats_per_bar: int | None
    steady: bool
    phrases: int
    bridges: int
    breaks: int
    energy: float
    corrected: bool
    method: str


def library_path(given: str | None = None) -> Path:
    """Return the file of the library: the one given, or that of this user."""
    return Path(given) if given else data_folder() / "library.sqlite"


@contextlib.contextmanager
def open_library(path: Path) -> Iterator[Library]:
    """Give a library, made where there is none. Raises InputError, OutputError."""
    with open_database(path, _SCHEMA) as database:
        yield Library(database)


class Library:
    """The questions and changes that a library knows. Each change is made whole or not at all."""

    def __init__(self, database: sqlite3.Connection) -> None:
        self._database = database

    def add(self, files: Iterable[str], again: bool = False) -> int:
        """Note files as waiting; return how many wait anew.

        One that is known waits again where it changed since, or failed, or with again.
        """
        before = self._database.total_changes
        with transaction(self._database):
            for file in files:
                size, modified_ns = _state_of(file)
                self._database.execute(
                    "INSERT INTO places (file, size, modified_ns, state) VALUES (?1, ?2, ?3, "
                    "'waiting') ON CONFLICT (file) DO UPDATE SET size = ?2, modified_ns = ?3, "
                    "state = 'waiting', reason = '' WHERE ?4 OR state = 'failed' "
                    "OR size <> ?2 OR modified_ns <> ?3",
                    (os.fsencode(file), size, modified_ns, again),
                )
        return self._database.total_changes - before

    def waiting(self, most: int = 1_000_000) -> list[str]:
        """Return files that wait to be heard, in the order of their names."""
        rows = self._database.execute(
            "SELECT file FROM places WHERE state = 'waiting' ORDER BY file LIMIT ?", (most,)
        )
        return [os.fsdecode(row[0]) for row in rows]

    def put_heard(self, file: str, content_key: str, facts: Facts, analysis: RhythmAnalysis) -> int:
        """Keep what was heard in a file as it came, with the facts after corrections."""
        data, digest = pack(content_key, facts.method, analysis)
        with transaction(self._database):
            number = self._put_facts(content_key, facts)
            self._database.execute(
                "DELETE FROM analyses WHERE key = ? AND method <> ?", (content_key, facts.method)
            )
            self._database.execute(
                "INSERT OR REPLACE INTO analyses VALUES (?, ?, ?, ?, ?)",
                (content_key, facts.method, time.time(), data, digest),
            )
            self._database.execute(
                "UPDATE places SET track = ?, state = 'heard', reason = '' WHERE file = ?",
                (number, os.fsencode(file)),
            )
        return number

    def put_facts(self, content_key: str, facts: Facts) -> None:
        """Renew the facts of a track, as corrections changed them."""
        with transaction(self._database):
            self._put_facts(content_key, facts)

    def put_failed(self, file: str, reason: str) -> None:
        """Keep why a file could not be heard."""
        with transaction(self._database):
            self._database.execute(
                "UPDATE places SET state = 'failed', reason = ? WHERE file = ?",
                (reason.encode("utf-8", "replace").decode(), os.fsencode(file)),
            )

    def progress(self, shown: int = 20) -> LibraryProgress:
        """Return how many files wait, are heard, failed, and some of the reasons."""
        counts = dict(
            self._database.execute("SELECT state, count(*) FROM places GROUP BY state").fetchall()
        )
        failures = self._database.execute(
            "SELECT file, reason FROM places WHERE state = 'failed' ORDER BY file LIMIT ?",
            (shown,),
        )
        return LibraryProgress(
            counts.get("waiting", 0),
            counts.get("heard", 0),
            counts.get("failed", 0),
            tuple((os.fsdecode(file), reason) for file, reason in failures),
        )

    def find(
        self,
        condition: str = "1",
        values: Sequence[object] = (),
        order: str = "title",
        first: int = 0,
        most: int = 50,
    ) -> LibraryPage:
        """Return a page of the tracks for which a condition on ``tracks`` holds.

        condition: SQL with a ? for each of values, as ``library_query`` makes it. order: of
        ORDERS. Raises InputError for another order.
        """
        if order not in ORDERS:
            raise InputError(f"order {order!r}: needs one of {', '.join(ORDERS)}")
        (total,) = self._database.execute(
            f"SELECT count(*) FROM tracks WHERE {condition}", values
        ).fetchone()
        rows = self._database.execute(
            f"SELECT number, content_key, {', '.join(_FACTS[:-1])} FROM tracks "
            f"WHERE {condition} ORDER BY {ORDERS[order]} LIMIT ? OFFSET ?",
            (*values, most, first),
        ).fetchall()
        return LibraryPage(tuple(self._track(row) for row in rows), total, first)

    def numbers(self, condition: str = "1", values: Sequence[object] = ()) -> list[int]:
        """Return the numbers of all tracks for which a condition holds."""
        rows = self._database.execute(f"SELECT number FROM tracks WHERE {condition}", values)
        return [row[0] for row in rows]

    def cheapest(
        self,
        condition: str,
        values: Sequence[object],
        cost: str,
        cost_values: Sequence[object],
        most: int,
    ) -> list[tuple[int, float]]:
        """Return number and length [s] of the tracks that cost least, the cheapest first.

        cost: SQL over the facts, with a ? for each of cost_values.
        """
        return self._database.execute(
            f"SELECT number, duration_s FROM tracks WHERE {condition} "
            f"ORDER BY {cost}, number LIMIT ?",
            (*values, *cost_values, most),
        ).fetchall()

    def rows(self, numbers: Sequence[int]) -> tuple[LibraryTrack, ...]:
        """Return the tracks of some numbers, in that order."""
        return tuple(
            track for number in numbers for track in self.find("number = ?", (number,)).tracks
        )

    def analysis_of(self, content_key: str) -> tuple[RhythmAnalysis, str] | None:
        """Return what was heard in a track, as it came, and the method; None where damaged."""
        row = self._database.execute(
            "SELECT method, CAST(data AS BLOB), digest FROM analyses WHERE key = ?", (content_key,)
        ).fetchone()
        analysis = None if row is None else unpack(content_key, *row)
        return None if analysis is None else (analysis, str(row[0]))

    def mark(self, numbers: Sequence[int], marks: Sequence[Mark], drop: bool = False) -> None:
        """Put marks on tracks, or take them off."""
        with transaction(self._database):
            for number in numbers:
                for mark in marks:
                    if drop:
                        self._database.execute(
                            "DELETE FROM marks WHERE track = ? AND kind = ? AND value = ?",
                            (number, mark.kind, mark.value),
                        )
                    else:
                        self._database.execute(
                            "INSERT OR REPLACE INTO marks VALUES (?, ?, ?, ?)",
                            (number, mark.kind, mark.value, mark.until),
                        )
                self._database.execute(
                    "UPDATE tracks SET words = ? WHERE number = ?",
                    (_digest(self._marks(number)), number),
                )

    def pools(self) -> dict[str, dict[str, object]]:
        """Return the stated pools by name, each as it was stated."""
        rows = self._database.execute("SELECT name, stated FROM pools ORDER BY name")
        return {name: json.loads(stated) for name, stated in rows}

    def put_pool(self, name: str, stated: object) -> None:
        """State a pool; its verdicts are dropped, as they were of another."""
        with transaction(self._database):
            self._database.execute("DELETE FROM verdicts WHERE pool = ?", (name,))
            self._database.execute(
                "INSERT OR REPLACE INTO pools VALUES (?, ?)", (name, json.dumps(stated))
            )

    def unjudged(self, pool: str) -> list[tuple[int, float | None, int | None, bool, int]]:
        """Return number, tempo, beats a bar, steadiness, phrases of tracks without a verdict."""
        return self._database.execute(
            "SELECT number, tempo_bpm, beats_per_bar, steady, phrases FROM tracks WHERE NOT "
            "EXISTS (SELECT 1 FROM verdicts WHERE track = number AND pool = ?)",
            (pool,),
        ).fetchall()

    def put_verdicts(self, verdicts: Iterable[tuple[int, StoredVerdict]]) -> None:
        """Keep verdicts on tracks by number."""
        with transaction(self._database):
            self._database.executemany(
                "INSERT OR REPLACE INTO verdicts VALUES (?, ?, ?, ?, ?)",
                ((number, one.pool, one.fit, one.speed, one.reason) for number, one in verdicts),
            )

    def faults(self) -> tuple[str, ...]:
        """Return what is wrong in the file, one line each: structure, analyses, words."""
        found = list(faults_of(self._database))
        for number, title, key, words in self._database.execute(
            "SELECT number, title, content_key, words FROM tracks"
        ).fetchall():
            if self.analysis_of(key) is None:
                found.append(f"{title!r}: what was heard is damaged: hear it again")
            if words != _digest(self._marks(number)):
                found.append(f"{title!r}: tags, rights or approvals are damaged: look them over")
        return tuple(found)

    def hear_damaged_again(self) -> int:
        """Let the files of tracks whose analysis is damaged wait again; return how many."""
        keys = [
            (key,)
            for (key,) in self._database.execute("SELECT content_key FROM tracks").fetchall()
            if self.analysis_of(key) is None
        ]
        with transaction(self._database):
            self._database.executemany(
                "UPDATE places SET state = 'waiting' WHERE track = "
                "(SELECT number FROM tracks WHERE content_key = ?)",
                keys,
            )
        return len(keys)

    def copy_to(self, target: Path) -> None:
        """Write a whole copy, also while others write. Raises OutputError."""
        copy_database(self._database, target)

    def _put_facts(self, content_key: str, facts: Facts) -> int:
        values = [getattr(facts, name) for name in _FACTS]
        values[0] = facts.title.encode("utf-8", "replace").decode()
        assignments = ", ".join(f"{name} = excluded.{name}" for name in _FACTS)
        (number,) = self._database.execute(
            f"INSERT INTO tracks (content_key, {', '.join(_FACTS)}, added_at, words) "
            f"VALUES ({', '.join('?' * (len(_FACTS) + 3))}) "
            f"ON CONFLICT (content_key) DO UPDATE SET {assignments} RETURNING number",
            (content_key, *values, time.time(), _digest(())),
        ).fetchone()
        self._database.execute("DELETE FROM verdicts WHERE track = ?", (number,))
        return int(number)

    def _track(self, row: Sequence[object]) -> LibraryTrack:
        number, key, *facts = row
        values = dict(zip(_FACTS, facts, strict=False))
        values |= {name: bool(values[name]) for name in ("steady", "corrected")}
        files = self._database.execute(
            "SELECT file FROM places WHERE track = ? ORDER BY file", (number,)
        )
        verdicts = self._database.execute(
            "SELECT pool, fit, speed, reason FROM verdicts WHERE track = ? ORDER BY pool",
            (number,),
        )
        return LibraryTrack(
            number=int(str(number)),
            content_key=str(key),
            files=tuple(os.fsdecode(one[0]) for one in files),
            marks=self._marks(int(str(number))),
            verdicts=tuple(StoredVerdict(*one) for one in verdicts),
            **values,  # type: ignore[arg-type]
        )

    def _marks(self, number: int) -> tuple[Mark, ...]:
        rows = self._database.execute(
            "SELECT kind, value, until FROM marks WHERE track = ? ORDER BY kind, value", (number,)
        )
        return tuple(Mark(*row) for row in rows)


def _state_of(file: str) -> tuple[int, int]:
    """Return size and time of change of a file; zeros for an address, or where it is gone."""
    try:
        found = Path(file).stat()
    except (OSError, ValueError):
        return 0, 0
    return found.st_size, found.st_mtime_ns


def _digest(marks: Iterable[Mark]) -> bytes:
    text = json.dumps([[mark.kind, mark.value, mark.until] for mark in marks])
    return blake2b(text.encode(), digest_size=16).digest()
