"""What a line of the deck says beside its name, seen from the line before it."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.records.deck import DeckLine

__all__ = ["NEW_MARK", "newest_first", "what_is_new"]

NEW_MARK = "▸"  # before what changes while the move stays


def what_is_new(line: DeckLine, before: DeckLine | None) -> tuple[str, ...]:
    """Return the details in which a line differs from one of the same move before it.

    A line with another move is new as a whole: nothing is singled out.
    """
    if before is None or before.name != line.name:
        return ()
    return tuple(detail for detail in line.details if detail not in before.details)


def newest_first(line: DeckLine, before: DeckLine | None) -> Sequence[str]:
    """Return all details of a line; what is new is marked and goes first."""
    new = what_is_new(line, before)
    same = [detail for detail in line.details if detail not in new]
    return (*(f"{NEW_MARK} {detail}" for detail in new), *same)
