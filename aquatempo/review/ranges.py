"""Which moves keep their range at the played tempo, in that pool, for that group."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from aquatempo.feasibility import judge, judge_forms, thresholds
from aquatempo.feasibility.engine import TEMPO_RANGE_BPM, engine_for
from aquatempo.feasibility.inputs import free_inputs
from aquatempo.feasibility.rules import Standing
from aquatempo.moves import Catalogue, parse_pattern
from aquatempo.records.moves import MoveForm, Variation
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.spots import ReadPlan, Spot, finding
from aquatempo.units import percent

__all__ = ["Figure", "Figures", "figures", "ranges", "standing_here"]


FEWEST_RIGHT = 0.5  # of the group have the right depth for a move that is planned


@dataclass(frozen=True, slots=True)
class Figure:
    """What feasibility says of one form at one tempo. kept: share of full range; met: [MET]."""

    kept: float
    met: float


Figures = Mapping[tuple[Variation, str, float], Figure]


def figures(reading: ReadPlan) -> Figures:
    """Return the figures of each form of a plan, judged together; tempos out of reach are left."""
    low, high = TEMPO_RANGE_BPM
    known = _remembered(reading.pool, reading.brief.group, reading.source)
    asked: dict[str, tuple[dict[Variation, MoveForm], dict[float, None]]] = {}
    for spot in reading.spots:
        if low <= spot.tempo_bpm <= high and spot.form_key not in known:
            forms, tempos = asked.setdefault(spot.pattern.text, ({}, {}))
            forms[spot.form.variation] = spot.form
            tempos[spot.tempo_bpm] = None
    for text, (forms, tempos) in asked.items():
        grid = judge_forms(
            *(list(forms.values()), [parse_pattern(text)], list(tempos)),
            *(reading.pool, reading.brief.group),
        )
        kept, met = grid.range_kept[:, 0, :, 1], grid.met[:, 0, :, 1]
        for row, variation in enumerate(forms):
            for column, tempo in enumerate(tempos):
                values = float(kept[row, column]), float(met[row, column])
                known[variation, text, tempo] = Figure(*values)
    return known


@lru_cache(maxsize=16)
def _remembered(
    pool: Pool, group: Group, source: Catalogue
) -> dict[tuple[Variation, str, float], Figure]:
    """Return what is known already of a pool, a group and a catalogue; plans are edited often."""
    return {}


def ranges(reading: ReadPlan, known: Figures) -> Iterator[Finding]:
    """Yield blocks that keep too little of their range, and those the water does not allow.

    reading: the plan; known: figures of its forms.
    """
    floor = reading.brief.range_floor
    standings = standing_here(reading)
    for spot in reading.spots:
        told = reading.brief.depth not in spot.move.depths or _level_told(spot, reading)
        barred = _barred(standings[spot.form.variation])
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


def _barred(standing: Standing) -> str:
    """Return why a form is not for this class here, "" where it is."""
    depth = standing.depth
    if standing.forbidden or depth.right >= FEWEST_RIGHT:
        return standing.forbidden
    return f"depth: too {'shallow' if depth.too_shallow > depth.too_deep else 'deep'}"


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
    )
