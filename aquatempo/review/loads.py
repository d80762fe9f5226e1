"""How long one move, one plane, one muscle goes on without a change."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from aquatempo.class_shape.standards import (
    MOVE_SECONDS,
    MUSCLE_SECONDS,
    PLANE_SECONDS,
    TOLD_SHARE,
)
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import PartName
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.figures import FormFigures
from aquatempo.review.spots import ReadPlan, Spot, finding
from aquatempo.units import clock

__all__ = ["loads"]


_PARTS = (PartName.WARM_UP, PartName.MAIN, PartName.INTERVALS, PartName.COOL_DOWN)
_LEGS = (MoveKind.BASE, MoveKind.DEEP_ONLY)


def loads(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield stretches of a class on one move, in one plane, on one muscle or joint.

    A move that only fills is a change. reading: the plan; known: figures of its forms.
    """
    working = reading.of_parts(*_PARTS)
    yield from _one(
        working,
        lambda spot: [spot.move.key] if spot.move.kind in _LEGS else [],
        MOVE_SECONDS,
        Fault.ONE_MOVE,
        ("the move is {} for {} from here", "change to another base move, and come back to it"),
    )
    yield from _one(
        working,
        lambda spot: [spot.move.plane.value] if spot.works else [],
        TOLD_SHARE * PLANE_SECONDS,
        Fault.ONE_PLANE,
        ("all of it is {} for {} from here", "put a move of another plane between"),
    )
    yield from _one(
        working,
        lambda spot: known[spot.form_key].hard if spot.form_key in known else (),
        TOLD_SHARE * MUSCLE_SECONDS,
        Fault.ONE_MUSCLE,
        ("{} work hard for {} from here", "put a phrase between that lets them rest"),
    )


def _one(
    spots: Sequence[Spot],
    names: Callable[[Spot], Sequence[str]],
    limit_s: float,
    fault: Fault,
    told: tuple[str, str],
) -> Iterator[Finding]:
    """Yield where a name goes on for longer than a limit [s]."""
    runs: dict[str, list[Spot]] = {}
    for spot in [*spots, None]:
        now = set(names(spot)) if spot is not None else set()
        for name in [name for name in runs if name not in now]:
            run = runs.pop(name)
            lasted = 60.0 * sum(one.minutes for one in run)
            if lasted > limit_s:
                yield finding(
                    *(fault, Severity.WARNING, run[0]),
                    f"{told[0].format(name, clock(lasted))}; {clock(limit_s)} is the most",
                    told[1],
                )
        if spot is not None:
            for name in now:
                runs.setdefault(name, []).append(spot)
