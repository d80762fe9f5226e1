"""Every key of a brief, read and written; borders of its numbers; slips with their lines."""

from __future__ import annotations

from dataclasses import replace

import pytest
import tomlkit

from aquatempo.documents.brief import read_brief_text
from aquatempo.documents.brief_layout import brief_table, rules_table
from aquatempo.records.brief import (
    BlockWish,
    Brief,
    BuildWay,
    Course,
    Experience,
    Favourite,
    HouseRules,
    Intervals,
    IntervalUnit,
    PartBrief,
    PartName,
    SongBrief,
)
from aquatempo.records.moves import ImpactLevel
from aquatempo.records.people import ClassDepth, Group, Intensity, Pool
from aquatempo.records.verdict import ImpactBand

FULL = """\
title = "Tuesday group"
minutes = 50.0
depth = "both"
build = "pyramid"
range_floor = 0.9
jump_minutes = 2.5
free_speed = 0.03
most_speed = 0.06
language = "de"
seed = 7
allowed_moves = ["jog", "jack", "cross-country-ski"]
banned_moves = ["jump"]
known_moves = ["jog"]
wanted_moves = ["jack"]
equipment = ["hand paddles"]
banned = ["rebound", "turn"]
allow = ["rebound"]
themes = ["legs"]
known_forms = ["jack+hands=open", "jog+arms=press+hands=open"]
rpe = "12-14.5"
max_impact = "low"
max_level = "II"
songs_used = { "Odd Lane" = 3, "First" = 0 }
endings_used = { "circle" = 520 }
[pool]
depth = "1.05-1.4"
temperature = 28.5
space = 3.5
salinity = 35.0
[group]
size = 18
women = 11
heights = "1.5-1.85"
ages = "55-78"
masses = "50-95.5"
intensity = "easy"
notes = ["two new knees"]
experience = "beginners"
[intervals]
work = 40.0
rest = 20.0
sets = 6
unit = "seconds"
[names]
jack = "scissors"
[signs]
jack = "two fingers"
[[parts]]
name = "warm-up"
minutes = 10.0
tempo = "115-125.5"
build = "layer"
rpe = "9-11"
max_impact = "none"
max_level = "III"
locked = true
[[parts]]
name = "main"
minutes = 40.0
[[songs]]
title = "Odd Lane"
part = "cool-down"
max_impact = "medium"
max_level = "I"
leave_out = true
[[songs]]
title = "First"
[[favourites]]
name = "Wave chorus"
blocks = ["16 jack", "16 cross-country-ski+hands=open"]
parts = ["main", "cool-down"]
depth = "deep"
[course]
week = 3
rpe_step = 0.5
rpe_most = 2.0
songs_after = 4
endings_after = 5
new_moves = 1
[rules]
title = "House"
allowed_moves = ["jog", "jack"]
banned_moves = ["tuck"]
banned = ["turn"]
levels = ["II", "III"]
max_impact = "high"
max_rpe = 15.0
songs = ["Odd Lane"]
songs_after = 6
warm_up_minutes = 5.0
cool_down_minutes = 4.0
"""
FULL_BRIEF = Brief(
    title="Tuesday group",
    minutes=50.0,
    depth=ClassDepth.SHALLOW,
    twin=True,
    pool=Pool(1.05, 1.4, 28.5, 35.0, ClassDepth.SHALLOW, 3.5),
    group=Group(18, 11, (1.5, 1.85), (55.0, 78.0), (50.0, 95.5), Intensity.EASY),
    group_notes=("two new knees",),
    experience=Experience.BEGINNERS,
    parts=(
        PartBrief(
            PartName.WARM_UP, 10.0, (115.0, 125.5), BuildWay.LAYER, (9.0, 11.0), ImpactBand.NONE,
            ImpactLevel("III"), True,
        ),
        PartBrief(PartName.MAIN, 40.0),
    ),
    intervals=Intervals(40.0, 20.0, 6, IntervalUnit.SECONDS),
    build=BuildWay.PYRAMID,
    allowed_moves=("jog", "jack", "cross-country-ski"),
    banned_moves=("jump",),
    known_moves=("jog",),
    wanted_moves=("jack",),
    known_forms=(("jack", "hands", "open"), ("jog", "arms", "press"), ("jog", "hands", "open")),
    equipment=("hand paddles",),
    banned=("rebound", "turn"),
    allow=("rebound",),
    themes=("legs",),
    rpe=(12.0, 14.5),
    max_impact=ImpactBand.LOW,
    max_level=ImpactLevel("II"),
    songs=(
        SongBrief("Odd Lane", PartName.COOL_DOWN, ImpactBand.MEDIUM, ImpactLevel("I"), True),
        SongBrief("First"),
    ),
    favourites=(
        Favourite(
            "Wave chorus",
            (BlockWish(16, "jack"), BlockWish(16, "cross-country-ski", (("hands", "open"),))),
            (PartName.MAIN, PartName.COOL_DOWN),
            ClassDepth.DEEP,
        ),
    ),
    course=Course(3, 0.5, 2.0, 4, 5, 1),
    rules=HouseRules(
        "House", ("jog", "jack"), ("tuck",), ("turn",),
        (ImpactLevel("II"), ImpactLevel("III")), ImpactBand.HIGH, 15.0, ("Odd Lane",), 6,
        5.0, 4.0,
    ),
    songs_used=(("Odd Lane", 3), ("First", 0)),
    endings_used=(("circle", 520),),
    move_names=(("jack", "scissors"),),
    move_signs=(("jack", "two fingers"),),
    range_floor=0.9,
    jump_minutes=2.5,
    free_speed=0.03,
    most_speed=0.06,
    language="de",
    seed=7,
)  # fmt: skip


def read(text: str) -> Brief:
    """Return the brief in a text."""
    return read_brief_text("brief.toml", text).brief


def written(brief: Brief) -> Brief:
    """Return a brief written as a file and read again."""
    return read(tomlkit.dumps(brief_table(brief)))


def test_every_key_finds_its_place() -> None:
    """A brief that says everything there is to say, each key against the record by hand."""
    assert read(FULL) == FULL_BRIEF


def test_every_key_is_written() -> None:
    """What is written has the same keys, and reads back equal."""
    table = brief_table(FULL_BRIEF)
    assert set(table) == set(tomlkit.parse(FULL).unwrap())
    assert written(FULL_BRIEF) == FULL_BRIEF
    asked = tomlkit.parse(FULL).unwrap()
    for key in ("pool", "group", "parts", "songs", "favourites", "course", "rules", "intervals"):
        assert table[key] == asked[key], key


@pytest.mark.parametrize("name", [one for one in Brief.__slots__ if one != "minutes"])
def test_each_key_is_written_alone(name: str) -> None:
    """A brief in which one thing differs from the usual one reads back equal."""
    brief = replace(Brief(most_speed=0.1), **{name: getattr(FULL_BRIEF, name)})
    brief = replace(brief, minutes=50.0) if name == "parts" else brief
    assert written(brief) == brief


@pytest.mark.parametrize("name", HouseRules.__slots__)
def test_each_rule_is_written_alone(name: str) -> None:
    """Of a coordinator's rules those are written that say something."""
    rules = replace(HouseRules(), **{name: getattr(FULL_BRIEF.rules, name)})
    assert list(rules_table(rules)) == [name]
    assert written(Brief(rules=rules)).rules == rules


def test_what_is_as_usual_is_left_out() -> None:
    """An empty brief has its title, length, depth and build, its pool and its group."""
    table = brief_table(Brief())
    assert set(table) == {"title", "minutes", "depth", "build", "pool", "group"}
    assert set(table["pool"]) == {"depth", "temperature"}
    assert table["pool"]["depth"] == 1.2
    assert table["group"] == {
        "size": 20, "women": 14, "heights": "1.5-1.9", "ages": "30-75", "masses": "55-95",
        "intensity": "steady",
    }  # fmt: skip
    assert rules_table(HouseRules()) == {}
    assert rules_table(HouseRules(max_rpe=0.0)) == {"max_rpe": 0.0}


def test_lines_are_known_of_everything_that_may_clash() -> None:
    """Keys of the class, of the pool, the group and the parts, by the names that a clash uses."""
    lines = read_brief_text("brief.toml", FULL).lines
    rows = FULL.splitlines()
    for name, text in (
        ("minutes", "minutes = 50.0"), ("pool.space", "space = 3.5"), ("group.ages", 'ages = "55'),
        ("warm-up.rpe", 'rpe = "9-11"'), ("main.minutes", "minutes = 40.0"),
    ):  # fmt: skip
        assert rows[lines[name] - 1].startswith(text)
    assert "main.rpe" not in lines
