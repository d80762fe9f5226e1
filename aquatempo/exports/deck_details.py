"""What a line of the deck says beside its name, seen from the line before it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from aquatempo.records.deck import DeckLine, DeckTrack
from aquatempo.units import clock

__all__ = ["NEW_MARK", "details", "heard_to", "length_told", "newest_first", "times", "what_is_new"]

NEW_MARK = "▸"  # before what changes while the move stays
LEAST_LEFT_S = 15.0  # a phrase: less is an outro that rings out
OTHER_SIDE = {"right": "left", "left": "right"}


def details(line: DeckLine, words: Mapping[str, str]) -> tuple[str, ...]:
    """Return what to add to the name: tempo option, side and the side that one shows, style.

    line: as the class does it; words: labels of the language.
    """
    lead: tuple[str, ...] = ()
    if line.lead:
        own = words[OTHER_SIDE[line.lead]]
        lead = (words["leads"].format(side=words[line.lead], own=own),)
    return (line.tempo, *lead, *line.style)


def times(line: DeckLine, counts: int, words: Mapping[str, str]) -> str:
    """Return how often a repetition fits in some counts: ``8 times and 2 counts``.

    line: as the class does it; words: labels of the language.
    """
    whole, rest = divmod(counts, line.repetition_counts)
    if not whole:
        return words["counts_alone"].format(counts=rest)
    told = words["times"].format(times=whole) if whole > 1 else words["once"]
    if not rest:
        return told
    more = words["and_count"] if rest == 1 else words["and_counts"].format(counts=rest)
    return f"{told} {more}"


def what_is_new(
    line: DeckLine, before: DeckLine | None, words: Mapping[str, str]
) -> tuple[str, ...]:
    """Return the details in which a line differs from one of the same move before it.

    Where something only ends, the label "plain" of words says so. A line with another
    move is new as a whole: nothing is singled out.
    """
    if before is None or before.name != line.name:
        return ()
    told, old = details(line, words), details(before, words)
    new = tuple(detail for detail in told if detail not in old)
    ended = any(detail not in told for detail in old)
    return new or ((words["plain"],) if ended else ())


def newest_first(
    line: DeckLine, before: DeckLine | None, words: Mapping[str, str]
) -> Sequence[str]:
    """Return all details of a line; what is new is marked and goes first.

    While a move stays, a tempo option that stays goes last: the class is in it already. before:
    the line above, or None; words: labels of the language.
    """
    new, told = what_is_new(line, before, words), details(line, words)
    same = [detail for detail in told if detail not in new]
    if before is not None and before.name == line.name and same[:1] == list(told[:1]):
        same = [*same[1:], *same[:1]]
    return (*(f"{NEW_MARK} {detail}" for detail in new), *same)


def length_told(track: DeckTrack, words: Mapping[str, str]) -> str:
    """Return how long a song is and, where what is planned ends before it, how far it is heard.

    track: the song; words: labels of the language.
    """
    whole = clock(track.duration_s)
    if not heard_to(track, words):
        return whole
    return words["heard_of"].format(end=clock(track.planned_end_s), whole=whole)


def heard_to(track: DeckTrack, words: Mapping[str, str]) -> str:
    """Return how far a song is heard, ``to 2:09``; empty where that is to its end.

    track: the song; words: labels of the language.
    """
    if track.duration_s - track.planned_end_s < LEAST_LEFT_S:
        return ""
    return words["heard_to"].format(end=clock(track.planned_end_s))
