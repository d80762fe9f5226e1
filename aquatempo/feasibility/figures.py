"""Figures of one verdict that are looked up at the worst movement, and their origins."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.engine import Engine
from aquatempo.feasibility.inputs import thresholds
from aquatempo.feasibility.movements import MovementCurve
from aquatempo.feasibility.rules import trunk_decides
from aquatempo.feasibility.standins import weighted_quantile
from aquatempo.feasibility.swings import TIMES_S
from aquatempo.records.moves import MoveForm, Travel
from aquatempo.records.origin import Origin
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.water.floating import net_weight_n
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
    "reversal_counts",
    "speed_is_extrapolated",
]

Array = NDArray[np.float64]

NOTHING = "nothing at this tempo"
TRUNK = "trunk: no published capacity"


@dataclass(frozen=True, slots=True)
class Detail:
    """What limits a movement in a time, and its torques [N m] and landing force [BW]."""

    limited_by: str = NOTHING
    torque_peak_nm: float = 0.0
    torque_mean_nm: float = 0.0
    capacity_nm: float = 0.0
    impact_bw: float = 0.0


def detail(curve: MovementCurve, time_s: float, range_kept: float) -> Detail:
    """Return the figures of a movement that gets time_s [s]."""
    near = int(np.argmin(np.abs(np.log(TIMES_S) - np.log(time_s))))
    name = NOTHING
    if range_kept < thresholds().full_range:
        name = curve.limits[int(curve.limit[near])]

    def at(values: Array) -> float:
        return float(np.interp(np.log(time_s), np.log(TIMES_S), values))

    return Detail(
        name,
        at(curve.torque_peak_nm),
        at(curve.torque_mean_nm),
        at(curve.capacity_nm),
        at(curve.impact_bw),
    )


def foot_load_bw(engine: Engine, form: MoveForm) -> float:
    """Return the share of land weight on the median person's feet; 0 off the floor."""
    setting = engine.setting(form.level)
    if setting.free:
        return 0.0
    people = setting.people
    wet = form.arms_in_water
    share = weight_on_feet(
        people.bodies, setting.surface_m, setting.water, wet, engine.inputs.lung_gas_l
    )
    return max(0.0, float(weighted_quantile(share, people.weight, 0.5)))


def balance_cautions(
    engine: Engine, form: MoveForm, times_s: list[tuple[int, float]], pool: Pool
) -> list[str]:
    """Return cautions where the legs push the body harder than the floor can hold.

    times_s: pairs of index into the engine's curves and time of the movement [s].
    """
    setting = engine.setting(form.level)
    turns = any(engine.curves[row].trunk for row, _ in times_s) or trunk_decides(form)
    cautions = ["trunk turns: knees and toes go with it, no jerk"] if turns else []
    if setting.free:
        if pool.kind is ClassDepth.SHALLOW:
            cautions.append("off the floor: hands scull")
        return cautions
    people = setting.people
    held = net_weight_n(people.bodies, setting.surface_m, setting.water, engine.inputs.lung_gas_l)
    grip = engine.inputs.grip * float(weighted_quantile(held, people.weight, 0.5))
    for row, time in times_s:
        force = float(np.interp(np.log(time), np.log(TIMES_S), engine.curves[row].side_force_n))
        if force > grip:
            cautions.append("balance: the legs push harder than wet feet grip; scull or slow down")
            break
    return cautions


def reversal_counts(engine: Engine, form: MoveForm, tempo_bpm: float) -> float | None:
    """Return the counts that stopping and going back cost the median person, or None.

    From momentum, drag and grip only; time to hear and react is not in it. None in
    place; infinity where the grip cannot hold the speed.
    """
    if form.travel is Travel.IN_PLACE or form.travel_m <= 0 or not form.movements:
        return None
    setting = engine.setting(form.level)
    bodies, weight = setting.people.bodies, setting.people.weight
    hull = hull_of(bodies, setting.surface_m, form.travel, setting.water, engine.inputs.travel_cd)
    steps = form.pattern.steps if form.pattern else ()
    counts = float(np.mean([s.moving_counts + s.held_counts for s in steps])) if steps else 2.0
    speed = form.travel_m / (len(form.movements) * counts * 60.0 / tempo_bpm)
    held = net_weight_n(bodies, setting.surface_m, setting.water, engine.inputs.lung_gas_l)
    time = reversal_s(hull, held, engine.inputs.grip, np.full(len(bodies), speed))
    return float(weighted_quantile(time, weight, 0.5)) * tempo_bpm / 60.0


def origins(curves: list[MovementCurve]) -> tuple[tuple[str, Origin], ...]:
    """Return where each figure of a verdict comes from."""
    filled = any(curve.estimated or curve.trunk for curve in curves)
    return (
        ("range_kept", Origin.ESTIMATED),
        ("torque", Origin.ESTIMATED),
        ("capacity", Origin.ESTIMATED if filled else Origin.PUBLISHED),
        ("effort", Origin.ESTIMATED),
        ("foot_load", Origin.ESTIMATED),
        ("impact", Origin.ESTIMATED),
        ("full excursion", Origin.COMMON_PRACTICE),
        ("depth limits", Origin.COMMON_PRACTICE),
    )


def speed_is_extrapolated(curve: MovementCurve, time_s: float) -> bool:
    """Return whether the joint moves faster than the strength table reaches."""
    near = int(np.argmin(np.abs(np.log(TIMES_S) - np.log(time_s))))
    return bool(curve.extrapolated[near])
