"""From mechanical power to MET and to perceived exertion."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.water.body import Bodies
from aquatempo.water.tables import read_table, read_values

__all__ = ["MET_W_KG", "met", "peak_met", "rpe"]

Array = NDArray[np.float64]

MET_W_KG = 4184.0 / 3600.0  # 1 kcal/(kg h), the Compendium's definition
_VO2_PER_MET = 3.5  # mL/kg/min, by definition
_KG_PER_POUND = 0.45359237
_M_PER_INCH = 0.0254


def met(power_w: Array, mass_kg: Array, efficiency: float, standing_met: float) -> Array:
    """Return metabolic equivalents [MET] at a positive mechanical power [W].

    Work over efficiency, plus what standing costs. Braking, holding and breathing
    against the water are left out, so that slow moves come out low.

    >>> round(float(met(np.array(60.0), np.array(70.0), 0.225, 1.3)), 2)
    4.58
    """
    return np.asarray(standing_met + power_w / (efficiency * mass_kg * MET_W_KG))


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
    return np.asarray(np.maximum(uptake / _VO2_PER_MET, 3.0))


def rpe(effort_met: Array, peak: Array) -> Array:
    """Return perceived exertion (6 to 20) at an effort, given the maximum, both [MET].

    Classes of relative intensity, ACSM guidelines, from memory; linear between them.

    >>> float(rpe(np.array(6.4), np.array(10.0)))
    14.0
    """
    rows = read_table("acsm-effort").numbers("vo2_fraction", "rpe")
    fractions = [float(key) for key in rows]
    return np.asarray(np.interp(np.asarray(effort_met) / peak, fractions, list(rows.values())))
