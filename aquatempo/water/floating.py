"""Off the floor: net weight with a belt, sculling, the trunk that turns back against a swing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.limbs import Plane
from aquatempo.water.body import Bodies
from aquatempo.water.immersion import weight_on_feet
from aquatempo.water.properties import GRAVITY_M_S2, Water

__all__ = ["downward_n", "net_weight_n", "scull_power_w", "trunk_inertia_kg_m2"]

Array = NDArray[np.float64]


def net_weight_n(
    bodies: Bodies,
    surface_m: Array,
    water: Water,
    lung_gas_l: Array | float,
    belt_n: Array | float = 0.0,
) -> Array:
    """Return what has to be held up [N], (n,): weight less buoyancy less belt.

    bodies, lung_gas_l, belt_n: who floats, with what in the lungs [L] and on the belt [N].
    surface_m: where the water reaches on the upright body [m]; negative = floats up.
    """
    share = weight_on_feet(bodies, surface_m, water, True, lung_gas_l)
    return share * bodies.mass_kg * GRAVITY_M_S2 - belt_n


def downward_n(net_n: Array, hands_n: Array | float) -> Array:
    """Return what brings a body down [N]: its weight in water, and hands where that is little.

    net_n: weight less buoyancy [N]; hands_n: what hands press down with when those balance [N].
    Smooth: hands_n where nothing is left of the weight, the weight alone where it is large, at
    least 1 N in whoever floats up. Shapes broadcast, such as (R, n) and (n,).

    >>> [round(float(downward_n(np.array(net), 30.0))) for net in (0.0, 200.0)]
    [30, 204]
    """
    both = 0.5 * (net_n + np.sqrt(np.square(net_n) + 4 * np.square(hands_n)))
    return np.asarray(np.maximum(both, 1.0))


def scull_power_w(force_n: Array, disc_m2: Array | float, water: Water) -> Array:
    """Return the power [W] to hold a force up [N] by sculling, as an actuator disc.

    force_n: of any shape, such as (n,); disc_m2: water that both hands sweep [m2]; water: its
    density.
    P = F sqrt(F / (2 rho A)), the least that momentum allows.

    >>> round(float(scull_power_w(np.array(50.0), 0.1, Water(1000.0, 1e-3))), 1)
    25.0
    """
    force = np.maximum(force_n, 0.0)
    return np.asarray(force * np.sqrt(force / (2 * water.density_kg_m3 * disc_m2)))


def trunk_inertia_kg_m2(bodies: Bodies, plane: Plane, water: Water) -> Array:
    """Return the inertia [kg m2] of trunk, head and arms about the hips, (n,).

    bodies, water: whose trunk, in what.
    plane: of the legs' swing. Added mass is that of an elliptical cylinder from the hips
    to the neck.
    """
    marks, hip = bodies.landmarks_m, bodies.joints_m["hip"]
    middles = {
        "lower trunk": 0.5 * (marks["hip"] + marks["navel"]),
        "middle trunk": 0.5 * (marks["navel"] + marks["breastbone end"]),
        "upper trunk": 0.5 * (marks["breastbone end"] + marks["collarbone"]),
        "head": 0.5 * (marks["collarbone"] + bodies.stature_m),
    }
    arms = 2 * sum(
        (bodies.parts[name].mass_kg for name in ("upper arm", "forearm", "hand")),
        start=np.zeros(len(bodies)),
    )
    widths = bodies.widths_m
    own = sum(
        (bodies.trunk_kg[name] * (height - hip) ** 2 for name, height in middles.items()),
        start=arms * (marks["breastbone end"] - hip) ** 2,
    )
    across = widths["chest depth"] if plane is Plane.FRONTAL else widths["chest breadth"]
    tall = marks["neck"] - hip
    return own + water.density_kg_m3 * np.pi / 4 * across**2 * tall**3 / 3
