"""What the water asks of a limb along a path of joint angles, for a body one metre tall.

All joints go together along one parameter s from 0 to 1 in the time T of a movement, with the
speed of half a sine (or minimum jerk). A strip then moves at p'(s) ds/dt, and the force F on it
asks each joint j for F . dp/dq_j (virtual work). Velocity squared and acceleration both go
with 1/T^2, so that the demand is (drag + inertia) / T^2 + weight, each a table here.

Tables are told for both sexes (diameters, masses), some levels of the water over the joint,
some shares of the range and some instants. A body scales them by powers of its stature
(limb_demand.py), so that a path is integrated once for all pools and groups.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.water.limbs import DRIVEN, Kind, Strips, places, strips_of

__all__ = ["INSTANTS", "LEVELS", "SHARES", "LimbPath", "PathTables", "path_tables", "profile"]

Array = NDArray[Any]  # of 32 or 64 bits

INSTANTS = 8  # 20 move positive work by less than 1 %
SHARES = np.array([0.1, 0.25, 0.4, 0.55, 0.7, 0.82, 0.92, 1.0, 1.3])
# Water over the hip or shoulder [1 m of stature]; at the upper end a limb is drowned, below the
# lower one nobody exercises.
LEVELS = {
    Kind.LEG: np.array([-0.40, -0.20, -0.10, -0.04, 0.0, 0.05, 0.13]),  # 0.12: toes of a level leg
    Kind.ARM: np.array([-0.42, -0.30, -0.22, -0.15, -0.09, -0.04, 0.0, 0.05]),
}
_WET_OVER = 0.0125  # a strip gets wet over this height [1 m of stature], 2 cm
_STEP = 1e-3


@dataclass(frozen=True, slots=True)
class LimbPath:
    """A path of a limb: angles [degrees] in the order of limbs.ANGLES, at start and end.

    via: where it passes half-way, None: the straight way. pivot: angles that a smaller
    range shrinks towards.
    """

    kind: Kind
    start: tuple[float, ...]
    end: tuple[float, ...]
    pivot: tuple[float, ...]
    via: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True)
class PathTables:
    """Demand of a path on each joint angle, for a body one metre tall.

    Axes: sex 2, level L (of LEVELS), share R (of SHARES), instant F, angle D (of the DRIVEN
    ones: the ankle follows). drag_* [per
    1/2 rho Cd] for cylinders (2, L, R, F, D), the plates of the foot, hands of unit width
    and a unit area at the hand (L, R, F, D); added_* [per rho Ca] likewise; mass (2, R, F,
    D) [per body mass]; heavy (2, R, F, D) and light (2, L, R, F, D) weight of mass and of
    displaced volume [per body mass and g]; lift (L, R, F, D) of a float at the hand. push_*
    (…, 2): drag force ahead and aside. hand_force, foot_force (L, R, F): drag on the hand
    of unit width, on the plates of the foot. rate (R, F, D): dq/ds [rad]; angle (R, F, D)
    [rad]. speed (F,): ds/dt x T.
    """

    drag_cylinder: Array
    drag_plate: Array
    drag_hand: Array
    drag_area: Array
    added_cylinder: Array
    added_plate: Array
    added_hand: Array
    mass: Array
    heavy: Array
    light: Array
    lift: Array
    push_cylinder: Array
    push_plate: Array
    push_hand: Array
    push_area: Array
    hand_force: Array
    foot_force: Array
    rate: Array
    angle: Array
    speed: Array


def profile(name: str) -> tuple[Array, Array, Array]:
    """Return place, speed and acceleration (time and way 1) at the instants.

    >>> place, speed, _ = profile("half-sine")
    >>> bool(abs(speed.mean() - 1.0) < 0.01)
    True
    """
    t = (np.arange(INSTANTS) + 0.5) / INSTANTS
    if name == "minimum-jerk":
        place = 10 * t**3 - 15 * t**4 + 6 * t**5
        return place, 30 * t**2 - 60 * t**3 + 30 * t**4, 60 * t - 180 * t**2 + 120 * t**3
    return (
        (1 - np.cos(np.pi * t)) / 2,
        np.pi / 2 * np.sin(np.pi * t),
        np.pi**2 / 2 * np.cos(np.pi * t),
    )


@lru_cache(maxsize=2048)
def path_tables(path: LimbPath, motion: str = "half-sine") -> PathTables:
    """Return the tables of a path. motion: half-sine or minimum-jerk."""
    if path.end < path.start:  # the way back is the way there, seen backwards in time
        return _reversed(path_tables(replace(path, start=path.end, end=path.start), motion))
    place, speed, turn = profile(motion)
    strips = strips_of(path.kind)
    levels = LEVELS[path.kind]
    count, driven = len(SHARES) * INSTANTS, DRIVEN[path.kind]

    def angles(s: Array) -> Array:  # (R, F) -> (R F, angles)
        return _angles(path, s).reshape(count, -1)

    s = np.broadcast_to(place, (len(SHARES), INSTANTS))
    here = angles(s)
    ahead, behind = angles(s + _STEP), angles(s - _STEP)
    steps = [here, ahead, behind]
    for d in range(driven):
        for sign in (1.0, -1.0):
            steps.append(here + sign * _STEP * np.eye(here.shape[1])[d])
    batch = np.concatenate(steps)
    p, axes, normals = places(path.kind, batch, strips.segment, strips.along)
    p = p.reshape(len(steps), count, -1, 3)
    axis = axes[:count, strips.segment]
    normal = normals[:count, strips.normal]
    along = np.where(strips.by_axis[None, :, None], axis, normal)
    way, bend = _derivatives(p[:3])
    lever = _levers(p, driven)
    fast = np.tile(speed, len(SHARES))[:, None, None]
    slow = np.tile(turn, len(SHARES))[:, None, None]
    velocity = _felt(way * fast, along, strips)
    acceleration = _felt(way * slow + bend * fast**2, along, strips)
    drag = velocity * np.linalg.norm(velocity, axis=-1, keepdims=True)
    rests = levels[:, None, None] - p[0][None, :, :, 2]
    wet = np.clip(rests / _WET_OVER + 0.5, 0.0, 1.0)  # (L, B, S)
    on_joint = np.matmul(lever, drag[..., None])[..., 0]  # (B, S, D)
    on_joint_slow = np.matmul(lever, acceleration[..., None])[..., 0]
    size = np.linalg.norm(drag, axis=-1, keepdims=True)
    up = lever[..., 2]
    woman, man = strips.cylinder
    columns = [
        (on_joint, (woman, man, strips.plate, strips.hand, strips.tip)),
        (on_joint_slow, (*strips.added_cylinder, strips.added_plate, strips.added_hand)),
        (up, (*strips.volume, strips.tip)),
        (drag[..., :2], (woman, man, strips.plate, strips.hand, strips.tip)),
        (size, (strips.hand, strips.plate)),
    ]
    stacked = np.concatenate(
        [what * weight[:, None] for what, weights in columns for weight in weights], axis=-1
    )
    summed = np.matmul(wet.transpose(1, 0, 2), stacked).transpose(1, 0, 2)  # (L, B, columns)
    shape = (len(SHARES), INSTANTS)
    told = summed.reshape(len(levels), *shape, -1).astype(np.float32)
    widths = [what.shape[-1] for what, weights in columns for _ in weights]
    parts = np.split(told, np.cumsum(widths)[:-1], axis=-1)
    return PathTables(
        drag_cylinder=np.stack(parts[0:2]),
        drag_plate=parts[2],
        drag_hand=parts[3],
        drag_area=parts[4],
        added_cylinder=np.stack(parts[5:7]),
        added_plate=parts[7],
        added_hand=parts[8],
        **_masses(path, strips, batch, count, fast, slow, shape),
        light=np.stack(parts[9:11]),
        lift=parts[11],
        push_cylinder=np.stack(parts[12:14]),
        push_plate=parts[14],
        push_hand=parts[15],
        push_area=parts[16],
        hand_force=parts[17][..., 0],
        foot_force=parts[18][..., 0],
        rate=((ahead - behind) / (2 * _STEP)).reshape(*shape, -1)[..., :driven],
        angle=here.reshape(*shape, -1)[..., :driven],
        speed=speed,
    )


def _reversed(tables: PathTables) -> PathTables:
    """Return the tables of the way back: what goes with speed changes its sign."""
    flipped = {}
    for field in fields(tables):
        value = getattr(tables, field.name)
        axis = _INSTANT_AXIS[field.name.split("_")[0]]
        flipped[field.name] = np.flip(value, axis)
        if field.name.split("_")[0] in ("drag", "push", "rate"):
            flipped[field.name] = -flipped[field.name]
    return PathTables(**flipped)


_INSTANT_AXIS = {
    **dict.fromkeys(("drag", "added", "mass", "heavy", "light", "lift", "push"), -2),
    **dict.fromkeys(("rate", "angle"), -2),
    **dict.fromkeys(("hand", "foot", "speed"), -1),
}


def _angles(path: LimbPath, s: Array) -> Array:
    """Return the angles [rad] (R, F, D) at places s (R, F), one row a share of the range."""
    start, end, pivot = (np.radians(np.array(v)) for v in (path.start, path.end, path.pivot))
    at = s[..., None]
    angle = start + (end - start) * at
    if path.via is not None:
        middle = np.radians(np.array(path.via))
        angle = angle + 4 * at * (1 - at) * (middle - (start + end) / 2)
    return np.asarray(pivot + SHARES[:, None, None] * (angle - pivot))


def _derivatives(p: Array) -> tuple[Array, Array]:
    """Return dp/ds and d2p/ds2 from places (3, ...) at s, s + step, s - step."""
    return (p[1] - p[2]) / (2 * _STEP), (p[1] - 2 * p[0] + p[2]) / _STEP**2


def _felt(vector: Array, along: Array, strips: Strips) -> Array:
    """Return what a strip feels of a vector (B, S, 3): across its axis, or along its normal."""
    part = np.sum(vector * along, axis=-1, keepdims=True) * along
    return np.asarray(np.where(strips.by_axis[None, :, None], vector - part, part))


def _masses(
    path: LimbPath,
    strips: Strips,
    batch: Array,
    count: int,
    fast: Array,
    slow: Array,
    shape: tuple[int, int],
) -> dict[str, Array]:
    """Return inertia and weight of the point masses, (2, R, F, D)."""
    degrees = DRIVEN[path.kind]
    inertia, weight = [], []
    for sex in range(2):
        p, _, _ = places(path.kind, batch, strips.mass_segment, strips.mass_along[sex])
        p = p.reshape(-1, count, *p.shape[1:])
        way, bend = _derivatives(p[:3])
        lever = _levers(p, degrees)
        acceleration = way * slow + bend * fast**2
        share = strips.mass[sex]
        torque = np.matmul(lever, acceleration[..., None])[..., 0]  # (B, M, D)
        inertia.append(np.matmul(share, torque))
        weight.append(np.matmul(share, lever[..., 2]))
    return {
        "mass": np.stack(inertia).reshape(2, *shape, degrees),
        "heavy": np.stack(weight).reshape(2, *shape, degrees),
    }


def _levers(p: Array, degrees: int) -> Array:
    """Return dp/dq (B, S, D, 3) from places at and beside the path (3 + 2 D, B, S, 3)."""
    pairs = [(p[3 + 2 * d] - p[4 + 2 * d]) / (2 * _STEP) for d in range(degrees)]
    return np.stack(pairs, axis=2)
