"""One movement of a form: its swings, flight and travel, tabulated over time."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.setting import Setting
from aquatempo.feasibility.standins import weighted_quantile
from aquatempo.feasibility.swings import (
    TIMES_S,
    SwingCurve,
    axis_of,
    swing_curve,
    swing_limb,
)
from aquatempo.feasibility.wholebody import (
    Hop,
    MovementKey,
    body_work,
    hop_curve,
    scull_w,
    travel_kept,
)  # fmt: skip
from aquatempo.records.moves import (
    Hands,
    ImpactLevel,
    Joint,
    JointSwing,
    MoveForm,
    Side,
    Travel,
)  # fmt: skip
from aquatempo.water.floating import trunk_inertia_kg_m2, water_share
from aquatempo.water.limbs import SwingAxis, swing_moments
from aquatempo.water.tables import read_table

__all__ = ["MovementCurve", "MovementKey", "Known", "movement_curve", "movement_keys"]

Array = NDArray[np.float64]

_LEG_JOINTS = (Joint.HIP, Joint.KNEE, Joint.ANKLE)


@dataclass(frozen=True, slots=True)
class Known:
    """What has been computed for a setting: swings, and hops by height and movements."""

    swings: dict[tuple[object, ...], SwingCurve] = field(default_factory=dict)
    hops: dict[tuple[float, int], Hop] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class MovementCurve:
    """A movement of n stand-ins over TIMES_S.

    range_kept (above 1: room to spare) and work_j are (n, times); the rest, of shape
    (times,), tell the median person:
    limit: index into limits of what limits first; torques of the most loaded joint.
    side_force_n: peak net force across the floor [N]. extra_w (n,): power that goes on
    whatever the tempo (sculling) [W]. trunk: it turns or bends, without known capacity.
    """

    range_kept: Array
    work_j: Array
    limits: tuple[str, ...]
    limit: NDArray[np.int_]
    torque_peak_nm: Array
    torque_mean_nm: Array
    capacity_nm: Array
    impact_bw: Array
    side_force_n: Array
    extra_w: Array
    trunk: bool
    estimated: bool
    extrapolated: NDArray[np.bool_]


def movement_keys(form: MoveForm) -> tuple[MovementKey, ...]:
    """Return the keys of the movements of one repetition of a form."""
    count = max(len(form.movements), 1)
    turns = 1.0 / (form.reverses_every * count) if form.reverses_every else 0.0
    return tuple(
        MovementKey(
            movement,
            form.level,
            form.hands,
            form.arms_in_water,
            form.equipment_area_m2,
            form.equipment_buoyancy_n,
            form.travel,
            form.travel_m / count if form.travel is not Travel.IN_PLACE else 0.0,
            turns,
        )
        for movement in form.movements
    )


def movement_curve(key: MovementKey, setting: Setting, known: Known) -> MovementCurve:
    """Return the curve of one movement; swings already known are taken from known."""
    n, times = len(setting.people.bodies), len(TIMES_S)
    swings = _deepened(key.movement.swings, setting)
    shares = _water_shares(swings, setting, key)
    kept: list[Array] = []
    names: list[str] = []
    curves: list[SwingCurve] = []
    work = np.zeros((n, times))
    for swing, share in zip(swings, shares, strict=True):
        curve = _cached(swing, share, key, setting, known)
        curves.append(curve)
        kept.append(curve.range_kept)
        names.append(f"{swing.joint.value} {swing.action.value}")
        work = work + curve.work_j
    hop_kept, hop_work, impact = _hop(key, setting, known.hops)
    if hop_kept is not None:
        kept.append(hop_kept)
        names.append("rebound")
        work = work + hop_work
    if key.step_m > 0:
        kept.append(travel_kept(key, setting))
        names.append(f"travelling {key.travel.value}")
    every = np.stack(kept) if kept else np.ones((1, n, times))
    work = work + body_work(key, setting, np.minimum(every.min(axis=0), 1.0))
    weight = setting.people.weight
    medians = weighted_quantile(np.moveaxis(every, 1, -1), weight, 0.5)
    legs = any(swing.joint in _LEG_JOINTS for swing in swings)
    typical = _most_used(curves, legs, weight)
    sculls = key.level is ImpactLevel.III or setting.deep
    return MovementCurve(
        every.min(axis=0),
        work,
        tuple(names) or ("nothing",),
        np.argmin(medians, axis=0),
        *typical,
        impact,
        _side_force(swings, curves, setting),
        scull_w(setting) if sculls else np.zeros(n),
        trunk=any(not curve.rated for curve in curves),
        estimated=any(curve.estimated for curve in curves),
        extrapolated=np.any([curve.extrapolated.any(axis=0) for curve in curves], axis=0)
        if curves
        else np.zeros(times, bool),
    )


def _cached(
    swing: JointSwing, share: Array, key: MovementKey, setting: Setting, known: Known
) -> SwingCurve:
    limbs = 2 if swing.side is Side.BOTH else 1
    arm = swing.joint in (Joint.SHOULDER, Joint.ELBOW)
    hands = key.hands if arm else Hands.SLICE
    area, lift = (key.area_m2, key.float_n) if arm else (0.0, 0.0)
    wet = key.arms_in_water if arm else True
    plain = replace(swing, side=Side.LEAD)
    name = (plain, limbs, hands, wet, area, lift, share.tobytes())
    if name not in known.swings:
        known.swings[name] = swing_curve(plain, setting, limbs, share, hands, wet, area, lift)
    return known.swings[name]


def _hop(key: MovementKey, setting: Setting, known: dict[tuple[float, int], Hop]) -> Hop:
    name = (key.movement.flight_m, key.movement.flight_movements)
    if name not in known:
        known[name] = hop_curve(key, setting)
    return known[name]


def _deepened(swings: tuple[JointSwing, ...], setting: Setting) -> tuple[JointSwing, ...]:
    """Return the swings, those of the hip larger in deep water, within the norm."""
    if not setting.deep:
        return swings
    rows = read_table("aaos-range").rows
    norm = {row["action"]: float(row["limit_deg"]) for row in rows if row["joint"] == "hip"}
    scale = setting.inputs.deep_excursion

    def wider(angle: float, up: str, down: str) -> float:
        return float(np.clip(angle * scale, min(-norm[down], angle), max(norm[up], angle)))

    result: list[JointSwing] = []
    for swing in swings:
        if swing.joint is Joint.HIP:
            frontal = axis_of(swing.action) == SwingAxis.FRONTAL
            pair = ("abduction", "adduction") if frontal else ("flexion", "extension")
            start, end = (wider(angle, *pair) for angle in (swing.start_deg, swing.end_deg))
            result.append(replace(swing, start_deg=start, end_deg=end))
        else:
            result.append(swing)
    return tuple(result)


def _water_shares(
    swings: tuple[JointSwing, ...], setting: Setting, key: MovementKey
) -> list[Array]:
    """Return for each swing the share of its angle that goes through the water (n,)."""
    bodies = setting.people.bodies
    whole = np.ones(len(bodies))
    if not setting.free:
        return [whole] * len(swings)
    net: dict[str, Array] = {}
    own: list[tuple[str, Array] | None] = []
    for swing in swings:
        axis = axis_of(swing.action)
        if swing.joint is not Joint.HIP:
            own.append(None)
            continue
        limb = swing_limb(swing, setting, key.hands, 0.0)
        middle = np.radians((swing.start_deg + swing.end_deg) / 2)
        _, _, inertia, _ = swing_moments(
            limb, np.array([middle]), setting.joint_below_m(swing), setting.water
        )
        sign = np.sign(swing.end_deg - swing.start_deg)
        if swing.side is Side.BOTH:
            sign = 0.0 if axis == SwingAxis.FRONTAL else 2 * sign
        elif axis == SwingAxis.FRONTAL and swing.side is Side.TRAIL:
            sign = -sign  # outward is the other way on the other side
        sweep = abs(swing.end_deg - swing.start_deg)
        net[axis] = net.get(axis, 0.0 * whole) + sign * sweep * inertia[:, 0]
        own.append((axis, np.full_like(whole, max(sweep, 1e-9))))
    rest = {axis: trunk_inertia_kg_m2(bodies, axis, setting.water) for axis in net}
    return [
        whole if entry is None else water_share(net[entry[0]] / entry[1], rest[entry[0]])
        for entry in own
    ]


def _most_used(curves: list[SwingCurve], legs: bool, weight: Array) -> tuple[Array, Array, Array]:
    """Return peak, mean and capacity (times,) of the joint that is most used.

    Where the trunk turns and no leg swings, that of the trunk, with capacity 0 (unknown).
    """
    rated = [curve for curve in curves if curve.rated]
    if len(rated) < len(curves) and not legs:
        rated = [curve for curve in curves if not curve.rated]
    if not rated:
        return (np.zeros(len(TIMES_S)),) * 3
    uses = np.stack([weighted_quantile(curve.use.T, weight, 0.5) for curve in rated])
    best = np.argmax(uses, axis=0)
    columns = np.arange(len(TIMES_S))
    peak, mean, capacity = (
        np.stack([weighted_quantile(getattr(curve, name).T, weight, 0.5) for curve in rated])
        for name in ("torque_peak_nm", "torque_mean_nm", "capacity_nm")
    )
    return peak[best, columns], mean[best, columns], capacity[best, columns]


def _side_force(
    swings: tuple[JointSwing, ...], curves: list[SwingCurve], setting: Setting
) -> Array:
    """Return the peak net force (times,) of all limbs on the median body.

    Limbs that move the same way add up, limbs that move against each other cancel;
    sideways the two sides do, and both at once leave nothing.
    """
    net: dict[str, Array] = {}
    for swing, curve in zip(swings, curves, strict=True):
        if swing.joint is Joint.TRUNK:
            continue
        frontal = axis_of(swing.action) == SwingAxis.FRONTAL
        sign = float(np.sign(swing.end_deg - swing.start_deg))
        if frontal:
            sign *= {Side.LEAD: 1.0, Side.TRAIL: -1.0, Side.BOTH: 0.0}[swing.side]
        elif swing.side is Side.BOTH:
            sign *= 2.0
        if swing.joint is Joint.KNEE:
            sign = -sign  # a curl takes the shank backwards
        force = weighted_quantile(curve.force_n.T, setting.people.weight, 0.5)
        way = "sideways" if frontal else "fore and aft"
        net[way] = net.get(way, np.zeros_like(force)) + sign * force
    total = [np.abs(force) for force in net.values()]
    return np.max(total, axis=0) if total else np.zeros(len(TIMES_S))
