"""People and limbs that several tests of the water model share."""

from __future__ import annotations

import numpy as np

from aquatempo.records.limbs import Hands
from aquatempo.records.people import Person, Sex
from aquatempo.water.body import Bodies, bodies_of
from aquatempo.water.limb_demand import Coefficients, Demand, Held, demand_of
from aquatempo.water.limbs import Kind
from aquatempo.water.paths import LimbPath
from aquatempo.water.properties import water

WATER = water(29.0)
PEOPLE: Bodies = bodies_of([Person(1.63, 68.0, Sex.WOMAN, 50.0), Person(1.80, 85.0, Sex.MAN, 50.0)])
DROWNED_M = np.full(2, 3.0)  # a surface far above both: every limb is wet


def leg(
    start: tuple[float, float, float, float],
    end: tuple[float, float, float, float],
    via: tuple[float, float, float, float] | None = None,
) -> LimbPath:
    """Return a path of a leg: hip, out, knee, ankle [degrees]; it shrinks towards standing."""
    return LimbPath(Kind.LEG, start, end, (0.0,) * 4, via)


def kick(to_deg: float = 60.0, knee_deg: float = 0.0, ankle_deg: float = 0.0) -> LimbPath:
    """Return a leg that swings forward from standing with its knee held at an angle."""
    return leg((0.0, 0.0, knee_deg, ankle_deg), (to_deg, 0.0, knee_deg, ankle_deg))


def arm(start: tuple[float, float, float], end: tuple[float, float, float]) -> LimbPath:
    """Return a path of an arm: raised, across, elbow [degrees]."""
    return LimbPath(Kind.ARM, start, end, (0.0, start[1], 0.0))


def demand(
    path: LimbPath,
    hands: Hands = Hands.SLICE,
    surface_m: np.ndarray | None = None,
    bodies: Bodies = PEOPLE,
    coefficients: Coefficients | None = None,
    **held: float | bool,
) -> Demand:
    """Return what a path asks of PEOPLE; surface_m: of the water on them (None: over them)."""
    surface = np.full(len(bodies), 3.0) if surface_m is None else surface_m
    return demand_of(path, bodies, surface, WATER, Held(hands, **held), coefficients)  # type: ignore[arg-type]
