"""Every key of a brief, read and written; borders of its numbers; slips with their lines."""

from __future__ import annotations

from dataclasses import replace

import pytest
import tomlkit

from aquatempo.documents.brief import read_brief_text
from aquatempo.documents.brief_layout import brief_table, rules_table, wish_text
from aquatempo.documents.wishes import block_wish
from aquatempo.errors import InputError, TextFileError
from aquatempo.moves import catalogue
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


NUMBERS = [
    ("{key} = {value}", "range_floor", 0.5, 1.0, 0.01),
    ("{key} = {value}", "jump_minutes", 0, 60, 0.1),
    ("most_speed = 0.15\n{key} = {value}", "free_speed", 0, 0.08, 0.001),
    ("free_speed = 0\n{key} = {value}", "most_speed", 0, 0.15, 0.001),
    ("{key} = {value}", "seed", 0, 2**31 - 1, 1),
    ("{key} = {value}", "minutes", 1, 180, 0.1),
    ("[intervals]\n{key} = {value}", "work", 1, 16, 1),
    ("[intervals]\n{key} = {value}", "rest", 1, 16, 1),
    ("[intervals]\n{key} = {value}", "sets", 1, 60, 1),
    ('[intervals]\nunit = "seconds"\nrest = 20\n{key} = {value}', "work", 5, 600, 0.5),
    ('[intervals]\nunit = "seconds"\nwork = 20\n{key} = {value}', "rest", 5, 600, 0.5),
    ("[course]\n{key} = {value}", "week", 1, 104, 1),
    ("[course]\n{key} = {value}", "rpe_step", 0, 1, 0.01),
    ("[course]\n{key} = {value}", "rpe_most", 0, 4, 0.01),
    ("[course]\n{key} = {value}", "songs_after", 0, 52, 1),
    ("[course]\n{key} = {value}", "endings_after", 0, 52, 1),
    ("[course]\n{key} = {value}", "new_moves", 0, 12, 1),
    ("[rules]\n{key} = {value}", "max_rpe", 6, 20, 0.1),
    ("[rules]\n{key} = {value}", "songs_after", 0, 52, 1),
    ("[rules]\n{key} = {value}", "warm_up_minutes", 0, 30, 0.1),
    ("[rules]\n{key} = {value}", "cool_down_minutes", 0, 30, 0.1),
    ("[songs_used]\n{key} = {value}", "Odd", 0, 520, 1),
    ("[endings_used]\n{key} = {value}", "Odd", 0, 520, 1),
    ("{key} = {value}", "rpe", 6, 20, 0.1),
    ('[[parts]]\nname = "main"\n{key} = {value}', "minutes", 1, 120, 0.6),
]


@pytest.mark.parametrize(("form", "key", "low", "high", "step"), NUMBERS)
def test_numbers_are_read_to_their_borders(
    form: str, key: str, low: float, high: float, step: float
) -> None:
    """At both ends of its range a number is read; a step beyond it is told with its line."""
    for value in (low, high):
        read(form.format(key=key, value=value))
    for value in (low - step, high + step):
        with pytest.raises(TextFileError) as caught:
            read(form.format(key=key, value=value))
        assert caught.value.problem.startswith(f"{key} ")
        assert caught.value.line == form.count("\n") + 1


def test_parts_of_half_a_minute() -> None:
    """The least that a part may take; the class then takes a minute at least."""
    parts = '[[parts]]\nname = "{}"\nminutes = {}\n'
    brief = read(parts.format("warm-up", 0.5) + parts.format("main", 9))
    assert (brief.minutes, brief.parts[0].minutes) == (9.5, 0.5)
    with pytest.raises(TextFileError, match=r"minutes 0\.4: needs 0\.5 to 120 min"):
        read(parts.format("warm-up", 0.4) + parts.format("main", 9))


@pytest.mark.parametrize(
    ("minutes", "agrees"), [(44, True), (46, True), (43.9, False), (46.1, False)]
)
def test_parts_agree_with_the_class_within_a_minute(minutes: float, agrees: bool) -> None:
    """A part of 45 minutes fits a class of 44 to 46."""
    text = f'minutes = {minutes}\n[[parts]]\nname = "main"\nminutes = 45\n'
    if agrees:
        assert read(text).minutes == minutes
    else:
        with pytest.raises(TextFileError) as caught:
            read(text)
        assert caught.value.problem == (
            f"the parts take 45 minutes, the class {minutes:g}: they need to agree"
        )
        assert caught.value.line == 1


def test_a_class_of_parts_is_as_long_as_they_are() -> None:
    """Without a length of its own it has that of its parts; without parts the usual 45 min."""
    assert read('[[parts]]\nname = "main"\nminutes = 20\n').minutes == 20
    assert read("").minutes == 45


def test_parts_come_in_order_and_once() -> None:
    """The cool-down after the main part, not before it, not twice."""
    part = '[[parts]]\nname = "{}"\nminutes = 9\n'
    assert len(read(part.format("warm-up") + part.format("cool-down")).parts) == 2
    for first, second in (("cool-down", "main"), ("main", "main")):
        with pytest.raises(TextFileError, match=f"{second} after {first}: the order is") as caught:
            read(part.format(first) + part.format(second))
        assert caught.value.line == 5


@pytest.mark.parametrize(
    ("low", "high", "fits"), [(40, 240, True), (39, 240, False), (40, 241, False)]
)
def test_the_tempo_of_a_part_is_music(low: float, high: float, fits: bool) -> None:
    """From 40 to 240 beats/min."""
    text = f'[[parts]]\nname = "main"\nminutes = 20\ntempo = "{low}-{high}"\n'
    if fits:
        assert read(text).parts[0].tempo_bpm == (low, high)
    else:
        with pytest.raises(TextFileError, match="needs a range of 40 to 240 bpm"):
            read(text)


def test_an_effort_of_one_number_is_half_a_point_around_it() -> None:
    """13 is 12.5 to 13.5; a range is taken as it is; true is no number."""
    assert read("rpe = 13").rpe == (12.5, 13.5)
    assert read('rpe = "6-20"').rpe == (6.0, 20.0)
    assert read("").rpe is None
    for wrong in ("rpe = true", 'rpe = "5-8"', 'rpe = "8-21"', "rpe = [12]"):
        with pytest.raises(TextFileError, match="rpe "):
            read(wrong)


def test_fast_songs_need_at_least_what_is_free() -> None:
    """Equal is enough."""
    assert read("free_speed = 0.05\nmost_speed = 0.05").most_speed == 0.05
    with pytest.raises(TextFileError) as caught:
        read("free_speed = 0.05\nmost_speed = 0.049")
    assert caught.value.problem == "most_speed 0.049: needs at least free_speed 0.05"
    assert caught.value.line == 2


def test_a_move_is_allowed_or_banned() -> None:
    """Both at once are told, in order of the alphabet, at the line of the bans."""
    moves = 'allowed_moves = ["jog", "tuck", "jack"]\nbanned_moves = ["tuck", "jack"]'
    with pytest.raises(TextFileError) as caught:
        read(moves)
    assert (caught.value.line, caught.value.problem) == (
        2, "jack, tuck: allowed and banned at once",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ('[intervals]\nrest = 1.5', 2, "rest 1.5: needs whole phrases"),
        ('[intervals]\nwork = 2\nrest = 2.5', 3, "rest 2.5: needs whole phrases"),
        ('known_forms = ["jack", "jack+hands=oben"]', 1, "no hands option named 'oben'"),
        ('[favourites]\nname = "A"', 1, "favourites: needs a list of tables, as [[favourites]]"),
        ('[[favourites]]\nname = "A"', 1, "blocks of 0 counts: needs whole phrases of 32"),
        ('[[favourites]]\nname = "A"\nblocks = ["16 jack"]', 3, "blocks of 16 counts: needs whole"),
        (
            '[[favourites]]\nname = "A"\nblocks = ["32 jack", "jack"]', 3,
            "'jack': needs counts and a move, as 16 jack+hands=open",
        ),
        ('[[songs]]\ntitle = "A"\nspeed = 2', 3, "unknown key 'speed'; known here: title, part"),
        ('[course]\nmonth = 2', 2, "unknown key 'month'; known here: week, rpe_step"),
        ('[rules]\nminutes = 2', 2, "unknown key 'minutes'; known here: title, allowed_moves"),
        ('[intervals]\nwrok = 2', 2, "unknown key 'wrok'; known here: work, rest, sets, unit"),
        ('[group]\nnote = "x"', 2, "unknown key 'note'; known here: size, women"),
        ('max_level = "IV"', 1, "max_level 'IV': needs one of "),
        ('themes = ["lags"]', 1, "lags"),
        ('banned = ["rebond"]', 1, "rebond"),
    ],
)  # fmt: skip
def test_slips_are_told_with_their_line(text: str, line: int, told: str) -> None:
    """What was seen and what is needed."""
    with pytest.raises(TextFileError) as caught:
        read(text)
    assert caught.value.line == line
    assert told in caught.value.problem


def test_what_is_said_twice_is_one() -> None:
    """Moves, forms, bans and themes each once, in the order in which they came."""
    brief = read(
        'banned_moves = ["tuck", "jog", "tuck"]\n'
        'known_forms = ["jack+hands=open", "jack+hands=open"]'
        '\nthemes = ["legs", "legs"]\nbanned = ["turn", "turn"]'
    )
    assert brief.banned_moves == ("tuck", "jog")
    assert brief.known_forms == (("jack", "hands", "open"),)
    assert (brief.themes, brief.banned) == (("legs",), ("turn",))


def test_a_favourite_may_be_of_several_phrases() -> None:
    """64 counts of two moves; it belongs to the main part where nothing else is said."""
    (one,) = read('[[favourites]]\nname = "A"\nblocks = ["48 jack", "16 jog"]').favourites
    assert ([wish.counts for wish in one.blocks], one.parts, one.depth) == (
        [48, 16], (PartName.MAIN,), None,
    )  # fmt: skip


def test_a_block_is_typed_with_its_counts() -> None:
    """Blanks around do not matter; it is written as it is typed."""
    wish = block_wish("  16   jack+hands=open", catalogue())
    assert wish == BlockWish(16, "jack", (("hands", "open"),))
    assert wish_text(wish) == "16 jack+hands=open"
    with pytest.raises(InputError):
        block_wish("jack 16", catalogue())


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
