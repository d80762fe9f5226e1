"""What the water asks of the limbs of people along a path: joint torque, work, forces.

Tables of a body one metre tall (paths.py) are scaled by powers of stature H, girth g and mass m:
drag of cylinders by 1/2 rho Cd g H^4, of plates by 1/2 rho Cd H^5, inertia by m H^2, added mass
of cylinders by rho Ca g^2 H^3, weight by m g H. The sum over terms is one product of matrices.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.limbs import Hands
from aquatempo.water.body import Bodies
from aquatempo.water.cylinders import limb_cd
from aquatempo.water.limbs import LIMB_JOINT, Kind, lengths_of, places, strips_of
from aquatempo.water.paths import LEVELS, LimbPath, PathTables, path_tables
from aquatempo.water.properties import GRAVITY_M_S2, Water
from aquatempo.water.tables import read_table

__all__ = ["Coefficients", "Demand", "Held", "demand_of", "limb_inertia_kg_m2"]

Array = NDArray[Any]  # of 32 or 64 bits


@dataclass(frozen=True, slots=True)
class Coefficients:
    """Free inputs of a limb; see feasibility/data/free_inputs.toml.

    Numbers, or arrays (n,) of one a person.
    """

    plate_cd: Array | float = 1.17
    hand_edge_cd: Array | float = 0.3
    added_mass: Array | float = 0.9
    unsteady_drag: Array | float = 1.0
    motion_profile: str = "half-sine"


@dataclass(frozen=True, slots=True)
class Held:
    """What hands do and hold. area_m2 and float_n: of a plate and a float at one hand."""

    hands: Hands = Hands.SLICE
    area_m2: float = 0.0
    float_n: float = 0.0
    in_water: bool = True


@dataclass(frozen=True, slots=True)
class Demand:
    """Demand on the joints of n people; R shares of the range, F instants, D angles.

    The torque that muscles have to give at a movement of T seconds is moving / T^2 + still
    [N m], both (n, R, F, D), positive in the direction that the angle grows. push (n, R, F,
    2): force of the water on the body ahead and aside, x T^2 [N s2]. hand_n, foot_n (n, R):
    largest drag on hand (with what it holds) and foot, x T^2 [N s2]. rate (R, F, D):
    dq/dt x T [rad]; angle (R, F, D) [rad].
    """

    moving: Array
    still: Array
    push: Array
    hand_n: Array
    foot_n: Array
    rate: Array
    angle: Array


def demand_of(
    path: LimbPath,
    bodies: Bodies,
    surface_m: Array,
    water: Water,
    held: Held | None = None,
    coefficients: Coefficients | None = None,
) -> Demand:
    """Return the demand of a path on one limb of each of n people.

    bodies, held, coefficients: whose limb, what the hand holds, and drag and added mass.
    surface_m (n,): where the water reaches on the upright body [m] over the floor.
    """
    c, held = coefficients or Coefficients(), held or Held()
    tables = path_tables(path, c.motion_profile)
    height, mass, girth = bodies.stature_m, bodies.mass_kg, bodies.girth
    rho = water.density_kg_m3
    cd = _limb_cd(path.kind, bodies)
    half = 0.5 * rho * c.unsteady_drag
    width = _hand_width(bodies, held.hands, c)
    levels = _levels(path, bodies, surface_m, held)
    cylinder = half * cd * girth
    drag = {
        "cylinder": cylinder * height**4,
        "plate": half * c.plate_cd * height**5,
        "hand": half * c.plate_cd * width * height**5,
        "area": half * c.plate_cd * held.area_m2 * height**3,
    }
    added = {
        "cylinder": rho * c.added_mass * girth**2 * height**3,
        "plate": rho * c.added_mass * height**5,
        "hand": rho * c.added_mass * _hand_breadth(bodies) ** 2 * height**5,
    }
    n, woman = len(bodies), bodies.woman
    shape = tables.mass.shape[1:]
    moving, still = np.empty((2, n, *shape), dtype=np.float32)
    push = np.empty((n, *shape[:2], 2), dtype=np.float32)
    for sex, rows in enumerate((woman, ~woman)):
        if not rows.any():
            continue
        at = levels.of(rows)
        terms = [(drag[k][rows], _of(tables, f"drag_{k}", sex)) for k in drag]
        terms += [(added[k][rows], _of(tables, f"added_{k}", sex)) for k in added]
        moving[rows] = _summed(at, terms)
        moving[rows] += _product(mass[rows] * height[rows] ** 2, tables.mass[sex])
        buoyant = -GRAVITY_M_S2 * rho * mass[rows] / bodies.tissue_kg_m3[rows] * height[rows]
        lift = -held.float_n * height[rows]
        still[rows] = _summed(at, [(buoyant, tables.light[sex]), (lift, tables.lift)])
        still[rows] += _product(GRAVITY_M_S2 * mass[rows] * height[rows], tables.heavy[sex])
        over = 1.0 / height[rows]
        push[rows] = _summed(
            at, [(over * drag[k][rows], _of(tables, f"push_{k}", sex)) for k in drag]
        )
    tip = (drag["hand"] / height)[:, None] * levels.at(tables.hand_force.max(axis=-1))
    if held.area_m2:
        tip = tip * (1.0 + held.area_m2 / (width * lengths_of(path.kind)[2] * height**2))[:, None]
    foot = (drag["plate"] / height)[:, None] * levels.at(tables.foot_force.max(axis=-1))
    rate = tables.rate * tables.speed[:, None]
    return Demand(moving, still, push, tip, foot, rate, tables.angle)


def limb_inertia_kg_m2(
    path: LimbPath, bodies: Bodies, water: Water, added_mass: float = 0.9
) -> Array:
    """Return the inertia [kg m2] of a limb about its upper joint, half-way along a path, (n,).

    bodies: whose limb; added_mass: coefficient [1].
    With the water that moves with it; the whole limb is taken to be under water.
    """
    angles = np.radians(np.array([path.start, path.end])).mean(axis=0, keepdims=True)
    strips = strips_of(path.kind)
    p, _, _ = places(path.kind, angles, strips.segment, strips.along)
    square = np.sum(p[0] ** 2, axis=-1)
    sex = np.where(bodies.woman, 0, 1)
    own = (strips.volume @ square)[sex] * bodies.mass_kg * bodies.stature_m**2
    added = (strips.added_cylinder @ square)[sex] * bodies.girth**2 * bodies.stature_m**3
    return np.asarray(own + added_mass * water.density_kg_m3 * added)


def _of(tables: PathTables, name: str, sex: int) -> Array:
    table: Array = getattr(tables, name)
    return table[sex] if name.endswith("cylinder") else table


@dataclass(frozen=True, slots=True)
class _Levels:
    """Between which levels of a table the water stands on each person: low, low + 1, part.

    dry: out of the water. one: the level of all, where they share it (None: they do not).
    """

    low: NDArray[np.int_]
    part: Array
    dry: bool
    one: int | None

    def of(self, rows: NDArray[np.bool_]) -> _Levels:
        return _Levels(self.low[rows], self.part[rows], self.dry, self.one)

    def at(self, table: Array) -> Array:
        """Return a table (L, ...) at the level of each person, (n, ...) or (1, ...)."""
        if self.dry:
            return np.zeros((1, *table.shape[1:]), dtype=np.float32)
        if self.one is not None:
            return np.asarray(table[self.one][None])
        part = self.part.astype(np.float32).reshape(-1, *([1] * (table.ndim - 1)))
        return np.asarray(table[self.low] * (1 - part) + table[self.low + 1] * part)


def _summed(levels: _Levels, terms: list[tuple[Array, Array]]) -> Array:
    """Return sum over terms of scale (m,) x table (L, ...) at the level of each person."""
    total = np.zeros((len(levels.low), *terms[0][1].shape[1:]), dtype=np.float32)
    for scale, table in terms:
        if np.any(scale) and np.any(table):
            wide = scale.astype(np.float32).reshape(-1, *([1] * (table.ndim - 1)))
            total += wide * levels.at(table)
    return total


def _product(scale: Array, table: Array) -> Array:
    return np.asarray(scale[:, None, None, None].astype(np.float32) * table.astype(np.float32))


def _levels(path: LimbPath, bodies: Bodies, surface_m: Array, held: Held) -> _Levels:
    levels = LEVELS[path.kind]
    over = (surface_m - bodies.joints_m[LIMB_JOINT[path.kind]]) / bodies.stature_m
    place = np.interp(over, levels, np.arange(len(levels)))
    low = np.minimum(place.astype(int), len(levels) - 2)
    drowned = bool(np.all(place == len(levels) - 1))
    return _Levels(low, place - low, not held.in_water, len(levels) - 1 if drowned else None)


def _limb_cd(kind: Kind, bodies: Bodies) -> Array:
    """Return the drag coefficient of the whole exposed limb (n,), one end attached."""
    names = ("upper arm", "forearm") if kind is Kind.ARM else ("thigh", "shank")
    parts = [bodies.parts[name] for name in names]
    length = parts[0].length_m + parts[1].length_m
    if kind is Kind.ARM:
        length = length + bodies.parts["hand"].length_m
    diameter = (parts[0].upper_m + parts[0].lower_m + parts[1].upper_m + parts[1].lower_m) / 4
    return limb_cd(length, diameter)


def _hand_breadth(bodies: Bodies) -> Array:
    return np.asarray(bodies.parts["hand"].upper_m / bodies.stature_m)


def _hand_width(bodies: Bodies, hands: Hands, c: Coefficients) -> Array:
    """Return the width [1 m of stature] that stands for a hand at the plate's coefficient.

    A fist is as long as it is wide; a slicing hand is its edge at a lower coefficient.
    """
    breadth = _hand_breadth(bodies)
    if hands is Hands.OPEN:
        return breadth
    if hands is Hands.FIST:
        return np.asarray(breadth**2 / lengths_of(Kind.ARM)[2])
    edge = read_table("body-assumptions").numbers("quantity", "value")["hand thickness in m"]
    return np.asarray(edge * c.hand_edge_cd / c.plate_cd / bodies.stature_m)
