"""``aquatempo check`` and ``aquatempo vary`` as people and machines see them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from conftest import Command

SAMPLES = Path(__file__).parent.parent / "sample_audio"


@pytest.fixture
def music(tmp_path: Path) -> Path:
    """Return a folder with two sample tracks, a text file named as a song and a sheet."""
    folder = tmp_path / "music"
    folder.mkdir()
    for name in ("first_lengths.ogg", "last_lane_slowly.ogg"):
        shutil.copy(SAMPLES / name, folder / name)
    return folder


def test_check_json(aquatempo: Command, music: Path) -> None:
    """``check --json`` gives each track with its tempo, phrase health and a fit for each class."""
    run = aquatempo("check", "music", "--json")
    data = json.loads(run.stdout)
    assert (run.returncode, data["schema"]) == (0, "aquatempo/check/1")
    assert [Path(track["file"]).stem for track in data["tracks"]] == [
        "first_lengths",
        "last_lane_slowly",
    ]
    for track in data["tracks"]:
        assert [fit["depth"] for fit in track["fits"]] == ["shallow", "deep"]
        assert all(fit["reason"] for fit in track["fits"])


def test_check_holds_tracks_against_own_ranges(aquatempo: Command, music: Path) -> None:
    """A range of the user's own decides: 132 bpm does not suit a class of 60 to 70 bpm."""
    song = "music/first_lengths.ogg"
    usual = json.loads(aquatempo("check", song, "--json").stdout)["tracks"][0]["fits"][0]
    own = aquatempo("check", song, "--shallow-range", "60-70", "--json")
    fit = json.loads(own.stdout)["tracks"][0]["fits"][0]
    assert usual["fit"].startswith("suits")
    assert (fit["fit"], fit["range_bpm"]) == ("does not suit", [60, 70])


def test_check_saves_what_suits(aquatempo: Command, music: Path, tmp_path: Path) -> None:
    """``--save`` writes a playlist of suitable tracks that ``check`` reads back."""
    arguments = ("check", "music", "--shallow-range", "125-150", "--deep-range", "125-150")
    run = aquatempo(*arguments, "--save", "good.m3u")
    assert run.returncode == 0, run.stderr
    lines = (tmp_path / "good.m3u").read_text(encoding="utf-8").splitlines()
    assert lines[0] == "#EXTM3U"
    assert [Path(line).name for line in lines if not line.startswith("#")] == ["first_lengths.ogg"]
    again = json.loads(aquatempo("check", "good.m3u", "--json").stdout)
    assert len(again["tracks"]) == 1
    refused = aquatempo(*arguments, "--save", "good.m3u")
    assert (refused.returncode, "give --force" in refused.stderr) == (1, True)


def test_check_reports_what_cannot_be_heard(aquatempo: Command, music: Path) -> None:
    """One bad file in a folder costs one line and the exit code, not the other tracks."""
    (music / "words.mp3").write_text("no music here", encoding="utf-8")
    run = aquatempo("check", "music", "--json")
    assert run.returncode == 1
    assert len(json.loads(run.stdout)["tracks"]) == 2
    assert len(run.stderr.splitlines()) == 1


@pytest.mark.long
def test_check_works_in_parallel(aquatempo_process: Command, music: Path) -> None:
    """Two processes give the same report as one."""
    one = aquatempo_process("check", "music", "--jobs", "1", "--json")
    two = aquatempo_process("check", "music", "--jobs", "2", "--json")
    assert one.returncode == two.returncode == 0, one.stderr + two.stderr
    assert one.stdout == two.stdout


@pytest.mark.parametrize("width", [60, 80, 200])
@pytest.mark.parametrize("arguments", [("check", "music"), ("vary", "jack")])
def test_fits_the_terminal(
    aquatempo: Command, music: Path, width: int, arguments: tuple[str, ...]
) -> None:
    """Both views keep to the width of the terminal."""
    run = aquatempo(*arguments, env={"COLUMNS": str(width)})
    assert run.returncode == 0, run.stderr
    assert max(len(line.rstrip()) for line in run.stdout.splitlines()) <= width


def test_vary_changes_one_thing_at_a_time(aquatempo: Command) -> None:
    """``vary --json`` has the base move once, and every other rung changes one factor."""
    data = json.loads(aquatempo("vary", "jack", "--at", "132", "--json").stdout)
    changed = [rung["factor"] for rung in data["rungs"]]
    assert changed.count("") == 1
    assert len(changed) > 25  # at least 25 variations and the base move
    assert len(set(changed)) > 6
    assert all(len(rung["verdict"]["variation"]) <= 1 for rung in data["rungs"])
    steps = [round(rung["step_met"], 1) for rung in data["rungs"]]
    assert steps == sorted(steps)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("check", "gone.m3u"), "gone.m3u"),
        (("check", ".", "--depth", "120"), "did you mean centimetres?"),
        (("check", ".", "--deep-range", "135"), "no audio in folder"),
        (("check", ".", "--deep-range", "x-y"), "needs a range such as"),
        (("check", ".", "--save", "no/such/folder/a.m3u"), "a.m3u"),
        (("vary", "jakc"), "did you mean 'jack'?"),
        (("vary", "jack", "--at", "gone.mp3"), "there is no such file"),
        (("vary", "jack", "--at", "1000"), "1000 bpm"),
    ],
)
def test_values_that_make_no_sense(
    aquatempo: Command, arguments: tuple[str, ...], said: str
) -> None:
    """A value that cannot be meant is one line with what is needed; exit code 1."""
    run = aquatempo(*arguments)
    assert said in run.stderr
    assert (run.returncode, run.stdout) == (1, "")
