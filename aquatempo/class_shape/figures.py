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
        found.append(
            [
                Figures(
                    kept=float(grid.range_kept[row, 0, column, 1]),
                    met=float(grid.met[row, 0, column, 1]),
                    rpe=float(grid.rpe[row, 0, column, 1]),
                    impact=impact_band(float(grid.impact_bw[row, 0, column, 1])),
                    hard=loads.hard(form, pattern, tempo),
                    held_s=float(grid.held_s[row, 0, column, 1]),
                    barred=barred,
                    rated=bool(grid.rated[row, 0]),
                )
                for column, tempo in enumerate(within)
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

    def hard(self, form: MoveForm, pattern: Pattern | None, tempo_bpm: float) -> tuple[str, ...]:
        if form.move.kind in _FREE:
            return ()
        names: dict[str, None] = {}
        for step in self._engine.distinct_steps(form, pattern):
            time_s = step.counts.moving_counts * 60.0 / tempo_bpm
            place = int(np.argmin(np.abs(np.log(TIMES_S / time_s))))
            for table in (*step.legs, *step.arms):
                names |= dict.fromkeys(self._of_limb(table, place))
        return tuple(names)

    def _of_limb(self, table: LimbTable, place: int) -> tuple[str, ...]:
        key = (id(table), place)
        if key not in self._known:
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
