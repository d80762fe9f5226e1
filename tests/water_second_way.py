"""Demand on the joints of a limb a second way: mechanics of one real body, in newtons and metres.

Nothing of the tables of the water model is used: limbs are turned by scipy, cut into 60 slices a
segment, moved in time and differentiated in time, and a joint's torque is what its turning alone
would ask (virtual work). People's sizes come from water/body.py, which has tests of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from aquatempo.records.limbs import Hands
from aquatempo.water.body import Bodies
from aquatempo.water.cylinders import limb_cd
from aquatempo.water.properties import Water
from aquatempo.water.tables import read_table

Array = NDArray[np.float64]
SLICES = 60
INSTANTS = 8
STEP_S = 1e-3
STEP_RAD = 1e-4
DOWN, AHEAD, OUT = (np.array(v, float) for v in ((0, 0, -1), (1, 0, 0), (0, 1, 0)))


@dataclass(frozen=True)
class Slices:
    """Pieces of a limb: segment and place on it, and what each is; a row each."""

    segment: NDArray[np.int_]
    place_m: Array
    normal: NDArray[np.int_]  # -1: across the axis, else 0 sole, 1 side, 2 tip
    drag_m2: Array  # coefficient times area
    shoved_m3: Array  # water that moves with it, coefficient 1
    volume_m3: Array
    mass_kg: Array
    plate: NDArray[np.int_]  # 1 a plate of the foot, 2 the hand and what it holds, else 0


@dataclass(frozen=True)
class Case:
    """What is swung and how: angles [degrees] start to end in a second, what the hand does."""

    name: str
    leg: bool
    start: tuple[float, ...]
    end: tuple[float, ...]
    hands: Hands = Hands.SLICE
    area_m2: float = 0.0
    float_n: float = 0.0
    plate_cd: float = 1.17
    edge_cd: float = 0.3
    added: float = 0.9
    unsteady: float = 1.0

    @property
    def segments(self) -> tuple[str, str, str]:
        """Names of the three segments of the limb."""
        return ("thigh", "shank", "foot") if self.leg else ("upper arm", "forearm", "hand")


def _leg(angles: Array) -> tuple[Array, Array]:
    """Axes and normals of a leg: turned about y by the joints, then outwards about x."""
    hip, out, knee, ankle = angles
    aside = Rotation.from_euler("x", out)
    thigh, shank, foot = (
        aside * Rotation.from_euler("y", -a) for a in (hip, hip - knee, hip - knee + ankle)
    )
    axes = np.stack([thigh.apply(DOWN), shank.apply(DOWN), foot.apply(AHEAD)])
    return axes, np.stack([foot.apply(-DOWN), aside.apply(OUT), axes[2]])


def _arm(angles: Array) -> tuple[Array, Array]:
    """Axes of an arm ahead that bends upwards, or of a straight one anywhere."""
    raised, across, elbow = angles
    sweep = Rotation.from_euler("z", -across)  # from the side towards ahead
    upper, lower = (
        sweep.apply(Rotation.from_euler("x", a).apply(DOWN)) for a in (raised, raised + elbow)
    )
    return np.stack([upper, lower, lower]), np.zeros((3, 3))


def de_leva(segment: str, bodies: Bodies, who: int) -> tuple[float, float]:
    """Return centre of mass and radius of gyration over the length (0 where not in the table)."""
    sex = "woman" if bodies.woman[who] else "man"
    table = read_table("de-leva-1996")
    centre, radius = (
        table.numbers("segment", column, sex=sex).get(segment, 0.0)
        for column in ("centre_fraction", "gyration_fraction")
    )
    return centre, radius


def slices_of(case: Case, bodies: Bodies, who: int) -> Slices:
    """Return the pieces of the limb of one person."""
    parts = [bodies.parts[name] for name in case.segments]
    lengths = [float(part.length_m[who]) for part in parts]
    mean = sum(float(p.upper_m[who] + p.lower_m[who]) for p in parts[:2]) / 4
    exposed = lengths[0] + lengths[1] + (0.0 if case.leg else lengths[2])
    cd = float(limb_cd(np.array(exposed), np.array(mean)))
    tissue = float(bodies.tissue_kg_m3[who])
    rows: list[tuple[float, ...]] = []
    share = (np.arange(SLICES) + 0.5) / SLICES
    for i, (part, length) in enumerate(zip(parts, lengths, strict=True)):
        dx, mass = length / SLICES, float(part.mass_kg[who])
        if i < 2:
            wide = float(part.upper_m[who]) * (1 - share) + float(part.lower_m[who]) * share
            section = np.pi / 4 * wide**2
            spread = section / section.sum() * mass / tissue
            for x, d, area, volume in zip(share, wide, section, spread, strict=True):
                rows.append((i, x * length, -1, cd * d * dx, area * dx, volume, 0.0, 0))
            centre, radius = (
                length * share_of for share_of in de_leva(case.segments[i], bodies, who)
            )
        elif case.leg:  # ankle a quarter from the heel, centre 0.44, side 0.6 of 0.039
            sole, side = float(part.upper_m[who]), 0.6 * 0.039 * float(bodies.stature_m[who])
            for x in share:
                at = (x - 0.25) * length
                rows.append((2, at, 0, case.plate_cd * sole * dx, np.pi / 4 * sole**2 * dx,
                             mass / tissue / SLICES, 0.0, 1))  # fmt: skip
                rows.append((2, at, 1, case.plate_cd * side * dx, np.pi / 4 * side**2 * dx,
                             0.0, 0.0, 1))  # fmt: skip
            rows.append((2, 0.75 * length, 2, case.plate_cd * sole * side, 0.0, 0.0, 0.0, 1))
            centre, radius = (0.44 - 0.25) * length, de_leva("foot", bodies, who)[1] * length
        else:
            breadth = float(part.upper_m[who])
            face = {
                Hands.OPEN: case.plate_cd * breadth,
                Hands.FIST: case.plate_cd * breadth**2 / length,  # as long as it is wide
                Hands.SLICE: case.edge_cd * 0.028,
            }[case.hands]
            for x in share:
                rows.append((2, x * length, -1, face * dx, np.pi / 4 * breadth**2 * dx,
                             mass / tissue / SLICES, 0.0, 2))  # fmt: skip
            rows.append((2, length / 2, -1, case.plate_cd * case.area_m2, 0.0, 0.0, 0.0, 2))
            centre, radius = length / 2, length / 4
        for side_of in (-1, 1):
            rows.append((i, centre + side_of * radius, -1, 0.0, 0.0, 0.0, mass / 2, 0))
    cut = np.array(rows)
    segment, normal, plate = (cut[:, k].astype(int) for k in (0, 2, 7))
    drag, shoved, volume, weighs = cut[:, 3:7].T
    return Slices(segment, cut[:, 1], normal, drag, shoved, volume, weighs, plate)


@dataclass(frozen=True)
class Found:
    """Torques of moving and of holding still (F, D), force on the water (F, 2), on the tips (F,).

    Torque of moving is that of drag and of inertia; dry_still: weight alone.
    """

    drag: Array
    inertia: Array
    still: Array
    push: Array
    hand_n: Array
    foot_n: Array
    dry_still: Array


def _places(case: Case, cut: Slices, lengths: list[float], at: Array) -> tuple[Array, Array]:
    """Return where pieces are (S, 3), and the axis or normal that each feels the water by."""
    axes, normals = (_leg if case.leg else _arm)(at)
    first = lengths[0] * axes[0]
    joints = np.stack([np.zeros(3), first, first + lengths[1] * axes[1]])
    found = joints[cut.segment] + cut.place_m[:, None] * axes[cut.segment]
    plain = cut.normal < 0
    return found, np.where(plain[:, None], axes[cut.segment], normals[np.maximum(cut.normal, 0)])


def inertia_kg_m2(case: Case, bodies: Bodies, who: int, water: Water, added: float) -> float:
    """Return the sum over slices of mass times r^2, with the water round the two long segments."""
    cut = slices_of(case, bodies, who)
    lengths = [float(bodies.parts[name].length_m[who]) for name in case.segments]
    at, _ = _places(case, cut, lengths, np.radians(np.array(case.start)))
    round_it = np.where(cut.segment < 2, water.density_kg_m3 * added * cut.shoved_m3, 0.0)
    weighs = float(bodies.tissue_kg_m3[who]) * cut.volume_m3 + round_it
    return float(weighs @ np.sum(at**2, axis=1))


def second_way(
    case: Case,
    bodies: Bodies,
    who: int,
    water: Water,
    share: float = 1.0,
    pivot: tuple[float, ...] | None = None,
    over_m: float = 9.0,
) -> Found:
    """Return the demand of a swing of one second on one person's limb.

    share, pivot: how much of the range is swung, and towards what it shrinks; over_m: where the
    water stands over the hip or shoulder.
    """
    cut = slices_of(case, bodies, who)
    lengths = [float(bodies.parts[name].length_m[who]) for name in case.segments]
    rho, g = water.density_kg_m3, 9.80665
    still_at = np.radians(np.array(pivot or (0.0,) * len(case.start)))
    start, end = (np.radians(np.array(a)) for a in (case.start, case.end))

    def angles(time_s: float) -> Array:
        way = (1 - np.cos(np.pi * time_s)) / 2
        return np.asarray(still_at + share * (start + (end - start) * way - still_at))

    def places(at: Array) -> tuple[Array, Array]:
        return _places(case, cut, lengths, at)

    def felt(vector: Array, along: Array) -> Array:
        part = np.sum(vector * along, axis=1)[:, None] * along
        return np.asarray(np.where((cut.normal < 0)[:, None], vector - part, part))

    rows: list[tuple[Array, ...]] = []
    for k in range(INSTANTS):
        time = (k + 0.5) / INSTANTS
        (behind, _), (here, along), (ahead, _) = (
            places(angles(time + d * STEP_S)) for d in (-1, 0, 1)
        )
        velocity = (ahead - behind) / (2 * STEP_S)
        acceleration = (ahead - 2 * here + behind) / STEP_S**2
        pace = felt(velocity, along)
        size = np.linalg.norm(pace, axis=1)
        wet = (here[:, 2] < over_m).astype(float)
        drag = (0.5 * rho * case.unsteady * cut.drag_m2 * wet * size)[:, None] * pace
        shoved = (rho * case.added * cut.shoved_m3 * wet)[:, None] * felt(acceleration, along)
        own = cut.mass_kg[:, None] * acceleration
        lifted = g * (cut.mass_kg - rho * cut.volume_m3 * wet)
        levers = []
        for d in range(3):
            turn = STEP_RAD * np.eye(len(case.start))[d]
            up, down = (places(angles(time) + sign * turn)[0] for sign in (1, -1))
            levers.append((up - down) / (2 * STEP_RAD))
        lever = np.stack(levers)  # (D, S, 3)
        middle = len(cut.segment) - 3 if not case.leg else 0  # the piece held at mid-hand
        floats = -case.float_n * lever[:, middle, 2]
        tips = [float(np.linalg.norm(drag[cut.plate == p], axis=1).sum()) for p in (2, 1)]
        rows.append((
            np.einsum("dsk,sk->d", lever, drag),
            np.einsum("dsk,sk->d", lever, shoved + own),
            lever[..., 2] @ lifted + floats,
            drag[:, :2].sum(axis=0),
            np.array(tips[0]),
            np.array(tips[1]),
            lever[..., 2] @ (g * cut.mass_kg),
        ))  # fmt: skip
    return Found(*(np.stack(column) for column in zip(*rows, strict=True)))
