"""Analyses between runs, by what the audio holds and by what shaped the analysis.

Each is kept with the key of the track, the method that made it and a digest over all three:
what was damaged on the disk, in whatever bit, is as good as absent.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import sqlite3
import time
import zlib
from pathlib import Path

from aquatempo.errors import InputError, OutputError
from aquatempo.records.plain import from_plain, to_plain
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.store.database import Schema, open_database, transaction
from aquatempo.store.folders import cache_folder

__all__ = ["ANALYSES_TABLE", "load_analysis", "pack", "save_analysis", "unpack"]

KEPT_A_TRACK = 4  # readings of one track: some expected tempos, not every old version
LARGEST_TEXT = 64 << 20  # bytes; four hours of beats are under 5 MB

ANALYSES_TABLE = """
CREATE TABLE analyses (
    key TEXT NOT NULL,      -- names the audio
    method TEXT NOT NULL,   -- names all that shaped the analysis
    made_at REAL NOT NULL,  -- seconds since 1970
    data BLOB NOT NULL,     -- JSON, compressed
    digest BLOB NOT NULL,   -- of key, method and data
    PRIMARY KEY (key, method)
);
"""
_SCHEMA = Schema("the cache", 0x61717463, (ANALYSES_TABLE,), durable=False)


def load_analysis(content_key: str, method: str) -> RhythmAnalysis | None:
    """Return the remembered analysis of a track, or None.

    method: text that names everything that shaped the analysis, such as its version and the
    expected tempo. What is damaged or was shaped otherwise is as good as absent. content_key:
    of the track's audio.
    """
    if not _path().is_file():
        return None
    try:
        with open_database(_path(), _SCHEMA) as database:
            found = _select(database, content_key, method)
    except (InputError, OutputError):
        return None
    return None if found is None else unpack(content_key, method, *found)


def save_analysis(content_key: str, method: str, analysis: RhythmAnalysis) -> bool:
    """Remember an analysis; return whether it could be written.

    A cache that cannot be written costs time in the next run, and stops nothing. One that
    is damaged is begun anew. content_key: of the track's audio; method: as for
    ``load_analysis``.
    """
    for attempt in (1, 2):
        try:
            with open_database(_path(), _SCHEMA) as database:
                _insert(database, content_key, method, analysis)
        except InputError:  # damaged, or of a later version
            if attempt == 1:
                _remove_cache()
        except OutputError:
            return False
        else:
            return True
    return False


def pack(content_key: str, method: str, analysis: RhythmAnalysis) -> tuple[bytes, bytes]:
    """Return an analysis as it is kept, and the digest that goes with it.

    content_key: of the audio; method: by which it was heard.
    """
    text = json.dumps(to_plain(analysis), allow_nan=False, separators=(",", ":"))
    data = zlib.compress(text.encode())
    return data, _digest(content_key, method, data)


def unpack(content_key: str, method: str, data: object, digest: object) -> RhythmAnalysis | None:
    """Return the analysis that ``pack`` made data and digest of; None for anything else.

    content_key, method: those that it was packed with.
    """
    if not isinstance(data, bytes) or digest != _digest(content_key, method, data):
        return None
    try:
        text = zlib.decompressobj().decompress(data, LARGEST_TEXT)
        return from_plain(RhythmAnalysis, json.loads(text))
    except (zlib.error, ValueError, RecursionError, InputError):
        return None


def _digest(content_key: str, method: str, data: bytes) -> bytes:
    digest = hashlib.blake2b(digest_size=16)
    for part in (content_key.encode(), method.encode(), data):
        digest.update(len(part).to_bytes(8, "little") + part)
    return digest.digest()


def _select(
    database: sqlite3.Connection, content_key: str, method: str
) -> tuple[object, object] | None:
    found: tuple[object, object] | None = database.execute(
        "SELECT data, digest FROM analyses WHERE key = ? AND method = ?", (content_key, method)
    ).fetchone()
    return found


def _insert(
    database: sqlite3.Connection, content_key: str, method: str, analysis: RhythmAnalysis
) -> None:
    data, digest = pack(content_key, method, analysis)
    with transaction(database):
        database.execute(
            "INSERT OR REPLACE INTO analyses VALUES (?, ?, ?, ?, ?)",
            (content_key, method, time.time(), data, digest),
        )
        database.execute(
            "DELETE FROM analyses WHERE key = ?1 AND method NOT IN "
            "(SELECT method FROM analyses WHERE key = ?1 ORDER BY made_at DESC LIMIT ?2)",
            (content_key, KEPT_A_TRACK),
        )
    if _select(database, content_key, method) != (data, digest):
        raise InputError("the cache is damaged: what was written cannot be found in it")


def _path() -> Path:
    return cache_folder() / "analyses.sqlite"


def _remove_cache() -> None:
    for suffix in ("", "-wal", "-shm"):
        with contextlib.suppress(OSError):
            _path().with_name(_path().name + suffix).unlink()
