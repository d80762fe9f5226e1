"""What clashes is named with its line, and the change proposed does help."""

from __future__ import annotations

import re

import pytest
from planning_music import folder, made_track

from aquatempo.documents.brief import read_brief_text
from aquatempo.errors import InfeasibleError
from aquatempo.planning.class_plan import plan_class
from aquatempo.planning.infeasible import least_clash
from aquatempo.planning.late import trim_late
from aquatempo.records.plan import (
    Brief,
    Intervals,
    IntervalUnit,
    PartBrief,
    PartName,
)


def test_the_clash_is_the_least() -> None:
    """Of five asks, the two that together fail are named, the others are not."""
    asks = ["minutes", "depth", "tempo", "floor", "banned"]
    assert least_clash(asks, lambda on: {"depth", "floor"} <= on) == ["depth", "floor"]


@pytest.mark.long
def test_too_little_music_names_the_minutes_and_what_would_do() -> None:
    """3 songs of 2 minutes cannot fill 50; the minutes proposed can be filled."""
    tracks = folder([120, 128, 136], 7, 1)
    brief = read_brief_text("brief.toml", 'title = "Tuesday group"\nminutes = 50\n')
    with pytest.raises(InfeasibleError) as caught:
        plan_class(tracks, brief.brief, lines=brief.lines)
    text = str(caught.value)
    assert text.startswith("no plan fits: line 2: minutes = 50; 3 usable tracks of")
    found = re.search(r"Least change: minutes = (\d+), or add (\d+) minutes", text)
    assert found
    assert plan_class(tracks, Brief(minutes=float(found[1]))).tracks


def test_a_range_without_music_names_its_line_and_a_range_that_works() -> None:
    """No song near 160-170: the line is named, and the range proposed is met."""
    text = (
        "minutes = 5\n"
        '[[parts]]\nname = "warm-up"\nminutes = 1.5\n'
        '[[parts]]\nname = "main"\nminutes = 3.5\ntempo = "160-170"\n'
    )
    brief = read_brief_text("brief.toml", text)
    tracks = folder([120, 128, 136], 7, 1)
    with pytest.raises(InfeasibleError) as caught:
        plan_class(tracks, brief.brief, lines=brief.lines)
    assert "line 8: tempo 160-170 of the main" in caught.value.clashes
    proposed = re.search(r'tempo = "(\d+)-(\d+)" for the main', caught.value.remedy)
    assert proposed
    wider = read_brief_text("brief.toml", text.replace("160-170", f"{proposed[1]}-{proposed[2]}"))
    assert plan_class(tracks, wider.brief).tracks


def test_too_few_moves_names_them_and_the_move_that_helps() -> None:
    """One allowed move is not enough; with the one proposed there is a plan."""
    tracks = folder([122, 130], 6, 1)
    brief = read_brief_text("brief.toml", 'minutes = 3.5\nallowed_moves = ["jack"]\n')
    with pytest.raises(InfeasibleError) as caught:
        plan_class(tracks, brief.brief, lines=brief.lines)
    assert caught.value.clashes[0] == "line 2: allowed_moves = jack"
    proposed = re.search(r"Least change: allow ([\w-]+)\.", caught.value.remedy)
    assert proposed
    assert plan_class(tracks, Brief(minutes=3.5, allowed_moves=("jack", proposed[1]))).tracks


def test_a_floor_that_no_move_keeps_is_lowered_by_the_least() -> None:
    """Two straight-leg moves at a floor of 1.0 in fast music: the floor proposed works."""
    tracks = folder([147, 149], 6, 1)
    brief = Brief(
        minutes=3.0,
        range_floor=1.0,
        allowed_moves=("knee-lift", "leap", "tuck"),
        parts=(PartBrief(PartName.MAIN, 3.0),),
    )
    with pytest.raises(InfeasibleError) as caught:
        plan_class(tracks, brief, lines={})
    assert any(clash.startswith("range_floor = 1") for clash in caught.value.clashes)
    assert "Least change" in caught.value.remedy


def test_without_a_beat_there_is_no_class() -> None:
    """Tracks that hold no phrase are named with the reason."""
    tracks = [made_track("Speech", None, (), (), 10.0)]
    with pytest.raises(InfeasibleError, match="no beat was heard and it is shorter"):
        plan_class(tracks, Brief())


def test_intervals_longer_than_the_class_propose_fewer_sets() -> None:
    """20 sets of 2 minutes do not fit 30 minutes; the number proposed does."""
    brief = Brief(minutes=30.0, intervals=Intervals(90, 30, 20, IntervalUnit.SECONDS))
    with pytest.raises(InfeasibleError, match=r"20 sets of intervals take 40\.0 minutes") as caught:
        plan_class(folder([120], 4), brief)
    fewer = re.search(r"sets = (\d+)", caught.value.remedy)
    assert fewer
    assert int(fewer[1]) * 2.0 <= 30.0


def test_a_class_cannot_start_later_than_its_main_part_gives() -> None:
    """As much as the error proposes can be dropped, and no more than that."""
    plan = plan_class(folder([120, 128, 136, 94], 5, 3), Brief(minutes=5.5))
    with pytest.raises(InfeasibleError) as caught:
        trim_late(plan, 5.0)
    most = re.search(r"late by ([\d.]+) minutes at most", caught.value.remedy)
    assert most
    assert trim_late(plan, float(most[1])).tracks


def test_no_class_is_planned_in_water_too_hot_to_work_in() -> None:
    """Above 34 C there is no aerobic work (common practice, no source): the line is named."""
    text = "[pool]\ntemperature = 35\n"
    file = read_brief_text("brief.toml", text)
    with pytest.raises(InfeasibleError) as caught:
        plan_class(folder([120, 128, 136], 7, 1), file.brief, lines=file.lines)
    assert caught.value.clashes[0] == "line 2: temperature = 35"
    assert caught.value.remedy.startswith("Least change: temperature = 34")
