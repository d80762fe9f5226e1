"""What the limbs do to the trunk: net force, twist, and the trunk's own turning."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.water.body import Bodies
from aquatempo.water.properties import Water

__all__ = ["arm_reaction", "trunk_turn_coefficients"]

Array = NDArray[np.float64]


def arm_reaction(right_n: Array, left_n: Array, shoulder_width_m: Array) -> tuple[Array, Array]:
    """Return net force [N] and twist about the vertical [N m] that two arms put on a trunk.

    right_n, left_n: force of the water on each arm, forward positive [N];
    shoulder_width_m [m]; all (n,) or numbers. Arms that push
    the same way add their forces; opposite arms cancel them and twist the trunk.

    >>> force, twist = arm_reaction(np.array(20.0), np.array(-20.0), np.array(0.4))
    >>> float(force), float(twist)
    (0.0, 8.0)
    """
    return right_n + left_n, (right_n - left_n) * shoulder_width_m / 2


def trunk_turn_coefficients(
    bodies: Bodies, immersed_m: Array, water: Water, arms_out: bool = False
) -> tuple[Array, Array]:
    """Return drag [N m s2] and inertia [kg m2] of a trunk that turns about the vertical.

    bodies, immersed_m (n,): whose trunk, and its height under water [m]. The trunk is a plate
    of chest breadth with Cd 1 for each half; inertia that of an elliptical cylinder with the
    added mass of an ellipse, rho pi (a^2 - b^2)^2 / 8 a metre. arms_out: arms held to the sides.
    """
    a = bodies.widths_m["chest breadth"] / 2
    b = bodies.widths_m["chest depth"] / 2
    rho = water.density_kg_m3
    drag = 0.5 * rho * immersed_m * 2 * a**4 / 4
    trunk = sum(bodies.trunk_kg.values(), start=np.zeros(len(bodies)))
    inertia = trunk * (a**2 + b**2) / 4 + rho * np.pi * (a**2 - b**2) ** 2 / 8 * immersed_m
    names = ("upper arm", "forearm", "hand")
    reach = np.zeros(len(bodies))
    if arms_out:
        reach = sum((bodies.parts[name].length_m for name in names), start=reach) / 2
    arms = 2 * sum((bodies.parts[name].mass_kg for name in names), start=np.zeros(len(bodies)))
    half = bodies.widths_m["shoulder width"] / 2
    return drag, inertia + arms * (half + reach) ** 2
