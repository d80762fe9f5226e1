"""Whether a class can follow: how long moves last, where they change, and what at once."""

from __future__ import annotations

from collections.abc import Iterator

from aquatempo.class_shape.standards import CHANGE_COUNTS
from aquatempo.moves import transition
from aquatempo.records.moves import Factor, MoveKind
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.spots import ReadPlan, Spot, finding
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE

__all__ = ["arms", "changes", "holding"]

HALF_PHRASE = COUNTS_PER_PHRASE // 2
MOVEMENTS_A_SIDE = 8  # common practice, no source
HOLD_COUNTS = 4  # into and out of a holding move, which has no shape to miss
_TAUGHT = (MoveKind.BASE, MoveKind.DEEP_ONLY)


def holding(reading: ReadPlan) -> Iterator[Finding]:
    """Yield new moves and new factors that the class has too little time to learn."""
    moves = set(reading.brief.known_moves)
    forms: set[tuple[object, ...]] = set()
    for run in reading.runs():
        first = run[0]
        if first.move.kind not in _TAUGHT or all(spot.rests and spot.between for spot in run):
            continue
        counts = sum(spot.what.counts for spot in run)
        if first.move.key not in moves:
            yield from _new_move(run, counts)
        elif _varied(first) and first.run_key not in forms and counts < HALF_PHRASE:
            yield finding(
                *(Fault.NEW_FACTOR, Severity.WARNING, first),
                f"{first.name} is new and lasts {counts} counts",
                f"hold it for at least {HALF_PHRASE} counts the first time",
            )
        moves.add(first.move.key)
        forms.add(first.run_key)


def _new_move(run: tuple[Spot, ...], counts: int) -> Iterator[Finding]:
    first = run[0]
    if first.offset:
        yield finding(
            *(Fault.COUNT_ONE, Severity.WARNING, first),
            f"{first.name} is new to the class and starts on count {first.offset + 1} of a phrase",
            "start a new move on count 1 of a phrase",
        )
    least = _movements_a_side(run)
    if counts >= COUNTS_PER_PHRASE and least >= MOVEMENTS_A_SIDE:
        return
    side = " on one side" if first.move.sided else ""
    yield finding(
        *(Fault.NEW_MOVE, Severity.WARNING, first),
        f"{first.name} is new and lasts {counts} counts, {least:.0f} movements{side}",
        f"hold it for a whole phrase and {MOVEMENTS_A_SIDE} movements a side the first time",
    )


def _movements_a_side(run: tuple[Spot, ...]) -> float:
    """Return the movements of the side that gets fewer; of both together without sides."""
    sides = [0.0, 0.0]
    for spot in run:
        counts_each = spot.pattern.counts / len(spot.pattern.steps)
        if spot.move.sided:
            sides = [
                had + counts / counts_each
                for had, counts in zip(sides, spot.side_counts(), strict=True)
            ]
        else:
            sides = [had + spot.what.counts / counts_each for had in sides]
    return min(sides)


def _varied(spot: Spot) -> bool:
    return bool(spot.form.variation.changes) or spot.pattern.text != spot.move.pattern


def changes(reading: ReadPlan) -> Iterator[Finding]:
    """Yield changes off count 1, of several factors at once, and those that cost too much."""
    known = set(reading.brief.known_moves)
    for before, spot in reading.neighbours():
        known.add(before.move.key)
        if before.run_key == spot.run_key or before.stretches or spot.stretches:
            continue
        if not reading.by_clock(spot):
            yield from _off_the_eight(spot, spot.move.key in known)
        if before.move.key == spot.move.key:
            yield from _several(before, spot)
        change = transition(before.form, before.pattern, spot.form, spot.pattern)
        most = CHANGE_COUNTS[reading.limits.experience]
        most = max(most, HOLD_COUNTS if before.rests or spot.rests else 0)
        if change.counts > most:
            worst = max(change.reasons, key=lambda reason: reason[1])
            yield finding(
                *(Fault.TRANSITION, Severity.WARNING, spot),
                f"{before.name} to {spot.name} costs {change.counts} counts: {worst[0]}",
                "put a move between that both meet in the centre, such as jog, or change the order",
            )


def _off_the_eight(spot: Spot, known: bool) -> Iterator[Finding]:
    marked = any(factor is Factor.COMBINATION for factor, _ in spot.form.variation.changes)
    last_steps = spot.what.counts < COUNTS_PER_EIGHT
    count = spot.offset % COUNTS_PER_EIGHT
    if count and known and not (marked or last_steps):
        yield finding(
            *(Fault.COUNT_ONE, Severity.WARNING, spot),
            f"{spot.name} starts on count {count + 1} of an eight",
            "start a change on count 1",
        )


def _several(before: Spot, spot: Spot) -> Iterator[Finding]:
    ours, theirs = set(before.form.variation.changes), set(spot.form.variation.changes)
    changed = {factor for factor, _ in ours ^ theirs}
    if before.pattern.text != spot.pattern.text:
        changed.add(Factor.TEMPO)
    if len(changed) > 1:
        named = ", ".join(sorted(factor.value for factor in changed))
        yield finding(
            *(Fault.FACTORS, Severity.WARNING, spot),
            f"{before.name} to {spot.name} changes {named}",
            "change one factor at a time, the others a half phrase later",
        )


def arms(reading: ReadPlan) -> Iterator[Finding]:
    """Yield the first block of a phrase whose arms change between water and air."""
    told: set[tuple[int, int]] = set()
    for before, spot in reading.neighbours():
        place = (spot.track, spot.phrase)
        if before.phrase != spot.phrase or place in told:
            continue
        if before.form.arms_in_water != spot.form.arms_in_water:
            told.add(place)
            yield finding(
                *(Fault.ARMS, Severity.WARNING, spot),
                f"the arms go from {_where(before)} to {_where(spot)} within a phrase",
                "keep the arms all in or all out of the water until the phrase ends",
            )


def _where(spot: Spot) -> str:
    return "in the water" if spot.form.arms_in_water else "out of it"
