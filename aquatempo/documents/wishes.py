"""The lines of a brief that shape a class: ceilings, bans, themes, songs, favourites, course.

::

    rpe = "12-14"                   # effort of the main part, 6 to 20
    max_impact = "low"              # none, low, medium, high
    max_level = "II"                # III, grounded, II, I, power
    banned = ["twisting", "overhead arms", "turn=half"]
    allow = ["rebound"]             # what a note of the group would forbid
    themes = ["legs"]

    [[songs]]
    title = "Odd Lane"
    part = "cool-down"
    max_impact = "none"

    [[favourites]]
    name = "Wave chorus"
    blocks = ["16 jack", "16 cross-country-ski+hands=open"]
    parts = ["main"]

    [course]
    week = 3
    rpe_step = 0.25
"""

from __future__ import annotations

import re
from collections.abc import Callable

from aquatempo.class_shape.bans import ban_named
from aquatempo.class_shape.themes import theme_key
from aquatempo.documents.move_requests import parse_moves
from aquatempo.errors import InputError
from aquatempo.moves import Catalogue
from aquatempo.records.brief import (
    BlockWish,
    Course,
    Favourite,
    HouseRules,
    PartName,
    SongBrief,
)
from aquatempo.records.moves import ImpactLevel
from aquatempo.records.people import ClassDepth
from aquatempo.records.verdict import ImpactBand
from aquatempo.tomltext import TomlTable
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = [
    "RULES_KEYS",
    "block_wish",
    "read_band",
    "read_banned",
    "read_course",
    "read_favourites",
    "read_level",
    "read_moves",
    "read_rpe",
    "read_rules_table",
    "read_songs",
    "read_themes",
]

RPE = (6.0, 20.0)
_SCALE = "on the scale from 6 to 20"
RULES_KEYS = (
    *("title", "allowed_moves", "banned_moves", "banned", "levels", "max_impact", "max_rpe"),
    *("songs", "songs_after", "warm_up_minutes", "cool_down_minutes"),
)
_SONG_KEYS = ("title", "part", "max_impact", "max_level", "leave_out")
_FAVOURITE_KEYS = ("name", "blocks", "parts", "depth")
_COURSE_KEYS = ("week", "rpe_step", "rpe_most", "songs_after", "endings_after", "new_moves")
_COUNTS = re.compile(r"\s*(\d+)\s+(.+)")


def read_rpe(toml: TomlTable) -> tuple[float, float] | None:
    """Return an effort, a number or a range of them [Borg 6 to 20], None where none stands."""
    given = toml.data.get("rpe")
    if given is None:
        return None
    if isinstance(given, int | float) and not isinstance(given, bool):
        one = toml.number("rpe", *RPE, _SCALE)
        return (one - 0.5, one + 0.5)
    return toml.span("rpe", *RPE, _SCALE)


def read_band(toml: TomlTable) -> ImpactBand | None:
    """Return the highest band of impact, None where none stands."""
    return toml.choice("max_impact", ImpactBand) if "max_impact" in toml else None


def read_level(toml: TomlTable) -> ImpactLevel | None:
    """Return the highest impact level, None where none stands."""
    return toml.choice("max_level", ImpactLevel) if "max_level" in toml else None


def read_banned(toml: TomlTable, key: str) -> tuple[str, ...]:
    """Return the words of what is banned or allowed, each checked against the documented ones.

    toml: the table read; key: of the line.
    """
    return _checked(toml, key, lambda word: ban_named(word).key)


def read_themes(toml: TomlTable) -> tuple[str, ...]:
    """Return the themes of a class, each by its key."""
    return _checked(toml, "themes", theme_key)


def read_moves(toml: TomlTable, key: str, known: Catalogue) -> tuple[str, ...]:
    """Return the moves of a list, each by its key and once.

    toml: the table read; known: the catalogue in force.
    """
    return _checked(toml, key, lambda name: known.move(name).key)


def _checked(toml: TomlTable, key: str, named: Callable[[str], str]) -> tuple[str, ...]:
    found = []
    for index, word in enumerate(toml.texts(key)):
        with toml.naming(key, index):
            found.append(named(word))
    return tuple(dict.fromkeys(found))


def read_songs(toml: TomlTable) -> tuple[SongBrief, ...]:
    """Return what is wanted of single songs."""
    found = []
    for one in toml.tables("songs"):
        one.know(_SONG_KEYS)
        found.append(
            SongBrief(
                title=one.text("title"),
                part=one.choice("part", PartName) if "part" in one else None,
                max_impact=read_band(one),
                max_level=read_level(one),
                leave_out=one.flag("leave_out"),
            )
        )
    return tuple(found)


def read_favourites(toml: TomlTable, known: Catalogue) -> tuple[Favourite, ...]:
    """Return the instructor's own blocks and choruses.

    toml: the table read; known: the catalogue in force.
    """
    found = []
    for one in toml.tables("favourites"):
        one.know(_FAVOURITE_KEYS)
        wishes = []
        for index, told in enumerate(one.texts("blocks")):
            with one.naming("blocks", index):
                wishes.append(block_wish(told, known))
        total = sum(wish.counts for wish in wishes)
        if not wishes or total % COUNTS_PER_PHRASE:
            problem = f"blocks of {total} counts: needs whole phrases of {COUNTS_PER_PHRASE}"
            raise one.error("blocks", problem)
        found.append(
            Favourite(
                name=one.text("name"),
                blocks=tuple(wishes),
                parts=one.choices("parts", PartName) if "parts" in one else (PartName.MAIN,),
                depth=one.choice("depth", ClassDepth) if "depth" in one else None,
            )
        )
    return tuple(found)


def block_wish(told: str, known: Catalogue) -> BlockWish:
    """Return a block as typed: ``16 jack+hands=open``.

    told: what a person typed; known: the catalogue in force.

    >>> from aquatempo.moves import catalogue
    >>> block_wish("16 jack+hands=open", catalogue()).variation
    (('hands', 'open'),)
    """
    match = _COUNTS.fullmatch(told)
    if match is None:
        raise InputError(f"{told!r}: needs counts and a move, as 16 jack+hands=open")
    (request,) = parse_moves([match[2]], known)
    changes = tuple((factor.value, key) for factor, key in request.variation.changes)
    return BlockWish(int(match[1]), request.move.key, changes)


def read_course(toml: TomlTable) -> Course:
    """Return how the class follows earlier ones."""
    toml.know(_COURSE_KEYS)
    usual = Course()
    return Course(
        week=toml.whole("week", 1, 104, usual=usual.week),
        rpe_step=toml.number("rpe_step", 0.0, 1.0, "points", usual.rpe_step),
        rpe_most=toml.number("rpe_most", 0.0, 4.0, "points", usual.rpe_most),
        songs_after=toml.whole("songs_after", 0, 52, "weeks", usual.songs_after),
        endings_after=toml.whole("endings_after", 0, 52, "weeks", usual.endings_after),
        new_moves=toml.whole("new_moves", 0, 12, "moves", usual.new_moves),
    )


def read_rules_table(toml: TomlTable, known: Catalogue) -> HouseRules:
    """Return a coordinator's rules.

    toml: the table read; known: the catalogue in force.
    """
    toml.know(RULES_KEYS)
    return HouseRules(
        title=toml.text("title", ""),
        allowed_moves=read_moves(toml, "allowed_moves", known),
        banned_moves=read_moves(toml, "banned_moves", known),
        banned=read_banned(toml, "banned"),
        levels=toml.choices("levels", ImpactLevel) if "levels" in toml else (),
        max_impact=read_band(toml),
        max_rpe=toml.number("max_rpe", *RPE, _SCALE) if "max_rpe" in toml else None,
        songs=toml.texts("songs"),
        songs_after=toml.whole("songs_after", 0, 52, "weeks", 0),
        warm_up_minutes=toml.number("warm_up_minutes", 0, 30, "min", 0.0),
        cool_down_minutes=toml.number("cool_down_minutes", 0, 30, "min", 0.0),
    )
