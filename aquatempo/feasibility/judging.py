"""One verdict, in full, with what to change."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.advising import advice_for
from aquatempo.feasibility.engine import VerdictGrid, engine_for, judge_forms, steps_of
from aquatempo.feasibility.figures import (
    TRUNK,
    Detail,
    balance_cautions,
    detail,
    foot_load_bw,
    origins,
    reversal_counts,
    speed_is_extrapolated,
)  # fmt: skip
from aquatempo.feasibility.inputs import FreeInputs, free_inputs, input_ranges, thresholds
from aquatempo.feasibility.rules import standing_of
from aquatempo.moves import Catalogue
from aquatempo.records.moves import MoveForm, Pattern
from aquatempo.records.people import Group, Pool
from aquatempo.records.verdict import Band, Rating, Verdict

__all__ = ["judge", "rating_of"]

Array = NDArray[np.float64]


def rating_of(range_kept: float) -> Rating:
    """Return the word for a share of full range.

    >>> rating_of(0.9).value
    'a little short'
    """
    limits = thresholds()
    if range_kept >= limits.full_range:
        return Rating.FULL
    if range_kept >= limits.a_little_short:
        return Rating.A_LITTLE_SHORT
    return Rating.SHORT if range_kept >= limits.short else Rating.NOT_FEASIBLE


def judge(
    form: MoveForm,
    pattern: Pattern | None,
    tempo_bpm: float,
    pool: Pool | None = None,
    group: Group | None = None,
    inputs: FreeInputs | None = None,
    source: Catalogue | None = None,
) -> Verdict:
    """Return the verdict on one form with one pattern at one tempo [beats/min].

    pattern None: the form's own. source: the catalogue in force, from which advice takes
    the easier move (None: the packaged one). An estimate for planning, never a clearance.
    Raises RangeError for a tempo outside 40 to 240 b/min or an impossible pool.
    """
    pool, group, inputs = pool or Pool(), group or Group(), inputs or free_inputs()
    grid = judge_forms([form], [pattern], [tempo_bpm], pool, group, inputs)
    engine = engine_for(pool, group, inputs)
    standing = standing_of(form, pool, engine.setting(form.level))
    steps, rows = steps_of(form, pattern), engine.rows(form)
    beat = 60.0 / tempo_bpm
    timed = [(rows[i], step.moving_counts * beat) for i, step in steps if rows]
    worst = int(grid.worst[0, 0, 0])
    kept = _band(grid.range_kept[0, 0, 0])
    found = (
        detail(engine.curves[timed[worst][0]], timed[worst][1], kept.median) if rows else Detail()
    )
    rating = rating_of(kept.median)
    if not grid.rated[0, 0] and rating is Rating.FULL:
        rating, found = Rating.NOT_RATED, replace(found, limited_by=TRUNK)
    if standing.forbidden:
        rating, found = Rating.NOT_FEASIBLE, replace(found, limited_by=standing.forbidden)
    cautions = [*standing.cautions, *balance_cautions(engine, form, timed, pool)]
    if any(speed_is_extrapolated(engine.curves[row], time) for row, time in timed):
        cautions.append("faster than the strength tables reach: extrapolated")
    back = reversal_counts(engine, form, tempo_bpm) if form.reverses_every else None
    if back is not None:
        cautions.append(
            f"turning back takes at least {back:.1f} counts"
            if np.isfinite(back)
            else "travel faster than wet feet can hold"
        )
    rpe = _band(grid.rpe[0, 0, 0])
    if max(rpe.low, rpe.high) >= thresholds().very_hard_rpe and not standing.forbidden:
        cautions.append(
            "very hard work for the less fit: offer the easier option, watch the breath"
        )
    used = pattern or form.pattern
    limit = None if np.isnan(grid.max_tempo_bpm[0, 0]) else float(grid.max_tempo_bpm[0, 0])
    text = used.text if used else "-".join(str(step.moving_counts) for _, step in steps)
    verdict = Verdict(
        move=form.move.key,
        name=form.name,
        variation=tuple((factor.value, key) for factor, key in form.variation.changes),
        pattern=text,
        tempo_bpm=tempo_bpm,
        movements_per_minute=tuple(
            tempo_bpm / (step.moving_counts + step.held_counts) for _, step in steps
        ),
        range_kept=kept,
        range_kept_by_movement=tuple(engine.median_range(row, time) for row, time in timed),
        rating=rating,
        limited_by=found.limited_by,
        torque_peak_nm=found.torque_peak_nm,
        torque_mean_nm=found.torque_mean_nm,
        capacity_nm=found.capacity_nm,
        met=_with_efficiency(grid, inputs),
        rpe=rpe,
        foot_load_bw=foot_load_bw(engine, form),
        impact_bw=found.impact_bw,
        max_full_range_tempo_bpm=limit,
        cautions=tuple(dict.fromkeys(cautions)),
        origins=origins([engine.curves[row] for row in rows]),
    )
    if standing.forbidden or rating in (Rating.FULL, Rating.NOT_RATED):
        return verdict
    advice = advice_for(form, text, tempo_bpm, limit, pool, group, inputs, source)
    return replace(verdict, advice=advice)


def _band(values: Array) -> Band:
    return Band(*(float(value) for value in values))


def _with_efficiency(grid: VerdictGrid, inputs: FreeInputs) -> Band:
    """Return the MET band of the group, widened by the range of the efficiency."""
    spread = input_ranges()["efficiency"]
    still = inputs.standing_met
    low, median, high = (float(value) for value in grid.met[0, 0, 0])
    return Band(
        still + (low - still) * inputs.efficiency / spread["high"],
        median,
        still + (high - still) * inputs.efficiency / spread["low"],
    )
