"""How hard muscles work along a path of a limb: torque needed over torque available.

Only while a joint drives, or is held still against the water, is a muscle counted: braking does
not limit, and a straight knee or elbow that the water would stretch further hangs on its
ligaments. Torque available is that at each angle; its fall with speed is taken at the speed
where the torque is needed, on average for the mean and at its highest for the peak (limbs
are slow where their inertia asks most).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.limbs import Action, Joint
from aquatempo.water.body import Bodies
from aquatempo.water.limb_demand import Demand
from aquatempo.water.limbs import Kind
from aquatempo.water.paths import LimbPath
from aquatempo.water.strength import strength_of

__all__ = ["LimbUse", "Muscle", "muscles_of", "use_of"]

Array = NDArray[np.float64]

_LOCKED_RAD = np.radians(6.0)
_STILL_RAD = 1e-6


@dataclass(frozen=True, slots=True)
class Muscle:
    """A group of muscles: the joint it drives, and which way."""

    joint: Joint
    action: Action

    @property
    def name(self) -> str:
        """What it is called, such as ``hip flexion``."""
        return f"{self.joint.value} {self.action.value}"


@dataclass(frozen=True, slots=True)
class LimbUse:
    """Use of the muscles (M) of one limb of n people over R shares of the range.

    In a movement of T seconds a muscle is used, before its loss by speed, on average
    mean_moving / T^2 + mean_still of what it can do at rest, at most peak_moving / T^2 +
    peak_still; all (n, R, M). mean_speed_rad, peak_speed_rad (R, M): joint speed x T where
    that is [rad]; c4, c5 (n, M) [rad/s]. The limb does work_moving / T^2 + work_still [J] of
    positive work (n, R).
    torque_nm (n, R, M): largest torque x T^2; can_nm (n, M): torque at rest where it is
    largest. hand_n, foot_n (n, R) as in Demand; push (n, R, 2): largest, signed.
    estimated (M,): the capacity is filled, not tabulated.
    """

    muscles: tuple[Muscle, ...]
    mean_moving: Array
    mean_still: Array
    peak_moving: Array
    peak_still: Array
    mean_speed_rad: Array
    peak_speed_rad: Array
    c4: Array
    c5: Array
    work_moving: Array
    work_still: Array
    torque_nm: Array
    can_nm: Array
    hand_n: Array
    foot_n: Array
    push: Array
    estimated: tuple[bool, ...]


_LOCKED = (Muscle(Joint.KNEE, Action.FLEXION), Muscle(Joint.ELBOW, Action.FLEXION))


def muscles_of(path: LimbPath) -> tuple[tuple[Muscle, Muscle], ...]:
    """Return for each driven angle the muscles that raise it and that lower it."""
    if path.kind is Kind.LEG:
        return (
            (Muscle(Joint.HIP, Action.FLEXION), Muscle(Joint.HIP, Action.EXTENSION)),
            (Muscle(Joint.HIP, Action.ABDUCTION), Muscle(Joint.HIP, Action.ADDUCTION)),
            (Muscle(Joint.KNEE, Action.FLEXION), Muscle(Joint.KNEE, Action.EXTENSION)),
        )
    ahead = path.start[1] >= 45.0 or path.start[1] != path.end[1]
    lifts = (Action.FLEXION, Action.EXTENSION) if ahead else (Action.ABDUCTION, Action.ADDUCTION)
    return (
        (Muscle(Joint.SHOULDER, lifts[0]), Muscle(Joint.SHOULDER, lifts[1])),
        (
            Muscle(Joint.SHOULDER, Action.HORIZONTAL_ADDUCTION),
            Muscle(Joint.SHOULDER, Action.HORIZONTAL_ABDUCTION),
        ),
        (Muscle(Joint.ELBOW, Action.FLEXION), Muscle(Joint.ELBOW, Action.EXTENSION)),
    )


def use_of(path: LimbPath, bodies: Bodies, demand: Demand, strength_factor: Array) -> LimbUse:
    """Return how the muscles of a limb are used along a path.

    bodies: whose muscles; demand: what the path asks of them.
    strength_factor (n,): strength over that of the tables [1].
    """
    found: list[Muscle] = []
    rows: dict[str, list[Array]] = {name: [] for name in _PARTS}
    estimated: list[bool] = []
    still = np.abs(demand.rate) < _STILL_RAD
    # Muscles over two joints carry power from one to the other: the limb's power counts.
    work_moving, work_still = (
        np.maximum((torque * demand.rate).sum(axis=-1), 0.0).mean(axis=-1)
        for torque in (demand.moving, demand.still)
    )
    for d, pair in enumerate(muscles_of(path)):
        for sign, muscle in zip((1.0, -1.0), pair, strict=True):
            drives = still[..., d] | (sign * demand.rate[..., d] > 0)
            if muscle in _LOCKED:
                drives &= ~(still[..., d] & (demand.angle[..., d] < _LOCKED_RAD))
            if not drives.any():
                continue
            needed = np.maximum(sign * demand.moving[..., d], 0.0) * drives
            held = np.maximum(sign * demand.still[..., d], 0.0) * drives
            if needed.max() < 1e-3 and held.max() < 1e-3:
                continue
            strength = strength_of(bodies, muscle.joint, muscle.action)
            if strength is None:
                continue
            can = strength.blended(demand.angle[..., d]) * strength_factor[:, None, None]
            can = np.maximum(can, 1.0).astype(np.float32)
            c4, c5 = strength.speeds_rad_s
            use, use_still = needed / can, held / can
            speeds = _telling_speeds(use, np.abs(demand.rate[..., d]))
            found.append(muscle)
            estimated.append(strength.estimated)
            values = (use.mean(-1), use_still.mean(-1), use.max(-1), use_still.max(-1), *speeds,
                      c4, c5, needed.max(-1), can.max(axis=(1, 2)))  # fmt: skip
            for name, value in zip(_PARTS, values, strict=True):
                rows[name].append(value)
    stacked = {name: _stack(values, bodies, demand, name) for name, values in rows.items()}
    top = np.argmax(np.abs(demand.push).sum(axis=-1), axis=-1)[..., None, None]
    return LimbUse(
        muscles=tuple(found),
        work_moving=work_moving,
        work_still=work_still,
        hand_n=demand.hand_n,
        foot_n=demand.foot_n,
        push=np.take_along_axis(demand.push, top, axis=2)[:, :, 0, :],
        estimated=tuple(estimated),
        **stacked,
    )


def _telling_speeds(use: Array, rate: Array) -> tuple[Array, Array]:
    """Return the speed (R,) where a muscle is used, on average and at the most, from (n, R, F)."""
    typical = use.mean(axis=0)
    mean = (typical * rate).sum(axis=-1) / np.maximum(typical.sum(axis=-1), 1e-9)
    top = np.argmax(typical, axis=-1)
    return mean, np.take_along_axis(rate, top[:, None], axis=-1)[:, 0]


_PARTS = (
    *("mean_moving", "mean_still", "peak_moving", "peak_still", "mean_speed_rad"),
    *("peak_speed_rad", "c4", "c5", "torque_nm", "can_nm"),
)


def _stack(values: list[Array], bodies: Bodies, demand: Demand, name: str) -> Array:
    """Return values of all muscles, muscles last; empty where none works."""
    if values:
        return np.stack(values, axis=-1).astype(np.float32)
    n, shares = demand.moving.shape[:2]
    if name.endswith("speed_rad"):
        return np.zeros((shares, 0), np.float32)
    shape = (n, 0) if name in ("c4", "c5", "can_nm") else (n, shares, 0)
    return np.zeros(shape, np.float32)
