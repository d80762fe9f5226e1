"""What a movement does with the whole body: hops, travel, sway, sculling."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.setting import Setting
from aquatempo.feasibility.standins import weighted_quantile
from aquatempo.feasibility.swings import SHARES, TIMES_S, axis_of
from aquatempo.records.moves import Action, Hands, ImpactLevel, Movement, Travel
from aquatempo.water.floating import net_weight_n, scull_power_w
from aquatempo.water.limbs import SwingAxis
from aquatempo.water.rebound import flight, landing_force_bw
from aquatempo.water.travel import Hull, grip_speed_m_s, hull_of

__all__ = ["Hop", "MovementKey", "body_work", "hop_curve", "scull_w", "travel_kept"]

Array = NDArray[np.float64]
Hop = tuple[Array | None, Array, Array]  # range kept, work (n, times), landing force (times,)

_NO_FLIGHT = (ImpactLevel.II, ImpactLevel.III, ImpactLevel.GROUNDED)


@dataclass(frozen=True, slots=True)
class MovementKey:
    """Everything that decides the curve of a movement within a setting.

    step_m: travel in this movement [m]; turns: share of movements that reverse travel.
    """

    movement: Movement
    level: ImpactLevel
    hands: Hands
    arms_in_water: bool
    area_m2: float
    float_n: float
    travel: Travel
    step_m: float
    turns: float


def hop_curve(key: MovementKey, setting: Setting) -> Hop:
    """Return range kept and work of the hop (n, times) and the landing force (times,)."""
    bodies, inputs = setting.people.bodies, setting.inputs
    nothing = np.zeros(len(TIMES_S))
    height = key.movement.flight_m
    if height <= 0 or setting.deep or key.level in _NO_FLIGHT:
        return None, np.zeros((len(bodies), len(TIMES_S))), nothing
    hops = [
        flight(bodies, setting.surface_m, height * share, setting.water,
               inputs.axial_added_mass, inputs.vertical_cd, inputs.lung_gas_l)
        for share in SHARES
    ]  # fmt: skip
    needed = np.stack([hop.time_s for hop in hops], axis=1) + inputs.contact_min_s
    room = TIMES_S * key.movement.flight_movements
    fields = (
        np.stack([hop.work_j for hop in hops], axis=1),
        np.stack([hop.takeoff_m_s for hop in hops], axis=1),
        np.stack([hop.moving_kg * (hop.landing_m_s + hop.takeoff_m_s) for hop in hops], axis=1),
        needed - inputs.contact_min_s,
    )
    kept = np.empty((len(bodies), len(TIMES_S)))
    work, speed, change, air = (np.empty_like(kept) for _ in fields)
    shares = np.append(0.0, SHARES)
    air_of = needed - inputs.contact_min_s
    for i, times in enumerate(needed):
        shortest = SHARES[0] * np.square(
            np.maximum(room - inputs.contact_min_s, 0.0) / air_of[i, 0]
        )
        spare = np.square(np.maximum(room - inputs.contact_min_s, 0.0) / air_of[i, -1])
        inside = np.interp(room, times, SHARES)
        kept[i] = np.select([room < times[0], room > times[-1]], [shortest, spare], inside)
        for target, field in zip((work, speed, change, air), fields, strict=True):
            target[i] = np.interp(kept[i], shares, np.append(0.0, field[i]))
    contact = np.clip(room - air, inputs.contact_min_s, inputs.contact_max_s)
    apparent = hops[0].apparent_n[:, None]
    # While the floor throws the body back (half a swing of a spring) it also rises again.
    work = work + apparent * speed * contact / np.pi
    force = landing_force_bw(bodies.mass_kg[:, None], apparent, change, contact)
    return kept, work, weighted_quantile(force.T, setting.people.weight, 0.5)


def travel_kept(key: MovementKey, setting: Setting) -> Array:
    """Return the share of the step (n, times) that grip allows against drag, also above 1."""
    hull, apparent = _hull(key, setting)
    top = grip_speed_m_s(hull, apparent, setting.inputs.grip)
    return np.asarray(top[:, None] * TIMES_S / key.step_m)


def body_work(key: MovementKey, setting: Setting, kept: Array) -> Array:
    """Return positive work [J] (n, times) on the whole body: travel and sway.

    kept: at most 1. Both shrink with the range kept (n, times). Travel goes at constant
    speed between its reversals; a sway starts and stops in every movement (half-sine speed).
    """
    work = np.zeros((len(setting.people.bodies), len(TIMES_S)))
    if key.step_m > 0:
        hull, _ = _hull(key, setting)
        speed = key.step_m * kept / TIMES_S
        start = 0.5 * hull.moving_kg[:, None] * speed**2 * key.turns
        work = work + hull.drag_n_s2_m2[:, None] * speed**2 * key.step_m * kept + start
    if key.movement.sway_m > 0:
        sideways = any(axis_of(s.action) != SwingAxis.SAGITTAL for s in key.movement.swings)
        travel = Travel.SIDEWAYS if sideways else Travel.FORWARD
        hull = hull_of(setting.people.bodies, setting.surface_m, travel, setting.water,
                       setting.inputs.travel_cd)  # fmt: skip
        sway = key.movement.sway_m * kept
        speed = np.pi / 2 * sway / TIMES_S
        start = 0.5 * hull.moving_kg[:, None] * speed**2
        work = work + hull.drag_n_s2_m2[:, None] * speed**2 * sway * 2 / 3 + start
    return work


def _hull(key: MovementKey, setting: Setting) -> tuple[Hull, Array]:
    bodies = setting.people.bodies
    split = any(s.action is Action.EXTENSION for s in key.movement.swings)
    hull = hull_of(bodies, setting.surface_m, key.travel, setting.water,
                   setting.inputs.travel_cd, split)  # fmt: skip
    apparent = np.maximum(
        net_weight_n(bodies, setting.surface_m, setting.water, setting.inputs.lung_gas_l), 0.0
    )
    return hull, apparent


def scull_w(setting: Setting) -> Array:
    """Return the power [W] (n,) to hold the body up by sculling, belt counted."""
    inputs = setting.inputs
    belt = inputs.belt_n if setting.deep else 0.0
    force = net_weight_n(
        setting.people.bodies, setting.surface_m, setting.water, inputs.lung_gas_l, belt
    )
    return scull_power_w(force, inputs.scull_disc_m2, setting.water)
