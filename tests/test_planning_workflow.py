"""From sheets and a brief to a plan file, and on to a late start, cues and a twin."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from conftest import Command

from aquatempo.cues import timeline
from aquatempo.deck.call_words import call_words
from aquatempo.documents.plan import read_plan
from aquatempo.errors import InputError
from aquatempo.moves import catalogue
from aquatempo.records.plan import Brief, ClassPlan
from aquatempo.workflow import planning

BRIEF = """\
title = "Tuesday group at the Lindenbad"
minutes = 5
depth = "both"
[group]
ages = "55-78"
"""
SHEETS = {"warm": 118, "work": 128, "more": 134, "slow": 92}


@pytest.fixture
def sheets(tmp_path: Path) -> list[str]:
    """Return paths of four track sheets of about 75 s in tmp_path, with a bridge each."""
    paths = []
    for title, tempo in SHEETS.items():
        text = f'title = "{title}"\nlength = 80\ntempo_bpm = {tempo}\n'
        path = tmp_path / f"{title}.toml"
        path.write_text(f"{text}phrases = [8, 32, 32, 8, 32, 8]\n", encoding="utf-8")
        paths.append(str(path))
    return paths


def test_a_plan_is_written_and_opens_with_its_beats(sheets: list[str], tmp_path: Path) -> None:
    """What is written reads back, finds its tracks, and every change can be called."""
    out = tmp_path / "plan.toml"
    report = planning.plan(sheets, Brief(minutes=5), out=str(out))
    assert report.written == (str(out),)
    opened = planning.with_analyses(read_plan(str(out)))
    assert isinstance(opened, ClassPlan)
    assert [t.title for t in opened.tracks] == [t.title for t in report.plan.tracks]
    words = call_words(catalogue())
    for track in opened.tracks:
        assert track.analysis is not None
        assert timeline(track.analysis, track, words).changes


def test_a_part_without_music_is_counted_by_the_clock(sheets: list[str], tmp_path: Path) -> None:
    """Nothing slow: the cool-down has no file, and its counts are one a second."""
    out = tmp_path / "plan.toml"
    planning.plan(sheets[:3], Brief(minutes=3.5), out=str(out))
    silent = [
        track for track in planning.with_analyses(read_plan(str(out))).tracks if not track.file
    ]
    assert silent
    assert silent[0].analysis is not None
    assert silent[0].analysis.beats_s[20] == pytest.approx(20.0)


def test_another_recording_is_refused(sheets: list[str], tmp_path: Path) -> None:
    """A content key that is not the file's stops before wrong beats are called."""
    track = planning.plan(sheets, Brief(minutes=5)).plan.tracks[0]
    from dataclasses import replace

    from aquatempo.records.track import Track
    from aquatempo.workflow import planning as module

    other = replace(track, content_key="planned")
    assert track.analysis is not None
    opened = Track(track.file, track.title, track.analysis, "found")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "open_track", lambda path, hearing: opened)
        with pytest.raises(InputError, match="not the recording that was planned"):
            planning.with_analyses(ClassPlan(Brief(), (other,)))


def test_a_missing_track_is_reported_and_left_out(sheets: list[str]) -> None:
    """What cannot be heard is a failure and a line of what was left out, no stop."""
    report = planning.plan([*sheets, "gone.mp3"], Brief(minutes=5))
    assert [failure.file for failure in report.failures] == ["gone.mp3"]
    assert any(one.title == "gone.mp3" for one in report.plan.left_out)


def test_progress_is_told(sheets: list[str]) -> None:
    """Listening and planning tell how far they are, up to the end."""
    told: list[tuple[str, int, int]] = []
    planning.plan(sheets, Brief(minutes=5), progress=lambda *step: told.append(step))
    assert ("listening", 4, 4) in told
    last = [step for step in told if step[0] == "planning"][-1]
    assert last[1] == last[2] > 1


@pytest.mark.long
def test_the_command_plans_both_depths_and_trims(
    aquatempo: Command, sheets: list[str], tmp_path: Path
) -> None:
    """Plan, twin beside it, then the same plan two minutes late; the words say so."""
    (tmp_path / "brief.toml").write_text(BRIEF, encoding="utf-8")
    run = aquatempo("plan", *sheets, "--brief", "brief.toml", "--out", "plan.toml", "--verbose")
    assert run.returncode == 0, run.stderr
    assert "wrote plan.toml" in run.stderr
    assert "wrote plan_deep.toml" in run.stderr
    assert "warm-up 1: warm, 118 bpm" in run.stdout
    assert "Twin of Tuesday group at the Lindenbad" in run.stdout
    shallow, deep = (read_plan(str(tmp_path / name)) for name in ("plan.toml", "plan_deep.toml"))
    assert [t.title for t in shallow.tracks] == [t.title for t in deep.tracks]
    late = aquatempo("plan", "plan.toml", "--late", "1", "--out", "late.toml")
    assert late.returncode == 0, late.stderr
    assert "starts 1 minutes late" in late.stdout.lower()


def test_the_command_speaks_json(aquatempo: Command, sheets: list[str]) -> None:
    """One line with the plan's fields, without the beats of its tracks."""
    run = aquatempo("plan", *sheets, "--all", "--json")
    assert run.returncode == 0, run.stderr
    data = json.loads(run.stdout)
    assert data["schema"] == "aquatempo/plan/1"
    assert len(data["tracks"]) == 4
    assert "analysis" not in data["tracks"][0]
    assert data["tracks"][0]["phrases"][0]["blocks"][0]["move"]


def test_the_command_names_the_line_that_clashes(
    aquatempo: Command, sheets: list[str], tmp_path: Path
) -> None:
    """A brief that cannot be met: exit 1, the line and the least change on stderr."""
    (tmp_path / "brief.toml").write_text('title = "T"\nminutes = 60\n', encoding="utf-8")
    run = aquatempo("plan", *sheets, "--brief", "brief.toml")
    assert run.returncode == 1
    assert "line 2: minutes = 60" in run.stderr
    assert "Least change: minutes = " in run.stderr


def test_late_takes_one_plan(aquatempo: Command) -> None:
    """--late with a brief is a wrong use of the command: exit 2."""
    assert aquatempo("plan", "a.toml", "--late", "5", "--brief", "b.toml").returncode == 2
    assert aquatempo("plan", "gone.toml", "--late", "5").returncode == 1


@pytest.mark.parametrize("wrong", [
    ["music", "--all", "--others", "2"], ["plan.toml", "--late", "5", "--others", "1"],
    ["music", "--weeks", "2", "--out", "x", "--others", "1"], ["music", "--others", "4"],
])  # fmt: skip
def test_other_classes_need_a_choice_of_songs(
    aquatempo: Command, sheets: list[str], wrong: list[str]
) -> None:
    """Not where all songs are played, nor late, nor in a course; three at the most."""
    run = aquatempo("plan", *(sheets if wrong[0] == "music" else wrong[:1]), *wrong[1:])
    assert run.returncode in (1, 2)
    assert "other" in run.stderr or "--late" in run.stderr


@pytest.mark.long
def test_other_classes_are_written_beside_the_first(
    aquatempo: Command, sheets: list[str], tmp_path: Path
) -> None:
    """Two more classes for one brief: a file each, and moves that the first has less of."""
    (tmp_path / "brief.toml").write_text('title = "T"\nminutes = 5\n', encoding="utf-8")
    run = aquatempo("plan", *sheets, "--brief", "brief.toml", "--others", "2", "--out", "a.toml")
    assert run.returncode == 0, run.stderr
    assert "wrote a_2.toml" in run.stderr
    assert "Class 3: " in run.stdout
    first, *others = (
        {
            block.move
            for track in read_plan(str(tmp_path / name)).tracks
            for phrase in track.phrases
            for block in phrase.blocks
        }
        for name in ("a.toml", "a_2.toml", "a_3.toml")
    )
    assert all(other - first for other in others)


@pytest.mark.long
def test_the_sample_brief_is_one(sheets: list[str]) -> None:
    """The brief beside the sample audio reads, and plans a class."""
    from aquatempo.documents.brief import read_brief

    path = Path(__file__).parent.parent / "sample_audio" / "brief.toml"
    read = read_brief(str(path))
    assert read.brief.title == "Tuesday group at the Lindenbad"
    assert planning.plan(sheets, read, all_once=True).plan.tracks
