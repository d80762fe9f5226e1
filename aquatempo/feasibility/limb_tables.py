"""One limb on its path, solved for all times of a movement: range kept, work, use of muscles."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.law import INNER_SHARES, TIMES_S, AtShares, kept_of
from aquatempo.feasibility.parts import LimbPart
from aquatempo.feasibility.setting import Setting
from aquatempo.records.limbs import Plane
from aquatempo.water.floating import trunk_inertia_kg_m2
from aquatempo.water.limb_demand import demand_of, limb_inertia_kg_m2
from aquatempo.water.limbs import Kind
from aquatempo.water.muscle_use import LimbUse, Muscle, use_of
from aquatempo.water.paths import LimbPath
from aquatempo.water.strength import speed_factor
from aquatempo.water.tables import read_table

__all__ = ["LimbLoads", "LimbTable", "limb_loads", "limb_table", "limb_use", "suited"]

Array = NDArray[np.float64]

_LEAST_SPEED_FACTOR = 0.05


@dataclass(frozen=True, slots=True)
class LimbTable:
    """A limb of n people over TIMES_S (K of them), at the range that its muscles allow.

    kept (n, K): share of the range. work_j: positive work of a movement of one limb, never
    less than in a slower one. use (n, K): mean use over the cycle of the most strained
    muscle; force_n: largest drag on hand or foot. cyclic (n, K): sum over muscles of torque
    x frequency^2 [N m/s2], the frequency that of the swing, as often as it is done. source:
    what else can be told of the median person, see limb_loads.
    """

    kept: Array
    work_j: Array
    use: Array
    force_n: Array
    cyclic: Array
    source: LimbUse
    duty: float
    fast: float


@dataclass(frozen=True, slots=True)
class LimbLoads:
    """Loads of a limb's muscles (M) in a movement of some time, for the median person.

    mean_use, peak_use: over the cycle and at the most, over what the muscle can do at that
    angle and speed [1]; torque_nm, can_nm [N m]. push_n (2,): force of the water on the
    body, ahead and aside [N]. beyond: faster than the strength tables reach.
    """

    muscles: tuple[Muscle, ...]
    mean_use: Array
    peak_use: Array
    torque_nm: Array
    can_nm: Array
    push_n: Array
    beyond: bool
    estimated: bool


def suited(part: LimbPart, setting: Setting) -> tuple[LimbPath, float]:
    """Return the path as it is done in this stance, and joint angle over angle in the water.

    In deep water hips swing further, within their norm. Off the floor the pelvis turns back
    against a swing, so that the joint has to go further and faster than the limb.
    """
    path = _scaled(part.path, setting.inputs.excursion, ())
    if path.kind is Kind.ARM or not setting.stance.free:
        return path, 1.0
    if setting.deep:
        path = _scaled(path, setting.inputs.deep_excursion, _hip_norms())
    sideways = abs(path.end[1] - path.start[1]) > abs(path.end[0] - path.start[0])
    bodies = setting.people.bodies
    limb = part.alongside * limb_inertia_kg_m2(path, bodies, setting.water, setting.inputs.added_mass)
    plane = Plane.FRONTAL if sideways else Plane.SAGITTAL
    rest = trunk_inertia_kg_m2(bodies, plane, setting.water)
    return path, float(np.mean(1.0 + limb / rest))


def limb_use(part: LimbPart, setting: Setting) -> tuple[LimbUse, float]:
    """Return the use of a limb's muscles, and the joint's way over the limb's."""
    path, ratio = suited(part, setting)
    bodies = setting.people.bodies
    surface = setting.surface_m
    if path.kind is Kind.ARM and path.start[1] != path.end[1]:
        # Level sweeps are done under the surface: people bend their knees for them.
        surface = np.maximum(surface, bodies.joints_m["shoulder"] + 0.06 * bodies.stature_m)
    demand = demand_of(
        path, bodies, surface, setting.water, part.held, setting.inputs.coefficients()
    )
    return use_of(path, bodies, demand, setting.people.strength), ratio


def limb_table(
    part: LimbPart, use: LimbUse, fast: float, setting: Setting, willing_use: float
) -> LimbTable:
    """Return the table of a limb.

    fast: the joint's way over the limb's, of limb_use. willing_use: mean use over the cycle
    that the class is willing and able to hold for the bout [1].
    """
    inputs = setting.inputs
    over = (1.0 / TIMES_S**2).astype(np.float32)
    inner = slice(0, INNER_SHARES)
    worst: Array | None = None
    for m in range(len(use.muscles)):
        mean = use.mean_moving[:, inner, m, None] * over + use.mean_still[:, inner, m, None]
        mean = mean / _speed_factor(use, m, use.mean_speed_rad[inner, m, None] * fast)
        mean = mean * np.float32(part.duty / willing_use)
        peak = use.peak_moving[:, inner, m, None] * over + use.peak_still[:, inner, m, None]
        peak = peak / _speed_factor(use, m, use.peak_speed_rad[inner, m, None] * fast)
        mean, peak = mean * mean, peak * peak
        strain = mean * mean + peak * peak  # to the fourth power
        worst = strain if worst is None else np.maximum(worst, strain)
    if worst is None:
        kept = np.ones((len(setting.people), len(TIMES_S)), np.float32)
    else:
        kept = kept_of(np.sqrt(np.sqrt(worst)), inputs.stiffness).astype(np.float32)
    at = AtShares(kept)
    most = np.zeros_like(kept)
    torque = np.zeros_like(kept)
    for m in range(len(use.muscles)):
        mean = at.read(use.mean_moving[..., m], 2.0) * over + at.read(use.mean_still[..., m])
        ways = at.read_ways(use.mean_speed_rad[:, m]) * np.float32(fast)
        most = np.maximum(most, mean / _speed_factor(use, m, ways))
        torque += at.read(use.torque_nm[..., m], 2.0)
    work = (at.read(use.work_moving, 3.0) * over + at.read(use.work_still)) * np.float32(fast)
    work = np.maximum.accumulate(work / TIMES_S, axis=1) * TIMES_S
    # What pushes a leg that no other balances is held by the trunk and the standing leg.
    hold = 2.0 if part.alongside else 1.0
    tip = use.foot_n if part.path.kind is Kind.LEG else use.hand_n
    return LimbTable(
        kept=kept,
        work_j=work.astype(np.float32),
        use=most * np.float32(part.duty),
        force_n=at.read(tip.astype(np.float32), 2.0) * over,
        cyclic=torque * over * (part.duty / (2 * TIMES_S**2) * hold).astype(np.float32),
        source=use,
        duty=part.duty,
        fast=fast,
    )


def limb_loads(table: LimbTable, time_s: float, range_kept: float) -> LimbLoads:
    """Return the loads of a limb's muscles in a movement of time_s [s] at a share of range."""
    use, over = table.source, 1.0 / time_s**2
    kept = np.full((len(table.kept), 1), range_kept)
    at = AtShares(kept)
    found: list[list[float]] = []
    for m in range(len(use.muscles)):
        told = []
        for moving, still, way in (
            (use.mean_moving, use.mean_still, use.mean_speed_rad),
            (use.peak_moving, use.peak_still, use.peak_speed_rad),
        ):
            share = at.read(moving[..., m], 2.0) * over + at.read(still[..., m])
            speed = at.read_ways(way[:, m]) * table.fast / time_s
            share = share / speed_factor(speed, use.c4[:, m, None], use.c5[:, m, None])
            told.append(float(np.median(share)))
        torque = float(np.median(at.read(use.torque_nm[..., m], 2.0))) * over
        found.append([told[0] * table.duty, told[1], torque, float(np.median(use.can_nm[:, m]))])
    columns = np.array(found).reshape(-1, 4).T
    sign = np.sign(np.median(use.push[:, -2], axis=0))
    push = [float(np.median(at.read(np.abs(use.push[..., i]), 2.0))) * over for i in range(2)]
    fastest = use.peak_speed_rad[-2] * range_kept * table.fast / time_s
    return LimbLoads(
        use.muscles, *columns, push_n=sign * np.array(push),
        beyond=bool(len(fastest) and np.any(fastest > 1.2 * np.min(use.c5, axis=0))),
        estimated=any(use.estimated),
    )  # fmt: skip


def _speed_factor(use: LimbUse, m: int, way_rad: Array) -> Array:
    """Return what a muscle keeps of its strength at a joint speed x T, (n, ..., K)."""
    speed = (way_rad / TIMES_S).astype(np.float32)
    wide = [None] * max(speed.ndim - 1, 1)
    if speed.ndim == 2 and len(speed) != len(use.c4):  # (R, K): the same for all people
        speed, wide = speed[None], [None, None]
    c4, c5 = (c[(slice(None), m, *wide)] for c in (use.c4, use.c5))
    both = 2 * c4 * c5
    factor = (both + speed * (c5 - 3 * c4)) / (both + speed * (2 * c5 - 4 * c4))
    return np.maximum(factor, _LEAST_SPEED_FACTOR)


def _hip_norms() -> tuple[tuple[float, float], ...]:
    rows = read_table("aaos-range").rows
    norm = {row["action"]: float(row["limit_deg"]) for row in rows if row["joint"] == "hip"}
    return (
        (-norm["extension"], norm["flexion"]),
        (-norm["adduction"], norm["abduction"]),
    )


def _scaled(path: LimbPath, scale: float, norms: tuple[tuple[float, float], ...]) -> LimbPath:
    """Return a path with its excursions scaled; with norms given, those of the hip only."""
    if scale == 1.0:
        return path

    def scaled(angles: tuple[float, ...]) -> tuple[float, ...]:
        new = []
        for i, (angle, pivot) in enumerate(zip(angles, path.pivot, strict=True)):
            if norms and i >= len(norms):
                new.append(angle)
                continue
            value = pivot + scale * (angle - pivot)
            if norms:
                low, high = norms[i]
                value = min(max(value, min(low, angle)), max(high, angle))
            new.append(round(value, 6))
        return tuple(new)

    return replace(
        path,
        start=scaled(path.start),
        end=scaled(path.end),
        via=None if path.via is None else scaled(path.via),
    )
