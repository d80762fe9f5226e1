"""A brief as a file: an empty one works, and every slip is named with its line."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aquatempo.documents.brief import brief_from_table, read_brief, read_brief_text
from aquatempo.documents.brief_layout import brief_table
from aquatempo.documents.rules_file import read_rules
from aquatempo.errors import TextFileError
from aquatempo.records.people import ClassDepth, Intensity
from aquatempo.records.plan import (
    Brief,
    BuildWay,
    Intervals,
    IntervalUnit,
    PartBrief,
    PartName,
)
from aquatempo.tomltext import read_toml

TEN_LINES = """\
title = "Tuesday group at the Lindenbad"
minutes = 50
build = "layer"
banned_moves = ["jump", "cross-country ski"]
[pool]
depth = "4ft"
temperature = "84F"
[group]
size = 18
ages = "55-78"
"""


def test_an_empty_brief_works() -> None:
    """Nothing said: the usual class of 45 minutes."""
    assert read_brief_text("brief.toml", "").brief == Brief()


def test_ten_lines_say_a_class() -> None:
    """Lengths and temperatures may be in feet and Fahrenheit, moves by name."""
    read = read_brief_text("brief.toml", TEN_LINES)
    brief = read.brief
    assert (brief.minutes, brief.build) == (50, BuildWay.LAYER)
    assert brief.banned_moves == ("jump", "cross-country-ski")
    assert brief.pool.depth_m == pytest.approx(1.2192)  # 4 x 0.3048, exact
    assert brief.pool.temperature_c == pytest.approx(28.89, abs=0.005)  # (84 - 32) x 5 / 9
    assert (brief.group.size, brief.group.women) == (18, 13)  # 7 in 10, rounded
    assert brief.group.age_years == (55, 78)
    assert read.lines["banned_moves"] == 4
    assert read.lines["group.ages"] == 10


def test_every_key_is_read() -> None:
    """Parts, intervals, own names and signs, equipment and notes find their place."""
    text = """\
depth = "both"
minutes = 30
range_floor = 0.9
jump_minutes = 2
free_speed = 0.03
most_speed = 0.06
language = "de"
seed = 7
allowed_moves = ["jog", "jack", "knee lift"]
known_moves = ["jog"]
equipment = ["hand paddles"]
[group]
women = 9
heights = [1.55, 1.8]
masses = "120lb-190lb"
intensity = "easy"
notes = ["two new knees"]
[intervals]
work = 40
rest = 20
sets = 6
unit = "seconds"
[names]
jack = "scissors"
[signs]
jack = "two fingers open"
[[parts]]
name = "warm-up"
minutes = 8
tempo = "115-125"
[[parts]]
name = "main"
minutes = 22
build = "block"
"""
    brief = read_brief_text("brief.toml", text).brief
    assert brief.twin
    assert brief.depth is ClassDepth.SHALLOW
    assert brief.group.intensity is Intensity.EASY
    assert brief.group.height_m == (1.55, 1.8)
    assert brief.group_notes == ("two new knees",)
    assert brief.intervals == Intervals(40, 20, 6, IntervalUnit.SECONDS)
    assert brief.move_names == (("jack", "scissors"),)
    assert brief.parts == (
        PartBrief(PartName.WARM_UP, 8, (115, 125)),
        PartBrief(PartName.MAIN, 22, None, BuildWay.BLOCK),
    )


def test_a_deep_class_has_a_deep_pool() -> None:
    """Depth = deep alone gives a pool of 2 m and its kind."""
    brief = read_brief_text("brief.toml", 'depth = "deep"').brief
    assert brief.pool.kind is ClassDepth.DEEP
    assert brief.pool.depth_m == 2.0


@pytest.mark.parametrize(
    ("text", "line", "problem"),
    [
        ("minutes = 500", 1, "minutes 500: needs 1 to 180 min"),
        ('minutes = "50"', 1, "minutes '50': needs 1 to 180 min (without quotes?)"),
        ('\ntempo = "120"', 2, "unknown key 'tempo'; known here: title, minutes"),
        ('depth = "middle"', 1, "depth 'middle': needs one of shallow, deep, both"),
        ('build = "tower"', 1, "build 'tower': needs one of linear, pyramid"),
        ('banned_moves = ["jak"]', 1, "no move named 'jak' (did you mean 'jack'?)"),
        ('banned_moves = "jack"', 1, "banned_moves 'jack': needs a list of texts"),
        ('allowed_moves = ["jog"]\nbanned_moves = ["jog"]', 2, "jog: allowed and banned at once"),
        ("[pool]\ndepth = 120", 2, "depth 120 m: needs 0.5 to 5 m (did you mean centimetres?)"),
        ("[pool]\ntemperature = 84", 2, "did you mean Fahrenheit, as 84F?"),
        ("[pool]\nwarmth = 29", 2, "unknown key 'warmth'"),
        ('[group]\nages = "80-60"', 2, "needs the smaller end first"),
        ("[group]\nsize = 5\nwomen = 9", 3, "9 women in a group of 5: needs 0 to 5"),
        ('[group]\nintensity = "wild"', 2, "no intensity named 'wild'"),
        ('[[parts]]\nname = "main"', 1, "no minutes: needs minutes = 0.5 to 120 min"),
        ('[[parts]]\nname = "mian"\nminutes = 9', 2, "name 'mian': needs one of warm-up, main"),
        (
            '[[parts]]\nname = "main"\nminutes = 9\n[[parts]]\nname = "warm-up"\nminutes = 9',
            5,
            "warm-up after main: the order is warm-up, main, intervals, cool-down, stretch",
        ),
        (
            'minutes = 45\n[[parts]]\nname = "main"\nminutes = 30',
            1,
            "the parts take 30 minutes, the class 45: they need to agree",
        ),
        (
            '[[parts]]\nname = "main"\nminutes = 9\ntempo = "150-120"',
            4,
            "tempo '150-120': needs a range of 40 to 240 bpm",
        ),
        ("[intervals]\nwork = 1.5", 2, "work 1.5: needs whole phrases"),
        ('[intervals]\nunit = "seconds"\nwork = 2\nrest = 20', 3, "work 2: needs 5 to 600 s"),
        ("free_speed = 0.05\nmost_speed = 0.02", 2, "needs at least free_speed 0.05"),
        ('[names]\njakc = "x"', 2, "no move named 'jakc' (did you mean 'jack'?)"),
        ("pool = 3", 1, "pool 3: needs a table of keys, as [pool]"),
        ("minutes = = 3", 1, "not valid TOML"),
    ],
)
def test_every_slip_has_its_line(text: str, line: int, problem: str) -> None:
    """The line, what was seen and what is needed."""
    with pytest.raises(TextFileError) as caught:
        read_brief_text("brief.toml", text)
    assert caught.value.line == line
    assert problem in caught.value.problem


def test_a_missing_brief_is_named() -> None:
    """A path that leads nowhere is told with the system's reason."""
    with pytest.raises(TextFileError, match="cannot be read: No such file"):
        read_brief("nowhere.toml")


def test_a_brief_may_start_with_the_mark_of_its_encoding(tmp_path: Path) -> None:
    """Editors that put a byte order mark first are understood; other encodings are named."""
    path = tmp_path / "brief.toml"
    path.write_bytes(b"\xef\xbb\xbfminutes = 50\n")
    assert read_brief(str(path)).brief.minutes == 50
    path.write_bytes('title = "Frühschicht"'.encode("latin-1"))
    with pytest.raises(TextFileError, match="not text in UTF-8"):
        read_brief(str(path))


@st.composite
def briefs(draw: st.DrawFn) -> Brief:
    """Briefs with the fields that files write in forms of their own."""
    low = draw(st.floats(1.4, 1.7))
    text = "depth = " + draw(st.sampled_from(['"shallow"', '"deep"', '"both"']))
    text += f"\nminutes = {draw(st.integers(10, 90))}\nseed = {draw(st.integers(0, 9999))}"
    text += f"\nrange_floor = {draw(st.floats(0.5, 1.0))!r}"
    text += f"\n[pool]\ntemperature = {draw(st.floats(20, 34))!r}"
    text += f"\nspace = {draw(st.floats(1, 6))!r}" if draw(st.booleans()) else ""
    text += f'\n[group]\nheights = "{low!r}-{low + 0.2!r}"\nsize = {draw(st.integers(1, 60))}'
    return read_brief_text("brief.toml", text).brief


@settings(max_examples=30, deadline=None)
@given(briefs())
def test_a_brief_written_in_a_plan_reads_back_equal(brief: Brief) -> None:
    """The brief that a plan carries is the brief that was given."""
    import tomlkit

    text = tomlkit.dumps(brief_table(brief))
    assert brief_from_table(read_toml("plan.toml", text)) == brief


def test_a_file_of_rules_has_no_heading(tmp_path: Path) -> None:
    """The heading that rules have in a brief is named with its line, and that it has to go."""
    file = tmp_path / "rules.toml"
    file.write_text("[rules]\nmax_rpe = 14\n")
    with pytest.raises(TextFileError, match=r"line 1: \[rules\] is the heading in a brief: leave"):
        read_rules(str(file))
    file.write_text("max_rpe = 14\n")
    assert read_rules(str(file)).max_rpe == 14.0
