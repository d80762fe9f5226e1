"""The asks of a brief that leave moves out, each with what the brief is without it.

What clashes is found by switching them off; the least change by loosening one of them as
little as helps.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from aquatempo.class_shape.limits import BANDS, LEVELS
from aquatempo.class_shape.notes import notes_named
from aquatempo.records.people import Intensity
from aquatempo.records.plan import Brief

__all__ = ["Ask", "asks_of"]

Looser = Iterator[tuple[Brief, str]]


@dataclass(frozen=True)
class Ask:
    """One ask: its text, the name of its line, the brief without it, and looser ones.

    looser: from a brief and the keys of all moves, ever looser briefs with the change in words,
    the smallest change first.
    """

    key: str
    line: str
    text: str
    without: Callable[[Brief], Brief]
    looser: Callable[[Brief, Iterable[str]], Looser]


def asks_of(brief: Brief) -> list[Ask]:
    """Return the asks of a brief that leave moves out."""
    found = []
    if brief.allowed_moves:
        text = f"allowed_moves = {', '.join(brief.allowed_moves)}"
        found.append(
            Ask("allowed", "allowed_moves", text, lambda b: replace(b, allowed_moves=()), _allow)
        )
    if brief.banned_moves:
        text = f"banned_moves = {', '.join(brief.banned_moves)}"
        found.append(
            Ask("banned_moves", "banned_moves", text, lambda b: replace(b, banned_moves=()), _unban)
        )
    if brief.banned:
        text = f"banned = {', '.join(brief.banned)}"
        found.append(Ask("banned", "banned", text, lambda b: replace(b, banned=()), _lift))
    if brief.max_impact is not None:
        text = f"max_impact = {brief.max_impact}"
        found.append(
            Ask("max_impact", "max_impact", text, lambda b: replace(b, max_impact=None), _impact)
        )
    if brief.max_level is not None:
        text = f"max_level = {brief.max_level}"
        found.append(
            Ask("max_level", "max_level", text, lambda b: replace(b, max_level=None), _level)
        )
    for index, note in enumerate(brief.group_notes):
        if notes_named([note])[0]:
            found.append(_note(index, note))
    if brief.group.intensity is Intensity.EASY:
        found.append(Ask("intensity", "group.intensity", "intensity = easy", _steady, _steadier))
    if brief.rpe is not None:
        text = f"rpe = {brief.rpe[0]:g}-{brief.rpe[1]:g}"
        found.append(Ask("rpe", "rpe", text, lambda b: replace(b, rpe=None), _no_rpe))
    if brief.rules is not None:
        text = f"the rules {brief.rules.title!r}" if brief.rules.title else "the rules"
        found.append(Ask("rules", "rules", text, lambda b: replace(b, rules=None), _no_rules))
    text = f"range_floor = {brief.range_floor:g}"
    found.append(
        Ask("range_floor", "range_floor", text, lambda b: replace(b, range_floor=0.5), _floor)
    )
    return found


def _allow(brief: Brief, moves: Iterable[str]) -> Looser:
    keys = [key for key in moves if key not in brief.allowed_moves]
    for key in keys:
        yield replace(brief, allowed_moves=(*brief.allowed_moves, key)), f"allow {key}"
    for first in keys:
        for second in keys[keys.index(first) + 1 :]:
            more = (*brief.allowed_moves, first, second)
            yield replace(brief, allowed_moves=more), f"allow {first} and {second}"


def _unban(brief: Brief, moves: Iterable[str]) -> Looser:
    for key in brief.banned_moves:
        left = tuple(one for one in brief.banned_moves if one != key)
        yield replace(brief, banned_moves=left), f"take {key} out of banned_moves"
    yield replace(brief, banned_moves=()), "leave banned_moves out"


def _lift(brief: Brief, moves: Iterable[str]) -> Looser:
    for text in brief.banned:
        left = tuple(one for one in brief.banned if one != text)
        yield replace(brief, banned=left), f"take {text} out of banned"
    yield replace(brief, banned=()), "leave banned out"


def _impact(brief: Brief, moves: Iterable[str]) -> Looser:
    for band in BANDS[BANDS.index(brief.max_impact or BANDS[-1]) + 1 :]:
        yield replace(brief, max_impact=band), f"max_impact = {band}"


def _level(brief: Brief, moves: Iterable[str]) -> Looser:
    for level in LEVELS[LEVELS.index(brief.max_level or LEVELS[-1]) + 1 :]:
        yield replace(brief, max_level=level), f"max_level = {level}"


def _note(index: int, note: str) -> Ask:
    def without(brief: Brief) -> Brief:
        left = tuple(one for one in brief.group_notes if one != note)
        return replace(brief, group_notes=left)

    def looser(brief: Brief, moves: Iterable[str]) -> Looser:
        named, _ = notes_named([note])
        for _, one in named:
            for word in one.banned:
                more = (*brief.allow, word)
                yield replace(brief, allow=more), f"allow = {', '.join(more)}"
            for level in LEVELS[LEVELS.index(one.max_level) + 1 :] if one.max_level else ():
                yield replace(brief, max_level=level), f"max_level = {level}"
        yield without(brief), f"leave the note {note!r} out, if that is right"

    return Ask(f"note {index}", "group.notes", f"the note {note!r}", without, looser)


def _steady(brief: Brief) -> Brief:
    return replace(brief, group=replace(brief.group, intensity=Intensity.STEADY))


def _steadier(brief: Brief, moves: Iterable[str]) -> Looser:
    yield _steady(brief), "intensity = steady"


def _no_rpe(brief: Brief, moves: Iterable[str]) -> Looser:
    assert brief.rpe is not None
    for more in (1.0, 2.0, 4.0):
        rpe = (brief.rpe[0], brief.rpe[1] + more)
        yield replace(brief, rpe=rpe), f"rpe = {rpe[0]:g}-{rpe[1]:g}"


def _no_rules(brief: Brief, moves: Iterable[str]) -> Looser:
    yield replace(brief, rules=None), "ask the coordinator for more moves"


def _floor(brief: Brief, moves: Iterable[str]) -> Looser:
    floor = brief.range_floor
    while floor > 0.5:
        floor = round(floor - 0.01, 2)
        yield replace(brief, range_floor=floor), f"range_floor = {floor:g}"
