"""Numbers of a brief at their borders, parts that agree, slips with their lines."""

from __future__ import annotations

import pytest
from test_brief_by_hand import read

from aquatempo.documents.brief_layout import wish_text
from aquatempo.documents.wishes import block_wish
from aquatempo.errors import InputError, TextFileError
from aquatempo.moves import catalogue
from aquatempo.records.brief import BlockWish, PartName

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
    """A share that is equal to the free one is enough."""
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
