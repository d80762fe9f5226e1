"""The few figures that planning and review need of a form at a tempo, from feasibility.

This is the one door: range kept, effort, impact band, what works hard, how long it can be
held. What feasibility does not say yet is stood in for here, under STAND-IN, and nowhere else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from aquatempo.feasibility import judge_forms
from aquatempo.feasibility.engine import TEMPO_RANGE_BPM, engine_for
from aquatempo.feasibility.inputs import free_inputs
from aquatempo.feasibility.rules import standing_of
from aquatempo.moves.tags import BIG_HOP_M
from aquatempo.records.brief import ImpactBand
from aquatempo.records.moves import ImpactLevel, MoveForm, MoveKind, Pattern
from aquatempo.records.people import ClassDepth, Group, Pool

__all__ = ["HARD_SHARE", "Figures", "impact_of", "rate", "works"]

HARD_SHARE = 0.5  # of what a muscle can do: from here on it works hard (STAND-IN scale)
_RPE_REST, _RPE_MOST = 6.0, 20.0
_TOLERANCE_M = 1e-6
# STAND-IN: muscles that an arm action works, until feasibility names them by joint.
_ARMS = {
    "pump": ("shoulder flexors", "shoulder extensors"),
    "swing": ("shoulder flexors", "shoulder extensors"),
    "press": ("shoulder abductors", "shoulder adductors"),
    "raise": ("shoulder flexors", "shoulder extensors"),
    "pull": ("upper back", "elbow flexors"),
    "punch": ("elbow extensors", "chest"),
    "curl": ("elbow flexors", "elbow extensors"),
    "fly": ("chest", "upper back"),
    "sweep": ("trunk rotators", "chest"),
    "scull": ("forearms",),
    "breaststroke": ("chest", "upper back"),
    "reach": ("shoulder flexors",),
}


@dataclass(frozen=True, slots=True)
class Figures:
    """What feasibility says of one form at one tempo, for the middle of the group.

    kept: share of full range. met [MET], rpe [Borg 6 to 20]. impact: its band. loads:
    (muscle or joint, share of what it can do), largest first. held_s: how long it can be
    held [s], None where that is not told. barred: what in the pool forbids it, "" for
    nothing. rated: False where the capacity is not published.
    """

    kept: float
    met: float
    rpe: float
    impact: ImpactBand
    loads: tuple[tuple[str, float], ...] = ()
    held_s: float | None = None
    barred: str = ""
    rated: bool = True

    @property
    def hard(self) -> tuple[str, ...]:
        """The muscles or joints that work hard in it."""
        return tuple(name for name, share in self.loads if share >= HARD_SHARE)


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
    found = []
    for row, form in enumerate(forms):
        barred = standing_of(form, pool, engine.setting(form.level)).forbidden
        rated, impact = bool(grid.rated[row, 0]), impact_of(form)
        line = []
        for column in range(len(within)):
            rpe = float(grid.rpe[row, 0, column, 1])
            line.append(
                Figures(
                    kept=float(grid.range_kept[row, 0, column, 1]),
                    met=float(grid.met[row, 0, column, 1]),
                    rpe=rpe,
                    impact=impact,
                    loads=_loads(form, rpe),
                    barred=barred,
                    rated=rated,
                )
            )
        found.append(line)
    return found


def impact_of(form: MoveForm) -> ImpactBand:
    """Return the band in which a form lands (STAND-IN, common practice, no source).

    Suspended and deep none; one foot down none, walking low; II low; I medium, and high
    for hops of 8 cm or more and for power.
    """
    flight = max((movement.flight_m for movement in form.movements), default=0.0)
    if form.level is ImpactLevel.III:
        return ImpactBand.NONE
    if form.level is ImpactLevel.POWER or flight >= BIG_HOP_M - _TOLERANCE_M:
        return ImpactBand.HIGH
    if flight > 0:
        return ImpactBand.MEDIUM
    if form.level is ImpactLevel.II or form.travel_m > 0:
        return ImpactBand.LOW
    return ImpactBand.NONE


def works(form: MoveForm, depth: ClassDepth) -> tuple[str, ...]:
    """Return the muscles that a form works, its own first, then those of its arms."""
    del depth
    own = form.move.muscles
    arms = _ARMS.get(form.arms, ()) if form.move.kind is not MoveKind.ARMS_ONLY else ()
    return tuple(dict.fromkeys((*own, *arms)))


def _loads(form: MoveForm, rpe: float) -> tuple[tuple[str, float], ...]:
    """Return the load on each muscle (STAND-IN): effort shared out, the first named most."""
    strain = (rpe - _RPE_REST) / (_RPE_MOST - _RPE_REST)
    weights = (1.0, 0.9, 0.6, 0.5)
    own = [
        (muscle, round(strain * weights[min(place, 3)], 3))
        for place, muscle in enumerate(form.move.muscles)
    ]
    return tuple(own)
