"""What a movement does with the whole body: hops, travel, sway, support, sculling."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.law import TIMES_S, at_share, kept_of
from aquatempo.feasibility.parts import MovementParts
from aquatempo.feasibility.setting import Setting
from aquatempo.records.moves import Travel
from aquatempo.water.effort import support_j
from aquatempo.water.floating import downward_n, scull_power_w
from aquatempo.water.paths import SHARES
from aquatempo.water.rebound import flight
from aquatempo.water.travel import grip_speed_m_s, hull_of

__all__ = ["Carry", "Hop", "carry_of", "hop_j", "hop_of", "scull_w"]

Array = NDArray[np.float64]

_SLOW_REBOUND_S = 0.6  # a contact this long gives nothing back
_QUICK_REBOUND_S = 0.3


@dataclass(frozen=True, slots=True)
class Hop:
    """A hop of n people over TIMES_S (K): height kept (n, K); air_s (n, R), work_j (n, R)."""

    kept: Array
    air_s: Array
    work_j: Array
    movements: int


@dataclass(frozen=True, slots=True)
class Carry:
    """Travel and sway of n people over TIMES_S (K).

    step_kept (n, K): share of the step that grip allows; travel_j, sway_j (n, K): positive
    work of a movement at full step and sway.
    """

    step_kept: Array
    travel_j: Array
    sway_j: Array


def hop_of(height_m: float, movements: int, setting: Setting) -> Hop:
    """Return a hop; movements: how many share the flight and one contact.

    height_m: of the hop at full range [m]; setting: the people in their water.
    """
    inputs = setting.inputs
    jump = flight(
        setting.people.bodies, setting.surface_m, height_m * SHARES[:, None], setting.water,
        inputs.axial_added_mass, inputs.vertical_cd, inputs.lung_gas_l,
        inputs.hands_down_n,
    )  # fmt: skip
    air = jump.time_s.T
    left = TIMES_S * movements - air[..., None]
    strain = inputs.contact_min_s[:, None, None] / np.maximum(left, 1e-3)
    return Hop(kept_of(strain, inputs.stiffness), air, jump.work_j.T, movements)


def hop_j(hop: Hop, kept: Array, event_s: Array, setting: Setting) -> Array:
    """Return the metabolic cost of a hop [J] (n, K) of height kept (n, K) every event_s (K).

    setting: the people in their water.
    """
    inputs = setting.columns
    air = at_share(hop.air_s, kept, 0.5)
    contact = event_s - air
    back = np.clip((_SLOW_REBOUND_S - contact) / (_SLOW_REBOUND_S - _QUICK_REBOUND_S), 0.0, 1.0)
    work = at_share(hop.work_j, kept) * (1.0 - inputs.elastic_return * back)
    carried = support_j(
        setting.apparent_n[:, None], event_s, air,
        inputs.bounce_w_n, inputs.step_w_n, inputs.contact_work_s,
    )  # fmt: skip
    return np.asarray(carried + work / inputs.efficiency)


def carry_of(parts: MovementParts, setting: Setting) -> Carry:
    """Return the travel and the sway of a movement.

    parts, setting: of a movement, and the people in their water.
    """
    bodies, inputs = setting.people.bodies, setting.inputs
    shape = (len(bodies), len(TIMES_S))
    step_kept, travel, sway = np.ones(shape), np.zeros(shape), np.zeros(shape)
    if parts.step_m > 0:
        split = parts.travel is Travel.SIDEWAYS and any(
            abs(leg.path.end[0] - leg.path.start[0]) > 10 for leg in parts.legs
        )
        hull = hull_of(bodies, setting.surface_m, parts.travel, setting.water,
                       inputs.travel_cd, split)  # fmt: skip
        speed = parts.step_m / TIMES_S
        pressed = downward_n(setting.apparent_n, inputs.hands_down_n)
        top = grip_speed_m_s(hull, pressed, inputs.grip)
        if not setting.stance.free:
            strain = (SHARES[:, None] * speed / np.maximum(top, 1e-3)[:, None, None]) ** 2
            step_kept = kept_of(strain, inputs.stiffness)
        drag = hull.drag_n_s2_m2[:, None] * speed**2 * parts.step_m
        travel = drag + 0.5 * hull.moving_kg[:, None] * speed**2 * parts.turns
    if parts.sway_m > 0:
        way = Travel.SIDEWAYS if parts.sideways else Travel.FORWARD
        hull = hull_of(bodies, setting.surface_m, way, setting.water, inputs.travel_cd)
        sway = _to_and_fro_j(hull.drag_n_s2_m2, hull.moving_kg, parts.sway_m)
    return Carry(step_kept, travel, sway)


def _to_and_fro_j(drag_n_s2_m2: Array, moving_kg: Array, way_m: float) -> Array:
    """Return positive work [J] (n, K) to carry the body some way and stop, at half-sine speed.

    Drag helps to stop, so that only what is left of it counts.
    """
    t = (np.arange(16) + 0.5) / 16
    speed = np.pi / 2 * way_m * np.sin(np.pi * t)
    turn = np.pi**2 / 2 * way_m * np.cos(np.pi * t)
    force = drag_n_s2_m2[:, None] * speed**2 + moving_kg[:, None] * turn
    work = np.mean(np.maximum(force, 0.0) * speed, axis=1)
    return np.asarray(work[:, None] / TIMES_S**2)


def scull_w(setting: Setting) -> Array:
    """Return the power [W] (n,) to hold the body up by sculling off the floor."""
    if not setting.stance.free:
        return np.zeros(len(setting.people))
    return scull_power_w(setting.apparent_n, setting.inputs.scull_disc_m2, setting.water)
