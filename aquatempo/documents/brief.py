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
from dataclasses import dataclass, field, replace
from pathlib import Path

from aquatempo.documents.move_requests import parse_moves
from aquatempo.documents.people import read_group, read_pool
from aquatempo.documents.wishes import (
    flag,
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
from aquatempo.errors import InputError, TextFileError
from aquatempo.moves import Catalogue, catalogue
from aquatempo.records.brief import (
    Brief,
    BuildWay,
    Experience,
    Intervals,
    IntervalUnit,
    PartBrief,
    PartName,
    Rules,
)
from aquatempo.records.people import ClassDepth
from aquatempo.tomltext.lines import Place, TomlText
from aquatempo.tomltext.values import (
    choice,
    keys,
    number,
    span,
    table,
    text,
    texts,
    value_at,
)

__all__ = ["BriefFile", "brief_from_table", "read_brief", "read_brief_text"]

_KEYS = (
    *("title", "minutes", "depth", "build", "range_floor", "jump_minutes", "free_speed"),
    *("most_speed", "language", "seed", "allowed_moves", "banned_moves", "known_moves"),
    *("equipment", "pool", "group", "parts", "intervals", "names", "signs", "rpe"),
    *("max_impact", "max_level", "banned", "allow", "wanted_moves", "known_forms", "themes"),
    *("songs", "favourites", "course", "rules", "songs_used", "endings_used"),
)
_PART_KEYS = (
    *("name", "minutes", "tempo", "build", "rpe", "max_impact", "max_level", "locked"),
)
_GROUP_KEYS = (
    *("size", "women", "heights", "ages", "masses", "intensity", "notes", "experience"),
)
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
    """Return the brief in a file. Raises TextFileError with the line of what is wrong."""
    try:
        content = Path(path).read_text(encoding="utf-8")
    except UnicodeDecodeError as exc:
        raise TextFileError(path, None, "not text in UTF-8") from exc
    except OSError as exc:
        raise TextFileError(path, None, f"cannot be read: {exc.strerror}") from exc
    return read_brief_text(path, content, source)


def read_brief_text(path: str, content: str, source: Catalogue | None = None) -> BriefFile:
    """Return the brief in a text; path is only named in errors.

    >>> read_brief_text("brief.toml", "").brief == Brief()
    True
    """
    toml = TomlText(path, content)
    brief = brief_from_table(toml, (), source)
    return BriefFile(brief, path, _lines(toml, brief))


def brief_from_table(toml: TomlText, place: Place, source: Catalogue | None = None) -> Brief:
    """Return the brief that stands at a place of a TOML text (a plan carries its own)."""
    known = source or catalogue()
    data = table(toml, place)
    toml.check_keys(place, data, _KEYS)
    kind = choice(toml, (*place, "depth"), (*ClassDepth, _BOTH), _USUAL.depth)
    depth = ClassDepth.SHALLOW if kind == _BOTH else ClassDepth(kind)
    parts = _parts(toml, (*place, "parts"))
    brief = Brief(
        title=text(toml, (*place, "title"), _USUAL.title),
        minutes=_minutes(toml, place, parts),
        depth=depth,
        twin=kind == _BOTH,
        parts=parts,
        intervals=_intervals(toml, (*place, "intervals")),
        build=BuildWay(choice(toml, (*place, "build"), BuildWay, _USUAL.build)),
        allowed_moves=read_moves(toml, (*place, "allowed_moves"), known),
        banned_moves=read_moves(toml, (*place, "banned_moves"), known),
        known_moves=read_moves(toml, (*place, "known_moves"), known),
        wanted_moves=read_moves(toml, (*place, "wanted_moves"), known),
        known_forms=_forms(toml, (*place, "known_forms"), known),
        rpe=read_rpe(toml, (*place, "rpe")),
        max_impact=read_band(toml, (*place, "max_impact")),
        max_level=read_level(toml, (*place, "max_level")),
        banned=read_banned(toml, (*place, "banned")),
        allow=read_banned(toml, (*place, "allow")),
        themes=read_themes(toml, (*place, "themes")),
        songs=read_songs(toml, (*place, "songs")),
        favourites=read_favourites(toml, (*place, "favourites"), known),
        course=read_course(toml, (*place, "course")),
        rules=_rules(toml, (*place, "rules"), known),
        songs_used=_used(toml, (*place, "songs_used")),
        endings_used=_used(toml, (*place, "endings_used")),
        equipment=texts(toml, (*place, "equipment")),
        move_names=_own_words(toml, (*place, "names"), known),
        move_signs=_own_words(toml, (*place, "signs"), known),
        range_floor=number(toml, (*place, "range_floor"), 0.5, 1.0, "", _USUAL.range_floor),
        jump_minutes=number(toml, (*place, "jump_minutes"), 0, 60, "min", _USUAL.jump_minutes),
        free_speed=number(toml, (*place, "free_speed"), 0, 0.08, "", _USUAL.free_speed),
        most_speed=number(toml, (*place, "most_speed"), 0, 0.15, "", _USUAL.most_speed),
        language=text(toml, (*place, "language"), _USUAL.language),
        seed=int(number(toml, (*place, "seed"), 0, 2**31 - 1, "", _USUAL.seed)),
    )
    if brief.most_speed < brief.free_speed:
        problem = f"most_speed {brief.most_speed:g}: needs at least free_speed {brief.free_speed:g}"
        raise toml.error((*place, "most_speed"), problem)
    both = set(brief.allowed_moves) & set(brief.banned_moves)
    if both:
        problem = f"{', '.join(sorted(both))}: allowed and banned at once"
        raise toml.error((*place, "banned_moves"), problem)
    return _with_people(brief, toml, place)


def _with_people(brief: Brief, toml: TomlText, place: Place) -> Brief:
    at = (*place, "pool")
    pool = keys(toml, at, ("depth", "temperature", "salinity", "space"))
    given = keys(toml, (*place, "group"), _GROUP_KEYS)
    deep = brief.depth is ClassDepth.DEEP
    try:
        water = read_pool(_as_text(pool.get("depth")), None, deep=deep)
    except InputError as exc:
        raise toml.error((*at, "depth"), str(exc)) from exc
    try:
        warmth = read_pool(None, _as_text(pool.get("temperature"))).temperature_c
    except InputError as exc:
        raise toml.error((*at, "temperature"), str(exc)) from exc
    space = number(toml, (*at, "space"), 0.5, 50, "m2 each") if "space" in pool else None
    salt = number(toml, (*at, "salinity"), 0, 45, "g/kg", 0.0)
    at = (*place, "group")
    people = {"size": number(toml, (*at, "size"), 1, 200, "people", 20)}
    if "women" in given:
        people["women"] = number(toml, (*at, "women"), 0, 200, "people", 0)
    ranges = {
        name: _as_text(given[name])
        for name in ("heights", "ages", "masses", "intensity")
        if name in given
    }
    group = read_group(size=int(people["size"]))
    for name, value in ranges.items():
        try:
            one = read_group(**{name: value})  # type: ignore[arg-type]
        except InputError as exc:
            raise toml.error((*at, name), str(exc)) from exc
        attribute = {"heights": "height_m", "ages": "age_years", "masses": "mass_kg"}.get(
            name, name
        )
        group = replace(group, **{attribute: getattr(one, attribute)})
    if "women" in people:
        try:
            group = replace(
                group, women=read_group(size=group.size, women=int(people["women"])).women
            )
        except InputError as exc:
            raise toml.error((*at, "women"), str(exc)) from exc
    return replace(
        brief,
        pool=replace(water, temperature_c=warmth, salinity_g_kg=salt, space_m2=space),
        group=group,
        group_notes=texts(toml, (*at, "notes")),
        experience=_experience(toml, (*at, "experience")),
    )


def _experience(toml: TomlText, place: Place) -> Experience | None:
    found = choice(toml, place, ("", *Experience), "")
    return Experience(found) if found else None


def _as_text(value: object) -> str | None:
    """Return a value as people type it: a number, a text, or [low, high] as a range."""
    if value is None:
        return None
    if isinstance(value, list) and len(value) == 2:
        return f"{value[0]}-{value[1]}"
    return str(value)


def _minutes(toml: TomlText, place: Place, parts: tuple[PartBrief, ...]) -> float:
    total = sum(part.minutes for part in parts)
    minutes = number(toml, (*place, "minutes"), 1, 180, "min", total or _USUAL.minutes)
    if parts and abs(total - minutes) > _SLACK_MINUTES:
        problem = f"the parts take {total:g} minutes, the class {minutes:g}: they need to agree"
        raise toml.error((*place, "minutes"), problem)
    return minutes


def _parts(toml: TomlText, place: Place) -> tuple[PartBrief, ...]:
    given = value_at(toml, place, [])
    if not isinstance(given, list):
        raise toml.error(place, "parts: needs [[parts]] tables, one a part")
    parts: list[PartBrief] = []
    for index in range(len(given)):
        at = (*place, index)
        keys(toml, at, _PART_KEYS)
        name = PartName(choice(toml, (*at, "name"), PartName, None))
        if parts and list(PartName).index(name) <= list(PartName).index(parts[-1].name):
            order = ", ".join(PartName)
            raise toml.error((*at, "name"), f"{name} after {parts[-1].name}: the order is {order}")
        own = choice(toml, (*at, "build"), BuildWay, "") if "build" in given[index] else ""
        tempo = span(toml, (*at, "tempo"), *_TEMPO_BPM, "bpm") if "tempo" in given[index] else None
        minutes = number(toml, (*at, "minutes"), 0.5, 120, "min", None)
        parts.append(
            PartBrief(
                name=name,
                minutes=minutes,
                tempo_bpm=tempo,
                build=BuildWay(own) if own else None,
                rpe=read_rpe(toml, (*at, "rpe")),
                max_impact=read_band(toml, (*at, "max_impact")),
                max_level=read_level(toml, (*at, "max_level")),
                locked=flag(toml, (*at, "locked")),
            )
        )
    return tuple(parts)


def _intervals(toml: TomlText, place: Place) -> Intervals | None:
    if value_at(toml, place) is None:
        return None
    keys(toml, place, ("work", "rest", "sets", "unit"))
    usual = Intervals()
    unit = IntervalUnit(choice(toml, (*place, "unit"), IntervalUnit, usual.unit))
    low, high, name = (1, 16, "phrases") if unit is IntervalUnit.PHRASES else (5, 600, "s")
    work = number(toml, (*place, "work"), low, high, name, usual.work)
    rest = number(toml, (*place, "rest"), low, high, name, usual.rest)
    if unit is IntervalUnit.PHRASES:
        for key, value in (("work", work), ("rest", rest)):
            if value != int(value):
                raise toml.error((*place, key), f"{key} {value:g}: needs whole phrases")
    sets = int(number(toml, (*place, "sets"), 1, 60, "sets", usual.sets))
    return Intervals(work, rest, sets, unit)


def _forms(
    toml: TomlText, place: Place, known: Catalogue
) -> tuple[tuple[str, str, str], ...]:
    """Return variations that the class knows, written as moves are typed: jack+hands=open."""
    found = []
    for index, told in enumerate(texts(toml, place)):
        try:
            (request,) = parse_moves([told], known)
        except InputError as exc:
            raise toml.error((*place, index), str(exc)) from exc
        found += [(request.move.key, f.value, key) for f, key in request.variation.changes]
    return tuple(dict.fromkeys(found))


def _rules(toml: TomlText, place: Place, known: Catalogue) -> Rules | None:
    if value_at(toml, place) is None:
        return None
    return read_rules_table(toml, place, known)


def _used(toml: TomlText, place: Place) -> tuple[tuple[str, int], ...]:
    """Return what earlier classes used, each with how many weeks ago."""
    given = table(toml, place)
    return tuple(
        (name, int(number(toml, (*place, name), 0, 520, "weeks ago"))) for name in given
    )


def _own_words(toml: TomlText, place: Place, known: Catalogue) -> tuple[tuple[str, str], ...]:
    pairs = []
    for name in table(toml, place):
        try:
            key = known.move(name).key
        except InputError as exc:
            raise toml.error((*place, name), str(exc)) from exc
        pairs.append((key, text(toml, (*place, name), "")))
    return tuple(pairs)


def _lines(toml: TomlText, brief: Brief) -> dict[str, int]:
    """Return the line of each ask that a clash may name."""
    places: dict[str, Place] = {key: (key,) for key in toml.data}
    places |= {f"pool.{key}": ("pool", key) for key in toml.data.get("pool", {})}
    places |= {f"group.{key}": ("group", key) for key in toml.data.get("group", {})}
    for index, part in enumerate(brief.parts):
        for key in toml.data["parts"][index]:
            places[f"{part.name}.{key}"] = ("parts", index, key)
    found = {name: toml.line_of(place) for name, place in places.items()}
    return {name: line for name, line in found.items() if line is not None}
