"""What a joint can give: torque against angle and speed, by sex and age.

Anderson, Madigan, Nussbaum 2007, J Biomech 40:3105-3113, Table 3 (doi
10.1016/j.jbiomech.2007.03.022), as transcribed:

    T = C1 m g H cos(C2 (a - C3)) f(w)
    f = (2 C4 C5 + w (C5 - 3 C4)) / (2 C4 C5 + w (2 C5 - 4 C4))

so that f is 1 at rest, exactly 0.75 at C4 and 0.50 at C5. Between the mean ages of
the three groups torque is interpolated; above the last it falls by 1.3 % a year (Kemmler
2018, Front Physiol 9:1524, leg strength of men up to 91). m is the mass that a person of the
table's build with the same lean mass would have: fat does not pull. Missing rows take a
normalised torque of men of 25, times 0.8 for women, times the hip's C1 at that age
over its C1 at 18-25, and the speed dependence of the hip (shoulder: of one athlete).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.moves import Action, Joint
from aquatempo.water.body import Bodies, fat_percent
from aquatempo.water.properties import GRAVITY_M_S2
from aquatempo.water.tables import read_table

__all__ = [
    "OLDEST_IN_TABLE_YEARS",
    "Strength",
    "beyond_c5",
    "pulling_mass_kg",
    "speed_factor",
    "strength_of",
]

Array = NDArray[np.float64]

OLDEST_IN_TABLE_YEARS = 75.0  # of those over 65; above it strength is extrapolated and said

_AGE_GROUPS = ("18-25", "55-65", "over 65")
_COLUMNS = ("c1", "c2", "c3", "c4", "c5")
_HIP_FOR = {
    Action.EXTENSION: "extension",
    Action.ADDUCTION: "extension",
    Action.HORIZONTAL_ABDUCTION: "extension",
}
_LIKE = {  # rows of the shoulder that the tables lack, and the row that stands in
    Action.HORIZONTAL_ABDUCTION: Action.ABDUCTION,
    Action.HORIZONTAL_ADDUCTION: Action.ADDUCTION,
}


def speed_factor(speed_rad_s: Array, c4: Array, c5: Array) -> Array:
    """Return f [1] of a shortening muscle at a joint speed [rad/s], never below 0.

    speed_rad_s: of the joint; c4, c5: where 0.75 and 0.50 are left [rad/s]. Of one shape or
    shapes that broadcast, such as (n,).
    Fitted up to about c5; see ``beyond_c5`` for speeds beyond.

    >>> float(speed_factor(np.array(2.0), np.array(2.0), np.array(4.2)))
    0.75
    """
    w = np.maximum(speed_rad_s, 0.0)
    top = 2 * c4 * c5 + w * (c5 - 3 * c4)
    return np.asarray(np.maximum(top / (2 * c4 * c5 + w * (2 * c5 - 4 * c4)), 0.0))


def beyond_c5() -> float:
    """Return the highest speed that the torque tables reach, over c5 [1]."""
    return _assumed()["highest speed of the torque table over c5"]


def _least_angle_factor() -> float:
    """Return what is left of the best torque at the ends of a joint's range [1].

    The cosine was fitted over the middle of the range; carried on to a straight knee or a
    thigh at level it falls to nothing, which people's legs do not.
    """
    return _assumed()["least torque at the ends of the range over the best"]


@dataclass(frozen=True, slots=True)
class Strength:
    """Strength of n people in one action. Parameter arrays have shape (2, n).

    The two rows are the age groups around each person, weight_high the share of the
    second. peak_nm: C1 m g H or its stand-in [N m]. estimated: filled, not tabulated.
    """

    peak_nm: Array
    c2: Array
    c3: Array
    c4: Array
    c5: Array
    weight_high: Array
    estimated: bool

    def isometric_nm(self, angle_rad: Array) -> Array:
        """Return torque at rest [N m], shape (2, n, ...) for angles (n, ...) [rad]."""
        angle = np.asarray(angle_rad, float)
        wide = (..., *([None] * (angle.ndim - 1)))
        bend = np.cos(self.c2[wide] * (angle - self.c3[wide]))
        return np.asarray(self.peak_nm[wide] * np.maximum(bend, _least_angle_factor()))

    def torque_nm(self, angle_rad: Array, speed_rad_s: Array) -> Array:
        """Return the torque [N m] at angles and speeds of shape (n, ...).

        angle_rad [rad], speed_rad_s [rad/s].
        """
        speed = np.asarray(speed_rad_s, float)
        wide = (..., *([None] * (speed.ndim - 1)))
        both = self.isometric_nm(angle_rad) * speed_factor(speed, self.c4[wide], self.c5[wide])
        high = self.weight_high[wide]
        return np.asarray((1 - high) * both[0] + high * both[1])

    def blended(self, angle_rad: Array) -> Array:
        """Return torque at rest [N m] (n, ...) at angles (...) [rad], between the age groups."""
        angle = np.broadcast_to(angle_rad, (self.peak_nm.shape[1], *np.shape(angle_rad)))
        both = self.isometric_nm(angle)
        high = self.weight_high[(..., *([None] * np.ndim(angle_rad)))]
        return np.asarray((1 - high) * both[0] + high * both[1])

    @property
    def speeds_rad_s(self) -> tuple[Array, Array]:
        """The speeds C4 and C5 of each person [rad/s], between the age groups."""
        high = self.weight_high
        c4, c5 = ((1 - high) * c[0] + high * c[1] for c in (self.c4, self.c5))
        return c4, c5


def strength_of(bodies: Bodies, joint: Joint, action: Action) -> Strength | None:
    """Return the strength of people in an action, or None where nothing is published.

    bodies: whose; joint: of which (None comes for the trunk).

    >>> from aquatempo.records.people import Person, Sex
    >>> from aquatempo.water.body import bodies_of
    >>> young = bodies_of([Person(1.6285, 67.8, Sex.WOMAN, 21.0)])
    >>> hip = strength_of(young, Joint.HIP, Action.FLEXION)
    >>> int(hip.peak_nm[0, 0])
    133
    """
    if joint is Joint.TRUNK:
        return None
    low, high, weight = _age_weights(bodies.age_years)
    rows = _anderson(joint, action)
    if rows is not None:
        c = _pick(rows, bodies, low, high)
        peak = c[0] * (pulling_mass_kg(bodies) * GRAVITY_M_S2 * bodies.stature_m)
        return Strength(peak, c[1], c[2], c[3], c[4], weight, estimated=False)
    per_kg = read_table("harbo-2012").numbers("action", "torque_nm_per_kg", joint=joint.value)
    torque = per_kg.get(action.value, per_kg.get(_LIKE.get(action, action).value))
    if torque is None:
        return None
    hip = _anderson(Joint.HIP, Action(_HIP_FOR.get(action, "flexion")))
    if hip is None:
        raise AssertionError("the hip rows are in the table")
    c = _pick(hip, bodies, low, high)
    young = np.where(bodies.woman, hip["woman"][0, 0], hip["man"][0, 0])
    sex = np.where(bodies.woman, _assumed()["torque of women over that of men in missing rows"], 1)
    peak = torque * pulling_mass_kg(bodies) * sex * c[0] / young
    c4, c5 = c[3], c[4]
    if joint in (Joint.SHOULDER, Joint.ELBOW):
        c4, c5 = (np.full_like(c4, value) for value in _athlete_speeds(action))
    flat = np.zeros_like(c4)
    return Strength(peak, flat, flat, c4, c5, weight, estimated=True)


def pulling_mass_kg(bodies: Bodies) -> Array:
    """Return the mass [kg] (n,) that strength goes with: lean mass as that of the table's build.

    At the build that the table was measured on (its mass over stature squared from memory)
    it is the body's own mass. Above the oldest age of the table it falls with strength.
    """
    reference = fat_percent(_assumed()["build of the tables in kg/m2"], bodies.age_years,
                            bodies.woman)  # fmt: skip
    lean = (100.0 - bodies.fat_percent) / (100.0 - reference)
    beyond = np.maximum(bodies.age_years - OLDEST_IN_TABLE_YEARS, 0.0)
    falls = np.maximum(1.0 - _assumed()["strength lost a year above the table"] * beyond, 0.3)
    return np.asarray(bodies.mass_kg * lean * falls)


@cache
def _assumed() -> dict[str, float]:
    return read_table("strength-assumptions").numbers("quantity", "value")


@cache
def _anderson(joint: Joint, action: Action) -> dict[str, Array] | None:
    """Return per sex an array (age groups, 5) of C1 to C5, or None."""
    by_sex: dict[str, list[list[float]]] = {"woman": [], "man": []}
    for row in read_table("anderson-2007").rows:
        if row["joint"] == joint.value and row["action"] == action.value:
            by_sex[row["sex"]].append([float(row[column]) for column in _COLUMNS])
    if not by_sex["man"]:
        return None
    return {sex: np.array(rows) for sex, rows in by_sex.items()}


@cache
def _athlete_speeds(action: Action) -> tuple[float, float]:
    rows = {row["action"]: row for row in read_table("jackson-2010").rows}
    nearest = {"abduction": "flexion", "adduction": "extension"}.get(action.value, action.value)
    return float(rows[nearest]["c4"]), float(rows[nearest]["c5"])


def _age_weights(age_years: Array) -> tuple[NDArray[np.int_], NDArray[np.int_], Array]:
    names = [f"mean age of group {group} in years" for group in _AGE_GROUPS]
    ages = np.array([_assumed()[name] for name in names])
    low = np.clip(np.searchsorted(ages, age_years, side="right") - 1, 0, len(ages) - 2)
    weight = np.clip((age_years - ages[low]) / (ages[low + 1] - ages[low]), 0.0, 1.0)
    return low, low + 1, weight


def _pick(
    rows: dict[str, Array], bodies: Bodies, low: NDArray[np.int_], high: NDArray[np.int_]
) -> Array:
    """Return C1 to C5 of the two age groups of each person, shape (5, 2, n)."""
    both = [
        np.where(bodies.woman[:, None], rows["woman"][index], rows["man"][index])
        for index in (low, high)
    ]
    return np.stack(both).transpose(2, 0, 1)
