"""Whether a class can learn what it is asked: base moves, variations, how often each comes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TypeAlias

from aquatempo.class_shape.standards import (
    NEW_IN_A_SONG,
    SETS_IN_A_SONG,
    base_move_count,
)
from aquatempo.records.brief import Experience
from aquatempo.records.moves import Factor, MoveKind
from aquatempo.records.plan import PartName
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.spots import ReadPlan, Spot, finding

__all__ = ["learning"]

MORE_MOVES = 2  # than planning would take: then it is told
MORE_WAYS = 1
MORE_SETS = 2
ONCE_SHARE = 0.5
LEAST_FORMS = 6
_TAUGHT = (MoveKind.BASE, MoveKind.DEEP_ONLY)
_Way: TypeAlias = tuple[str, tuple[tuple[str, str], ...]]
_NOT_LEARNED = (Factor.LEVEL, Factor.SIDES)


def learning(reading: ReadPlan) -> Iterator[Finding]:
    """Yield too many base moves, too many new variations in a song, and what comes once."""
    taught = [
        spot
        for spot in reading.of_parts(PartName.WARM_UP, PartName.MAIN, PartName.INTERVALS)
        if spot.move.kind in _TAUGHT and not (spot.rests and spot.between)
    ]
    yield from _moves(reading, taught)
    yield from _forms(reading, taught)
    yield from _once(taught)


def _moves(reading: ReadPlan, taught: list[Spot]) -> Iterator[Finding]:
    limits = reading.limits
    most = base_move_count(reading.brief, limits) + MORE_MOVES
    seen: dict[str, None] = {}
    for spot in taught:
        if spot.move.key in reading.brief.known_moves or spot.move.key in seen:
            continue
        seen[spot.move.key] = None
        if len(seen) == most + 1:
            new = limits.experience in (Experience.FIRST_WEEK, Experience.BEGINNERS)
            severity = Severity.WARNING if new else Severity.ADVICE
            who = limits.experience.value
            yield finding(
                *(Fault.LEARNING, severity, spot),
                f"{spot.name} is base move {most + 1} of the class, for a group that is {who}",
                f"keep to {most - MORE_MOVES} or so, and vary them",
            )


def _forms(reading: ReadPlan, taught: list[Spot]) -> Iterator[Finding]:
    # What open hands are is learned once, and used with every move after that.
    known = {(factor, option) for _, factor, option in reading.brief.known_forms}
    ways = NEW_IN_A_SONG[reading.limits.experience]
    sets = SETS_IN_A_SONG[reading.limits.experience]
    for number in range(1, len(reading.plan.tracks) + 1):
        fresh: set[tuple[str, str]] = set()
        had: set[_Way] = set()
        for spot in taught:
            if spot.track != number:
                continue
            changes = tuple(
                (factor.value, option)
                for factor, option in spot.form.variation.changes
                if factor not in _NOT_LEARNED
            )
            too_new = len(fresh | (set(changes) - known)) > ways + MORE_WAYS >= len(fresh)
            too_many = len(had | {(spot.move.key, changes)}) > sets + MORE_SETS >= len(had)
            fresh |= set(changes) - known
            had.add((spot.move.key, changes))
            if too_new:
                yield finding(
                    *(Fault.LEARNING, Severity.ADVICE, spot),
                    f"{len(fresh)} new ways of varying in one song by here",
                    f"teach {ways} or so in a song, and use them in the next",
                )
            if too_many:
                yield finding(
                    *(Fault.LEARNING, Severity.ADVICE, spot),
                    f"{len(had)} different sets in one song by here",
                    f"keep to {sets} or so, and let them come back",
                )
        known |= fresh


def _goes_on(key: _Way, times: Counter[_Way]) -> bool:
    """Return whether a variation comes again with something more, as layers do."""
    move, changes = key
    return any(move == other and set(changes) < set(more) for other, more in times)


def _once(taught: list[Spot]) -> Iterator[Finding]:
    """Yield a class most of whose variations come once: learned, and never used."""
    times: Counter[_Way] = Counter()
    first: dict[_Way, Spot] = {}
    place: dict[_Way, tuple[int, int]] = {}
    for spot in taught:
        changes = [c for c in spot.form.variation.changes if c[0] not in _NOT_LEARNED]
        key: _Way = (spot.move.key, tuple((f.value, option) for f, option in changes))
        if not changes or place.get(key) == (spot.track, spot.phrase):
            continue
        place[key] = (spot.track, spot.phrase)
        times[key] += 1
        first.setdefault(key, spot)
    alone = [key for key, often in times.items() if often == 1 and not _goes_on(key, times)]
    if len(times) >= LEAST_FORMS and len(alone) > ONCE_SHARE * len(times):
        yield finding(
            *(Fault.ONCE, Severity.ADVICE, first[alone[0]]),
            f"{len(alone)} of {len(times)} variations come in one phrase only, this one first",
            "let what is learned come back, in the chorus above all",
        )
