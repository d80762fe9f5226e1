"""``aquatempo review`` as people and machines see it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from conftest import Command

SHEET = """\
title = "Morning Lanes"
length = "1:05"
tempo_bpm = 128.0
phrases = [32, 32, 8, 32]
"""
PLAN = """\
[brief]
title = "Tuesday group"
minutes = 3
known_moves = ["jack", "jog"]

[[tracks]]
title = "Morning Lanes"
file = "lanes.toml"
part = "main"
tempo_bpm = 128.0

[[tracks.phrases]]
start_beat = 0
counts = 32
blocks = [{ counts = 32, move = "jog", lead = "right" }]

[[tracks.phrases]]
start_beat = 32
counts = 32
blocks = [{ counts = 32, move = "jack" }]

[[tracks.phrases]]
start_beat = 64
counts = 8
kind = "bridge"
blocks = [{ counts = 8, move = "easy-jog", lead = "right" }]

[[tracks.phrases]]
start_beat = 72
counts = 32
blocks = [{ counts = 32, move = "jack", pattern = "1" }]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with a plan and the sheet of its one track."""
    (tmp_path / "lanes.toml").write_text(SHEET, encoding="utf-8")
    (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
    return tmp_path


def test_a_plan_with_warnings_is_fit_to_teach(aquatempo: Command, folder: Path) -> None:
    """Warnings are told with place and remedy and leave exit code 0; the picture is drawn."""
    run = aquatempo("review", "plan.toml", "--plot", "effort.svg", env={"COLUMNS": "80"})
    assert run.returncode == 0, run.stderr
    assert "track 1 (Morning Lanes), phrase 4: range too short" in run.stdout
    assert "Remedy: water tempo" in run.stdout
    assert max(len(line.rstrip()) for line in run.stdout.splitlines()) <= 80
    assert (folder / "effort.svg").read_text(encoding="utf-8").startswith("<svg")
    assert run.stderr.strip() == "drew effort.svg"


def test_an_unsafe_plan_exits_with_1_and_says_why_in_json(aquatempo: Command, folder: Path) -> None:
    """Work in water above 34 C is an error: exit code 1, and JSON with the finding first."""
    hot = PLAN.replace("minutes = 3", "minutes = 3\npool = { temperature = 36 }")
    (folder / "hot.toml").write_text(hot, encoding="utf-8")
    run = aquatempo("review", "hot.toml", "--json")
    assert run.returncode == 1
    data = json.loads(run.stdout)
    assert data["schema"] == "aquatempo/review/1"
    assert data["fit_to_teach"] is False
    assert data["findings"][0]["fault"] == "water too warm"
    assert data["findings"][0]["severity"] == "error"


def test_songs_that_are_gone_are_named_and_the_rest_is_reviewed(
    aquatempo: Command, folder: Path
) -> None:
    """A missing song is one line on stderr; the plan is reviewed without its calls."""
    (folder / "lanes.toml").unlink()
    run = aquatempo("review", "plan.toml", "--json")
    assert run.returncode == 0
    assert "there is no 'lanes.toml'" in run.stderr
    assert len(run.stderr.strip().splitlines()) == 1
    faults = {one["fault"] for one in json.loads(run.stdout)["findings"]}
    assert "range too short" in faults


def test_another_kind_of_file_is_one_line(aquatempo: Command, tmp_path: Path) -> None:
    """A text that is no plan is refused as a whole, not reviewed line by line."""
    (tmp_path / "notes.md").write_text("# Tuesday\n\nbring the belts\n", encoding="utf-8")
    run = aquatempo("review", "notes.md")
    assert (run.returncode, run.stdout) == (1, "")
    assert run.stderr == "aquatempo: notes.md: no plan: needs one, as .toml or .plan\n"


def test_a_plan_without_tracks_says_so(aquatempo: Command, tmp_path: Path) -> None:
    """A file that has nothing of a plan yet is an error that says what it needs."""
    (tmp_path / "plan.toml").write_text("# Tuesday\n", encoding="utf-8")
    run = aquatempo("review", "plan.toml")
    assert run.returncode == 1
    assert "no [[tracks]]: a plan needs at least one" in run.stdout


def test_a_slip_in_the_plan_names_its_line(aquatempo: Command, folder: Path) -> None:
    """A slip is an error with its line and a guess, and the rest is reviewed; exit code 1."""
    (folder / "plan.toml").write_text(PLAN.replace('"jog", lead', '"jgo", lead'), encoding="utf-8")
    run = aquatempo("review", "plan.toml")
    assert run.returncode == 1
    assert "line 15: no move named 'jgo' (did you mean 'jog'?)" in run.stdout
