"""The cache of analyses: remembered by content and method, never trusted blindly."""

from __future__ import annotations

import sys
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
from aquatempo.store.analyses import KEPT_A_TRACK, load_analysis, save_analysis
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
    """Return the only file of the cache."""
    (path,) = (cache_folder() / "analyses").iterdir()
    return path


def test_analysis_is_remembered_exactly() -> None:
    """What was saved comes back equal, for the same content and method only."""
    assert load_analysis(KEY, "1") is None
    assert save_analysis(KEY, "1", ANALYSIS)
    assert load_analysis(KEY, "1") == ANALYSIS
    assert load_analysis(KEY, "1 expect 120-150") is None
    assert load_analysis(KEY[::-1], "1") is None


@pytest.mark.parametrize(
    "damage",
    [
        b"",
        b"\xff\xfe\x00",
        b"[]",
        b"[" * 100_000,
        b'{"method": "1"}',
        b'{"method": "1", "analysis": {"duration_s": 3}}',
        b'{"method": "another", "analysis": null}',
    ],
)
def test_damaged_cache_is_as_good_as_absent(damage: bytes) -> None:
    """A damaged, foreign or outdated cache file is ignored and can be written anew."""
    save_analysis(KEY, "1", ANALYSIS)
    the_file().write_bytes(damage)
    assert load_analysis(KEY, "1") is None
    assert save_analysis(KEY, "1", ANALYSIS)
    assert load_analysis(KEY, "1") == ANALYSIS


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
    assert len(list((cache_folder() / "analyses").iterdir())) == KEPT_A_TRACK + 1
    assert load_analysis(KEY, str(KEPT_A_TRACK + 2)) == ANALYSIS
    assert load_analysis(KEY[::-1], "1") == ANALYSIS


def test_no_temporary_file_stays() -> None:
    """Saving leaves the cache file and nothing else."""
    save_analysis(KEY, "1", ANALYSIS)
    assert the_file().name.startswith(KEY)


@pytest.mark.skipif(sys.platform == "win32", reason="Windows asks the system, not HOME")
def test_folders_ignore_relative_variables(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A relative XDG variable is ignored, as its specification says; absolute ones are taken."""
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert cache_folder().is_relative_to(tmp_path / "home")
    assert cache_folder() != tmp_path / "home"
    assert data_folder() == tmp_path / "data" / "aquatempo"
