"""From metabolic power to MET, perceived exertion and heart rate."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.water.body import Bodies
from aquatempo.water.tables import read_table, read_values

__all__ = ["MET_W_KG", "UPTAKE_PER_MET", "heart_rate_bpm", "met", "peak_met", "rpe", "support_j"]

Array = NDArray[Any]  # of 32 or 64 bits

MET_W_KG = 4184.0 / 3600.0  # 1 kcal/(kg h), the Compendium's definition
UPTAKE_PER_MET = 3.5  # mL/kg/min, by definition
_KG_PER_POUND = 0.45359237
_M_PER_INCH = 0.0254


def met(power_w: Array, mass_kg: Array, standing_met: Array | float) -> Array:
    """Return metabolic equivalents [MET] at a metabolic power above standing [W].

    power_w [W], mass_kg [kg] and standing_met [MET]: numbers or arrays that broadcast, such as
    (n, J) powers of (n, 1) masses.

    >>> round(float(met(np.array(267.0), np.array(70.0), 1.3)), 2)
    4.58
    """
    return np.asarray(standing_met + power_w / (mass_kg * MET_W_KG))


def peak_met(bodies: Bodies) -> Array:
    """Return the maximal oxygen uptake [MET] that age, sex and size predict, (n,).

    Source: de Souza e Silva et al. 2018, Eur J Prev Cardiol 25:742-750 (FRIEND
    registry, treadmill), standard error 6.6 mL/kg/min. At least 3 MET.
    """
    f = read_values("friend-2018")["friend-2018"]
    uptake = (
        f["constant"]
        + f["age"] * bodies.age_years
        + f["sex"] * np.where(bodies.woman, 2.0, 1.0)
        + f["mass_lb"] * bodies.mass_kg / _KG_PER_POUND
        + f["stature_in"] * bodies.stature_m / _M_PER_INCH
    )
    return np.asarray(np.maximum(uptake / UPTAKE_PER_MET, 3.0))


def rpe(effort_met: Array, peak: Array, strain: Array | float = 0.0) -> Array:
    """Return perceived exertion (6 to 20) at an effort.

    All of shapes that broadcast, such as (n, J) efforts of (n, 1) people.
    effort_met, peak: effort and maximum [MET]. Classes of relative intensity, ACSM
    guidelines, from memory; linear between them. strain: of the most strained muscle, over
    what it can hold for the bout [1]; it feels like 6 at 0 and 20 at 1. The stronger of the
    two decides, both a little (6-norm).

    >>> float(rpe(np.array(6.4), np.array(10.0)))
    14.0
    """
    rows = read_table("acsm-effort").numbers("vo2_fraction", "rpe")
    fractions = [float(key) for key in rows]
    breath = np.interp(np.asarray(effort_met) / peak, fractions, list(rows.values())) - 6.0
    muscle = 14.0 * np.clip(strain, 0.0, 1.0)
    felt = (breath**6 + muscle**6) ** (1.0 / 6.0)
    return np.asarray(np.minimum(6.0 + felt, 20.0))


def heart_rate_bpm(
    effort_met: Array, peak: Array, age_years: Array, resting_bpm: float = 65.0
) -> Array:
    """Return heart rate [beats/min] in chest-deep water at an effort, a rough estimate.

    effort_met, peak: effort and maximum [MET]; age_years [years]; resting_bpm: at rest in
    water. Shapes broadcast, such as (n, J) and (n, 1).
    Share of the reserve of heart rate = share of the reserve of uptake (ACSM, from memory);
    maximum 208 - 0.7 age (Tanaka 2001, from memory); at rest in water 63 to 70 (Onodera, in
    water of 34 C). Prefer perceived exertion and the talk test: heart rates differ by ten
    and more between people, depths and temperatures.

    >>> round(float(heart_rate_bpm(np.array(7.0), np.array(10.0), np.array(24.0))))
    149
    """
    share = np.clip((np.asarray(effort_met) - 1.0) / (peak - 1.0), 0.0, 1.0)
    return np.asarray(resting_bpm + share * (208.0 - 0.7 * age_years - resting_bpm))


def support_j(
    apparent_n: Array,
    event_s: Array,
    air_s: Array,
    bounce_w_n: Array | float,
    step_w_n: Array | float,
    contact_work_s: Array | float,
) -> Array:
    """Return what it costs to carry the body for an event [J], metabolic: the cost of force.

    bounce_w_n, step_w_n [W/N], contact_work_s [s]: inputs of the model. All shapes broadcast,
    such as (n, 1) and (n, J).
    apparent_n: weight less buoyancy [N]; event_s: from one hop or step to the next; air_s:
    of it in the air. The cost of a hop is that of its impulse (Gutmann and Bertram 2017, J
    Exp Biol 220:1654): bounce_w_n [W/N] for the impulse that flight and up to
    contact_work_s of contact take; what is left of the contact costs as stepping,
    step_w_n. A hop of a few millimetres grades into stepping.
    """
    contact = np.maximum(event_s - air_s, 0.0)
    bouncing = air_s + np.minimum(contact, contact_work_s)
    hops = air_s / (air_s + 0.1)
    return np.asarray(apparent_n * (step_w_n * event_s + (bounce_w_n - step_w_n) * hops * bouncing))
