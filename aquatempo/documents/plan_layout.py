"""How a plan is laid out in TOML: keys, their order, what is left out, comments kept."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import fields
from typing import Any

import tomlkit
from tomlkit.items import AoT, Table

from aquatempo.records.people import Group
from aquatempo.records.plan import Block, Brief, ClassPlan, PlannedPhrase, PlannedTrack

__all__ = [
    "BLOCK_KEYS",
    "FORMAT",
    "LEADS",
    "PHRASE_KEYS",
    "PLAN_KEYS",
    "SHOWN",
    "TRACK_KEYS",
    "brief_table",
    "rewritten",
]

FORMAT = "aquatempo/plan/1"
LEADS = ("", "right", "left")
SHOWN = ("", "full", "low impact", "arms only")
PLAN_KEYS = ("format", "status", "gap", "notes", "brief", "left_out", "tracks")
TRACK_KEYS = (
    *("title", "file", "part", "tempo_bpm", "speed", "speed_reason", "content_key", "rights"),
    "phrases",
)
PHRASE_KEYS = ("start_beat", "counts", "kind", "energy", "blocks")
BLOCK_KEYS = (*("counts", "move", "vary", "pattern", "lead", "level", "travel", "words", "show"),)
_HEADER = """\
A class plan. Change it as you like: aquatempo reads it back and names the line of a slip.
Each [[tracks]] is a song in its place, each [[tracks.phrases]] a stretch of it, usually 32
counts; its blocks are what the class does and add up to its counts. start_beat counts the
beats of the song from 0. In a block: move, what to vary in it (arms, hands, travel, ...),
pattern (counts a movement: 1 land tempo, 2 water tempo, 4 half water tempo), lead leg of the
class, impact level (I rebound, II neutral, III suspended, grounded, power), travel, and how to
show it on deck where it hops. Tempo is as recorded; speed multiplies it.
Figures are estimates for planning, not a clearance for anyone."""


def rewritten(plan: ClassPlan, earlier: str | None) -> str:
    """Return the text of a plan, with the comments of an earlier text of it."""
    document = tomlkit.document() if earlier is None else tomlkit.parse(earlier)
    if earlier is None:
        for line in _HEADER.splitlines():
            document.add(tomlkit.comment(line))
        document.add(tomlkit.nl())
    _put(document, _plan_table(plan))
    # Tables that are kept bring their own blank lines along.
    return re.sub(r"\n{3,}", "\n\n", tomlkit.dumps(document)).rstrip("\n") + "\n"


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
    for name in ("allowed_moves", "banned_moves", "known_moves", "equipment"):
        if getattr(brief, name):
            found[name] = list(getattr(brief, name))
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
            }
            for part in brief.parts
        ]
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
    return found


def _plan_table(plan: ClassPlan) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "status": plan.status,
        "gap": plan.gap,
        "notes": list(plan.notes),
        "brief": brief_table(plan.brief),
        "left_out": [{"title": one.title, "reason": one.reason} for one in plan.left_out],
        "tracks": [_track_table(track) for track in plan.tracks],
    }


def _track_table(track: PlannedTrack) -> dict[str, Any]:
    found: dict[str, Any] = {"title": track.title, "file": track.file, "part": track.part}
    found["tempo_bpm"] = track.tempo_bpm
    found["speed"] = track.speed
    if track.speed_reason:
        found["speed_reason"] = track.speed_reason
    if track.content_key:
        found["content_key"] = track.content_key
    found["rights"] = track.rights
    found["phrases"] = [_phrase_table(phrase) for phrase in track.phrases]
    return found


def _phrase_table(phrase: PlannedPhrase) -> dict[str, Any]:
    return {
        "start_beat": phrase.start_beat,
        "counts": phrase.counts,
        "kind": str(phrase.kind),
        "energy": str(phrase.energy_level),
        "blocks": [_block_table(block) for block in phrase.blocks],
    }


def _block_table(block: Block) -> dict[str, Any]:
    found: dict[str, Any] = {"counts": block.counts, "move": block.move}
    if block.variation:
        found["vary"] = {factor.replace(" ", "_"): option for factor, option in block.variation}
    found["pattern"] = block.pattern
    if block.lead:
        found["lead"] = block.lead
    found["level"] = block.level
    found["travel"] = block.travel
    if block.words:
        found["words"] = block.words
    if block.show:
        found["show"] = block.show
    return found


def _range(ends: tuple[float, float]) -> str:
    return "-".join(repr(end).removesuffix(".0") for end in ends)


def _plain(value: object) -> object:
    return str(value) if isinstance(value, str) else value


Holder = tomlkit.TOMLDocument | Table

# How list entries are told apart, so that a comment stays with the entry it was written for.
_SAME: dict[str, Callable[[Any], object]] = {
    "tracks": lambda entry: (str(entry.get("title")), str(entry.get("file"))),
    "phrases": lambda entry: int(entry.get("start_beat", -1)),
    "left_out": lambda entry: str(entry.get("title")),
    "parts": lambda entry: str(entry.get("name")),
}


def _put(holder: Holder, wanted: dict[str, Any]) -> None:
    """Make a table or document say what is wanted; leave alone what says it already."""
    for key in [key for key in holder if key not in wanted]:
        del holder[key]
    for key, value in wanted.items():
        if isinstance(value, dict):
            if not isinstance(holder.get(key), Table):
                holder[key] = tomlkit.table()
            _put(holder[key], value)
        elif key in _SAME and (value or key in holder):
            _put_entries(holder, key, value)
        elif key not in _SAME and (key not in holder or holder[key] != value):
            holder[key] = _item(key, value)


def _put_entries(holder: Holder, key: str, wanted: Sequence[dict[str, Any]]) -> None:
    """Set a list of tables, each on top of the earlier entry that is the same."""
    same, earlier = _SAME[key], holder.get(key)
    pool: dict[object, list[Table]] = {}
    if isinstance(earlier, AoT):
        for entry in earlier.body:
            pool.setdefault(same(entry), []).append(entry)
    entries = tomlkit.aot()
    for one in wanted:
        left = pool.get(same(one))
        table = left.pop(0) if left else tomlkit.table()
        _put(table, one)
        entries.append(table)
    if not wanted:
        holder.pop(key, None)
    elif key in holder:
        holder[key] = entries
    else:
        holder.add(key, entries)


def _item(key: str, value: object) -> object:
    """Return a value as it is written: blocks and notes a line each."""
    if key == "blocks" and isinstance(value, list):
        lines = tomlkit.array()
        for one in value:
            block = tomlkit.inline_table()
            block.update(one)
            lines.append(block)
        return lines.multiline(True)
    if isinstance(value, list) and value and key == "notes":
        lines = tomlkit.array()
        lines.extend(value)
        return lines.multiline(True)
    return value
