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
from aquatempo.errors import InputError, TextFileError
from aquatempo.moves import Catalogue
from aquatempo.records.brief import (
    BlockWish,
    Course,
    Favourite,
    ImpactBand,
    PartName,
    Rules,
    SongBrief,
)
from aquatempo.records.moves import ImpactLevel
from aquatempo.records.people import ClassDepth
from aquatempo.tomltext.lines import Place, TomlText
from aquatempo.tomltext.values import choice, keys, number, span, text, texts, value_at

__all__ = [
    "RULES_KEYS",
    "block_wish",
    "flag",
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
RULES_KEYS = (
    *("title", "allowed_moves", "banned_moves", "banned", "levels", "max_impact", "max_rpe"),
    *("songs", "songs_after", "warm_up_minutes", "cool_down_minutes"),
)
_SONG_KEYS = ("title", "part", "max_impact", "max_level", "leave_out")
_FAVOURITE_KEYS = ("name", "blocks", "parts", "depth")
_COURSE_KEYS = ("week", "rpe_step", "rpe_most", "songs_after", "endings_after", "new_moves")
_COUNTS = re.compile(r"\s*(\d+)\s+(.+)")
_PHRASE = 32


def read_rpe(toml: TomlText, place: Place) -> tuple[float, float] | None:
    """Return an effort, a number or a range of them [Borg 6 to 20], None where none stands."""
    given = value_at(toml, place)
    if given is None:
        return None
    if isinstance(given, int | float) and not isinstance(given, bool):
        one = number(toml, place, *RPE, "on the scale from 6 to 20")
        return (one - 0.5, one + 0.5)
    return span(toml, place, *RPE, "on the scale from 6 to 20")


def read_band(toml: TomlText, place: Place) -> ImpactBand | None:
    """Return a band of impact, None where none stands."""
    found = choice(toml, place, ("", *ImpactBand), "")
    return ImpactBand(found) if found else None


def read_level(toml: TomlText, place: Place) -> ImpactLevel | None:
    """Return an impact level, None where none stands."""
    found = choice(toml, place, ("", *ImpactLevel), "")
    return ImpactLevel(found) if found else None


def read_banned(toml: TomlText, place: Place) -> tuple[str, ...]:
    """Return the words of what is banned or allowed, each checked against the documented ones."""
    return _checked(toml, place, lambda word: ban_named(word).key)


def read_themes(toml: TomlText, place: Place) -> tuple[str, ...]:
    """Return the themes of a class, each by its key."""
    return _checked(toml, place, theme_key)


def _checked(toml: TomlText, place: Place, named: Callable[[str], str]) -> tuple[str, ...]:
    found = []
    for index, word in enumerate(texts(toml, place)):
        try:
            found.append(named(word))
        except InputError as exc:
            raise toml.error((*place, index), str(exc)) from exc
    return tuple(dict.fromkeys(found))


def read_moves(toml: TomlText, place: Place, known: Catalogue) -> tuple[str, ...]:
    """Return the moves of a list, each by its key and once."""
    return _checked(toml, place, lambda name: known.move(name).key)


def read_songs(toml: TomlText, place: Place) -> tuple[SongBrief, ...]:
    """Return what is wanted of single songs."""
    found = []
    for at in _tables(toml, place, "songs"):
        keys(toml, at, _SONG_KEYS)
        part = choice(toml, (*at, "part"), ("", *PartName), "")
        found.append(
            SongBrief(
                title=text(toml, (*at, "title")),
                part=PartName(part) if part else None,
                max_impact=read_band(toml, (*at, "max_impact")),
                max_level=read_level(toml, (*at, "max_level")),
                leave_out=flag(toml, (*at, "leave_out")),
            )
        )
    return tuple(found)


def read_favourites(toml: TomlText, place: Place, known: Catalogue) -> tuple[Favourite, ...]:
    """Return the instructor's own blocks and choruses."""
    found = []
    for at in _tables(toml, place, "favourites"):
        keys(toml, at, _FAVOURITE_KEYS)
        wishes = []
        for index, told in enumerate(texts(toml, (*at, "blocks"))):
            try:
                wishes.append(block_wish(told, known))
            except InputError as exc:
                problem = exc.problem if isinstance(exc, TextFileError) else str(exc)
                raise toml.error((*at, "blocks", index), problem) from exc
        total = sum(wish.counts for wish in wishes)
        if not wishes or total % _PHRASE:
            problem = f"blocks of {total} counts: a favourite needs whole phrases of {_PHRASE}"
            raise toml.error((*at, "blocks"), problem)
        parts = texts(toml, (*at, "parts")) or (PartName.MAIN.value,)
        for index, name in enumerate(parts):
            if name not in list(PartName):
                known_parts = ", ".join(PartName)
                raise toml.error((*at, "parts", index), f"{name!r}: needs one of {known_parts}")
        depth = choice(toml, (*at, "depth"), ("", *ClassDepth), "")
        found.append(
            Favourite(
                name=text(toml, (*at, "name")),
                blocks=tuple(wishes),
                parts=tuple(PartName(name) for name in parts),
                depth=ClassDepth(depth) if depth else None,
            )
        )
    return tuple(found)


def block_wish(told: str, known: Catalogue) -> BlockWish:
    """Return a block as typed: ``16 jack+hands=open``.

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


def read_course(toml: TomlText, place: Place) -> Course | None:
    """Return how the class follows earlier ones, None where nothing is said."""
    if value_at(toml, place) is None:
        return None
    keys(toml, place, _COURSE_KEYS)
    usual = Course()

    def whole(key: str, low: int, high: int) -> int:
        return int(number(toml, (*place, key), low, high, "", float(getattr(usual, key))))

    return Course(
        week=whole("week", 1, 104),
        rpe_step=number(toml, (*place, "rpe_step"), 0.0, 1.0, "points", usual.rpe_step),
        rpe_most=number(toml, (*place, "rpe_most"), 0.0, 4.0, "points", usual.rpe_most),
        songs_after=whole("songs_after", 0, 52),
        endings_after=whole("endings_after", 0, 52),
        new_moves=whole("new_moves", 0, 12),
    )


def read_rules_table(toml: TomlText, place: Place, known: Catalogue) -> Rules:
    """Return a coordinator's rules that stand at a place of a text."""
    keys(toml, place, RULES_KEYS)
    levels = texts(toml, (*place, "levels"))
    for index, level in enumerate(levels):
        if level not in list(ImpactLevel):
            names = ", ".join(ImpactLevel)
            raise toml.error((*place, "levels", index), f"{level!r}: needs one of {names}")
    most = number(toml, (*place, "max_rpe"), *RPE, "on the scale from 6 to 20", 20.0)
    return Rules(
        title=text(toml, (*place, "title"), ""),
        allowed_moves=read_moves(toml, (*place, "allowed_moves"), known),
        banned_moves=read_moves(toml, (*place, "banned_moves"), known),
        banned=read_banned(toml, (*place, "banned")),
        levels=tuple(ImpactLevel(level) for level in levels),
        max_impact=read_band(toml, (*place, "max_impact")),
        max_rpe=most if value_at(toml, (*place, "max_rpe")) is not None else None,
        songs=texts(toml, (*place, "songs")),
        songs_after=int(number(toml, (*place, "songs_after"), 0, 52, "weeks", 0.0)),
        warm_up_minutes=number(toml, (*place, "warm_up_minutes"), 0, 30, "min", 0.0),
        cool_down_minutes=number(toml, (*place, "cool_down_minutes"), 0, 30, "min", 0.0),
    )


def _tables(toml: TomlText, place: Place, name: str) -> list[Place]:
    given = value_at(toml, place, [])
    if not isinstance(given, list) or not all(isinstance(one, dict) for one in given):
        raise toml.error(place, f"{name}: needs [[{name}]] tables")
    return [(*place, index) for index in range(len(given))]


def flag(toml: TomlText, place: Place) -> bool:
    """Return the yes or no at a place, no where none stands."""
    found = value_at(toml, place, False)
    if not isinstance(found, bool):
        raise toml.error(place, f"{place[-1]} {found!r}: needs true or false")
    return found
