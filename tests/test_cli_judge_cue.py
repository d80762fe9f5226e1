"""``aquatempo judge`` and ``aquatempo cue`` as people and machines see them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from conftest import Command

SAMPLE = str(Path(__file__).parent.parent / "sample_audio" / "first_lengths.ogg")
SHEET = """\
title = "Morning Lanes"
length = "3:20"
tempo_bpm = 132.0
first_count_1_s = 1.25
"""


def test_judge_json(aquatempo: Command) -> None:
    """``judge --json`` is one object: what was asked, and a verdict a move and tempo option."""
    run = aquatempo("judge", "132", "--move", "jack", "--depth", "4ft", "--json")
    data = json.loads(run.stdout)
    assert data["schema"] == "aquatempo/judge/1"
    assert data["pool"]["depth_m"] == pytest.approx(4 * 0.3048)  # international foot, exact
    assert [verdict["pattern"] for verdict in data["verdicts"]] == ["1", "2", "4"]
    ranges = [verdict["range_kept"]["median"] for verdict in data["verdicts"]]
    assert ranges == sorted(ranges)  # more counts a movement never cost range
    assert [v["movements_per_minute"][0] for v in data["verdicts"]] == [132, 66, 33]


def test_water_over_the_heads_is_a_deep_class(aquatempo: Command) -> None:
    """Nobody stands in 2.2 m: what is judged are the moves of a deep class, said or not."""
    untold, told = (
        json.loads(aquatempo("judge", "120", "--depth", "2.2", *more, "--json").stdout)
        for more in ((), ("--deep",))
    )
    assert untold["pool"]["kind"] == "deep"
    assert untold == told


def test_judge_takes_a_track_sheet(aquatempo: Command, tmp_path: Path) -> None:
    """A track sheet's tempo is judged as if it were typed."""
    (tmp_path / "lanes.toml").write_text(SHEET, encoding="utf-8")
    arguments = ("--move", "jog", "--json")
    by_sheet = json.loads(aquatempo("judge", "lanes.toml", *arguments).stdout)
    by_tempo = json.loads(aquatempo("judge", "132", *arguments).stdout)
    assert by_sheet["verdicts"] == by_tempo["verdicts"]


def test_judge_group_matters(aquatempo: Command) -> None:
    """An older group keeps no more range than a younger one (strength falls with age)."""
    kept = []
    for ages in ("25-30", "75-80"):
        run = aquatempo("judge", "150", "--move", "jack", "--ages", ages, "--json")
        kept.append(json.loads(run.stdout)["verdicts"][0]["range_kept"]["median"])
    assert kept[1] <= kept[0]


@pytest.mark.parametrize("width", [60, 80, 200])
@pytest.mark.parametrize(
    "arguments",
    [("judge", "132"), ("judge", "132", "--move", "jack"), ("cue", SAMPLE, "--move", "jack")],
    ids=["grid", "details", "timeline"],
)
def test_fits_the_terminal(aquatempo: Command, width: int, arguments: tuple[str, ...]) -> None:
    """Every view keeps to the width of the terminal."""
    run = aquatempo(*arguments, env={"COLUMNS": str(width)})
    assert run.returncode == 0, run.stderr
    assert max(len(line.rstrip()) for line in run.stdout.splitlines()) <= width


def test_judge_says_once_that_it_estimates(aquatempo: Command) -> None:
    """The view for people says, once, that these are estimates and clear nobody."""
    assert aquatempo("judge", "132").stdout.count("clear nobody") == 1


def test_judge_plot(aquatempo: Command, tmp_path: Path) -> None:
    """``--plot`` draws the moves named, and asks for names where there are none."""
    assert aquatempo("judge", "132", "--plot", "a.svg").returncode == 2
    run = aquatempo("judge", "132", "--move", "jack", "--plot", "a.svg")
    assert run.returncode == 0, run.stderr
    assert "Jack" in (tmp_path / "a.svg").read_text(encoding="utf-8")


def test_cue_json(aquatempo: Command) -> None:
    """Every change is on a beat, and each call for it ends before it starts."""
    run = aquatempo("cue", SAMPLE, "--move", "jack", "--move", "knee lift:2-2-4", "--json")
    data = json.loads(run.stdout)
    assert data["schema"] == "aquatempo/cues/1"
    changes = data["changes"]
    assert {"jack", "knee-lift"} <= {change["move"] for change in changes}
    for change in changes:
        assert change["time_s"] == pytest.approx(data["beats_s"][change["beat"]], abs=1e-3)
    for cue in data["cues"]:
        if cue["kind"] != "count 1":
            assert cue["end_s"] <= changes[cue["change"]]["time_s"]


def test_cue_teaches_each_request_in_order(aquatempo: Command, tmp_path: Path) -> None:
    """One move asked for four times in three forms: each comes, in order, at its own counts."""
    (tmp_path / "lanes.toml").write_text(SHEET, encoding="utf-8")
    moves = "jack:2, jack+tempo=half, jack+hands=fist, jack:2"
    run = aquatempo("cue", "lanes.toml", "--moves", moves, "--json")
    assert run.returncode == 0, run.stderr
    changes = json.loads(run.stdout)["changes"]
    assert [(change["pattern"], change["variation"]) for change in changes][:4] == [
        *(("2", []), ("4", [["tempo", "half"]])),
        *(("2", [["hands", "fist"]]), ("2", [])),
    ]


def test_cue_chooses_moves_that_fit(aquatempo: Command) -> None:
    """Without moves given, a few are chosen, and the same ones each time."""
    first, second = (aquatempo("cue", SAMPLE, "--json") for _ in range(2))
    assert first.returncode == 0, first.stderr
    assert first.stdout == second.stdout
    assert json.loads(first.stdout)["changes"]


def test_cue_takes_a_track_sheet(aquatempo: Command, tmp_path: Path) -> None:
    """A track sheet gets calls, too, and they are marked as resting on what was entered."""
    (tmp_path / "lanes.toml").write_text(SHEET, encoding="utf-8")
    run = aquatempo("cue", "lanes.toml", "--move", "jog", "--move", "jack", "--json")
    assert run.returncode == 0, run.stderr
    assert json.loads(run.stdout)["origin"] == "entered"


def test_silent_calls_have_no_words(aquatempo: Command) -> None:
    """``--silent`` leaves the signs and drops every spoken word."""
    run = aquatempo("cue", SAMPLE, "--move", "jack", "--move", "jog", "--silent", "--json")
    cues = json.loads(run.stdout)["cues"]
    assert not any(cue["words"] for cue in cues)
    assert any(cue["sign"] for cue in cues)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("judge", "132", "--depth", "120"), "depth 120 m: needs 0.5 to 5 m (did you mean centi"),
        (("judge", "132", "--depth", "deepish"), "needs metres (1.2), 120cm, 4ft"),
        (("judge", "-5"), "tempo -5 bpm"),
        (("judge", "132", "--move", "jakc"), "did you mean 'jack'?"),
        (("judge", "132", "--move", "jack:2-x"), "needs counts a movement"),
        (("judge", "132", "--move", "jack+hand=fist"), "did you mean 'hands'?"),
        (("judge", "132", "--move", "jack+hands=fists"), "did you mean 'fist'?"),
        (("judge", "132", "--heights", "1.90-1.50"), "needs the smaller end first"),
        (("judge", "132", "--heights", "170"), "did you mean centimetres?"),
        (("judge", "132", "--masses", "300"), "did you mean pounds"),
        (("judge", "132", "--temperature", "84"), "did you mean Fahrenheit"),
        (("judge", "132", "--intensity", "mad"), "no intensity named 'mad'"),
        (("judge", "132", "--women", "30"), "30 women in a group of 20"),
        (("judge", "132", "--women", "9" * 400), "a number of 400 characters"),
        (("judge", "gone.mp3"), "there is no such file"),
        (("judge", "132", "--own-moves", "gone.toml"), "gone.toml"),
        (("cue", "gone.toml"), "gone.toml"),
        (("cue", SAMPLE, "--move", "jakc"), "did you mean 'jack'?"),
        (("cue", SAMPLE, "--language", "xx"), "xx"),
    ],
)
def test_values_that_make_no_sense(
    aquatempo: Command, arguments: tuple[str, ...], said: str
) -> None:
    """A value that cannot be meant is one line with what is needed; exit code 1."""
    run = aquatempo(*arguments)
    assert said in run.stderr
    assert len(run.stderr.splitlines()) == 1
    assert (run.returncode, run.stdout) == (1, "")
