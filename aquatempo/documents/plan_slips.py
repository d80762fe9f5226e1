"""A plan read to the end in spite of slips in its file: every slip with its line, in one go.

A value that cannot be read is put aside, and the rest is read on. Where a block is wrong
its phrase is left unread, because the counts after it cannot be told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

from aquatempo.documents.plan import plan_from_table
from aquatempo.documents.plan_files import with_files_seen_from
from aquatempo.documents.short_form import SHORT_RULE, UNREAD_TRACK, is_short, plan_from_short
from aquatempo.errors import TextFileError
from aquatempo.moves import Catalogue
from aquatempo.records.plan import ClassPlan
from aquatempo.store.files import read_text
from aquatempo.tomltext import TomlTable, read_toml
from aquatempo.tomltext.positions import Place

__all__ = ["ReadWithSlips", "plan_with_slips", "read_plan_with_slips"]

_MOST_SLIPS = 200
_MOST_LINES = 40  # lines that are no TOML; more and the file is none
# What stands in for a key that has to be there and cannot be read.
_USUAL: dict[str, Any] = {"title": "untitled", "part": "main", "tempo_bpm": 120.0, "name": "main"}


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
    """Return the plan in a short form; a track's line that is wrong gets a stand-in."""
    slips: list[TextFileError] = []
    lines = content.splitlines()
    for _ in range(_MOST_SLIPS):
        try:
            plan = plan_from_short(path, "\n".join(lines), source)
        except TextFileError as slip:
            slips.append(slip)
            if slip.line is None or not 0 < slip.line <= len(lines):
                break
            line = lines[slip.line - 1]
            inside = line.startswith((" ", "\t")) or not line.strip()
            below = any(one.strip() == SHORT_RULE for one in lines[: slip.line - 1])
            lines[slip.line - 1] = "" if inside or not below else UNREAD_TRACK
            if lines[slip.line - 1] == line:
                break
            continue
        return ReadWithSlips(plan, _in_order(slips))
    return ReadWithSlips(None, _in_order(slips))


def _in_order(slips: list[TextFileError]) -> tuple[TextFileError, ...]:
    return tuple(sorted(slips, key=lambda slip: slip.line or 0))


def _parsed(path: str, content: str) -> tuple[TomlTable | None, list[TextFileError]]:
    """Return the text as a table, lines that are no TOML left out and told."""
    slips: list[TextFileError] = []
    lines = content.splitlines()
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
    if "blocks" in place:
        at = place.index("blocks")
        phrase = _at(data, place[:at])
        phrase["blocks"] = []
        unread.add((int(place[1]) + 1, int(place[3]) + 1))
        return True
    holder, key = _at(data, place[:-1]), place[-1] if place else ""
    if key == "start_beat":
        phrases = _at(data, place[:-2])
        index = int(place[-2])
        before = phrases[index - 1] if index else {"start_beat": 0, "counts": 0}
        usual = before.get("start_beat", 0) + before.get("counts", 0)
        changed: bool = holder.get("start_beat") != usual
        holder["start_beat"] = usual
        return changed
    if key == "counts":
        blocks = holder.get("blocks", [])
        told = [b.get("counts", 0) for b in blocks if isinstance(b, dict)]
        whole = all(isinstance(one, int) for one in told)
        holder["counts"] = sum(told) if whole and sum(told) > 0 else 32
        return True
    if isinstance(holder, dict) and key in holder:
        del holder[key]
        return True
    if place and isinstance(holder, dict):
        return False  # what is missing cannot be put aside
    inside = _at(data, place)
    if isinstance(inside, dict):
        return _completed(inside, place)
    return False


def _completed(table: dict[str, Any], place: Place) -> bool:
    """Give a table a key that has to be there; False where none is missing."""
    if place and place[0] == "tracks" and len(place) == 2 and not table.get("phrases"):
        table["phrases"] = [{"start_beat": 0, "counts": 32}]
        return True
    if place and place[0] == "tracks" and len(place) == 4:
        wanted: dict[str, Any] = {"counts": 32, "start_beat": 0}
    else:
        wanted = _USUAL
    missing = [key for key in wanted if key not in table]
    if not missing:
        return False
    table[missing[0]] = wanted[missing[0]]
    return True


def _at(data: Any, place: Place) -> Any:  # noqa: ANN401 - TOML
    for key in place:
        data = data[key]
    return data
