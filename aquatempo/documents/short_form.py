"""A plan in its short form: a track is a line, a phrase at most one; read and written.

::

    # aquatempo short plan 1
    status = "optimal"
    [brief]
    title = "Tuesday group"
    minutes = 45
    ====
    warm-up: "First Lengths", 118 bpm, file "first.ogg", from 16
      32 low "verse 1": jog R
      2x 32 high "chorus": 16 jack; 16 cross-country-ski+hands=open L
      8 low bridge: easy-jog L

Above the line of equal signs stands everything but the tracks, as in the long form. A phrase
line says how often, counts, energy, kind (where it is no whole phrase) and what it is called,
then its blocks; what is as usual is left out.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import groupby
from typing import Any

import tomlkit

from aquatempo.documents.move_requests import parse_moves
from aquatempo.documents.plan import MOST_BEATS, MOST_COUNTS, plan_from_table
from aquatempo.documents.plan_layout import head_table, stint_of, stint_text
from aquatempo.errors import InputError, TextFileError
from aquatempo.moves import Catalogue, catalogue, resolve, variation_of
from aquatempo.records.moves import ImpactLevel, Travel
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import (
    RIGHTS_OPEN,
    Block,
    ClassPlan,
    PartName,
    PlannedPhrase,
    PlannedTrack,
)
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.tomltext import read_toml
from aquatempo.units import check_range, parse_number

__all__ = [
    "SHORT_MARK",
    "SHORT_RULE",
    "UNREAD",
    "UNREAD_TRACK",
    "is_short",
    "plan_from_short",
    "short_text",
    "unread_phrase",
]

SHORT_MARK = "# aquatempo short plan 1"
SHORT_RULE = "===="
UNREAD = "unread"
UNREAD_TRACK = f'main: "{UNREAD}", 120.0 bpm'  # stands in for a line that cannot be read
_SIDES = {"right": "R", "left": "L"}
_TEXT = r'"(?:[^"\\]|\\.)*"'
_TRACK = re.compile(rf"(?P<part>[a-z-]+): (?P<title>{_TEXT})(?P<rest>.*)")
_PHRASE = re.compile(
    rf"(?:(?P<times>\d{{1,9}})x )?(?P<counts>\d{{1,9}}) (?P<energy>low|medium|high)"
    rf"(?: (?P<kind>intro|phrase|bridge|break|outro))?(?: (?P<section>{_TEXT}))?"
    rf"(?P<locked> locked)?:(?P<blocks>.*)"
)
_FIELD = re.compile(
    rf", (?:(?P<word>[a-z]+) )?(?P<value>{_TEXT}|-?[\d.]+)(?: (?P<unit>bpm))?|, (?P<flag>locked)"
)
_MORE = re.compile(
    rf" (?:(?P<side>[RL])|level (?P<level>\w+)|travel (?P<travel>in place|forward|back|sideways)"
    rf"|show (?P<show>{_TEXT})|say (?P<say>{_TEXT})|held (?P<held>[\d.]+) s"
    rf"|(?P<stint>(?:work|rest) \d+ of \d+(?:, [\d.]+ s)?)|(?P<locked>locked))(?= |$)"
)
_COUNTED = re.compile(r"(\d+) (.+)")


def unread_phrase(line: str) -> str:
    """Return what stands in for a phrase's line that cannot be read: its counts, no blocks.

    >>> unread_phrase("  2x 16 hihg: jog")
    '  2x 16 low "unread":'
    """
    counts = re.match(r"\s*((?:[1-9]x )?(?:8|16|32)) ", line)
    return f'  {counts[1] if counts else 32} low "{UNREAD}":'


def is_short(content: str) -> bool:
    """Tell the short form of a plan from anything else by its first line."""
    return content.lstrip().startswith(SHORT_MARK)


def short_text(plan: ClassPlan, source: Catalogue | None = None) -> str:
    """Return a plan in its short form; source: the catalogue in force."""
    known = (source or catalogue()).at(plan.brief.depth)
    lines = [SHORT_MARK, *tomlkit.dumps(head_table(plan)).strip().splitlines(), SHORT_RULE]
    for track in plan.tracks:
        lines.append(_track_line(track))
        told = (_phrase_line(phrase, plan.brief.depth, known) for phrase in track.phrases)
        for line, same in groupby(told):
            times = len(list(same))
            lines.append(f"  {times}x {line}" if times > 1 else f"  {line}")
    return "\n".join(lines) + "\n"


def _track_line(track: PlannedTrack) -> str:
    start = track.phrases[0].start_beat if track.phrases else 0
    found = f"{track.part}: {_quoted(track.title)}, {track.tempo_bpm!r} bpm"
    for word, text in (("file", track.file), ("key", track.content_key)):
        found += f", {word} {_quoted(text)}" if text else ""
    found += f", from {start}" if start else ""
    found += f", speed {track.speed!r}" if track.speed != 1.0 else ""
    found += f", because {_quoted(track.speed_reason)}" if track.speed_reason else ""
    found += f", rights {_quoted(track.rights)}" if track.rights != RIGHTS_OPEN else ""
    return found + (", locked" if track.locked else "")


def _phrase_line(phrase: PlannedPhrase, depth: ClassDepth, known: Catalogue) -> str:
    found = f"{phrase.counts} {phrase.energy_level.value}"
    found += f" {phrase.kind.value}" if phrase.kind is not PhraseKind.PHRASE else ""
    found += f" {_quoted(phrase.section)}" if phrase.section else ""
    found += " locked" if phrase.locked else ""
    alone = len(phrase.blocks) == 1 and phrase.blocks[0].counts == phrase.counts
    blocks = [_block(block, depth, known, alone) for block in phrase.blocks]
    return f"{found}: {'; '.join(blocks)}".rstrip()


def _block(block: Block, depth: ClassDepth, known: Catalogue, alone: bool) -> str:
    found = "" if alone else f"{block.counts} "
    found += block.move
    for factor, option in block.variation:
        found += f"+{factor.replace(' ', '_')}={option}"
    usual = _usual(block.move, block.variation, depth, known)
    found += f":{block.pattern}" if block.pattern != usual.pattern else ""
    found += f" {_SIDES[block.lead]}" if block.lead else ""
    found += f" level {block.level}" if block.level != usual.level else ""
    found += f" travel {block.travel}" if block.travel != usual.travel else ""
    found += f" show {_quoted(block.show)}" if block.show else ""
    found += f" say {_quoted(block.words)}" if block.words else ""
    found += f" held {block.held_s!r} s" if block.held_s else ""
    found += f" {stint_text(block.stint)}" if block.stint is not None else ""
    return found + (" locked" if block.locked else "")


def _usual(
    key: str, changes: tuple[tuple[str, str], ...], depth: ClassDepth, known: Catalogue
) -> Block:
    """Return a block of a move with some changes as it stands where nothing else is said."""
    move = known.move(key)
    form = resolve(move, variation_of(move, changes, known), depth, known)
    pattern = form.pattern.text if form.pattern is not None else move.pattern
    return Block(32, key, changes, pattern, "", form.level.value, form.travel.value)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def plan_from_short(path: str, content: str, source: Catalogue | None = None) -> ClassPlan:
    """Return the plan in a short form; path is only named in errors.

    Raises TextFileError with the line of what is wrong. content: its text; source: the
    catalogue in force.
    """
    known = source or catalogue()
    lines = content.split("\n")
    rule = next((at for at, line in enumerate(lines) if line.strip() == SHORT_RULE), None)
    if rule is None:
        raise TextFileError(path, None, f"no line of {SHORT_RULE} between the brief and the tracks")
    head = read_toml(path, "\n".join(lines[:rule]))
    plan = plan_from_table(head.over({"tracks": [_STAND_IN]}), known)
    here = known.at(plan.brief.depth)
    tracks = list(_tracks(path, lines[rule + 1 :], rule + 2, plan.brief.depth, here))
    if not tracks:
        raise TextFileError(path, rule + 1, "no track below: a plan needs at least one")
    return replace(plan, tracks=tuple(tracks))


_STAND_IN: dict[str, Any] = {
    "title": "", "part": "main", "tempo_bpm": 120.0,
    "phrases": [{"start_beat": 0, "counts": 32}],
}  # fmt: skip


def _tracks(
    path: str, lines: list[str], first: int, depth: ClassDepth, known: Catalogue
) -> Iterator[PlannedTrack]:
    track: PlannedTrack | None = None
    at = own_line = 0
    for number, line in enumerate(lines, first):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            if not line.startswith((" ", "\t")):
                if track is not None:
                    yield _whole(track, path, own_line)
                track, at = _read_track(line.strip())
                own_line = number
            elif track is None:
                raise InputError("a phrase before any track")
            else:
                more = _read_phrases(line.strip(), at, depth, known)
                at += sum(phrase.counts for phrase in more)
                track = replace(track, phrases=(*track.phrases, *more))
        except TextFileError:
            raise
        except InputError as exc:
            raise TextFileError(path, number, str(exc)) from exc
    if track is not None:
        yield _whole(track, path, own_line)


def _whole(track: PlannedTrack, path: str, line: int) -> PlannedTrack:
    if not track.phrases:
        problem = f"{track.title!r} has no phrases: needs at least one line below it"
        raise TextFileError(path, line, problem, ("phrases",))
    return track


def _read_track(line: str) -> tuple[PlannedTrack, int]:
    """Return a track without phrases, and the beat that its first phrase starts on."""
    match = _TRACK.fullmatch(line)
    if match is None or match["part"] not in list(PartName):
        parts = ", ".join(PartName)
        raise InputError(f'{line!r}: needs a part ({parts}), then the title, as main: "Odd Lane"')
    values: dict[str, Any] = {}
    at = 0
    rest = match["rest"]
    while at < len(rest):
        field = _FIELD.match(rest, at)
        if field is None:
            raise InputError(
                f"{rest[at:].strip(', ')!r}: needs a word and its value, as speed 1.02"
            )
        value = field["value"]
        name = "locked" if field["flag"] else "bpm" if field["unit"] else field["word"] or ""
        plain = json.loads(value) if value and value.startswith('"') else value
        values[name] = True if field["flag"] else plain
        at = field.end()
    known = ("bpm", "file", "key", "from", "speed", "because", "rights", "locked")
    for name in values:
        if name not in known:
            raise InputError(f"{name!r} in a track: known are {', '.join(known)}")
    if "bpm" not in values:
        raise InputError("a track without its tempo: needs it, as 132 bpm")
    return PlannedTrack(
        title=json.loads(match["title"]),
        file=values.get("file", ""),
        part=match["part"],
        tempo_bpm=_number(values, "bpm", 20.0, 400.0),
        phrases=(),
        speed=_number(values, "speed", 0.5, 2.0, 1.0),
        speed_reason=values.get("because", ""),
        content_key=values.get("key", ""),
        rights=values.get("rights", RIGHTS_OPEN),
        locked=values.get("locked", False),
    ), int(_number(values, "from", 0, MOST_BEATS, 0))


def _number(
    values: dict[str, Any], name: str, low: float, high: float, usual: float = math.nan
) -> float:
    """Return the number that a word of a track's line is followed by."""
    return check_range(name, parse_number(str(values.get(name, usual)), name), "", low, high)


def _read_phrases(
    line: str, start: int, depth: ClassDepth, known: Catalogue
) -> list[PlannedPhrase]:
    match = _PHRASE.fullmatch(line)
    if match is None:
        raise InputError(f"{line!r}: needs counts, energy and blocks, as 32 high: jack")
    counts = int(check_range("counts", int(match["counts"]), "", 1, MOST_COUNTS))
    times = int(check_range("times", int(match["times"] or 1), "", 1, MOST_COUNTS))
    check_range("the last beat", start + times * counts, "", 1, MOST_BEATS)
    blocks = tuple(_read_block(text, counts, depth, known) for text in _parted(match["blocks"]))
    total = sum(block.counts for block in blocks)
    if blocks and total != counts:
        raise InputError(f"blocks of {total} counts in a phrase of {counts}")
    phrase = PlannedPhrase(
        start_beat=start,
        counts=counts,
        kind=PhraseKind(match["kind"] or PhraseKind.PHRASE),
        energy_level=EnergyLevel(match["energy"]),
        blocks=blocks,
        section=json.loads(match["section"]) if match["section"] else "",
        locked=bool(match["locked"]),
    )
    return [replace(phrase, start_beat=start + turn * counts) for turn in range(times)]


def _parted(text: str) -> list[str]:
    """Return the blocks of a line, parted at semicolons that stand outside quotes."""
    parts = re.findall(rf"(?:{_TEXT}|[^;])+", text)
    return [part.strip() for part in parts if part.strip()]


def _read_block(text: str, counts: int, depth: ClassDepth, known: Catalogue) -> Block:
    counted = _COUNTED.fullmatch(text)
    own = int(counted[1]) if counted else counts
    told = counted[2] if counted else text
    first = next((m.start() for m in _MORE.finditer(told)), len(told))
    (request,) = parse_moves([told[:first]], known)
    changes = tuple((factor.value, key) for factor, key in request.variation.changes)
    usual = _usual(request.move.key, changes, depth, known)
    block = replace(usual, counts=own)
    if request.pattern is not None:
        block = replace(block, pattern=request.pattern.text)
    at = first
    while at < len(told):
        more = _MORE.match(told, at)
        if more is None:
            raise InputError(f"{told[at:].strip()!r} in a block: not understood")
        block = _with_more(block, more)
        at = more.end()
    return block


def _with_more(block: Block, more: re.Match[str]) -> Block:
    if more["side"]:
        return replace(block, lead={"R": "right", "L": "left"}[more["side"]])
    if more["level"]:
        if more["level"] not in list(ImpactLevel):
            raise InputError(f"level {more['level']!r}: needs one of {', '.join(ImpactLevel)}")
        return replace(block, level=more["level"])
    if more["travel"]:
        return replace(block, travel=Travel(more["travel"]).value)
    if more["show"]:
        return replace(block, show=json.loads(more["show"]))
    if more["say"]:
        return replace(block, words=json.loads(more["say"]))
    if more["held"]:
        held_s = parse_number(more["held"], "held")
        return replace(block, held_s=check_range("held", held_s, "s", 0.0, 600.0))
    if more["stint"]:
        return replace(block, stint=stint_of(more["stint"]))
    return replace(block, locked=True)
