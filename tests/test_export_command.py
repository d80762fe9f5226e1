"""``aquatempo export``: which files, whole or not at all, and nothing lost."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest
import webvtt
from conftest import Command
from hypothesis import given, settings
from hypothesis import strategies as st
from song_making import make_class, make_planned, make_song

from aquatempo.deck import songless_files
from aquatempo.deck.naming import file_stem
from aquatempo.documents.plan import write_plan
from aquatempo.errors import OutputError
from aquatempo.exports.json_text import read_cue_json
from aquatempo.moves import catalogue
from aquatempo.records.plan import ClassPlan
from aquatempo.workflow.class_source import TrackRequest, open_class
from aquatempo.workflow.exporting import USUAL_FORMATS, ExportOptions, export_class

SHEET = """
title = "Morning lanes"
length = "1:10"
tempo_bpm = 132.0
first_count_1_s = 1.25
phrases = [16, 32, 32, 8, 32]
"""
MOVES = ("--move", "knee lift", "--move", "jack")
REQUEST = TrackRequest(moves=("knee lift", "jack"))
ODD_TITLES = [
    "It's “quoted” and 'quoted'", "🏊‍♀️ 🌊", "a/b\\c:d*e?f<g>h|i", "two\nlines\ttab", "", "...",
    "CON", "朝のレーン", "ÅNGSTRÖM", "A\u030angstro\u0308m", "x" * 300, "../../up", "-rf", ".no",
]  # fmt: skip


@pytest.fixture
def sheet(tmp_path: Path) -> str:
    """Return the path of a track sheet, which needs no listening."""
    (tmp_path / "lanes.toml").write_text(SHEET, encoding="utf-8")
    return "lanes.toml"


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> ClassPlan:
    """Return a class of one track."""
    song = make_song(tmp_path_factory.mktemp("song") / "lanes.wav", 126.0)
    return make_class(make_planned(song))


def files_in(folder: Path) -> set[str]:
    """Return every file below a folder, hidden ones too, but for the list of our own results."""
    found = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    return found - {".aquatempo-results.json"}


def test_everything_is_written_and_told(aquatempo: Command, tmp_path: Path, sheet: str) -> None:
    """A track sheet gives the usual formats; the report names the files that there are."""
    run = aquatempo("export", sheet, *MOVES, "--to", "out", "--json")
    assert run.returncode == 0, run.stderr
    report = json.loads(run.stdout)
    assert report["schema"] == "aquatempo/export/1"
    written = files_in(tmp_path / "out")
    assert {str(Path(file).relative_to("out")) for file in report["files"]} == written
    assert len(written) == len(USUAL_FORMATS)
    assert all((tmp_path / file).stat().st_size > 0 for file in report["files"])
    assert report["song_files"] == []


def test_only_what_is_named_is_written(aquatempo: Command, tmp_path: Path, sheet: str) -> None:
    """``--only card,captions`` writes these two, for people with their names."""
    run = aquatempo("export", sheet, *MOVES, "--to", "out", "--only", "card, captions")
    assert run.returncode == 0, run.stderr
    assert files_in(tmp_path / "out") == {"deck_card.pdf", "tracks/01_morning_lanes.vtt"}
    assert "2 files" in run.stdout


@pytest.mark.parametrize("existing", ["deck_card.pdf", "tracks/01_morning_lanes.csv"])
def test_no_file_is_replaced_unless_forced(
    aquatempo: Command, tmp_path: Path, sheet: str, existing: str
) -> None:
    """One file in the way stops the export before anything is written; --force replaces it."""
    kept = tmp_path / "out" / existing
    kept.parent.mkdir(parents=True)
    kept.write_text("mine", encoding="utf-8")
    run = aquatempo("export", sheet, *MOVES, "--to", "out", "--only", "card,csv")
    assert (run.returncode, run.stdout) == (1, "")
    assert "exists already (give --force" in run.stderr
    assert files_in(tmp_path / "out") == {existing}
    assert kept.read_text(encoding="utf-8") == "mine"
    run = aquatempo("export", sheet, *MOVES, "--to", "out", "--only", "card,csv", "--force")
    assert run.returncode == 0, run.stderr
    assert kept.read_bytes() != b"mine"


def test_songs_come_with_the_reminder(aquatempo: Command, tmp_path: Path) -> None:
    """``--with-song`` says on stderr what follows from it; ``--only none`` leaves the rest out."""
    make_song(tmp_path / "lanes.wav", 126.0)
    arguments = ("export", "lanes.wav", *MOVES, "--to", "out", "--only", "none")
    run = aquatempo(*arguments, "--with-song", "rehearsal", "--sound", "flac")
    assert run.returncode == 0, run.stderr
    assert files_in(tmp_path / "out") == {
        "with_song/RIGHTS.txt",
        "with_song/01_lanes_rehearsal.flac",
    }
    assert "Rights to play" in run.stderr


def test_a_part_without_music_is_exported_too(tmp_path: Path, plan: ClassPlan) -> None:
    """A track counted by the clock, with no file at all, gets every file that carries no song."""
    whole = replace(plan, tracks=(replace(plan.tracks[0], title="Stretch", file=""),))
    report = export_class(whole, str(tmp_path / "out"), catalogue(), ExportOptions())
    assert len(report.files) == len(USUAL_FORMATS)
    assert "<polygon" not in (tmp_path / "out/tracks/01_stretch.svg").read_text(encoding="utf-8")


def test_an_interrupted_export_leaves_whole_files_only(
    tmp_path: Path, plan: ClassPlan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped while the page is made, the files before it stay whole; there is no piece of it."""
    made = []

    def stopped(*_: object) -> str:
        made.append(True)
        raise KeyboardInterrupt

    monkeypatch.setattr(songless_files, "_page", stopped)
    with pytest.raises(KeyboardInterrupt):
        export_class(plan, str(tmp_path / "out"), catalogue(), ExportOptions())
    assert made
    assert files_in(tmp_path / "out") == {
        "deck_card.pdf", "deck_card_compact.pdf", "deck_card_without_sound.pdf",
        "substitute_sheet.pdf",
    }  # fmt: skip


def test_a_plan_is_exported_as_it_stands(aquatempo: Command, tmp_path: Path) -> None:
    """A plan file gives the calls that the same class had before; moves beside it are refused."""
    (tmp_path / "lanes.toml").write_text(SHEET, encoding="utf-8")
    run = aquatempo("export", "lanes.toml", *MOVES, "--to", "first", "--only", "csv")
    assert run.returncode == 0, run.stderr
    write_plan(open_class(str(tmp_path / "lanes.toml"), REQUEST)[0], str(tmp_path / "plan.toml"))
    run = aquatempo("export", "plan.toml", "--to", "second", "--only", "csv")
    assert run.returncode == 0, run.stderr
    name = "tracks/01_morning_lanes.csv"
    assert (tmp_path / "first" / name).read_bytes() == (tmp_path / "second" / name).read_bytes()
    run = aquatempo("export", "plan.toml", *MOVES, "--to", "third")
    assert run.returncode == 1
    assert "is a plan and brings its moves" in run.stderr


@pytest.mark.parametrize("song_format", ["rehearsal", "mix"])
def test_a_song_interrupted_in_the_middle_leaves_no_piece(
    tmp_path: Path, plan: ClassPlan, monkeypatch: pytest.MonkeyPatch, song_format: str
) -> None:
    """Stopped while sound is being written, the file is not there, nor a temporary one."""
    import soundfile

    written = []

    def write(_: soundfile.SoundFile, block: object) -> None:
        written.append(block)
        if len(written) > 20:
            raise KeyboardInterrupt

    monkeypatch.setattr(soundfile.SoundFile, "write", write)
    options = ExportOptions(only=(), songs=(song_format,), sound="wav")
    with pytest.raises(KeyboardInterrupt):
        export_class(plan, str(tmp_path / "out"), catalogue(), options)
    assert len(written) == 21
    assert files_in(tmp_path / "out") == {"with_song/RIGHTS.txt"}


def test_a_disc_that_fills_up_is_told_and_leaves_no_piece(
    tmp_path: Path, plan: ClassPlan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that cannot be put in place is an error of ours, and its pieces are gone."""

    def full(*_: object) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OutputError, match="No space left"):
        export_class(plan, str(tmp_path / "out"), catalogue(), ExportOptions())
    assert files_in(tmp_path / "out") == set()


@pytest.mark.long
def test_odd_titles_give_plain_names_without_collisions(tmp_path: Path, plan: ClassPlan) -> None:
    """Quotes, emoji, slashes, line ends, nothing at all: each track has its own plain files."""
    tracks = tuple(replace(plan.tracks[0], title=title) for title in ODD_TITLES)
    whole = replace(plan, tracks=tracks)
    options = ExportOptions(only=("captions", "csv", "json", "card", "page"))
    report = export_class(whole, str(tmp_path / "out"), catalogue(), options)
    names = [Path(file).name for file in report.files]
    assert len({name.casefold() for name in names}) == len(names)
    assert {str(Path(file).relative_to(tmp_path / "out")) for file in report.files} == files_in(
        tmp_path / "out"
    )
    for title, file in zip(
        ODD_TITLES, sorted((tmp_path / "out/tracks").glob("*.json")), strict=True
    ):
        assert read_cue_json(file.read_text(encoding="utf-8")).title == title
        captions = webvtt.read(str(file.with_suffix(".vtt"))).captions
        assert len(captions) > 5


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=80), st.integers(1, 99))
def test_any_title_gives_a_name_that_every_system_takes(title: str, number: int) -> None:
    """A stem is short, starts with its number, and holds letters, digits and _ only."""
    stem = file_stem(number, title)
    assert stem.startswith(f"{number:02d}_")
    assert stem.replace("_", "").isalnum()
    assert len(f"{stem}_rehearsal.flac".encode()) <= 255


def test_captions_agree_with_the_data_to_the_millisecond(tmp_path: Path, plan: ClassPlan) -> None:
    """Each caption starts where its call does: webvtt-py and our JSON give the same millisecond."""
    options = ExportOptions(only=("captions", "json"))
    export_class(plan, str(tmp_path), catalogue(), options)
    timeline = read_cue_json((tmp_path / "tracks/01_lanes.json").read_text(encoding="utf-8"))
    captions = webvtt.read(str(tmp_path / "tracks/01_lanes.vtt")).captions
    starts_ms = [round(1000 * caption.start_in_seconds) for caption in captions]
    exact_ms = [
        3_600_000 * c.start_time.hours + 60_000 * c.start_time.minutes
        + 1000 * c.start_time.seconds + c.start_time.milliseconds
        for c in captions
    ]  # fmt: skip
    assert exact_ms == [round(1000 * cue.time_s) for cue in timeline.cues]
    assert len(starts_ms) == len(exact_ms)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--only", "crad"), "no export format named 'crad' (did you mean 'card'?)"),
        (("--with-song", "mixx"), "no export format with songs named 'mixx'"),
        (("--paper", "a3"), "no page size named 'a3'; known: a5, half-letter, a4, letter"),
        (("--loudness", "16"), "loudness 16 LUFS: needs -40 to -6 LUFS"),
        (("--sound", "mp3"), "no sound format named 'mp3'"),
        (("--language", "xx"), "xx"),
        (("--with-song", "rehearsal"), "'Morning lanes' has no audio file"),
        (("--move", "jakc"), "did you mean 'jack'?"),
    ],
)
def test_what_cannot_be_is_one_line(
    aquatempo: Command, tmp_path: Path, sheet: str, arguments: tuple[str, ...], said: str
) -> None:
    """A wrong value is one line with what is needed, exit code 1, and writes nothing."""
    run = aquatempo("export", sheet, "--to", "out", *arguments)
    assert said in run.stderr
    assert len(run.stderr.splitlines()) == 1
    assert (run.returncode, run.stdout) == (1, "")
    assert not (tmp_path / "out").exists()


def test_german_reaches_every_sheet(aquatempo: Command, tmp_path: Path, sheet: str) -> None:
    """``--language de`` gives German calls and labels on the page, too."""
    run = aquatempo(
        "export", sheet, *MOVES, "--to", "out", "--only", "page,captions", "--language", "de"
    )
    assert run.returncode == 0, run.stderr
    page = (tmp_path / "out/deck_page.html").read_text(encoding="utf-8")
    assert '<html lang="de">' in page
    assert "keine medizinische" in page
    assert "vier" in (tmp_path / "out/tracks/01_morning_lanes.vtt").read_text(encoding="utf-8")


def test_silent_calls_are_signs(aquatempo: Command, tmp_path: Path, sheet: str) -> None:
    """``--silent`` leaves no call with words, and each call that leads to a change with a sign."""
    run = aquatempo("export", sheet, *MOVES, "--to", "out", "--only", "csv", "--silent")
    assert run.returncode == 0, run.stderr
    with (tmp_path / "out/tracks/01_morning_lanes.csv").open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    assert {row["kind"] for row in rows} > {"warn", "count 1"}
    assert not any(row["words"] for row in rows)
    assert all(row["sign"] for row in rows if row["kind"] == "warn")
