"""How a brief is laid out in TOML: the keys of its file, what is as usual left out."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from aquatempo.records.brief import (
    BlockWish,
    Brief,
    Course,
    Favourite,
    HouseRules,
    PartBrief,
    SongBrief,
)
from aquatempo.records.people import Group

__all__ = ["brief_table", "rules_table", "wish_text"]

_LISTS = (
    *("allowed_moves", "banned_moves", "known_moves", "wanted_moves", "equipment", "banned"),
    *("allow", "themes"),
)


def brief_table(brief: Brief) -> dict[str, Any]:
    """Return a brief as the keys of its file; what is as usual is left out."""
    usual = Brief()
    found: dict[str, Any] = {
        "title": brief.title,
        "minutes": brief.minutes,
        "depth": "both" if brief.twin else str(brief.depth),
        "build": str(brief.build),
    }
    for name in ("range_floor", "jump_minutes", "free_speed", "most_speed", "language", "seed"):
        if getattr(brief, name) != getattr(usual, name):
            found[name] = getattr(brief, name)
    for name in _LISTS:
        if getattr(brief, name):
            found[name] = list(getattr(brief, name))
    if brief.known_forms:
        found["known_forms"] = [f"{m}+{f}={o}" for m, f, o in brief.known_forms]
    if brief.rpe is not None:
        found["rpe"] = _range(brief.rpe)
    for name in ("max_impact", "max_level"):
        if getattr(brief, name) is not None:
            found[name] = str(getattr(brief, name))
    found["pool"] = _pool_table(brief)
    found["group"] = _group_table(brief)
    if brief.intervals is not None:
        each = fields(brief.intervals)
        found["intervals"] = {one.name: _plain(getattr(brief.intervals, one.name)) for one in each}
    if brief.move_names:
        found["names"] = dict(brief.move_names)
    if brief.move_signs:
        found["signs"] = dict(brief.move_signs)
    if brief.parts:
        found["parts"] = [
            {
                "name": str(part.name),
                "minutes": part.minutes,
                **({"tempo": _range(part.tempo_bpm)} if part.tempo_bpm else {}),
                **({"build": str(part.build)} if part.build else {}),
                **({"rpe": _range(part.rpe)} if part.rpe else {}),
                **_ceilings(part),
                **({"locked": True} if part.locked else {}),
            }
            for part in brief.parts
        ]
    if brief.songs:
        found["songs"] = [_song_table(song) for song in brief.songs]
    if brief.favourites:
        found["favourites"] = [_favourite_table(one) for one in brief.favourites]
    if brief.course is not None:
        found["course"] = {one.name: getattr(brief.course, one.name) for one in fields(Course)}
    if brief.rules is not None:
        found["rules"] = rules_table(brief.rules)
    for name in ("songs_used", "endings_used"):
        if getattr(brief, name):
            found[name] = dict(getattr(brief, name))
    return found


def rules_table(rules: HouseRules) -> dict[str, Any]:
    """Return a coordinator's rules as the keys of their file; what is empty is left out."""
    found: dict[str, Any] = {}
    for one in fields(HouseRules):
        value = getattr(rules, one.name)
        if value or (value == 0.0 and one.name == "max_rpe"):
            plain = [_plain(item) for item in value] if isinstance(value, tuple) else _plain(value)
            found[one.name] = plain
    return found


def _song_table(song: SongBrief) -> dict[str, Any]:
    found: dict[str, Any] = {"title": song.title}
    if song.part is not None:
        found["part"] = str(song.part)
    found |= _ceilings(song)
    if song.leave_out:
        found["leave_out"] = True
    return found


def _favourite_table(favourite: Favourite) -> dict[str, Any]:
    found: dict[str, Any] = {
        "name": favourite.name,
        "blocks": [wish_text(wish) for wish in favourite.blocks],
        "parts": [str(part) for part in favourite.parts],
    }
    if favourite.depth is not None:
        found["depth"] = str(favourite.depth)
    return found


def wish_text(wish: BlockWish) -> str:
    """Return a block as a person types it: ``16 jack+hands=open``."""
    changes = "".join(f"+{factor}={option}" for factor, option in wish.variation)
    return f"{wish.counts} {wish.move}{changes}"


def _ceilings(one: PartBrief | SongBrief) -> dict[str, str]:
    found = {}
    for name in ("max_impact", "max_level"):
        if getattr(one, name) is not None:
            found[name] = str(getattr(one, name))
    return found


def _pool_table(brief: Brief) -> dict[str, Any]:
    pool = brief.pool
    depth = pool.depth_m if pool.far_depth_m is None else _range((pool.depth_m, pool.far_depth_m))
    found: dict[str, Any] = {"depth": depth, "temperature": pool.temperature_c}
    if pool.space_m2 is not None:
        found["space"] = pool.space_m2
    if pool.salinity_g_kg:
        found["salinity"] = pool.salinity_g_kg
    return found


def _group_table(brief: Brief) -> dict[str, Any]:
    group: Group = brief.group
    found: dict[str, Any] = {
        "size": group.size,
        "women": group.women,
        "heights": _range(group.height_m),
        "ages": _range(group.age_years),
        "masses": _range(group.mass_kg),
        "intensity": str(group.intensity),
    }
    if brief.group_notes:
        found["notes"] = list(brief.group_notes)
    if brief.experience is not None:
        found["experience"] = str(brief.experience)
    return found


def _range(ends: tuple[float, float]) -> str:
    return "-".join(repr(end).removesuffix(".0") for end in ends)


def _plain(value: object) -> object:
    return str(value) if isinstance(value, str) else value
