"""One verdict, in full, with what to change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.advising import advice_for
from aquatempo.feasibility.costs import Step
from aquatempo.feasibility.details import (
    TRUNK,
    Detail,
    balance_cautions,
    detail,
    foot_load_bw,
    origins,
    over_tempo,
    reversal_counts,
)
from aquatempo.feasibility.engine import Engine, engine_for, judge_forms, steps_of
from aquatempo.feasibility.inputs import FreeInputs, free_inputs, thresholds
from aquatempo.feasibility.verdict_grid import VerdictGrid
from aquatempo.moves import Catalogue
from aquatempo.records.moves import ImpactLevel, MoveForm, Pattern
from aquatempo.records.people import Group, Pool
from aquatempo.records.verdict import Band, ImpactBand, Rating, TempoLimit, Verdict
from aquatempo.water.strength import OLDEST_IN_TABLE_YEARS

__all__ = ["impact_band", "judge", "rating_of"]

Array = NDArray[np.float64]


def rating_of(range_kept: float, rpe: float = 6.0) -> Rating:
    """Return the word for a share of full range and how hard it is (RPE, 6 to 20).

    range_kept [1], rpe (6 to 20): of the median.

    >>> rating_of(0.9).value
    'a little short'
    """
    limits = thresholds()
    if range_kept >= limits.full_range:
        return Rating.FULL_HARD if rpe >= limits.very_hard_rpe else Rating.FULL
    if range_kept >= limits.a_little_short:
        return Rating.A_LITTLE_SHORT
    return Rating.SHORT if range_kept >= limits.short else Rating.LOST


def impact_band(impact_bw: float) -> ImpactBand:
    """Return the band of a landing [body weights].

    >>> impact_band(0.6).value
    'low'
    """
    limits = thresholds()
    if impact_bw <= 0:
        return ImpactBand.NONE
    if impact_bw <= limits.impact_low_bw:
        return ImpactBand.LOW
    return ImpactBand.MEDIUM if impact_bw <= limits.impact_medium_bw else ImpactBand.HIGH


def judge(
    form: MoveForm,
    pattern: Pattern | None,
    tempo_bpm: float,
    pool: Pool | None = None,
    group: Group | None = None,
    inputs: FreeInputs | None = None,
    source: Catalogue | None = None,
    bout_s: float | None = None,
) -> Verdict:
    """Return the verdict on one form with one pattern at one tempo [beats/min].

    tempo_bpm, group, inputs: as in judge_forms.
    pattern None: the form's own. source: the catalogue in force, from which advice takes
    the easier move (None: the packaged one). bout_s: how long it is kept up [s] (None: a
    song). An estimate for planning, never a clearance. Raises RangeError for a tempo outside
    40 to 240 b/min or an impossible pool.
    """
    pool, group, inputs = pool or Pool(), group or Group(), inputs or free_inputs()
    grid = judge_forms([form], [pattern], [tempo_bpm], pool, group, inputs, bout_s)
    engine = engine_for(pool, group, inputs, bout_s)
    figures, standing = engine.figures(form, pattern), engine.standing(form)
    steps = engine.distinct_steps(form, pattern)
    found = detail(engine, steps, figures, tempo_bpm)

    def at(name: str) -> Array:
        values: Array = getattr(grid, name)[0, 0, 0]
        return values

    kept, rpe = _band(at("range_kept")), _band(at("rpe"))
    rating, limited_by = rating_of(kept.median, rpe.median), found.limited_by
    if not grid.rated[0, 0] and rating.is_full:
        rating, limited_by = Rating.NOT_RATED, TRUNK
    if standing.forbidden:
        rating, limited_by = Rating.NOT_FEASIBLE, standing.forbidden
    limit = _limit(grid)
    used = pattern or form.pattern
    counts = [step for _, step in steps_of(form, pattern)]
    text = used.text if used else "-".join(str(step.moving_counts) for step in counts)
    full, parts = float(at("full_share")), _parts_kept(steps, grid)
    impact, impact_most = (float(value) for value in at("impact_bw"))
    verdict = Verdict(
        move=form.move.key,
        name=form.name,
        variation=tuple((factor.value, key) for factor, key in form.variation.changes),
        pattern=text,
        tempo_bpm=tempo_bpm,
        movements_per_minute=tuple(
            tempo_bpm / (step.moving_counts + step.held_counts) for step in counts
        ),
        range_kept=kept,
        range_kept_by_movement=_by_movement(figures.by_step, len(counts), tempo_bpm),
        legs_kept=parts["legs"],
        arms_kept=parts["arms"],
        hop_kept=parts["hop"],
        travel_kept=parts["travel"],
        given_up=_given_up(form, parts),
        rating=rating,
        limited_by=limited_by,
        full_share=full,
        full_of=(round(full * group.size), group.size),
        odds=float(at("odds")),
        lost_share=float(at("lost_share")),
        torque_peak_nm=found.limiting.torque_nm,
        torque_mean_nm=found.limiting.torque_nm
        * (found.limiting.mean_use / max(found.limiting.peak_use, 1e-9)),
        capacity_nm=found.limiting.capacity_nm,
        loads=found.loads,
        met=_band(at("met")),
        met_model=_pair(at("met_model")),
        rpe=rpe,
        rpe_model=_pair(at("rpe_model")),
        capacity_share=(float(at("capacity_share")), float(at("capacity_less_fit"))),
        heart_rate_bpm=float(at("heart_rate_bpm")),
        held_s=_pair(at("held_s")),
        full_held_s=_pair(at("full_held_s")),
        foot_load_bw=foot_load_bw(engine, form),
        impact_bw=impact,
        impact_most_bw=impact_most,
        impact=impact_band(impact),
        impact_of_most=impact_band(impact_most),
        hand_force_n=float(at("hand_force_n")),
        foot_force_n=float(at("foot_force_n")),
        max_full_range_tempo_bpm=limit.likely_bpm,
        limit=limit,
        depth=standing.depth,
        origins=origins(found.estimated),
    )
    cautions = (*standing.cautions, *balance_cautions(engine, form, found.push_n, pool))
    cautions = (*cautions, *_cautions(engine, form, found, verdict, bout_s or inputs.bout_s))
    verdict = replace(verdict, cautions=tuple(dict.fromkeys(cautions)))
    if standing.forbidden or rating.is_full or rating is Rating.NOT_RATED:
        return verdict
    advice = advice_for(
        form, text, tempo_bpm, limit.likely_bpm, pool, group, inputs, source, bout_s
    )
    return replace(verdict, advice=advice)


def _cautions(
    engine: Engine, form: MoveForm, found: Detail, verdict: Verdict, bout_s: float
) -> list[str]:
    cautions = []
    if found.beyond:
        cautions.append("faster than the strength tables reach: extrapolated")
    if engine.people.beyond_tables > 0:
        cautions.append(
            f"older than the strength tables ({OLDEST_IN_TABLE_YEARS:.0f} years): extrapolated,"
            " people differ more"
        )
    back = reversal_counts(engine, form, verdict.tempo_bpm) if form.reverses_every else None
    if back is not None:
        cautions.append(
            f"turning back takes at least {back:.1f} counts"
            if np.isfinite(back)
            else "travel faster than wet feet can hold"
        )
    too_hard = verdict.full_held_s[0] < bout_s or verdict.rpe.high >= thresholds().very_hard_rpe
    if too_hard and verdict.rating is not Rating.NOT_FEASIBLE:
        cautions.append(
            "very hard work for the less fit: offer the easier option, watch the breath"
        )
    return cautions


def _parts_kept(steps: Sequence[Step], grid: VerdictGrid) -> dict[str, float | None]:
    """Return what is kept of legs, arms, hop and travel; None of what a form does not have."""
    has = {
        "legs": any(step.legs for step in steps),
        "arms": any(step.arms for step in steps),
        "hop": any(step.hop is not None for step in steps),
        "travel": any(step.parts.step_m > 0 for step in steps),
    }
    return {
        name: float(getattr(grid, f"{name}_kept")[0, 0, 0]) if there else None
        for name, there in has.items()
    }


def _given_up(form: MoveForm, kept: dict[str, float | None]) -> tuple[str, ...]:
    """Return what is given up, first first; a hop that is mostly gone has become level II."""
    limits = thresholds()
    short = sorted(
        (value, name)
        for name, value in kept.items()
        if value is not None and value < limits.full_range
    )
    flat = form.level is ImpactLevel.I and ImpactLevel.II in form.move.levels
    return tuple(
        "hop: level I becomes II" if name == "hop" and flat and value < limits.short else name
        for value, name in short
    )


def _by_movement(by_step: Array, count: int, tempo_bpm: float) -> tuple[float, ...]:
    """Return what the median keeps of each of count steps; equal halves are stored once."""
    if not len(by_step):
        return ()
    kept = [over_tempo(step, tempo_bpm) for step in by_step]
    return tuple(kept[i % len(kept)] for i in range(count))


def _limit(grid: VerdictGrid) -> TempoLimit:
    likely = float(grid.max_tempo_bpm[0, 0])
    low, high = _pair(grid.limit_bpm[0, 0])
    return TempoLimit(
        None if np.isnan(likely) else likely,
        low,
        high,
        _pair(grid.limit_people_bpm[0, 0]),
        _pair(grid.limit_model_bpm[0, 0]),
    )


def _band(values: Array) -> Band:
    return Band(*(float(value) for value in values))


def _pair(values: Array) -> tuple[float, float]:
    return float(values[0]), float(values[1])
