"""The cache of analyses: remembered by content and method, never trusted blindly."""

from __future__ import annotations

import hashlib
import json
import pickle
import random
import sqlite3
import struct
import subprocess
import sys
import zlib
from contextlib import closing
from pathlib import Path

import pytest

from aquatempo.records.rhythm import (
    EnergyLevel,
    Phrase,
    PhraseKind,
    RhythmAnalysis,
    TempoAlternative,
    TempoSection,
)
from aquatempo.store.analyses import (
    KEPT_A_TRACK,
    load_analysis,
    pack,
    save_analysis,
    unpack,
)
from aquatempo.store.folders import cache_folder, data_folder

KEY = "0123456789abcdef0123456789abcdef"
ANALYSIS = RhythmAnalysis(
    duration_s=180.25,
    tempo_bpm=132.01,
    tempo_confidence=0.97,
    confidence=0.91,
    tempo_alternatives=(TempoAlternative(66.005, 0.02),),
    tempo_sections=(TempoSection(0.0, 180.25, 132.01, 0.97),),
    steady=True,
    tempo_drift_percent=0.01,
    beats_per_bar=4,
    beats_s=(0.1, 0.55450458, 1.00900916),
    beats_inferred=(False, False, True),
    downbeats_s=(0.1,),
    phrases=(Phrase(0.1, 14.6, 0, 32, PhraseKind.PHRASE, 0.7, EnergyLevel.HIGH),),
    notes=("quiet",),
)


@pytest.fixture(autouse=True)
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep every test's cache and data apart."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return tmp_path


def the_file() -> Path:
    """Return the file of the cache."""
    return cache_folder() / "analyses.sqlite"


def rows() -> int:
    """Return how many readings are kept."""
    with closing(sqlite3.connect(the_file())) as database:
        return int(database.execute("SELECT count(*) FROM analyses").fetchone()[0])


def test_analysis_is_remembered_exactly() -> None:
    """What was saved comes back equal, for the same content and method only."""
    assert load_analysis(KEY, "1") is None
    assert save_analysis(KEY, "1", ANALYSIS)
    assert load_analysis(KEY, "1") == ANALYSIS
    assert load_analysis(KEY, "1 expect 120-150") is None
    assert load_analysis(KEY[::-1], "1") is None


@pytest.mark.parametrize(
    "damage", [b"", b"\xff\xfe\x00", b"SQLite format 3\0", b"{" * 100_000, bytes(8192)]
)
def test_damaged_cache_is_begun_anew(damage: bytes) -> None:
    """A cache file that is none is as good as absent, and makes room for a new one."""
    save_analysis(KEY, "1", ANALYSIS)
    the_file().write_bytes(damage)
    assert load_analysis(KEY, "1") is None
    assert save_analysis(KEY, "1", ANALYSIS)
    assert load_analysis(KEY, "1") == ANALYSIS


def test_database_of_others_is_not_written_into() -> None:
    """A database that something else left in the place of the cache gives no analysis."""
    the_file().parent.mkdir(parents=True)
    with closing(sqlite3.connect(the_file())) as database:
        database.execute("CREATE TABLE analyses (key, method, made_at, data, digest)")
        database.execute("INSERT INTO analyses VALUES (?, '1', 0, x'00', x'00')", (KEY,))
        database.commit()
    assert load_analysis(KEY, "1") is None
    assert save_analysis(KEY, "1", ANALYSIS)
    assert load_analysis(KEY, "1") == ANALYSIS


@pytest.mark.long
def test_every_flipped_bit_is_noticed() -> None:
    """Whatever bit of the cache flips, what comes back is what was saved, or nothing.

    And after it the cache works again.
    """
    for number in range(3):
        save_analysis(f"{number:032}", "1", ANALYSIS)
    whole = the_file().read_bytes()
    generator = random.Random(16)
    for _ in range(300):
        damaged = bytearray(whole)
        damaged[generator.randrange(len(whole))] ^= 1 << generator.randrange(8)
        the_file().write_bytes(damaged)
        for number in range(3):
            assert load_analysis(f"{number:032}", "1") in (ANALYSIS, None)
        assert save_analysis(KEY, "1", ANALYSIS)
        assert load_analysis(KEY, "1") == ANALYSIS


def test_data_that_are_no_analysis_are_absent() -> None:
    """What was kept by another version of the records is absent, though whole."""
    old = zlib.compress(json.dumps({"duration_s": 3}).encode())
    digest = pack(KEY, "1", ANALYSIS)[1]
    assert unpack(KEY, "1", old, digest) is None
    for text in (b"[" * 100_000, b'{"duration_s": 3}', b"\xff"):
        data = zlib.compress(text)
        assert unpack(KEY, "1", data, digest_of(KEY, "1", data)) is None
    assert unpack(KEY, "1", b"not compressed", digest_of(KEY, "1", b"not compressed")) is None


def digest_of(*parts: str | bytes) -> bytes:
    """Return the BLAKE2b digest, 16 bytes, of parts that each follow their length."""
    digest = hashlib.blake2b(digest_size=16)
    for part in parts:
        data = part.encode() if isinstance(part, str) else part
        digest.update(struct.pack("<Q", len(data)) + data)
    return digest.digest()


@pytest.mark.long
def test_many_processes_write_at_once(tmp_path: Path) -> None:
    """Processes that begin the cache together all have their analyses in it afterwards."""
    code = (
        "import pickle, sys; from aquatempo.store.analyses import save_analysis\n"
        "analysis = pickle.load(open(sys.argv[1], 'rb'))\n"
        "sys.stdin.read(1)\n"
        "ok = [save_analysis(f'{sys.argv[2]}-{n}', '1', analysis) for n in range(10)]\n"
        "sys.exit(0 if all(ok) else 1)\n"
    )
    (tmp_path / "analysis").write_bytes(pickle.dumps(ANALYSIS))
    command = [sys.executable, "-c", code, str(tmp_path / "analysis")]
    processes = [subprocess.Popen([*command, str(n)], stdin=subprocess.PIPE) for n in range(4)]
    for process in processes:
        process.communicate(b"x")
    assert [process.returncode for process in processes] == [0] * 4
    assert rows() == 40


def test_cache_that_cannot_be_written_stops_nothing(folders: Path) -> None:
    """Where the cache folder cannot be made, saving says so and raises nothing."""
    (folders / "cache").write_text("a file in the way")
    assert not save_analysis(KEY, "1", ANALYSIS)
    assert load_analysis(KEY, "1") is None


def test_old_readings_make_room() -> None:
    """Readings of one track by ever new methods do not pile up; other tracks stay."""
    save_analysis(KEY[::-1], "1", ANALYSIS)
    for version in range(KEPT_A_TRACK + 3):
        save_analysis(KEY, str(version), ANALYSIS)
    assert rows() == KEPT_A_TRACK + 1
    assert load_analysis(KEY, str(KEPT_A_TRACK + 2)) == ANALYSIS
    assert load_analysis(KEY[::-1], "1") == ANALYSIS


@pytest.mark.skipif(sys.platform == "win32", reason="Windows asks the system, not HOME")
def test_folders_ignore_relative_variables(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A relative XDG variable is ignored, as its specification says; absolute ones are taken."""
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert cache_folder().is_relative_to(tmp_path / "home")
    assert cache_folder() != tmp_path / "home"
    assert data_folder() == tmp_path / "data" / "aquatempo"
