"""One limb on its path, solved for all times of a movement: range kept, work, use of muscles."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.law import TIMES_S, at_share, kept_of
from aquatempo.feasibility.parts import LimbPart
from aquatempo.feasibility.setting import Setting
from aquatempo.records.limbs import Plane
from aquatempo.water.floating import trunk_inertia_kg_m2
from aquatempo.water.limb_demand import demand_of, limb_inertia_kg_m2
from aquatempo.water.limbs import Kind
from aquatempo.water.muscle_use import LimbUse, Muscle, use_of
from aquatempo.water.paths import SHARES, LimbPath
from aquatempo.water.tables import read_table

__all__ = ["LimbTable", "limb_table", "limb_use", "suited"]

Array = NDArray[np.float64]

_NORM = 4  # mean and peak of use together
_LEAST_SPEED_FACTOR = 0.05


@dataclass(frozen=True, slots=True)
class LimbTable:
    """A limb of n people over TIMES_S (K of them), at the range that its muscles allow.

    kept (n, K): share of the range. work_j: positive work of a movement of one limb, never
    less than in a slower one. use (n, K): mean use over the cycle of the most strained
    muscle; strain (n, K): y. force_n: largest drag on hand or foot. torque_nm, can_nm (K, M)
    and uses (K, M), peaks (K, M): of the median person, by muscle. push_n (K, 2): force of
    the water on the body ahead and aside, median. cyclic (n, K): sum over muscles of
    torque x frequency^2 [N m/s2], the frequency that of the swing, as often as it is done. beyond (K,): faster than the strength tables reach.
    """

    kept: Array
    work_j: Array
    use: Array
    strain: Array
    force_n: Array
    muscles: tuple[Muscle, ...]
    uses: Array
    peaks: Array
    torque_nm: Array
    can_nm: Array
    push_n: Array
    cyclic: Array
    beyond: NDArray[np.bool_]
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
    strains: Array | None = None
    means, peaks = [], []
    for m in range(len(use.muscles)):
        mean = use.mean_moving[..., m, None] * over + use.mean_still[..., m, None]
        mean = mean / _speed_factor(use, use.mean_speed_rad[:, m] * fast, m)  # (n, R, K)
        peak = use.peak_moving[..., m, None] * over + use.peak_still[..., m, None]
        peak = peak / _speed_factor(use, use.peak_speed_rad[:, m] * fast, m)
        mean = mean * np.float32(part.duty)
        strain = ((mean / np.float32(willing_use)) ** _NORM + peak**_NORM) ** (1.0 / _NORM)
        strains = strain if strains is None else np.maximum(strains, strain)
        means.append(mean)
        peaks.append(peak)
    if strains is None:
        kept = np.ones((len(setting.people), len(TIMES_S)), np.float32)
        y = np.zeros_like(kept)
    else:
        kept = kept_of(strains, inputs.stiffness)
        y = _pick(strains, kept)
    work = (at_share(use.work_moving, kept, 3.0) * over + at_share(use.work_still, kept)) * fast
    work = _never_less(work / TIMES_S) * TIMES_S
    tip = use.foot_n if part.path.kind is Kind.LEG else use.hand_n
    # What pushes a leg that no other balances is held by the trunk and the standing leg.
    hold = 2.0 if part.alongside else 1.0
    torque = [at_share(use.torque_nm[..., m], kept, 2.0) * over for m in range(len(use.muscles))]
    return LimbTable(
        kept=kept,
        work_j=work,
        use=_most([_pick(mean, kept) for mean in means], kept),
        strain=y,
        force_n=at_share(tip, kept, 2.0) * over,
        muscles=use.muscles,
        uses=_medians([_pick(mean, kept) for mean in means], len(TIMES_S)),
        peaks=_medians([_pick(peak, kept) for peak in peaks], len(TIMES_S)),
        torque_nm=_medians(torque, len(TIMES_S)),
        can_nm=np.median(use.can_nm, axis=0) * np.ones((len(TIMES_S), 1)),
        push_n=np.stack(
            [np.median(at_share(use.push[..., i], kept, 2.0) * np.sign(use.push[:, -2, i])[:, None]
                       * over, axis=0) for i in range(2)], axis=-1
        ),
        cyclic=sum(torque, start=np.zeros_like(kept)) * part.duty / (2 * TIMES_S**2) * hold,
        beyond=_beyond(use, kept, fast),
        estimated=any(use.estimated),
    )  # fmt: skip


def _speed_factor(use: LimbUse, way_rad: Array, m: int) -> Array:
    """Return what a muscle keeps of its strength at a speed of the joint x T, (n, R, K)."""
    speed = (way_rad[:, None] / TIMES_S).astype(np.float32)[None]
    c4, c5 = (c[:, m, None, None].astype(np.float32) for c in (use.c4, use.c5))
    top = 2 * c4 * c5 + speed * (c5 - 3 * c4)
    return np.maximum(top / (2 * c4 * c5 + speed * (2 * c5 - 4 * c4)), _LEAST_SPEED_FACTOR)


def _pick(table: Array, kept: Array) -> Array:
    """Return a table (n, R, K) at the range kept (n, K), in its square root over the share."""
    place = np.interp(kept, SHARES, np.arange(len(SHARES)))
    low = np.minimum(place.astype(int), len(SHARES) - 2)
    part = place - low
    lower = np.take_along_axis(table, low[:, None], axis=1)[:, 0]
    upper = np.take_along_axis(table, low[:, None] + 1, axis=1)[:, 0]
    value = lower * (1 - part) + upper * part
    below = kept < SHARES[0]
    return np.where(below, table[:, 0] * (kept / SHARES[0]) ** 2, value)


def _most(values: list[Array], like: Array) -> Array:
    return np.maximum.reduce(values) if values else np.zeros_like(like)


def _medians(values: list[Array], times: int) -> Array:
    if not values:
        return np.zeros((times, 0))
    return np.stack([np.median(value, axis=0) for value in values], axis=-1)


def _never_less(power: Array) -> Array:
    """Return power (n, K) that never falls from one time to the next shorter one."""
    return np.maximum.accumulate(power, axis=1)


def _beyond(use: LimbUse, kept: Array, fast: float) -> NDArray[np.bool_]:
    """Return at which times the median's joints outrun the strength tables (1.2 x C5)."""
    if not use.muscles:
        return np.zeros(len(TIMES_S), bool)
    median = np.median(kept, axis=0)
    fastest = use.peak_speed_rad[-2] * fast
    limit = 1.2 * np.min(use.c5, axis=0)
    return np.asarray(np.any(median[:, None] * fastest / TIMES_S[:, None] > limit, axis=1))


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
