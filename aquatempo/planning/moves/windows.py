"""What may not go on for too long: a plane, a muscle, high effort, big jumps.

In each stretch just longer than that, something else has to come. Weights are common practice and
judgement, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from aquatempo.class_shape.standards import HOLD_SECONDS, MUSCLE_SECONDS, PLANE_SECONDS
from aquatempo.planning.moves.palette import Rated, jumps
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.solver.choosing import Sum
from aquatempo.records.moves import MoveKind
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["HOP_COUNTS", "STUCK", "TAIL_SECONDS", "Moment", "jump_rows", "moment", "windows"]

HOP_COUNTS = 2 * COUNTS_PER_PHRASE  # of big jumps in a row, at most
STUCK = 5000  # what breaks a rule is taken only where nothing else is left
TAIL_SECONDS = 10.0 + max(seconds for _, seconds in HOLD_SECONDS)  # that the next song looks back
_WINDOW = 60  # a phrase that goes on for longer than it should
_EASIER_RPE = 1.0  # points below: that is a rest from it

Moment = tuple[frozenset[str], float]
"""What something done works, by name, and for how long [s]."""


def moment(rated: Rated, seconds: float) -> Moment:
    """Return what a form works: its plane, muscles, and the efforts that it is near.

    rated: the form; seconds: for how long [s].
    """
    if rated.form.move.kind is MoveKind.HOLDING:
        return frozenset(), seconds
    efforts = (_effort(level) for level, _ in HOLD_SECONDS if rated.rpe > level - _EASIER_RPE)
    return frozenset((rated.form.move.plane.value, *rated.figures.hard, *efforts)), seconds


def _effort(level: float) -> str:
    return f"RPE {level:g}"


def windows(
    slots: Sequence[MoveSlot],
    domains: Mapping[int, Sequence[Rated]],
    rows: Mapping[int, int],
    tail: Sequence[Moment],
) -> list[Sum]:
    """Return what it costs that a plane, a muscle or an effort goes on for too long.

    slots: of the song; domains: the options of each place; rows: the pieces of each phrase; tail:
    what the class did just before, newest last.
    """
    works = {
        place: [moment(rated, 0.0)[0] for rated in options] for place, options in domains.items()
    }
    every = frozenset[str]().union(*(names for options in works.values() for names in options))
    planes = {rated.form.move.plane.value for options in domains.values() for rated in options}
    limits = {_effort(level): seconds for level, seconds in HOLD_SECONDS}
    found = []
    for name in sorted(every):
        limit = limits.get(name, PLANE_SECONDS if name in planes else MUSCLE_SECONDS)
        for inside, fixed in _stretches(slots, tail, limit):
            if not all(name in names for names, _ in fixed):
                continue
            amounts: dict[tuple[int, int], int] = {}
            for slot in inside:
                for option, names in enumerate(works[slot.place]):
                    if name in names:
                        cell = (rows[slot.place], option)
                        amounts[cell] = amounts.get(cell, 0) + 1
            if amounts:
                most = len(inside) + len(fixed) - 1
                found.append(Sum(amounts, len(fixed), 0, most, 0, _WINDOW))
    return found


def _stretches(
    slots: Sequence[MoveSlot], tail: Sequence[Moment], limit: float
) -> Iterator[tuple[Sequence[MoveSlot], Sequence[Moment]]]:
    """Yield (slots, what went before) of each stretch just longer than a limit [s]."""
    before = len(tail)
    seconds = [*(lasted for _, lasted in tail), *(slot.seconds for slot in slots)]
    for first in range(len(seconds)):
        total, last = 0.0, first
        while last < len(seconds) and total <= limit:
            total += seconds[last]
            last += 1
        if total <= limit:
            return
        if last > before:
            yield slots[max(0, first - before) : last - before], tail[first:]


def jump_rows(
    slots: Sequence[MoveSlot], domains: Mapping[int, Sequence[Rated]], rows: Mapping[int, int]
) -> list[Sum]:
    """Return what it costs that big jumps go on for more than two phrases.

    slots: of the song; domains: the options of each place; rows: the pieces of each phrase.
    """
    found = []
    for first in range(len(slots)):
        counts, last = 0, first
        while last < len(slots) and counts <= HOP_COUNTS:
            if last > first and slots[last].bridge:
                break
            counts += slots[last].counts + slots[last].lead_in
            last += 1
        if counts <= HOP_COUNTS:
            continue
        amounts: dict[tuple[int, int], int] = {}
        for slot in slots[first:last]:
            for option, rated in enumerate(domains[slot.place]):
                if jumps(rated):
                    cell = (rows[slot.place], option)
                    amounts[cell] = amounts.get(cell, 0) + slot.counts + slot.lead_in
        if amounts:
            found.append(Sum(amounts, 0, 0, HOP_COUNTS, 0, STUCK // COUNTS_PER_PHRASE))
    return found
