"""Many verdicts at once: forms x patterns x tempos for one pool and group."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError
from aquatempo.feasibility.inputs import FreeInputs, free_inputs, thresholds
from aquatempo.feasibility.movements import (
    Known,
    MovementCurve,
    MovementKey,
    movement_curve,
    movement_keys,
)  # fmt: skip
from aquatempo.feasibility.rules import trunk_decides
from aquatempo.feasibility.setting import Setting, setting_of
from aquatempo.feasibility.standins import QUANTILES, weighted_quantile
from aquatempo.feasibility.swings import TIMES_S
from aquatempo.records.moves import ImpactLevel, MoveForm, Pattern, PatternStep
from aquatempo.records.people import Group, Pool
from aquatempo.units import check_range
from aquatempo.water.effort import met, peak_met, rpe
from aquatempo.water.rebound import flight

__all__ = [
    "TEMPO_RANGE_BPM",
    "Engine",
    "VerdictGrid",
    "engine_for",
    "judge_forms",
    "steps_of",
]

Array = NDArray[np.float64]

TEMPO_RANGE_BPM = (40.0, 240.0)
_LOG_T0 = float(np.log(TIMES_S[0]))
_LOG_STEP = float(np.log(TIMES_S[1] / TIMES_S[0]))
_CHUNK = 400_000  # values held at once


@dataclass(frozen=True, slots=True)
class VerdictGrid:
    """Figures of many verdicts; arrays start with (forms, patterns, tempos).

    range_kept, met, rpe: last axis (weak 10 %, median, strong 90 %) of the group.
    worst: index of the step (of ``steps_of``) that keeps least. rated (forms, patterns)
    False: the trunk decides and no capacity is published; range_kept is then a bound.
    max_tempo_bpm (forms, patterns): highest tempo at which the median keeps full range,
    NaN where nothing limits it in 40 to 240 b/min.
    """

    range_kept: Array
    met: Array
    rpe: Array
    worst: NDArray[np.int_]
    rated: NDArray[np.bool_]
    max_tempo_bpm: Array


def judge_forms(
    forms: Sequence[MoveForm],
    patterns: Sequence[Pattern | None],
    tempos_bpm: Sequence[float],
    pool: Pool | None = None,
    group: Group | None = None,
    inputs: FreeInputs | None = None,
) -> VerdictGrid:
    """Return the figures of every form with every pattern at every tempo [beats/min].

    pattern None: the form's own, or the move's usual counts. Depth, level and other
    rules that forbid a move are not applied here; see ``judge``.
    Raises RangeError for tempos outside 40 to 240 b/min.
    """
    for tempo in tempos_bpm:
        slip = "half or double?" if tempo > 0 else "a tempo is above zero"
        check_range("tempo", tempo, "bpm", *TEMPO_RANGE_BPM, slip)
    return engine_for(pool or Pool(), group or Group(), inputs or free_inputs()).grid(
        forms, patterns, np.asarray(tempos_bpm, float)
    )


@lru_cache(maxsize=16)
def engine_for(pool: Pool, group: Group, inputs: FreeInputs) -> Engine:
    """Return the engine of a pool and group; it remembers what it has computed."""
    return Engine(pool, group, inputs)


def steps_of(form: MoveForm, pattern: Pattern | None) -> tuple[tuple[int, PatternStep], ...]:
    """Return pairs of movement index and counts for one whole round of both."""
    chosen = pattern or form.pattern
    steps = (
        chosen.steps
        if chosen is not None
        else tuple(PatternStep(counts) for counts in form.move.default_counts)
    )
    count = max(len(form.movements), 1)
    if not steps or any(step.moving_counts < 1 for step in steps):
        raise InputError("a pattern without moving counts: needs at least 1 count a movement")
    rounds = int(np.lcm(count, len(steps)))
    return tuple((i % count, steps[i % len(steps)]) for i in range(rounds))


class Engine:
    """Curves of one pool and group, kept between calls."""

    def __init__(self, pool: Pool, group: Group, inputs: FreeInputs) -> None:
        self.pool, self.group, self.inputs = pool, group, inputs
        self._settings: dict[ImpactLevel, Setting] = {}
        self._known: dict[ImpactLevel, Known] = {}
        self._rows: dict[MovementKey, int] = {}
        self._full_time_s: dict[int, float] = {}
        self._forms: dict[MoveForm, tuple[int, ...]] = {}
        self.curves: list[MovementCurve] = []
        self._stacked: tuple[Array, Array] | None = None

    def setting(self, level: ImpactLevel) -> Setting:
        """Return the setting of an impact level."""
        if level not in self._settings:
            self._settings[level] = setting_of(self.pool, self.group, level, self.inputs)
        return self._settings[level]

    def rows(self, form: MoveForm) -> tuple[int, ...]:
        """Return the indices into ``curves`` of the movements of a form."""
        if form not in self._forms:
            self._forms[form] = tuple(self._row(key) for key in movement_keys(form))
        return self._forms[form]

    def _row(self, key: MovementKey) -> int:
        if key not in self._rows:
            known = self._known.setdefault(key.level, Known())
            self._rows[key] = len(self.curves)
            self.curves.append(movement_curve(key, self.setting(key.level), known))
            self._stacked = None
        return self._rows[key]

    def grid(
        self, forms: Sequence[MoveForm], patterns: Sequence[Pattern | None], tempos_bpm: Array
    ) -> VerdictGrid:
        """Return the figures of forms x patterns x tempos."""
        plans = [self._plan(form, pattern) for form in forms for pattern in patterns]
        longest = max((len(plan) for plan in plans), default=1)
        table = np.zeros((len(plans), longest, 4))
        table[:, :, 0] = -1
        for i, plan in enumerate(plans):
            table[i, : len(plan)] = plan
        people = self.setting(ImpactLevel.I).people
        size = max(1, _CHUNK // max(1, longest * len(tempos_bpm) * len(people.bodies)))
        pieces = [
            self._figures(table[i : i + size], tempos_bpm) for i in range(0, len(plans), size)
        ]
        shape = (len(forms), len(patterns), len(tempos_bpm))
        kept, effort, exertion, worst = (
            np.concatenate(piece).reshape(shape + piece[0].shape[2:])
            for piece in zip(*pieces, strict=True)
        )
        known = np.array([not trunk_decides(form) for form in forms])
        rated = np.repeat(known[:, None], len(patterns), axis=1)
        limits = np.array([self._max_tempo_bpm(plan) for plan in plans]).reshape(shape[:2])
        return VerdictGrid(kept, effort, exertion, worst, rated, limits)

    def _plan(self, form: MoveForm, pattern: Pattern | None) -> list[tuple[int, int, int, int]]:
        rows = self.rows(form)
        return [
            (rows[i] if rows else -1, step.moving_counts, step.held_counts, int(step.bounced))
            for i, step in steps_of(form, pattern)
        ]

    def _stack(self) -> tuple[Array, Array]:
        if self._stacked is None:
            self._stacked = (
                np.stack([curve.range_kept for curve in self.curves]),
                np.stack([curve.work_j for curve in self.curves]),
            )
        return self._stacked

    def _figures(self, table: Array, tempos_bpm: Array) -> tuple[Array, Array, Array, Array]:
        people = self.setting(ImpactLevel.I).people
        bodies, weight = people.bodies, people.weight
        row = table[:, :, 0].astype(int)
        beat = 60.0 / tempos_bpm
        moving = table[:, :, 1, None] * beat  # (plans, steps, tempos)
        held = table[:, :, 2, None] * beat
        blank = row < 0
        if self.curves:
            ranges, works = self._stack()
            low, part = _place(np.maximum(moving, 1e-3))
            index = (np.maximum(row, 0)[:, :, None], low)
            kept = np.minimum(_between(ranges, *index, part), 1.0)  # (plans, steps, tempos, n)
            work = _between(works, *index, part)
            extra = np.stack([curve.extra_w for curve in self.curves])[np.maximum(row, 0)]
        else:
            kept = np.ones((*moving.shape, len(bodies)))
            work, extra = np.zeros_like(kept), np.zeros((*row.shape, len(bodies)))
        kept = np.where(blank[:, :, None, None], 1.0, kept)
        work = np.where(blank[:, :, None, None], 0.0, work)
        work = work + self._bounce_j() * (table[:, :, 2] * table[:, :, 3])[:, :, None, None]
        total_s = np.maximum((moving + held).sum(axis=1), 1e-9)[..., None]
        power = work.sum(axis=1) / total_s + extra.max(axis=1)[:, None, :]
        by_step = weighted_quantile(kept, weight, 0.5)
        worst = np.argmin(by_step, axis=1)
        least = np.take_along_axis(kept, worst[:, None, :, None], axis=1)[:, 0]
        inputs = self.inputs
        middle = met(power, bodies.mass_kg, inputs.efficiency, inputs.standing_met)
        exertion = rpe(middle, peak_met(bodies))
        bands = [
            np.stack([weighted_quantile(values, weight, q) for q in QUANTILES], axis=-1)
            for values in (least, middle, exertion)
        ]
        return bands[0], bands[1], bands[2], worst

    def _bounce_j(self) -> Array:
        setting, inputs = self.setting(ImpactLevel.I), self.inputs
        if setting.deep:
            return np.zeros(len(setting.people.bodies))
        hop = flight(setting.people.bodies, setting.surface_m, np.array(inputs.bounce_m),
                     setting.water, inputs.axial_added_mass, inputs.vertical_cd,
                     inputs.lung_gas_l)  # fmt: skip
        return hop.work_j

    def _max_tempo_bpm(self, plan: list[tuple[int, int, int, int]]) -> float:
        """Return the highest tempo at which the median keeps full range in every step."""
        best = np.inf
        for row, counts, *_ in plan:
            if row >= 0:
                best = min(best, 60.0 * counts / self.full_time_s(row))
        low, high = TEMPO_RANGE_BPM
        if best > high:
            return float("nan")
        return best if best >= low else 0.0

    def median_range(self, row: int, time_s: float) -> float:
        """Return the range that the median keeps in a movement of some time [s]."""
        weight = self.setting(ImpactLevel.I).people.weight
        median = weighted_quantile(self.curves[row].range_kept.T, weight, 0.5)
        return min(1.0, float(np.interp(np.log(time_s), np.log(TIMES_S), median)))

    def full_time_s(self, row: int) -> float:
        """Return the least time [s] in which the median keeps full range (inf: never)."""
        if row not in self._full_time_s:
            self._full_time_s[row] = self._found_full_time_s(row)
        return self._full_time_s[row]

    def _found_full_time_s(self, row: int) -> float:
        weight = self.setting(ImpactLevel.I).people.weight
        median = weighted_quantile(self.curves[row].range_kept.T, weight, 0.5)
        wanted = thresholds().full_range
        short = np.nonzero(median < wanted)[0]
        if len(short) == 0:
            return 1e-9
        last = int(short[-1])
        if last == len(TIMES_S) - 1:
            return float("inf")
        share = (wanted - median[last]) / (median[last + 1] - median[last])
        return float(np.exp(np.log(TIMES_S[last]) + share * _LOG_STEP))


def _place(time_s: Array) -> tuple[NDArray[np.int_], Array]:
    """Return index and fraction on the grid of times; held at its ends."""
    x = np.clip((np.log(time_s) - _LOG_T0) / _LOG_STEP, 0.0, len(TIMES_S) - 1.0)
    low = np.minimum(x.astype(int), len(TIMES_S) - 2)
    return low, np.asarray(x - low)


def _between(table: Array, row: NDArray[np.int_], low: NDArray[np.int_], part: Array) -> Array:
    """Return table[row, :, low + part], people last."""
    share = part[..., None]
    return np.asarray(table[row, :, low] * (1 - share) + table[row, :, low + 1] * share)
