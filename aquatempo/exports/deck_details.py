"""What a line of the deck says beside its name, seen from the line before it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from aquatempo.records.deck import DeckLine

__all__ = ["NEW_MARK", "newest_first", "what_is_new"]

NEW_MARK = "▸"  # before what changes while the move stays


def what_is_new(
    line: DeckLine, before: DeckLine | None, words: Mapping[str, str]
) -> tuple[str, ...]:
    """Return the details in which a line differs from one of the same move before it.

    Where something only ends, the label "plain" of words says so. A line with another
    move is new as a whole: nothing is singled out.
    """
    if before is None or before.name != line.name:
        return ()
    new = tuple(detail for detail in line.details if detail not in before.details)
    ended = any(detail not in line.details for detail in before.details)
    return new or ((words["plain"],) if ended else ())


def newest_first(
    line: DeckLine, before: DeckLine | None, words: Mapping[str, str]
) -> Sequence[str]:
    """Return all details of a line; what is new is marked and goes first.

    While a move stays, a tempo option that stays goes last: the class is in it already. before:
    the line above, or None; words: labels of the language.
    """
    new = what_is_new(line, before, words)
    same = [detail for detail in line.details if detail not in new]
    if before is not None and before.name == line.name and same[:1] == list(line.details[:1]):
        same = [*same[1:], *same[:1]]
    return (*(f"{NEW_MARK} {detail}" for detail in new), *same)
