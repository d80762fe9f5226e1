"""The library: nothing heard twice, nothing lost, found in plain terms."""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pyarrow.parquet
import pytest
from test_store_analyses import ANALYSIS

from aquatempo.errors import InputError, OutputError
from aquatempo.music.hearing import HeardFile
from aquatempo.records.library import LibraryProgress, Mark
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.rhythm import RhythmAnalysis, TempoSection
from aquatempo.records.track import Failure, Track
from aquatempo.workflow import library

SAMPLES = Path(__file__).parents[1] / "sample_audio"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep every test's library apart."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return tmp_path


def made(number: int, **facts: object) -> RhythmAnalysis:
    """Return an analysis of an invented track; facts replace those of the usual one."""
    return replace(ANALYSIS, tempo_bpm=100.0 + number, **facts)  # type: ignore[arg-type]


def invented(files: list[str]) -> list[HeardFile | Failure]:
    """Stand in for hearing: what an invented track holds follows from its file's name."""
    heard: list[HeardFile | Failure] = []
    for file in files:
        stem = Path(file).stem
        if stem.startswith("bad"):
            heard.append(Failure(file, f"cannot decode {file!r}"))
        else:
            number = int(stem)
            key = f"{number:032x}"
            heard.append(HeardFile(file, f"Song {number}", "Band", key, "m1", made(number)))
    return heard


def fill(folder: Path, names: list[str]) -> LibraryProgress:
    """Add files of these names, which an invented hearer hears."""
    folder.mkdir(exist_ok=True)
    for name in names:
        (folder / f"{name}.mp3").write_text(name)
    library.add_tracks([str(folder)])
    return library.hear_waiting(hearer=lambda files: iter(invented(list(files))))


def test_what_is_added_is_found_again(tmp_path: Path) -> None:
    """Added tracks come back with what was heard, page by page, in each order."""
    state = fill(tmp_path / "music", [str(number) for number in range(30)] + ["bad"])
    assert (state.heard, state.failed, state.waiting) == (30, 1, 0)
    assert state.failures[0][1].startswith("cannot decode")
    page = library.find_tracks("", order="tempo", first=10, most=5)
    assert page.total == 30
    assert [track.tempo_bpm for track in page.tracks] == [110.0, 111.0, 112.0, 113.0, 114.0]
    assert page.tracks[0].files == (str(tmp_path / "music" / "10.mp3"),)
    found = library.find_tracks("120-125 bpm").tracks
    assert sorted(track.title for track in found) == [f"Song {n}" for n in range(20, 26)]
    (track,) = library.library_tracks("107 bpm")
    assert isinstance(track, Track)
    assert track.analysis == made(7)


def test_known_files_are_passed_over_changed_ones_heard_again(tmp_path: Path) -> None:
    """Adding a folder again hears what is new, changed or failed, and nothing else."""
    fill(tmp_path / "music", ["1", "2", "bad"])
    (tmp_path / "music" / "2.mp3").write_text("changed")
    (tmp_path / "music" / "3.mp3").write_text("new")
    noted, failures = library.add_tracks([str(tmp_path / "music"), str(tmp_path / "gone.mp3")])
    assert noted == 3  # changed, new, and the one that failed
    assert [failure.file for failure in failures] == [str(tmp_path / "gone.mp3")]
    assert library.add_tracks([str(tmp_path / "music")], again=True)[0] == 4


def test_stopped_work_goes_on(tmp_path: Path) -> None:
    """Work that is told to stop keeps what it had, and goes on where it was."""
    folder = tmp_path / "music"
    folder.mkdir()
    for number in range(10):
        (folder / f"{number}.mp3").touch()
    library.add_tracks([str(folder)])
    asked: list[str] = []

    def hearer(files: object) -> object:
        for file in files:  # type: ignore[attr-defined]
            asked.append(file)
            yield from invented([file])

    state = library.hear_waiting(hearer=hearer, go_on=lambda now: now.heard < 4)  # type: ignore[arg-type]
    assert (state.heard, state.waiting) == (4, 6)
    state = library.hear_waiting(hearer=hearer)  # type: ignore[arg-type]
    assert (state.heard, state.waiting) == (10, 0)
    assert sorted(asked) == sorted(set(asked))  # each once


def test_same_sound_in_two_places_is_one_track(tmp_path: Path) -> None:
    """A copy of a song adds a place to its track, not a track."""
    folder = tmp_path / "music"
    (folder / "below").mkdir(parents=True)
    for place in (folder, folder / "below"):
        (place / "1.mp3").touch()
    library.add_tracks([str(folder)])
    library.hear_waiting(hearer=lambda files: iter(invented(list(files))))
    (track,) = library.find_tracks().tracks
    assert track.files == (str(folder / "1.mp3"), str(folder / "below" / "1.mp3"))


def test_names_that_are_no_text_come_back(tmp_path: Path) -> None:
    """A file whose name is no UTF-8 keeps it to the byte."""
    name = os.fsdecode(b"\xe9\xff 1.mp3")
    try:
        (tmp_path / name).touch()
    except OSError:
        pytest.skip("names are text on this file system")
    library.add_tracks([str(tmp_path)])
    library.hear_waiting(
        hearer=lambda files: iter([HeardFile(f, f, "", "k", "m", ANALYSIS) for f in files])
    )
    assert library.find_tracks().tracks[0].files == (str(tmp_path / name),)


def test_marks_are_put_on_found_and_taken_off(tmp_path: Path) -> None:
    """Tags, rights with a last day, and approvals are kept and asked for."""
    fill(tmp_path / "music", ["1", "2", "3"])
    rights = Mark("rights", "licence of the pool", "2027-12-31")
    assert library.mark_tracks("Song 1", [Mark("tag", "Warm-up"), rights]) == 1
    assert library.mark_tracks("", [Mark("approval", "Ann")]) == 3

    def titles(query: str) -> list[str]:
        return [track.title for track in library.find_tracks(query).tracks]

    assert titles("tag warm-up") == ["Song 1"]
    assert titles("not tag warm-up") == ["Song 2", "Song 3"]
    assert titles("rights on 2027-12-31") == ["Song 1"]
    assert titles("rights on 2028-01-01") == []
    assert titles("no rights") == ["Song 2", "Song 3"]
    assert titles("approved by Ann, not tag warm-up") == ["Song 2", "Song 3"]
    assert library.mark_tracks("Song 2", [Mark("approval", "Ann")], drop=True) == 1
    assert titles("approved") == ["Song 1", "Song 3"]


def test_verdicts_follow_the_stated_pool(tmp_path: Path) -> None:
    """Tracks are judged for the usual pools and for those that are stated, anew when restated."""
    fill(tmp_path / "music", ["30", "90"])  # 130 and 190 bpm
    assert [t.title for t in library.find_tracks("suits shallow").tracks] in ([], ["Song 30"])
    assert {v.pool for v in library.find_tracks().tracks[0].verdicts} == {"shallow", "deep"}
    assert library.state_pool("Lindenbad", Pool(depth_m=1.1)) == 2
    assert library.state_pool("Lindenbad", Pool(depth_m=2.2, kind=ClassDepth.DEEP)) == 2
    assert library.stated_pools()["Lindenbad"][0].kind is ClassDepth.DEEP
    assert library.find_tracks("not may suit lindenbad, >= 180 bpm").total == 1
    with pytest.raises(
        InputError, match="no pool named 'Lidenbad' is stated; known: deep, Lindenbad, shallow"
    ):
        library.find_tracks("suits Lidenbad")


def test_library_of_the_version_before_is_brought_up_to_date(tmp_path: Path) -> None:
    """A library of version 2 answers as before, and a copy of it as it was is kept."""
    fill(tmp_path / "music", [str(number) for number in range(0, 60, 10)])
    right = [library.find_tracks(query).total for query in ("suits shallow", "may suit deep")]
    assert sum(right) > 0
    ours = tmp_path / "data" / "aquatempo" / "library.sqlite"
    with closing(sqlite3.connect(ours)) as database:  # as it was before version 3
        database.executescript(
            "DROP INDEX tracks_by_tempo; ALTER TABLE tracks DROP COLUMN fits;"
            "ALTER TABLE pools DROP COLUMN place; PRAGMA user_version = 2;"
            "CREATE INDEX tracks_by_tempo ON tracks (tempo_bpm);"
            "CREATE INDEX verdicts_by_fit ON verdicts (pool, fit, track);"
            "CREATE INDEX verdicts_by_track ON verdicts (track, pool, fit);"
        )
    again = [library.find_tracks(query).total for query in ("suits shallow", "may suit deep")]
    assert again == right
    assert ours.with_name("library.sqlite.version-2").exists()


def test_corrections_change_what_is_found(tmp_path: Path) -> None:
    """Facts are those after corrections, which stay the text that they are."""
    from aquatempo.records.corrections import Corrections, TempoMark
    from aquatempo.store.correction_files import save_corrections

    save_corrections(f"{20:032x}", Corrections(tempi=(TempoMark(60.0),)), "Song 20", 180.0)
    beats_s = tuple(0.5 * beat for beat in range(1, 321))
    song = made(20, beats_s=beats_s, beats_inferred=(False,) * 320, evidence=None)
    song = replace(song, tempo_sections=(TempoSection(0.0, 180.25, 120.0, 0.97),))
    (tmp_path / "song.mp3").touch()
    library.add_tracks([str(tmp_path / "song.mp3")])
    library.hear_waiting(
        hearer=lambda files: (HeardFile(f, "", "", f"{20:032x}", "m1", song) for f in files)
    )
    (track,) = library.find_tracks("corrected").tracks
    assert track.tempo_bpm == pytest.approx(60.0)


def test_tables_read_back(tmp_path: Path) -> None:
    """CSV, Parquet and M3U hold the tracks of a query, read back by other readers."""
    fill(tmp_path / "music", ["1", "2", "3"])
    out = str(tmp_path / "a.parquet")
    assert library.export_library(out, ">= 102 bpm") == 2
    rows = pyarrow.parquet.read_table(out).to_pylist()
    assert [row["title"] for row in rows] == ["Song 2", "Song 3"]
    assert rows[0]["tempo_bpm"] == 102.0
    assert library.export_library(str(tmp_path / "a.m3u"), "") == 3
    assert (tmp_path / "a.m3u").read_text().splitlines()[2] == "music/1.mp3"
    with pytest.raises(InputError, match=r"needs a name that ends in \.csv or \.parquet"):
        library.export_library(str(tmp_path / "song.mp3"))


def test_backup_is_a_library(tmp_path: Path) -> None:
    """A copy is whole, is one file, and opens as a library."""
    fill(tmp_path / "music", ["1", "2"])
    target = str(tmp_path / "copy.sqlite")
    library.backup_library(target)
    assert sorted(p.name for p in tmp_path.glob("copy*")) == ["copy.sqlite"]
    assert library.find_tracks(library=target).total == 2
    with pytest.raises(OutputError, match="exists already"):
        library.backup_library(target)


def test_damage_is_found_and_mended(tmp_path: Path) -> None:
    """What is damaged is named; what can be heard again waits for it; the rest stays."""
    fill(tmp_path / "music", ["1", "2"])
    library.mark_tracks("", [Mark("tag", "slow")])
    assert library.look_over() == ()
    path = tmp_path / "data" / "aquatempo" / "library.sqlite"
    with closing(sqlite3.connect(path)) as database:
        database.execute("UPDATE analyses SET data = data || x'00' WHERE key LIKE '%1'")
        database.execute("UPDATE marks SET value = 'slew' WHERE track = 2")
        database.commit()
    assert library.look_over(mend=True) == (
        "'Song 1': what was heard is damaged: hear it again",
        "'Song 2': tags, rights or approvals are damaged: look them over",
    )
    assert library.progress_of().waiting == 1


def test_library_of_another_is_refused(tmp_path: Path) -> None:
    """A database that is none of ours, or of a later version, is refused and not touched."""
    path = tmp_path / "other.sqlite"
    with closing(sqlite3.connect(path)) as database:
        database.execute("CREATE TABLE tracks (x)")
        database.commit()
    before = path.read_bytes()
    with pytest.raises(InputError, match="is not the library of aquatempo"):
        library.find_tracks(library=str(path))
    assert path.read_bytes() == before
    fill(tmp_path / "music", ["1"])
    ours = tmp_path / "data" / "aquatempo" / "library.sqlite"
    with closing(sqlite3.connect(ours)) as database:
        database.execute("PRAGMA user_version = 99")
    with pytest.raises(InputError, match="is of version 99, this aquatempo knows 3"):
        library.find_tracks()


@pytest.mark.long
def test_real_tracks_by_the_command(tmp_path: Path) -> None:
    """The command adds real songs; what it finds is what listen hears."""
    music = tmp_path / "music"
    music.mkdir()
    for name in ("odd_lane.ogg", "first_lengths.ogg"):
        shutil.copy(SAMPLES / name, music)
    (music / "no_song.mp3").write_text("text")

    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "aquatempo", *arguments],
            capture_output=True,
            text=True,
            check=False,
            cwd=tmp_path,
        )

    added = run("library", "add", "music")
    assert added.returncode == 1
    assert "2 files heard, 1 failed, 0 wait" in added.stderr
    assert "this is a text file, renamed?" in added.stderr
    found = json.loads(run("library", "find", "126 bpm", "--json").stdout)
    heard = json.loads(run("listen", "music/odd_lane.ogg", "--json").stdout)
    assert [track["title"] for track in found["tracks"]] == ["odd lane"]
    assert found["tracks"][0]["tempo_bpm"] == heard["tempo_bpm"]
    assert found["tracks"][0]["content_key"] == heard["content_key"]
    listed = run("library", "list")
    assert "2 tracks, page 1 of 1" in listed.stdout


@pytest.mark.long
@pytest.mark.skipif(sys.platform == "win32", reason="processes are killed otherwise there")
def test_killed_at_random_moments_nothing_is_lost(tmp_path: Path) -> None:
    """A process that fills the library and is killed leaves it whole, each track once."""
    code = (
        "import sys, time; sys.path.insert(0, sys.argv[1])\n"
        "from test_library import invented; from aquatempo.workflow import library\n"
        "library.hear_waiting(hearer=lambda files: (time.sleep(0.005) or invented([f])[0] "
        "for f in files))\n"
    )
    music = tmp_path / "music"
    music.mkdir()
    for number in range(150):
        (music / f"{number}.mp3").touch()
    library.add_tracks([str(music)])
    before = 0
    generator = random.Random(5)
    for _ in range(30):
        process = subprocess.Popen([sys.executable, "-c", code, str(Path(__file__).parent)])
        until = time.monotonic() + 60
        while library.progress_of().heard == before and time.monotonic() < until:
            time.sleep(0.02)
        time.sleep(generator.uniform(0, 0.3))
        process.send_signal(signal.SIGKILL)
        process.wait()
        state = library.progress_of()
        assert state.heard >= before
        assert state.files == 150
        assert library.look_over() == ()
        assert library.find_tracks().total == state.heard
        before = state.heard
        if not state.waiting:
            break
    assert library.hear_waiting(hearer=lambda f: iter(invented(list(f)))).heard == 150
