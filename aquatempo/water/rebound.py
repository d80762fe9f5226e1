"""Hops in water: how long they last and how hard they land."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.water.body import Bodies
from aquatempo.water.floating import downward_n
from aquatempo.water.immersion import immersed_volume_m3
from aquatempo.water.properties import GRAVITY_M_S2, Water

__all__ = ["Flight", "flight", "peak_force_bw"]

Array = NDArray[np.float64]
_SLABS = 10  # doubling them moves a flight time by less than 0.5 %


@dataclass(frozen=True, slots=True)
class Flight:
    """A hop of n people, or several of each (R, n). Times [s], speeds [m/s], work, inertia.

    work_j: positive work of the take-off [J]; moving_kg: mass with added mass [kg];
    apparent_n: weight less buoyancy while standing [N].
    """

    rise_s: Array
    fall_s: Array
    takeoff_m_s: Array
    landing_m_s: Array
    work_j: Array
    moving_kg: Array
    apparent_n: Array

    @property
    def time_s(self) -> Array:
        """Time off the floor [s]."""
        return self.rise_s + self.fall_s


def flight(
    bodies: Bodies,
    depth_m: Array,
    hop_m: Array,
    water: Water,
    axial_added_mass: Array | float = 0.1,
    vertical_cd: Array | float = 0.8,
    lung_gas_l: Array | float = 0.0,
    hands_down_n: Array | float = 0.0,
) -> Flight:
    """Return the flight of people thrown up by hop_m [m], (n,) or (R, n), in depth_m [m] (n,).

    bodies, water, axial_added_mass, vertical_cd, lung_gas_l: who hops in what.
    hands_down_n: what hands press a body down with that neither sinks nor floats [N]; who is
    heavy needs none of it. Without hands somebody who floats would not come down.
    Integrates d(v^2)/dy from the apex down, with weight less buoyancy (which falls as
    the body rises), drag 1/2 rho Cd A v^2 on the trunk's section and axial added mass;
    piecewise constant buoyancy, exact in each slab.
    """
    hop = np.asarray(hop_m, float) + np.zeros_like(bodies.stature_m)
    depth = np.broadcast_to(np.asarray(depth_m, float), hop.shape)
    weight = bodies.mass_kg * GRAVITY_M_S2
    section = np.pi / 4 * bodies.widths_m["chest breadth"] * bodies.widths_m["chest depth"]
    rho = water.density_kg_m3
    stood = immersed_volume_m3(bodies, depth, True, lung_gas_l)
    moving = bodies.mass_kg + axial_added_mass * rho * stood
    resist = 0.5 * rho * vertical_cd * section
    rate = 2 * resist / moving
    up = np.zeros_like(hop)
    down = np.zeros_like(hop)
    times = [np.zeros_like(hop), np.zeros_like(hop)]
    edges = np.linspace(0.0, 1.0, _SLABS + 1) ** 2
    for near, far in itertools.pairwise(edges):
        step = hop * (far - near)
        risen = hop * (1 - 0.5 * (near + far))
        volume = immersed_volume_m3(bodies, depth - risen, True, lung_gas_l)
        pull = 2 * downward_n(weight - rho * GRAVITY_M_S2 * volume, hands_down_n) / moving
        grow, fade = np.expm1(rate * step), -np.expm1(-rate * step)
        next_up = up * (1 + grow) + pull / rate * grow
        next_down = down * (1 - fade) + pull / rate * fade
        for i, (a, b) in enumerate(((up, next_up), (down, next_down))):
            pace = np.sqrt(a) + np.sqrt(b)
            times[i] = times[i] + np.divide(2 * step, pace, out=np.zeros_like(step), where=pace > 0)
        up, down = next_up, next_down
    apparent = np.maximum(weight - rho * GRAVITY_M_S2 * stood, 0.0)
    return Flight(
        times[0], times[1], np.sqrt(up), np.sqrt(down), 0.5 * moving * up, moving, apparent
    )


def peak_force_bw(
    apparent_bw: Array,
    event_s: Array,
    air_s: Array,
    long_pulse: Array | float = 1.15,
    landing_s: Array | float = 0.3,
) -> Array:
    """Return the peak force on the floor [body weights] when hops or steps follow each other.

    Shapes such as (n, 1) people and (n, J) times.
    apparent_bw: weight less buoyancy over weight on land [1]; event_s: from one landing to
    the next [s]; air_s: of it in the air. What the feet push over an event balances the
    apparent weight, so the mean force of the contact is apparent x event / contact; the
    peak is pi/2 of it in a short contact (half a sine, up to 0.25 s) and long_pulse of it
    in a long one (from 0.7 s), smooth between. Who stays longer on the floor still lands and
    pushes off in landing_s [s], and stands for the rest: the peak is at least apparent x
    (1 + pi/2 air / landing_s). Arrays broadcast.

    >>> quick = peak_force_bw(np.array(0.32), np.array(0.4545), np.array(0.22))
    >>> round(float(quick), 2)
    0.97
    """
    contact = np.maximum(event_s - air_s, 0.05)
    share = np.clip((0.7 - contact) / 0.45, 0.0, 1.0)
    shape = long_pulse + (np.pi / 2 - long_pulse) * share * share * (3 - 2 * share)
    landing = 1.0 + np.pi / 2 * air_s / np.maximum(landing_s, 1e-3)
    steady = shape * event_s / contact
    return np.asarray(apparent_bw * np.maximum(steady, landing))
