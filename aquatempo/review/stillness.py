"""Where a class stands still that should move, and how it stretches and ends."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from aquatempo.class_shape.standards import FILLER_SHARE, STRETCH_SECONDS
from aquatempo.records.moves import Factor, MoveKind
from aquatempo.records.plan import PartName
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.figures import FormFigures
from aquatempo.review.spots import ReadPlan, Spot, finding
from aquatempo.units import COUNTS_PER_PHRASE, percent

__all__ = ["fillers", "stillness", "stretches"]

STRETCH_RPE = 11.0  # more is work (common practice)
LEAST_COUNTS = 8 * COUNTS_PER_PHRASE  # less says nothing about a share
_WORKING = (PartName.WARM_UP, PartName.MAIN, PartName.INTERVALS)
_STILL = ("hold", "recover")
_JOGS = ("easy-jog", "jog", "march")
_SLACK_S = 0.5


def stillness(reading: ReadPlan) -> Iterator[Finding]:
    """Yield stretches and long holds where the class is to work."""
    for spot in reading.of_parts(*_WORKING):
        holds = [
            key for factor, key in spot.form.variation.changes
            if factor is Factor.TEMPO and key in _STILL
        ]  # fmt: skip
        if spot.stretches:
            words, remedy = f"{spot.name} is held here", "keep stretches for the end"
        elif holds and "balance" not in reading.brief.themes and spot.planned.part != "warm-up":
            words = f"{spot.name} stands still in the middle of the work"
            remedy = "take a moving form, or say that balance is the theme"
        else:
            continue
        yield finding(Fault.STILL, Severity.WARNING, spot, words, remedy)


def fillers(reading: ReadPlan) -> Iterator[Finding]:
    """Yield a class that jogs on the spot for too much of its time, or between stretches."""
    filling = [
        spot
        for spot in reading.spots
        if spot.move.kind is MoveKind.HOLDING
        and not (spot.what.stint is not None and not spot.what.stint.works)
        and spot.planned.part != PartName.STRETCH
    ]
    counts = sum(spot.what.counts for spot in reading.spots)
    share = sum(spot.minutes for spot in filling) / reading.minutes if reading.minutes else 0.0
    if counts >= LEAST_COUNTS and share > FILLER_SHARE:
        at = max(filling, key=lambda spot: spot.minutes)
        yield finding(
            *(Fault.FILLER, Severity.WARNING, at),
            f"{percent(share)} of the time only fills; the longest is here",
            f"give the phrases moves of their own: {percent(FILLER_SHARE)} is enough",
        )
    for before, spot in pairwise(reading.of_parts(PartName.STRETCH)):
        if before.stretches and spot.move.key in _JOGS and not _is_last(reading, spot):
            yield finding(
                *(Fault.FILLER, Severity.ADVICE, spot),
                f"{spot.name} between held stretches",
                "go from one stretch to the next",
            )


def stretches(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield hard moves among the stretches, stretches that are too short, and a poor end.

    reading: the plan; known: figures of its forms.
    """
    mine = reading.of_parts(PartName.STRETCH)
    for spot in mine:
        figures = known.get(spot.form_key)
        if not spot.stretches and figures is not None and figures.rpe > STRETCH_RPE:
            yield finding(
                *(Fault.HARD_STRETCH, Severity.WARNING, spot),
                f"{spot.name} at RPE {figures.rpe:.1f} among the stretches",
                "move it to the main part; keep what is here slow and small",
            )
    yield from _short(reading)
    if reading.spots and mine and reading.spots[-1].move.key in _JOGS:
        yield finding(
            *(Fault.ENDING, Severity.ADVICE, reading.spots[-1]),
            f"the class ends with {reading.spots[-1].name}",
            "end it: stand and breathe, arms that glide, a shake-out",
        )


def _short(reading: ReadPlan) -> Iterator[Finding]:
    """Yield stretches that nobody can settle into."""
    runs: list[list[Spot]] = []
    for spot in reading.spots:
        if not spot.stretches:
            continue
        last = runs[-1][-1] if runs else None
        joined = (
            last is not None
            and last.track == spot.track
            and (last.move.key, last.what.lead) == (spot.move.key, spot.what.lead)
        )
        if joined:
            runs[-1].append(spot)
        else:
            runs.append([spot])
    for run in runs:
        seconds = 60.0 * sum(spot.minutes for spot in run)
        if seconds < STRETCH_SECONDS[0] - _SLACK_S:
            yield finding(
                *(Fault.STRETCH_SHORT, Severity.WARNING, run[0]),
                f"{run[0].name} for {seconds:.0f} s",
                f"hold a stretch for {STRETCH_SECONDS[0]:g} to 30 s a side",
                "garber-2011: 10 to 30 s",
            )


def _is_last(reading: ReadPlan, spot: Spot) -> bool:
    return spot is reading.spots[-1]
