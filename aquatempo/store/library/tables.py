"""The library's database as a file: its tables, and opening it."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, fields
from pathlib import Path

from aquatempo.store.analyses import ANALYSES_TABLE
from aquatempo.store.database import Schema, open_database
from aquatempo.store.folders import data_folder

__all__ = ["FACTS", "Books", "Facts", "library_path", "open_library"]

Books = sqlite3.Connection
"""An open library."""

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
CREATE TABLE stamps (
    start TEXT PRIMARY KEY,   -- of a content key, as in the name of the file of corrections
    stamp TEXT NOT NULL       -- when that file was last taken into account
);
"""
_FASTER = """
CREATE VIRTUAL TABLE names USING fts5(
    title, artist, content='tracks', content_rowid='number', tokenize='trigram'
);
CREATE TRIGGER names_added AFTER INSERT ON tracks BEGIN
    INSERT INTO names (rowid, title, artist) VALUES (new.number, new.title, new.artist);
END;
CREATE TRIGGER names_removed AFTER DELETE ON tracks BEGIN
    INSERT INTO names (names, rowid, title, artist)
    VALUES ('delete', old.number, old.title, old.artist);
END;
CREATE TRIGGER names_changed AFTER UPDATE OF title, artist ON tracks BEGIN
    INSERT INTO names (names, rowid, title, artist)
    VALUES ('delete', old.number, old.title, old.artist);
    INSERT INTO names (rowid, title, artist) VALUES (new.number, new.title, new.artist);
END;
INSERT INTO names (names) VALUES ('rebuild');
DROP INDEX tracks_by_tempo;
CREATE INDEX tracks_by_tempo ON tracks (
    tempo_bpm, confidence, phrases, bridges, breaks, duration_s, steady, beats_per_bar, corrected
);
CREATE INDEX verdicts_by_track ON verdicts (track, pool, fit);
"""  # words without reading every row, and counting without touching any
_FITS = """
ALTER TABLE pools ADD COLUMN place INTEGER;
UPDATE pools SET place = (SELECT count(*) FROM pools AS one WHERE one.name < pools.name);
ALTER TABLE tracks ADD COLUMN fits INTEGER NOT NULL DEFAULT 0;
UPDATE tracks SET fits = coalesce((
    SELECT sum((CASE fit WHEN 'suits' THEN 2 WHEN 'suits with changes' THEN 1 ELSE 0 END)
               << (2 * place))
    FROM verdicts JOIN pools ON name = pool WHERE track = number), 0);
DROP INDEX verdicts_by_fit;
DROP INDEX verdicts_by_track;
DROP INDEX tracks_by_tempo;
CREATE INDEX tracks_by_tempo ON tracks (
    tempo_bpm, confidence, phrases, bridges, breaks, duration_s, steady, beats_per_bar, corrected,
    fits
);
"""  # verdicts for all pools in one number, two bits each at the pool's place
_SCHEMA = Schema(
    "the library", 0x6171746C, (ANALYSES_TABLE + _TABLES, _FASTER, _FITS), durable=True
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


FACTS = tuple(field.name for field in fields(Facts))
"""Names of what is searched for, as columns of the table."""


def library_path(given: str | None = None) -> Path:
    """Return the file of the library: the one given, or that of this user (None)."""
    return Path(given) if given else data_folder() / "library.sqlite"


@contextlib.contextmanager
def open_library(path: Path) -> Iterator[Books]:
    """Give the library in a file at path, made where there is none.

    Raises InputError for a file that is damaged or another's, OutputError.
    """
    with open_database(path, _SCHEMA) as database:
        yield database
