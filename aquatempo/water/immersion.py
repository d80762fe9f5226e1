"""What the water carries: weight on the feet, landmarks reached, kind of depth."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.water.body import LANDMARKS, Bodies
from aquatempo.water.properties import Water

__all__ = ["DEPTH_KINDS", "depth_kind", "immersed_volume_m3", "landmark_reached", "weight_on_feet"]

Array = NDArray[np.float64]

DEPTH_KINDS = ("too low", "shallow", "transitional", "deep")


def immersed_volume_m3(
    bodies: Bodies, depth_m: Array, arms_in: bool = True, lung_gas_l: Array | float = 0.0
) -> Array:
    """Return the volume [m3] under water of people who stand in depth_m [m], shape (n,).

    bodies: who stands there.
    Segment volumes are masses over tissue density, spread between landmark heights.
    arms_in: arms hang at the sides, else they are held out of the water.
    lung_gas_l: gas in the upper trunk [L], displaces water and weighs nothing.
    """
    h, joints, marks = bodies.stature_m, bodies.joints_m, bodies.landmarks_m
    parts, trunk = bodies.parts, bodies.trunk_kg
    shoulder, ankle = joints["shoulder"], joints["ankle"]
    elbow = shoulder - parts["upper arm"].length_m
    wrist = elbow - parts["forearm"].length_m
    zero = np.zeros_like(h)
    slabs = [
        (zero, ankle, 2 * parts["foot"].mass_kg),
        (marks["hip"], marks["navel"], trunk["lower trunk"]),
        (marks["navel"], marks["breastbone end"], trunk["middle trunk"]),
        (marks["breastbone end"], marks["collarbone"], trunk["upper trunk"]),
        (marks["collarbone"], h, trunk["head"]),
    ]
    tapered = [
        (ankle, joints["knee"], "shank"),
        (joints["knee"], marks["hip"], "thigh"),
    ]
    if arms_in:
        slabs.append((wrist - parts["hand"].length_m, wrist, 2 * parts["hand"].mass_kg))
        tapered += [(wrist, elbow, "forearm"), (elbow, shoulder, "upper arm")]
    mass = sum((m * _reached(depth_m, low, high) for low, high, m in slabs), start=zero)
    for low, high, name in tapered:
        part = parts[name]
        share = _frustum(_reached(depth_m, low, high), part.lower_m, part.upper_m)
        mass = mass + 2 * part.mass_kg * share
    lungs = _reached(depth_m, marks["breastbone end"], marks["collarbone"])
    return mass / bodies.tissue_kg_m3 + lung_gas_l * 1e-3 * lungs


def weight_on_feet(
    bodies: Bodies,
    depth_m: Array,
    water: Water,
    arms_in: bool = True,
    lung_gas_l: Array | float = 0.0,
) -> Array:
    """Return the share of land weight still on the feet [1], shape (n,); may fall below 0.

    bodies, depth_m [m]: who stands how deep; water, arms_in, lung_gas_l [L]: as for
    ``immersed_volume_m3``.
    Archimedes on ``immersed_volume_m3``. Compare Schneider et al. 2007, Phys Med
    Rehab Kuror 17:88-93: women 0.316 at the xiphoid, 0.102 at the collarbone.
    """
    volume = immersed_volume_m3(bodies, depth_m, arms_in, lung_gas_l)
    return 1.0 - water.density_kg_m3 * volume / bodies.mass_kg


def landmark_reached(bodies: Bodies, depth_m: Array) -> list[str]:
    """Return the highest landmark under water of each person ("feet" below the ankle).

    bodies, depth_m: who stands how deep [m], (n,).
    """
    heights = np.array([bodies.landmarks_m[name] for name in LANDMARKS])
    counts = np.sum(heights <= np.asarray(depth_m), axis=0)
    return [("feet", *LANDMARKS)[int(count)] for count in counts]


def depth_kind(bodies: Bodies, depth_m: Array) -> NDArray[np.int_]:
    """Return the index into DEPTH_KINDS of each person at a depth [m], shape (n,).

    bodies, depth_m: who stands how deep [m].
    Below the navel too low for rebound; navel to nipple shallow; nipple to chin
    transitional; chin and above deep (common practice, no source).
    """
    marks = bodies.landmarks_m
    edges = np.array([marks["navel"], marks["nipple"], marks["chin"]])
    return np.asarray(np.sum(edges <= np.asarray(depth_m), axis=0), dtype=np.int_)


def _reached(depth_m: Array, low: Array, high: Array) -> Array:
    return np.asarray(np.clip((depth_m - low) / (high - low), 0.0, 1.0))


def _frustum(x: Array, lower: Array, upper: Array) -> Array:
    """Return the volume share below height share x of a cone cut at both ends."""
    whole = lower**2 + lower * upper + upper**2
    grown = upper - lower
    return np.asarray((3 * lower**2 * x + 3 * lower * grown * x**2 + grown**2 * x**3) / whole)
