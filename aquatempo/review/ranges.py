"""Which moves keep their range at the played tempo, in that pool, for that group."""

from __future__ import annotations

from collections.abc import Iterator

from aquatempo.class_shape.figures import barred_by
from aquatempo.feasibility import judge, thresholds
from aquatempo.feasibility.engine import engine_for
from aquatempo.feasibility.inputs import free_inputs
from aquatempo.feasibility.rules import Standing
from aquatempo.records.moves import Variation
from aquatempo.records.people import ClassDepth
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.figures import FormFigures
from aquatempo.review.spots import ReadPlan, Spot, finding
from aquatempo.units import percent

__all__ = ["ranges", "standing_here"]


def ranges(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield blocks that keep too little of their range, and those the water does not allow.

    reading: the plan; known: figures of its forms.
    """
    floor = reading.brief.range_floor
    standings = standing_here(reading)
    for spot in reading.spots:
        told = reading.brief.depth not in spot.move.depths or _level_told(spot, reading)
        barred = barred_by(standings[spot.form.variation])
        if barred and not told:
            space = barred.startswith("space")
            yield finding(
                *(Fault.SPACE if space else Fault.DEPTH, Severity.ERROR, spot),
                f"{spot.name}: {barred.partition(': ')[2]}" + ("" if space else " for most here"),
                "stay in place, or take fewer people"
                if space
                else "take a move that suits this depth, or another place in the pool",
            )
        figure = known.get(spot.form_key)
        if figure is not None and figure.kept < floor - 1e-9:
            yield _short(reading, spot, figure.kept)


def standing_here(reading: ReadPlan) -> dict[Variation, Standing]:
    """Return what the pool and the people's depth say of each form of a plan."""
    engine = engine_for(reading.pool, reading.brief.group, free_inputs())
    return {spot.form.variation: engine.standing(spot.form) for spot in reading.spots}


def _level_told(spot: Spot, reading: ReadPlan) -> bool:
    shallow = reading.brief.depth is ClassDepth.SHALLOW
    return shallow and spot.form.level not in spot.move.levels


def _short(reading: ReadPlan, spot: Spot, kept: float) -> Finding:
    impossible = kept < thresholds().short
    verdict = judge(
        *(spot.form, spot.pattern, spot.tempo_bpm, reading.pool, reading.brief.group),
        source=reading.source,
    )
    words = f"{spot.name} ({spot.pattern.text}) keeps {percent(kept)} of its range"
    return finding(
        *(Fault.RANGE, Severity.ERROR if impossible else Severity.WARNING, spot),
        f"{words} at {spot.tempo_bpm:.0f} bpm (wanted {percent(reading.brief.range_floor)}),"
        f" limited by {verdict.limited_by}",
        verdict.advice[0].words if verdict.advice else "take another move",
        "the model of docs/design/feasibility.md",
    )
