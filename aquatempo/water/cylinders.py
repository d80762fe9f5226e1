"""Drag coefficients of circular cylinders across the flow."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import RangeError
from aquatempo.water.tables import read_table

__all__ = ["finite_cylinder_cd", "limb_cd", "long_cylinder_cd"]

Array = NDArray[np.float64]


@cache
def _finite() -> tuple[Array, Array]:
    rows = read_table("blevins-1984").numbers("length_over_diameter", "drag_coefficient")
    ratio = np.array([float(key) for key in rows])
    return 1.0 / ratio, np.array(list(rows.values()))  # 1/inf = 0 closes the table


@cache
def _long() -> tuple[Array, Array]:
    rows = read_table("roshko-1961").numbers("reynolds", "drag_coefficient")
    return np.log([float(key) for key in rows]), np.array(list(rows.values()))


def finite_cylinder_cd(length_over_diameter: Array) -> Array:
    """Return Cd [1] of a cylinder with free ends, subcritical, from L/D >= 1 [1].

    length_over_diameter: of any shape, as the result.
    Linear in D/L between the rows of the table, infinite length included.
    Source: Blevins, Applied Fluid Dynamics Handbook 1984, as transcribed.
    Raises RangeError below L/D 1.

    >>> float(finite_cylinder_cd(np.array(10.0)))
    0.82
    """
    ratio = np.asarray(length_over_diameter, float)
    if not np.all(ratio >= 1.0):
        raise RangeError("length over diameter", float(np.min(ratio)), "", 1.0, np.inf)
    inverse, cd = _finite()
    return np.asarray(np.interp(1.0 / ratio, inverse[::-1], cd[::-1]))


def limb_cd(length_m: Array, diameter_m: Array) -> Array:
    """Return Cd [1] of a limb: one end is attached, so that its mirror image counts too.

    Both of one shape, such as (n,) people.
    length_m: whole exposed limb [m]; diameter_m: its mean diameter [m].

    >>> round(float(limb_cd(np.array(0.87), np.array(0.12))), 2)
    0.88
    """
    return finite_cylinder_cd(2.0 * np.asarray(length_m) / np.asarray(diameter_m))


def long_cylinder_cd(reynolds: Array) -> Array:
    """Return Cd [1] of a long smooth cylinder at a Reynolds number [1], 1e4 to 3.5e6.

    reynolds: of any shape, as the result.
    Linear in log(Re) between digitised points; held at the ends of the table.
    Source: Roshko 1961, J Fluid Mech 10:345-356.

    >>> float(long_cylinder_cd(np.array(1e5)))
    1.2
    """
    log_re, cd = _long()
    with np.errstate(divide="ignore"):
        return np.asarray(np.interp(np.log(np.asarray(reynolds, float)), log_re, cd))
