"""A plan read to the end in spite of slips in its file: every slip with its line, in one go.

A value that cannot be read is put aside, and the rest is read on. Where a block is wrong
its phrase is left unread, because the counts after it cannot be told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

from aquatempo.documents.plan import plan_from_table
from aquatempo.documents.plan_files import with_files_seen_from
from aquatempo.documents.short_form import (
    SHORT_RULE,
    UNREAD,
    UNREAD_TRACK,
    is_short,
    plan_from_short,
    unread_phrase,
)
from aquatempo.errors import TextFileError
from aquatempo.moves import Catalogue
from aquatempo.records.plan import ClassPlan
from aquatempo.store.files import read_text
from aquatempo.tomltext import TomlTable, need, read_toml
from aquatempo.tomltext.positions import Place

__all__ = ["ReadWithSlips", "plan_with_slips", "read_plan_with_slips"]

_MOST_SLIPS = 200
_MOST_LINES = 40  # lines that are no TOML; more and the file is none
# What stands in for a key that has to be there and cannot be read, in tables of each list;
# None: nothing does, and the list is put aside.
_USUAL: dict[str, dict[str | int, Any]] = {
    "tracks": {"title": "untitled", "part": "main", "tempo_bpm": 120.0},
    "phrases": {"counts": 32, "start_beat": 0},
    "parts": {"name": None, "minutes": None},
    "favourites": {"name": None, "blocks": None},
    "songs": {"title": "untitled"},
    "left_out": {"title": "untitled"},
}


@dataclass(frozen=True)
class ReadWithSlips:
    """A plan as far as it can be read, None where nothing can be.

    slips: in the order of their lines. unread: (track, phrase), 1-based, whose blocks are
    left out.
    """

    plan: ClassPlan | None
    slips: tuple[TextFileError, ...]
    unread: frozenset[tuple[int, int]] = frozenset()


def read_plan_with_slips(path: str, source: Catalogue | None = None) -> ReadWithSlips:
    """Return the plan in a file, at path, with all its slips; source: the catalogue in force.

    Raises TextFileError only where there is no such file.
    """
    found = plan_with_slips(path, read_text(path), source)
    if found.plan is None:
        return found
    return ReadWithSlips(with_files_seen_from(found.plan, path), found.slips, found.unread)


def plan_with_slips(path: str, content: str, source: Catalogue | None = None) -> ReadWithSlips:
    """Return the plan in a text, content, with all its slips; path is only named in them.

    source: the catalogue in force.
    """
    if is_short(content):
        return _short_with_slips(path, content, source)
    toml, slips = _parsed(path, content)
    if toml is None:
        return ReadWithSlips(None, tuple(slips))
    try:
        need("a plan", toml)
    except TextFileError as slip:
        return ReadWithSlips(None, (slip,))
    data = cast("dict[str, Any]", toml.data)
    unread: set[tuple[int, int]] = set()
    for _ in range(_MOST_SLIPS):
        try:
            plan = plan_from_table(toml, source)
        except TextFileError as slip:
            slips.append(slip)
            if not _put_aside(data, slip.place, unread):
                return ReadWithSlips(None, _in_order(slips))
            continue
        return ReadWithSlips(plan, _in_order(slips), frozenset(unread))
    return ReadWithSlips(None, _in_order(slips))


def _short_with_slips(path: str, content: str, source: Catalogue | None) -> ReadWithSlips:
    """Return the plan in a short form; lines that are wrong below its rule get a stand-in."""
    slips: list[TextFileError] = []
    lines = content.split("\n")
    for _ in range(_MOST_SLIPS):
        try:
            plan = plan_from_short(path, "\n".join(lines), source)
        except TextFileError as slip:
            slips.append(slip)
            line = lines[slip.line - 1] if slip.line is not None else ""
            if slip.line is None or line.strip() in ("", SHORT_RULE):
                break
            below = any(one.strip() == SHORT_RULE for one in lines[: slip.line])
            if not below or slip.place:  # of the brief, or a song without phrases
                lines[slip.line - 1] = ""
            elif line.startswith((" ", "\t")):
                lines[slip.line - 1] = unread_phrase(line)
            else:
                lines[slip.line - 1] = UNREAD_TRACK
            continue
        unread = {
            (number, place)
            for number, track in enumerate(plan.tracks, 1)
            for place, phrase in enumerate(track.phrases, 1)
            if phrase.section == UNREAD and not phrase.blocks
        }
        return ReadWithSlips(plan, _in_order(slips), frozenset(unread))
    return ReadWithSlips(None, _in_order(slips))


def _in_order(slips: list[TextFileError]) -> tuple[TextFileError, ...]:
    return tuple(sorted(slips, key=lambda slip: slip.line or 0))


def _parsed(path: str, content: str) -> tuple[TomlTable | None, list[TextFileError]]:
    """Return the text as a table, lines that are no TOML left out and told."""
    slips: list[TextFileError] = []
    lines = content.split("\n")
    for _ in range(_MOST_LINES):
        try:
            return read_toml(path, "\n".join(lines)), slips
        except TextFileError as slip:
            slips.append(slip)
            at = slip.line if slip.line is not None else _last(lines)
            while 0 < at <= len(lines) and not lines[at - 1].strip():
                at -= 1
            if not 0 < at <= len(lines):
                return None, slips
            lines[at - 1] = ""
    return None, slips


def _last(lines: list[str]) -> int:
    """Return the last line that says something, 0 for none."""
    return max((number for number, line in enumerate(lines, 1) if line.strip()), default=0)


def _put_aside(data: dict[str, Any], place: Place, unread: set[tuple[int, int]]) -> bool:
    """Change the data so that what is wrong at a place is not read again; False: cannot be.

    Lists keep their length, so that lines stay right.
    """
    in_tracks = place[:1] == ("tracks",)
    if in_tracks and "blocks" in place:
        at = place.index("blocks")
        phrase = _at(data, place[:at])
        phrase["blocks"] = []
        unread.add((int(place[1]) + 1, int(place[3]) + 1))
        return True
    holder, key = _at(data, place[:-1]), place[-1] if place else ""
    if in_tracks and key == "start_beat":
        phrases = _at(data, place[:-2])
        index = int(place[-2])
        before = phrases[index - 1] if index else {"start_beat": 0, "counts": 0}
        usual = before["start_beat"] + before["counts"]
        changed: bool = holder.get("start_beat") != usual
        holder["start_beat"] = usual
        return changed
    if in_tracks and key == "counts":
        blocks = holder.get("blocks")
        told = [b.get("counts") for b in blocks] if _are_tables(blocks) else []
        whole = all(isinstance(one, int) for one in told)
        holder["counts"] = sum(told) if whole and sum(told) > 0 else _USUAL["phrases"]["counts"]
        return True
    wanted = _USUAL.get(str(place[-3]), {}) if len(place) > 2 else {}
    if isinstance(holder, dict) and key in holder and key not in wanted:
        del holder[key]
        return True
    if isinstance(holder, dict) and wanted.get(key) not in (None, holder.get(key)):
        holder[key] = wanted[key]
        return True
    inside = _at(data, place) if isinstance(holder, list) else None
    if isinstance(inside, dict) and _completed(inside, place):
        return True
    # What is wrong deep in the brief, and has no stand-in, goes with all that is told of it.
    return len(place) > 2 and data.get("brief", {}).pop(place[1], None) is not None


def _are_tables(found: object) -> bool:
    return isinstance(found, list) and all(isinstance(one, dict) for one in found)


def _completed(table: dict[str | int, Any], place: Place) -> bool:
    """Give a table of a list a key that has to be there; False where none is missing."""
    name = str(place[-2])
    if name == "tracks" and not table.get("phrases"):
        table["phrases"] = [dict(_USUAL["phrases"])]
        return True
    for key, usual in _USUAL.get(name, {}).items():
        if key not in table and usual is not None:
            table[key] = usual
            return True
    return False


def _at(data: Any, place: Place) -> Any:  # noqa: ANN401 - TOML
    for key in place:
        data = data[key]
    return data
