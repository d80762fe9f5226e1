"""How a class that works is brought from meeting a move to working with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from aquatempo.class_shape.limits import Limits
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.menus import VIGOROUS
from aquatempo.planning.moves.move_costs import phrases_to_learn
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["drive_of", "is_new", "met_then_varied"]

# Moderate work, RPE 12 to 14, and more so vigorous work, 14 to 17 (garber-2011), is near what water
# at these tempos can ask at all, so staying below it costs more than a point above (judgement).
_DRIVES = ((13.5, VIGOROUS), (11.9, 3.0))  # from an effort on, how much more


def drive_of(limits: Limits) -> float:
    """Return how much more it costs to stay below the effort wanted than to be above it.

    limits: what the class may and may not do.
    """
    return next((more for rpe, more in _DRIVES if limits.rpe[0] >= rpe), 1.0)


def met_then_varied(
    slots: Sequence[MoveSlot], moves: Mapping[int, Rated], ledger: Ledger
) -> list[MoveSlot]:
    """Return slots in which a place that is new comes plain first and may be varied after that.

    A row of several moves keeps them as they were met. Where a chorus meets a move, its returns
    are alike among themselves, not like the lesson. slots: of the song; moves: the start form of
    each place; ledger: what the class has done so far.
    """
    rows = {slot.tie for slot in slots if slot.counts < COUNTS_PER_PHRASE}
    free = 1 + max(slot.tie for slot in slots)
    learning: dict[int, int] = {}
    again: dict[int, int] = {}
    lessons: set[int] = set()
    found = []
    for slot in slots:
        start = moves[slot.place]
        lesson = COUNTS_PER_PHRASE * phrases_to_learn(start)
        done = learning.get(slot.place, 0)
        learning[slot.place] = done + slot.counts
        if start.form.move.key not in ledger.known and done < lesson:
            lessons.add(slot.tie)
        elif slot.tie in lessons and slot.tie not in rows and _whole(slot):
            tie = again.setdefault(slot.tie, free)
            free = max(free, tie + 1)
            slot = replace(slot, tie=tie)
        found.append(slot)
    return found


def _whole(slot: MoveSlot) -> bool:
    """Return whether a slot is a phrase of its own that is still to be chosen."""
    return slot.counts == COUNTS_PER_PHRASE and slot.kept is None and slot.fixed is None


def is_new(rated: Rated, ledger: Ledger) -> bool:
    """Return whether the class has not yet done a move in this form.

    rated: the form; ledger: what the class has done so far.
    """
    changes = tuple((factor.value, key) for factor, key in rated.form.variation.changes)
    return changes not in ledger.forms.get(rated.form.move.key, {})
