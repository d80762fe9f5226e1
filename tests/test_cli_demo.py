"""``aquatempo demo``: the main job, as a newcomer meets it."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from conftest import Command


@pytest.mark.long
def test_demo_twice_over(aquatempo: Command, tmp_path: Path) -> None:
    """The demo makes tables, timelines, cards and pictures, says where, and may be run again."""
    for_people = aquatempo("demo", "--out", "out", "--without-song", env={"COLUMNS": "60"})
    assert for_people.returncode == 0, for_people.stderr
    assert f"Results are in {tmp_path / 'out'}" in for_people.stdout
    assert not (tmp_path / "out" / "with_song").exists()
    lines = [line for line in for_people.stdout.splitlines() if "Results are in" not in line]
    assert max(len(line.rstrip()) for line in lines) <= 60
    run = aquatempo("demo", "--out", "out", "--json")
    assert run.returncode == 0, run.stderr
    report = json.loads(run.stdout)
    files = {Path(file) for file in report["files"]}
    assert all((tmp_path / file).stat().st_size > 0 for file in files)
    written = {p.relative_to(tmp_path) for p in (tmp_path / "out").rglob("*") if p.is_file()}
    written.discard(Path("out/.aquatempo-results.json"))  # by which the next run knows its own
    assert written == files  # nothing left over, nothing promised and missing
    suffixes = {file.suffix for file in files}
    assert suffixes >= {".pdf", ".html", ".svg", ".vtt", ".json", ".csv"}
    with (tmp_path / "out" / "check.csv").open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    assert len(rows) == 2 * len(report["tracks"]) >= 12  # a row for each track and class
    timelines = [
        json.loads((tmp_path / f).read_text("utf-8")) for f in files if f.suffix == ".json"
    ]
    assert len(timelines) == len(report["tracks"]) + 1  # and that of the class mix
    song_files = {file.name for file in files if file.parent.name == "with_song"}
    assert {"RIGHTS.txt", "class_mix.ogg", "deck_page_with_songs.html"} <= song_files
    for timeline in timelines:
        assert timeline["changes"]
        for cue in timeline["cues"]:
            if cue["kind"] != "count 1":
                assert cue["end_s"] <= timeline["changes"][cue["change"]]["time_s"]


def test_folder_that_cannot_be_written(aquatempo: Command, tmp_path: Path) -> None:
    """A file in the place of the folder is one line and exit code 1."""
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    run = aquatempo("demo", "--out", "taken")
    assert (run.returncode, run.stdout) == (1, "")
    assert "taken" in run.stderr
    assert len(run.stderr.splitlines()) == 1
