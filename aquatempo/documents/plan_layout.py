"""How a plan is laid out in TOML: keys, their order, what is left out, comments kept."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

import tomlkit
from tomlkit.items import AoT, Table

from aquatempo.documents.brief_layout import brief_table
from aquatempo.errors import InputError
from aquatempo.records.plan import Because, Block, ClassPlan, PlannedPhrase, PlannedTrack, Stint

__all__ = [
    "BECAUSE_KEYS",
    "BLOCK_KEYS",
    "FORMAT",
    "LEADS",
    "PHRASE_KEYS",
    "PLAN_KEYS",
    "SHOWN",
    "TRACK_KEYS",
    "head_table",
    "rewritten",
    "stint_of",
    "stint_text",
]

_STINT = re.compile(r"(work|rest) (\d+) of (\d+)(?:, (\d+(?:\.\d+)?) s)?")
FORMAT = "aquatempo/plan/1"
LEADS = ("", "right", "left")
SHOWN = ("", "full", "low impact", "arms only")
PLAN_KEYS = (
    *("format", "status", "gap", "ending", "notes", "because", "brief", "left_out", "tracks"),
)
TRACK_KEYS = (
    *("title", "file", "part", "tempo_bpm", "speed", "speed_reason", "content_key", "rights"),
    *("locked", "phrases"),
)
PHRASE_KEYS = ("start_beat", "counts", "kind", "energy", "section", "locked", "blocks")
BLOCK_KEYS = (
    *("counts", "move", "vary", "pattern", "lead", "level", "travel", "words", "show"),
    *("stint", "held_s", "locked"),
)
BECAUSE_KEYS = ("of", "does", "source", "overruled")
_HEADER = """\
A class plan. Change it as you like: aquatempo reads it back and names the line of a slip.
Each [[tracks]] is a song in its place, each [[tracks.phrases]] a stretch of it, usually 32
counts; its blocks are what the class does and add up to its counts. start_beat counts the
beats of the song from 0. In a block: move, what to vary in it (arms, hands, travel, ...),
pattern (counts a movement: 1 land tempo, 2 water tempo, 4 half water tempo), lead leg of the
class, impact level (I rebound, II neutral, III suspended, grounded, power), travel, and how to
show it on deck where it hops. Tempo is as recorded; speed multiplies it. locked = true on a
block, a phrase, a track or a part of the brief keeps it when the class is planned again.
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


def head_table(plan: ClassPlan) -> dict[str, Any]:
    """Return everything of a plan but its tracks, as the keys of its file."""
    return {
        "format": FORMAT,
        "status": plan.status,
        "gap": plan.gap,
        **({"ending": plan.ending} if plan.ending else {}),
        "notes": list(plan.notes),
        **({"because": [_because(one) for one in plan.because]} if plan.because else {}),
        "brief": brief_table(plan.brief),
        "left_out": [{"title": one.title, "reason": one.reason} for one in plan.left_out],
    }


def _plan_table(plan: ClassPlan) -> dict[str, Any]:
    return {**head_table(plan), "tracks": [_track_table(track) for track in plan.tracks]}


def _track_table(track: PlannedTrack) -> dict[str, Any]:
    found: dict[str, Any] = {"title": track.title, "file": track.file, "part": track.part}
    found["tempo_bpm"] = track.tempo_bpm
    found["speed"] = track.speed
    if track.speed_reason:
        found["speed_reason"] = track.speed_reason
    if track.content_key:
        found["content_key"] = track.content_key
    found["rights"] = track.rights
    if track.locked:
        found["locked"] = True
    found["phrases"] = [_phrase_table(phrase) for phrase in track.phrases]
    return found


def _phrase_table(phrase: PlannedPhrase) -> dict[str, Any]:
    return {
        "start_beat": phrase.start_beat,
        "counts": phrase.counts,
        "kind": str(phrase.kind),
        "energy": str(phrase.energy_level),
        **({"section": phrase.section} if phrase.section else {}),
        **({"locked": True} if phrase.locked else {}),
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
    if block.stint is not None:
        found["stint"] = stint_text(block.stint)
    if block.held_s:
        found["held_s"] = block.held_s
    if block.locked:
        found["locked"] = True
    return found


def stint_text(stint: Stint) -> str:
    """Return a turn of work or rest as it is written: ``work 3 of 16, 20.3 s``."""
    kind = "work" if stint.works else "rest"
    return f"{kind} {stint.number} of {stint.of}, {stint.seconds:g} s"


def stint_of(text: str) -> Stint:
    """Return the turn that a text tells; raise InputError for what is none.

    >>> stint_of("work 3 of 16, 20.3 s").seconds
    20.3
    """
    match = _STINT.fullmatch(text.strip())
    if match is None:
        raise InputError(f"stint {text!r}: needs work or rest and its set, as 'work 3 of 16, 20 s'")
    return Stint(match[1] == "work", int(match[2]), int(match[3]), float(match[4] or 0.0))


def _because(one: Because) -> dict[str, str]:
    found = {"of": one.of, "does": one.does}
    if one.source:
        found["source"] = one.source
    if one.overruled:
        found["overruled"] = one.overruled
    return found


Holder = tomlkit.TOMLDocument | Table

# How list entries are told apart, so that a comment stays with the entry it was written for.
_SAME: dict[str, Callable[[Any], object]] = {
    "tracks": lambda entry: (str(entry.get("title")), str(entry.get("file"))),
    "phrases": lambda entry: int(entry.get("start_beat", -1)),
    "left_out": lambda entry: str(entry.get("title")),
    "parts": lambda entry: str(entry.get("name")),
    "songs": lambda entry: str(entry.get("title")),
    "favourites": lambda entry: str(entry.get("name")),
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
        elif key in _SAME and not _texts(value):
            if value or key in holder:
                _put_entries(holder, key, value)
        elif key not in holder or holder[key] != value:
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


def _texts(value: object) -> bool:
    """Tell a list of texts, as the blocks and parts of a favourite are."""
    return isinstance(value, list) and any(isinstance(one, str) for one in value)


def _item(key: str, value: object) -> object:
    """Return a value as it is written: blocks, reasons and notes a line each."""
    if key in ("blocks", "because") and isinstance(value, list) and not _texts(value):
        rows = tomlkit.array()
        for one in value:
            row = tomlkit.inline_table()
            row.update(one)
            rows.append(row)
        return rows.multiline(True)
    if isinstance(value, list) and value and key == "notes":
        lines = tomlkit.array()
        lines.extend(value)
        return lines.multiline(True)
    return value
