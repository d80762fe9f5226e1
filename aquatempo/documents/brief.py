"""A class brief: what a person asks of a class, as a TOML file.

::

    title = "Tuesday group"
    minutes = 50
    depth = "shallow"              # shallow, deep, or both
    build = "layer"                # linear, pyramid, add-on, layer, block
    banned_moves = ["jump", "tuck"]

    [pool]
    depth = "1.0-1.4"              # or 1.2, "4ft"

    [group]
    size = 18
    ages = "55-78"

    [[parts]]
    name = "warm-up"
    minutes = 8
    tempo = "115-130"

Everything may be left out; ``docs/howto/plan-a-class.md`` lists every key.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from aquatempo.documents.move_requests import parse_moves
from aquatempo.documents.people import GROUP_KEYS, POOL_KEYS, read_group, read_pool
from aquatempo.documents.wishes import (
    read_band,
    read_banned,
    read_course,
    read_favourites,
    read_level,
    read_moves,
    read_rpe,
    read_rules_table,
    read_songs,
    read_themes,
)
from aquatempo.moves import Catalogue, catalogue
from aquatempo.records.brief import (
    CLASS_MINUTES,
    Brief,
    BuildWay,
    Experience,
    Intervals,
    IntervalUnit,
    PartBrief,
    PartName,
)
from aquatempo.records.people import ClassDepth
from aquatempo.store.files import read_text
from aquatempo.tomltext import TomlTable, need, read_toml

__all__ = ["BriefFile", "brief_from_table", "read_brief", "read_brief_text"]

_KEYS = (
    *("title", "minutes", "depth", "build", "range_floor", "jump_minutes", "free_speed"),
    *("most_speed", "language", "seed", "allowed_moves", "banned_moves", "known_moves"),
    *("equipment", "pool", "group", "parts", "intervals", "names", "signs", "rpe"),
    *("max_impact", "max_level", "banned", "allow", "wanted_moves", "known_forms", "themes"),
    *("songs", "favourites", "course", "rules", "songs_used", "endings_used"),
)
_PART_KEYS = (*("name", "minutes", "tempo", "build", "rpe", "max_impact", "max_level", "locked"),)
_BOTH = "both"
_USUAL = Brief()
_TEMPO_BPM = (40.0, 240.0)
_SLACK_MINUTES = 1.0  # between the class and the sum of its parts


@dataclass(frozen=True)
class BriefFile:
    """A brief and where its lines stand. lines: name of an ask -> 1-based line."""

    brief: Brief
    path: str = ""
    lines: Mapping[str, int] = field(default_factory=dict)


def read_brief(path: str, source: Catalogue | None = None) -> BriefFile:
    """Return the brief in a file. Raises TextFileError with the line of what is wrong.

    source: the catalogue in force (None: the packaged one). path: of the file.
    """
    return read_brief_text(path, read_text(path), source)


def read_brief_text(path: str, content: str, source: Catalogue | None = None) -> BriefFile:
    """Return the brief in a text, content; path is only named in errors, source as above.

    >>> read_brief_text("brief.toml", "").brief == Brief()
    True
    """
    toml = read_toml(path, content)
    need("a brief", toml)
    brief = brief_from_table(toml, source)
    return BriefFile(brief, path, _lines(toml))


def brief_from_table(toml: TomlTable, source: Catalogue | None = None) -> Brief:
    """Return the brief in a table of a TOML text (a plan carries its own).

    source: the catalogue in force (None: the packaged one). toml: the table.
    """
    known = source or catalogue()
    toml.know(_KEYS)
    kind = toml.word("depth", (*ClassDepth, _BOTH), _USUAL.depth)
    depth = ClassDepth.SHALLOW if kind == _BOTH else ClassDepth(kind)
    pool, group = toml.table("pool"), toml.table("group")
    pool.know(POOL_KEYS)
    group.know((*GROUP_KEYS, "notes", "experience"))
    parts = _parts(toml)
    brief = Brief(
        title=toml.text("title", _USUAL.title),
        minutes=_minutes(toml, parts),
        depth=depth,
        twin=kind == _BOTH,
        pool=read_pool(pool.data, deep=depth is ClassDepth.DEEP, naming=pool.naming),
        group=read_group(group.data, naming=group.naming),
        group_notes=group.texts("notes"),
        experience=group.choice("experience", Experience) if "experience" in group else None,
        parts=parts,
        intervals=_intervals(toml.table("intervals")) if "intervals" in toml else None,
        build=toml.choice("build", BuildWay, _USUAL.build),
        allowed_moves=read_moves(toml, "allowed_moves", known),
        banned_moves=read_moves(toml, "banned_moves", known),
        known_moves=read_moves(toml, "known_moves", known),
        wanted_moves=read_moves(toml, "wanted_moves", known),
        known_forms=_forms(toml, known),
        rpe=read_rpe(toml),
        max_impact=read_band(toml),
        max_level=read_level(toml),
        banned=read_banned(toml, "banned"),
        allow=read_banned(toml, "allow"),
        themes=read_themes(toml),
        songs=read_songs(toml),
        favourites=read_favourites(toml, known),
        course=read_course(toml.table("course")) if "course" in toml else None,
        rules=read_rules_table(toml.table("rules"), known) if "rules" in toml else None,
        songs_used=_used(toml.table("songs_used")),
        endings_used=_used(toml.table("endings_used")),
        equipment=toml.texts("equipment"),
        move_names=_own_words(toml.table("names"), known),
        move_signs=_own_words(toml.table("signs"), known),
        range_floor=toml.number("range_floor", 0.5, 1.0, usual=_USUAL.range_floor),
        jump_minutes=toml.number("jump_minutes", 0, 60, "min", _USUAL.jump_minutes),
        free_speed=toml.number("free_speed", 0, 0.08, usual=_USUAL.free_speed),
        most_speed=toml.number("most_speed", 0, 0.15, usual=_USUAL.most_speed),
        language=toml.text("language", _USUAL.language),
        seed=toml.whole("seed", 0, 2**31 - 1, usual=_USUAL.seed),
    )
    if brief.most_speed < brief.free_speed:
        problem = f"most_speed {brief.most_speed:g}: needs at least free_speed {brief.free_speed:g}"
        raise toml.error("most_speed", problem)
    both = set(brief.allowed_moves) & set(brief.banned_moves)
    if both:
        problem = f"{', '.join(sorted(both))}: allowed and banned at once"
        raise toml.error("banned_moves", problem)
    return brief


def _minutes(toml: TomlTable, parts: tuple[PartBrief, ...]) -> float:
    total = sum(part.minutes for part in parts)
    minutes = toml.number("minutes", *CLASS_MINUTES, "min", total or _USUAL.minutes)
    if parts and abs(total - minutes) > _SLACK_MINUTES:
        problem = f"the parts take {total:g} minutes, the class {minutes:g}: they need to agree"
        raise toml.error("minutes", problem)
    return minutes


def _parts(toml: TomlTable) -> tuple[PartBrief, ...]:
    parts: list[PartBrief] = []
    for one in toml.tables("parts"):
        one.know(_PART_KEYS)
        name = one.choice("name", PartName)
        if parts and list(PartName).index(name) <= list(PartName).index(parts[-1].name):
            order = ", ".join(PartName)
            raise one.error("name", f"{name} after {parts[-1].name}: the order is {order}")
        tempo = one.span("tempo", *_TEMPO_BPM, "bpm") if "tempo" in one else None
        build = one.choice("build", BuildWay) if "build" in one else None
        parts.append(
            PartBrief(
                name=name,
                minutes=one.number("minutes", 0.5, 120, "min"),
                tempo_bpm=tempo,
                build=build,
                rpe=read_rpe(one),
                max_impact=read_band(one),
                max_level=read_level(one),
                locked=one.flag("locked"),
            )
        )
    return tuple(parts)


def _intervals(toml: TomlTable) -> Intervals:
    toml.know(("work", "rest", "sets", "unit"))
    usual = Intervals()
    unit = toml.choice("unit", IntervalUnit, usual.unit)
    low, high, name = (1, 16, "phrases") if unit is IntervalUnit.PHRASES else (5, 600, "s")
    work = toml.number("work", low, high, name, usual.work)
    rest = toml.number("rest", low, high, name, usual.rest)
    if unit is IntervalUnit.PHRASES:
        for key, value in (("work", work), ("rest", rest)):
            if value != int(value):
                raise toml.error(key, f"{key} {value:g}: needs whole phrases")
    return Intervals(work, rest, toml.whole("sets", 1, 60, "sets", usual.sets), unit)


def _forms(toml: TomlTable, known: Catalogue) -> tuple[tuple[str, str, str], ...]:
    """Return variations that the class knows, written as moves are typed: jack+hands=open."""
    found = []
    for index, told in enumerate(toml.texts("known_forms")):
        with toml.naming("known_forms", index):
            (request,) = parse_moves([told], known)
        found += [(request.move.key, f.value, key) for f, key in request.variation.changes]
    return tuple(dict.fromkeys(found))


def _used(toml: TomlTable) -> tuple[tuple[str, int], ...]:
    """Return what earlier classes used, each with how many weeks ago."""
    return tuple((name, toml.whole(name, 0, 520, "weeks ago")) for name in toml.data)


def _own_words(toml: TomlTable, known: Catalogue) -> tuple[tuple[str, str], ...]:
    pairs = []
    for name in toml.data:
        with toml.naming(name):
            pairs.append((known.move(name).key, toml.text(name)))
    return tuple(pairs)


def _lines(toml: TomlTable) -> dict[str, int]:
    """Return the line of each ask that a clash may name."""
    tables = [("", toml), ("pool.", toml.table("pool")), ("group.", toml.table("group"))]
    tables += [(f"{part.data['name']}.", part) for part in toml.tables("parts")]
    lines = {f"{start}{key}": table.line_of(key) for start, table in tables for key in table.data}
    return {name: line for name, line in lines.items() if line is not None}
