"""Big jumps: not too early, not too many, not for long, and not shown in full for minutes."""

from __future__ import annotations

from collections.abc import Iterator

from aquatempo.class_shape.standards import jump_minutes as jump_minutes_of
from aquatempo.moves.tags import BIG_HOP_M
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import PartName
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.spots import ReadPlan, Spot, finding
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["high_hops", "jump_minutes", "jumps"]

PHRASES_IN_A_ROW = 2
_ROUNDING = 1e-6
_SHOWN_WHOLE = ("", "full")


def high_hops(reading: ReadPlan) -> list[Spot]:
    """Return the spots that throw the body well up: impact for those who do them."""
    if reading.brief.depth is ClassDepth.DEEP:
        return []
    return [
        spot
        for spot in reading.spots
        if max((m.flight_m for m in spot.form.movements), default=0.0) >= BIG_HOP_M - _ROUNDING
    ]


def _shown(reading: ReadPlan) -> list[Spot]:
    """Return those that the instructor jumps too, on a deck that is wet."""
    return [spot for spot in high_hops(reading) if spot.what.show in _SHOWN_WHOLE]


def jump_minutes(reading: ReadPlan) -> float:
    """Return for how long the instructor jumps on deck [min]."""
    return sum(spot.minutes for spot in _shown(reading))


def jumps(reading: ReadPlan) -> Iterator[Finding]:
    """Yield jumps on deck beyond the brief's limit, too early, too many, too long in a row."""
    yield from _on_deck(reading)
    high = high_hops(reading)
    if not high:
        return
    early = [spot for spot in high if spot.planned.part in (PartName.WARM_UP, PartName.COOL_DOWN)]
    first = next((s.track for s in reading.spots if s.planned.part == PartName.MAIN), 0)
    early += [spot for spot in high if spot.track == first]
    if early:
        at = min(early, key=lambda spot: spot.minute)
        where = "the first song of the main part" if at.track == first else f"the {at.planned.part}"
        yield finding(
            *(Fault.JUMP_EARLY, Severity.WARNING, at),
            f"{at.name} in {where}",
            "put big jumps later in the main part, when everybody is warm",
        )
    yield from _many(reading, high)
    yield from _in_a_row(high)


def _many(reading: ReadPlan, high: list[Spot]) -> Iterator[Finding]:
    most, done = jump_minutes_of(reading.brief, reading.limits), 0.0
    told = sum(spot.minutes for spot in high)
    slack = COUNTS_PER_PHRASE / high[0].tempo_bpm if most and high[0].tempo_bpm else 0.0
    for spot in high:
        done += spot.minutes
        if done > most + slack + _ROUNDING:
            group = "this group should have none" if not most else f"{most:g} are enough for it"
            yield finding(
                *(Fault.JUMP_MANY, Severity.WARNING, spot),
                f"the group jumps for {told:.1f} minutes: {group}; that is passed here",
                "take a grounded or a lower form, or another move",
            )
            return


def _in_a_row(high: list[Spot]) -> Iterator[Finding]:
    run: list[Spot] = []
    for spot in [*high, None]:
        follows = spot is not None and run and abs(_end(run[-1]) - spot.minute) < _ROUNDING
        if spot is not None and (follows or not run):
            run.append(spot)
            continue
        counts = sum(one.what.counts for one in run)
        if counts > PHRASES_IN_A_ROW * COUNTS_PER_PHRASE:
            yield finding(
                *(Fault.JUMP_LONG, Severity.WARNING, run[0]),
                f"{counts} counts of big jumps in a row",
                f"never more than {PHRASES_IN_A_ROW} phrases at a time; spread them",
            )
        run = [spot] if spot is not None else []


def _end(spot: Spot) -> float:
    return spot.minute + spot.minutes


def _on_deck(reading: ReadPlan) -> Iterator[Finding]:
    """Yield the block in which the jumps shown on deck pass the brief's limit."""
    limit, done = reading.brief.jump_minutes, 0.0
    for spot in _shown(reading):
        done += spot.minutes
        if done > limit + _ROUNDING:
            yield finding(
                *(Fault.JUMPS, Severity.WARNING, spot),
                f"{jump_minutes(reading):.1f} minutes of jumps, the limit on deck is {limit:g};"
                " it is passed here",
                "show the rest with the arms or in low impact, or take other moves",
            )
            return
