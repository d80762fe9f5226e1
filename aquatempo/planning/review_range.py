"""Which moves keep their range at the played tempo, in that pool, for that group."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from aquatempo.feasibility import judge, judge_forms, thresholds
from aquatempo.feasibility.engine import TEMPO_RANGE_BPM, engine_for
from aquatempo.feasibility.inputs import free_inputs
from aquatempo.feasibility.rules import standing_of
from aquatempo.moves import Catalogue, parse_pattern
from aquatempo.planning.review_reading import Reading, Spot, finding, percent
from aquatempo.records.moves import MoveForm, Variation
from aquatempo.records.people import Group, Pool
from aquatempo.records.review import Fault, Finding, Severity

__all__ = ["Figure", "Figures", "figures", "ranges"]


@dataclass(frozen=True, slots=True)
class Figure:
    """What feasibility says of one form at one tempo. kept: share of full range; met: [MET]."""

    kept: float
    met: float


Figures = Mapping[tuple[Variation, str, float], Figure]


def figures(reading: Reading) -> Figures:
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


def ranges(reading: Reading, known: Figures) -> Iterator[Finding]:
    """Yield blocks that keep too little of their range, and those the water does not allow."""
    floor = reading.brief.range_floor
    engine = engine_for(reading.pool, reading.brief.group, free_inputs())
    barred: dict[Variation, str] = {}
    for spot in reading.spots:
        depths, levels = spot.move.depths, spot.move.levels
        told = reading.brief.depth not in depths or (spot.form.level not in levels)
        if spot.form.variation not in barred:
            setting = engine.setting(spot.form.level)
            barred[spot.form.variation] = standing_of(spot.form, reading.pool, setting).forbidden
        if barred[spot.form.variation] and not told:
            yield finding(
                *(Fault.DEPTH, Severity.ERROR, spot),
                f"{spot.name}: {barred[spot.form.variation]} for most of this group",
                "take a move that suits this depth, or another place in the pool",
            )
        figure = known.get(spot.form_key)
        if figure is not None and figure.kept < floor - 1e-9:
            yield _short(reading, spot, figure.kept)


def _short(reading: Reading, spot: Spot, kept: float) -> Finding:
    impossible = kept < thresholds().short
    verdict = judge(spot.form, spot.pattern, spot.tempo_bpm, reading.pool, reading.brief.group)
    words = f"{spot.name} ({spot.pattern.text}) keeps {percent(kept)} of its range"
    return finding(
        *(Fault.RANGE, Severity.ERROR if impossible else Severity.WARNING, spot),
        f"{words} at {spot.tempo_bpm:.0f} bpm (wanted {percent(reading.brief.range_floor)}),"
        f" limited by {verdict.limited_by}",
        verdict.advice[0].words if verdict.advice else "take another move",
    )
