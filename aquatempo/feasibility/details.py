"""Figures of one verdict that are looked up step by step: what limits, loads, balance, origins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.costs import Step
from aquatempo.feasibility.engine import Engine
from aquatempo.feasibility.group_figures import GroupFigures
from aquatempo.feasibility.inputs import thresholds
from aquatempo.feasibility.law import TEMPI_BPM, TIMES_S
from aquatempo.feasibility.limb_loads import LimbLoads, limb_loads
from aquatempo.feasibility.limb_tables import LimbTable
from aquatempo.feasibility.rules import trunk_decides
from aquatempo.records.moves import MoveForm, Travel
from aquatempo.records.origin import Origin
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.verdict import JointLoad
from aquatempo.water.floating import downward_n
from aquatempo.water.immersion import weight_on_feet
from aquatempo.water.travel import hull_of, reversal_s

__all__ = [
    "NOTHING",
    "TRUNK",
    "Detail",
    "balance_cautions",
    "detail",
    "foot_load_bw",
    "origins",
    "over_tempo",
    "reversal_counts",
]

Array = NDArray[np.float64]

NOTHING = "nothing at this tempo"
TRUNK = "trunk: no published capacity"
_BREATH = "breath"
_NOBODY = JointLoad(NOTHING, 0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Detail:
    """What limits a form, and what its muscles bear (the most used first).

    limiting: the load of the muscle that limits, or of the most used one. push_n: what the
    legs push on the body with, of the hardest step [N]. beyond: a joint moves faster than
    the strength tables reach; estimated: a capacity is filled.
    """

    limited_by: str
    limiting: JointLoad
    loads: tuple[JointLoad, ...]
    push_n: float
    beyond: bool
    estimated: bool


def over_tempo(values: Array, tempo_bpm: float) -> float:
    """Return values of shape (J,) over TEMPI_BPM at a tempo [beats/min].

    tempo_bpm: within TEMPI_BPM.
    """
    return float(np.interp(np.log(tempo_bpm), np.log(TEMPI_BPM), values))


def detail(
    engine: Engine, steps: Sequence[Step], figures: GroupFigures, tempo_bpm: float
) -> Detail:
    """Return what limits and what bears in the steps of a form at a tempo [beats/min].

    engine, figures: where the form was judged, and what came out; tempo_bpm [beats/min].
    """
    people = engine.people.people
    breath = over_tempo(figures.breath, tempo_bpm)
    kept_by_step = [over_tempo(step, tempo_bpm) for step in figures.by_step]
    worst = int(np.argmin(kept_by_step)) if kept_by_step else 0
    limited_by, limiting = NOTHING, _NOBODY
    loads: dict[str, JointLoad] = {}
    push, beyond, estimated = 0.0, False, False
    for index, step in enumerate(steps):
        time = step.counts.moving_counts * 60.0 / tempo_bpm
        aside = 0.0
        causes = [(breath, _BREATH, _NOBODY)]
        for tables, parts, power in (
            (step.legs, step.parts.legs, 1.0),
            (step.arms, step.parts.arms, engine.inputs.arms_yield),
        ):
            kept = min((_at_time(t, people, time) for t in tables), default=1.0)
            for table, part in zip(tables, parts, strict=True):
                found = limb_loads(table, people, time, kept * breath**power)
                told = _told(found)
                for load in told:
                    old = loads.get(load.muscle, _NOBODY)
                    loads[load.muscle] = max(old, load, key=lambda one: one.mean_use)
                beyond, estimated = beyond or found.beyond, estimated or found.estimated
                if power == 1.0 and part.alongside:
                    aside += part.limbs * float(np.max(np.abs(found.push_n)))
                if told and (tables is step.legs or not step.legs):
                    hardest = max(told, key=lambda one: one.mean_use)
                    causes.append((_at_time(table, people, time), hardest.muscle, hardest))
        if step.hop is not None and not step.legs:
            height = np.median(step.hop.kept[:people], axis=0)
            causes.append((_of_time(height, time), "height of the hop", _NOBODY))
        stride = np.median(step.carry.step_kept[:people], axis=0)
        causes.append((_of_time(stride, time), "grip of the feet", _NOBODY))
        push = max(push, aside)
        if index == worst:
            least = min(causes, key=lambda one: one[0])
            limited_by, limiting = least[1:]
    if kept_by_step and kept_by_step[worst] >= thresholds().full_range:
        limited_by = NOTHING
    ordered = tuple(sorted(loads.values(), key=lambda one: -one.mean_use))
    if limiting is _NOBODY and ordered:
        limiting = ordered[0]
    return Detail(limited_by, limiting, ordered, push, beyond, estimated)


def _told(found: LimbLoads) -> list[JointLoad]:
    columns = zip(
        found.muscles, found.mean_use, found.peak_use, found.torque_nm, found.can_nm, strict=True
    )
    return [
        JointLoad(muscle.name, *(float(value) for value in values)) for muscle, *values in columns
    ]


def _at_time(table: LimbTable, people: int, time_s: float) -> float:
    return _of_time(np.median(table.kept[:people], axis=0), time_s)


def _of_time(values: Array, time_s: float) -> float:
    return float(np.interp(-np.log(time_s), -np.log(TIMES_S), values))


def foot_load_bw(engine: Engine, form: MoveForm) -> float:
    """Return the share of land weight on the median person's feet; 0 off the floor.

    engine, form: where it is done, and what.
    """
    setting = engine.setting(form)
    if setting.stance.free:
        return 0.0
    share = weight_on_feet(
        setting.people.bodies,
        setting.surface_m,
        setting.water,
        form.arms_in_water,
        engine.inputs.lung_gas_l,
    )
    return max(0.0, float(np.median(share[: setting.people.people])))


def balance_cautions(engine: Engine, form: MoveForm, push_n: float, pool: Pool) -> list[str]:
    """Return cautions where the legs push the body harder than the floor can hold.

    engine, form, pool: where it is done, and what.
    push_n: what they push with [N].
    """
    setting, people = engine.setting(form), engine.people.people
    turns = trunk_decides(form) or any(m.end_pose.trunk.turn for m in form.movements)
    cautions = ["trunk turns: knees and toes go with it, no jerk"] if turns else []
    if setting.stance.free:
        if pool.kind is ClassDepth.SHALLOW:
            cautions.append("off the floor: hands scull")
        return cautions
    if push_n > engine.inputs.grip * float(np.median(setting.apparent_n[:people])):
        cautions.append("balance: the legs push harder than wet feet grip; scull or slow down")
    return cautions


def reversal_counts(engine: Engine, form: MoveForm, tempo_bpm: float) -> float | None:
    """Return the counts that stopping and going back cost the median person, or None.

    engine, form: where it is done, and what; tempo_bpm [beats/min].
    From momentum, drag and grip only; time to hear and react is not in it. None in
    place; infinity where the grip cannot hold the speed.
    """
    if form.travel is Travel.IN_PLACE or form.travel_m <= 0 or not form.movements:
        return None
    setting, people = engine.setting(form), engine.people.people
    bodies = setting.people.bodies
    hull = hull_of(bodies, setting.surface_m, form.travel, setting.water, engine.inputs.travel_cd)
    steps = form.pattern.steps if form.pattern else ()
    counts = float(np.mean([s.moving_counts + s.held_counts for s in steps])) if steps else 2.0
    speed = form.travel_m / (len(form.movements) * counts * 60.0 / tempo_bpm)
    pressed = downward_n(setting.apparent_n, engine.inputs.hands_down_n)
    time = reversal_s(hull, pressed, engine.inputs.grip, np.full(len(bodies), speed))
    return float(np.median(time[:people])) * tempo_bpm / 60.0


def origins(estimated: bool) -> tuple[tuple[str, Origin], ...]:
    """Return where each figure of a verdict comes from. estimated: a capacity is filled."""
    return (
        ("range_kept", Origin.ESTIMATED),
        ("limit", Origin.ESTIMATED),
        ("torque", Origin.ESTIMATED),
        ("capacity", Origin.ESTIMATED if estimated else Origin.PUBLISHED),
        ("effort", Origin.ESTIMATED),
        ("foot_load", Origin.ESTIMATED),
        ("impact", Origin.ESTIMATED),
        ("full excursion", Origin.COMMON_PRACTICE),
        ("depth limits", Origin.COMMON_PRACTICE),
    )
