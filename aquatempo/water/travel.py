"""The whole body through water: drag, added mass, grip, the cost of reversing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.moves import Travel
from aquatempo.water.body import Bodies
from aquatempo.water.properties import Water

__all__ = ["Hull", "grip_speed_m_s", "hull_of", "reversal_s", "start_s"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Hull:
    """The immersed body of n people seen in the direction of travel.

    area_m2 [m2]; moving_kg: mass with added mass [kg]; drag_n_s2_m2: force = that x v^2.
    """

    area_m2: Array
    moving_kg: Array
    drag_n_s2_m2: Array


def hull_of(
    bodies: Bodies,
    depth_m: Array,
    travel: Travel,
    water: Water,
    travel_cd: Array | float = 1.0,
    split_legs: bool = False,
) -> Hull:
    """Return how the body of people standing in depth_m [m] meets the water.

    bodies, depth_m (n,): who stands how deep; travel: which way; travel_cd: drag coefficient
    of an upright body [1]; split_legs: one ahead of the other.
    Forward and back both legs and the breadth of the trunk count. Sideways it is the
    depth of the trunk and one leg, or both when they are split fore and aft. Added
    mass is that of an elliptical cylinder: rho pi (width / 2)^2 a metre of height.
    """
    thigh, shank = bodies.parts["thigh"], bodies.parts["shank"]
    leg = (thigh.upper_m + thigh.lower_m + shank.upper_m + shank.lower_m) / 4
    sideways = travel is Travel.SIDEWAYS
    legs = 1 if sideways and not split_legs else 2
    hip = bodies.joints_m["hip"]
    leg_height = np.minimum(hip, depth_m)
    trunk_height = np.clip(depth_m - hip, 0.0, bodies.joints_m["shoulder"] - hip)
    widths = bodies.widths_m
    breadth = 0.5 * (widths["hip breadth"] + widths["chest breadth"])
    trunk = widths["chest depth"] if sideways else breadth
    area = legs * leg * leg_height + trunk * trunk_height
    added = np.pi / 4 * (2 * leg**2 * leg_height + trunk**2 * trunk_height)
    rho = water.density_kg_m3
    return Hull(area, bodies.mass_kg + rho * added, 0.5 * rho * travel_cd * area)


def grip_speed_m_s(hull: Hull, apparent_n: Array, grip: Array | float) -> Array:
    """Return the speed [m/s] at which drag equals what the feet can hold, (n,).

    hull: the body; apparent_n (n,): what presses the feet down [N]; grip: friction [1].
    """
    return np.asarray(np.sqrt(grip * np.maximum(apparent_n, 0.0) / hull.drag_n_s2_m2))


def start_s(hull: Hull, apparent_n: Array, grip: float, speed_m_s: Array) -> Array:
    """Return the time [s] to reach 90 % of a speed from rest, pushing at the grip.

    hull: the body; apparent_n (n,): what presses the feet down [N]; speed_m_s (n,): to be
    reached [m/s].
    M dv/dt = F - k v^2; infinite where the grip cannot hold that speed.
    """
    top = np.maximum(grip_speed_m_s(hull, apparent_n, grip), 1e-9)
    share = 0.9 * np.asarray(speed_m_s) / top
    scale = hull.moving_kg / (hull.drag_n_s2_m2 * top)
    with np.errstate(divide="ignore"):
        return np.asarray(scale * np.arctanh(np.minimum(share, 1.0)))


def reversal_s(hull: Hull, apparent_n: Array, grip: float, speed_m_s: Array) -> Array:
    """Return the time [s] to stop from a speed and reach 90 % of it the other way.

    hull: the body; apparent_n (n,): what presses the feet down [N]; grip: friction [1];
    speed_m_s (n,): each way [m/s].
    """
    top = np.maximum(grip_speed_m_s(hull, apparent_n, grip), 1e-9)
    scale = hull.moving_kg / (hull.drag_n_s2_m2 * top)
    stop = scale * np.arctan(np.asarray(speed_m_s) / top)
    return np.asarray(stop + start_s(hull, apparent_n, grip, speed_m_s))
