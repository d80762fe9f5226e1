"""The few figures that planning and review need of a form at a tempo, from feasibility.

This is the one door: range kept, effort, impact band, what works hard, how long it can be
held, what in the pool forbids it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from aquatempo.feasibility import judge_forms
from aquatempo.feasibility.engine import TEMPO_RANGE_BPM, Engine, engine_for
from aquatempo.feasibility.inputs import free_inputs
from aquatempo.feasibility.judging import impact_band
from aquatempo.feasibility.law import TIMES_S
from aquatempo.feasibility.limb_loads import limb_loads
from aquatempo.feasibility.limb_tables import LimbTable
from aquatempo.feasibility.rules import Standing
from aquatempo.records.moves import MoveForm, MoveKind, Pattern
from aquatempo.records.people import Group, Pool
from aquatempo.records.verdict import ImpactBand

__all__ = ["FEWEST_RIGHT", "HARD_STRAIN", "Figures", "barred_by", "rate"]

HARD_STRAIN = 0.5  # of what a muscle can hold for a song: from here on it works hard (judgement)
FEWEST_RIGHT = 0.5  # of the group have the right depth for a move that is planned (judgement)
_NORM = 4.0  # of mean and peak use, as docs/design/feasibility.md puts them together
_HARD_FROM_RPE = 12.5  # effort is told from the most strained muscle too: below, none is hard
_COARSE = 2  # loads are looked up at every second of the engine's times
_LOG_STEP = float(np.log(TIMES_S[0] / TIMES_S[1]))
_FREE = (MoveKind.HOLDING, MoveKind.STRETCH)


@dataclass(frozen=True, slots=True)
class Figures:
    """What feasibility says of one form at one tempo, for the middle of the group.

    kept: share of full range. met [MET], rpe [Borg 6 to 20]. impact: the band in which nine
    of ten land, or lower. hard: joint actions whose muscles work hard. held_s: how long it
    can be held [s], 3600 for a class. barred: what in the pool forbids it, "" for nothing.
    rated: False where the capacity is not published.
    """

    kept: float
    met: float
    rpe: float
    impact: ImpactBand
    hard: tuple[str, ...] = ()
    held_s: float = 3600.0
    barred: str = ""
    rated: bool = True


def rate(
    forms: Sequence[MoveForm],
    tempos_bpm: Sequence[float],
    pool: Pool,
    group: Group,
    pattern: Pattern | None = None,
) -> list[list[Figures]]:
    """Return the figures of each form at each tempo, forms first.

    tempos_bpm: as played [beats/min]; pool, group: where and for whom; pattern: another one
    than the forms' own.
    """
    if not forms or not tempos_bpm:
        return [[] for _ in forms]
    low, high = TEMPO_RANGE_BPM
    within = [min(max(tempo, low), high) for tempo in tempos_bpm]
    grid = judge_forms(forms, [pattern], within, pool, group)
    engine = engine_for(pool, group, free_inputs())
    loads = _loads_of(engine)
    found = []
    for row, form in enumerate(forms):
        barred = barred_by(engine.standing(form))
        efforts = [float(grid.rpe[row, 0, column, 1]) for column in range(len(within))]
        working = [rpe >= _HARD_FROM_RPE for rpe in efforts]
        hard = loads.hard(form, pattern, within, working)
        found.append(
            [
                Figures(
                    kept=float(grid.range_kept[row, 0, column, 1]),
                    met=float(grid.met[row, 0, column, 1]),
                    rpe=efforts[column],
                    impact=impact_band(float(grid.impact_bw[row, 0, column, 1])),
                    hard=hard[column],
                    held_s=float(grid.held_s[row, 0, column, 1]),
                    barred=barred,
                    rated=bool(grid.rated[row, 0]),
                )
                for column in range(len(within))
            ]
        )
    return found


def barred_by(standing: Standing) -> str:
    """Return why a form is not for this class here, "" where it is.

    standing: what pool and depth say of it.
    """
    depth = standing.depth
    if standing.forbidden or depth.right >= FEWEST_RIGHT:
        return standing.forbidden
    return f"depth: too {'shallow' if depth.too_shallow > depth.too_deep else 'deep'}"


@lru_cache(maxsize=8)
def _loads_of(engine: Engine) -> _Loads:
    return _Loads(engine)


class _Loads:
    """Which joint actions work hard, limb by limb; limbs are shared by many forms."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._held = float(np.median(engine.allowed.use[: engine.people.people]))
        self._known: dict[tuple[int, int], tuple[str, ...]] = {}
        # Kept, as what is told by identity must live on: another table could get its number.
        self._tables: dict[int, LimbTable] = {}

    def hard(
        self,
        form: MoveForm,
        pattern: Pattern | None,
        tempos_bpm: Sequence[float],
        working: Sequence[bool],
    ) -> list[tuple[str, ...]]:
        """Return the joint actions that work hard in a form at each tempo where it is work."""
        if form.move.kind in _FREE or not any(working):
            return [()] * len(tempos_bpm)
        steps = self._engine.distinct_steps(form, pattern)
        tables = [
            (step.counts.moving_counts, table)
            for step in steps
            for table in (*step.legs, *step.arms)
        ]
        found = []
        for tempo_bpm, hard in zip(tempos_bpm, working, strict=True):
            names: dict[str, None] = {}
            for counts, table in tables if hard else ():
                place = round(float(np.log(TIMES_S[0] * tempo_bpm / (60.0 * counts))) / _LOG_STEP)
                place = min(max(place // _COARSE * _COARSE, 0), len(TIMES_S) - 1)
                names |= dict.fromkeys(self._of_limb(table, place))
            found.append(tuple(names))
        return found

    def _of_limb(self, table: LimbTable, place: int) -> tuple[str, ...]:
        key = (id(table), place)
        if key not in self._known:
            self._tables[id(table)] = table
            people = self._engine.people.people
            kept = float(np.median(table.kept[:people, place]))
            found = limb_loads(table, people, float(TIMES_S[place]), kept)
            mean, peak = found.mean_use / self._held, found.peak_use
            strain = (mean**_NORM + peak**_NORM) ** (1.0 / _NORM)
            self._known[key] = tuple(
                muscle.name
                for muscle, one in zip(found.muscles, strain, strict=True)
                if one >= HARD_STRAIN
            )
        return self._known[key]
