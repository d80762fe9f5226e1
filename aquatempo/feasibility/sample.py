"""A sample of bodies from what a group is told to be, each at its depth.

A lattice (additive recurrence with the powers of the generalised golden ratio) fills height,
mass, age, fat, strength, fitness and place evenly, so that a share is known to about 1 % and every
body moves smoothly when an end of a range does. After the people stand typical ones, each with
its own draw of the model's inputs: they tell how sure the model is, apart from how people differ.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError
from aquatempo.feasibility.draws import DRAWS, row_inputs
from aquatempo.feasibility.inputs import FreeInputs, RowInputs
from aquatempo.records.people import Group, Person, Pool, Sex
from aquatempo.units import check_range
from aquatempo.water.body import Bodies, bodies_of, fat_percent
from aquatempo.water.effort import UPTAKE_PER_MET, peak_met
from aquatempo.water.strength import OLDEST_IN_TABLE_YEARS
from aquatempo.water.tables import read_table, read_values

__all__ = ["PEOPLE", "QUANTILES", "Sample", "sample_of"]

Array = NDArray[np.float64]

PEOPLE = 100
QUANTILES = (0.1, 0.5, 0.9)

_DIMENSIONS = 7  # height, mass, age, fat, strength, fitness, place
_ENDS = 2.0  # the ends of a range are so many standard deviations from its middle
_MASS_WITH_HEIGHT = 0.5  # correlation, memory
_BUILD_KG_M2 = (17.0, 45.0)  # mass over stature squared of anybody in a class
_PLACE_WITH_HEIGHT = 0.7  # the tall stand where it is deeper
_ABOUT_M = 0.025  # how far waves, breath, knees and tiles move the water on one body (judgement)
_WIDER_BEYOND = 0.01  # of the strength spread, for each year above the table
_LEAST_MET = 2.5
_UPTAKE_SPREAD = 0.20  # 6.6 of about 33 mL/kg/min, the error of the registry's equation


@dataclass(frozen=True, slots=True)
class Sample:
    """People of equal weight, then a typical woman and man, then draws. Arrays (n,) over all.

    depth_m: where each stands [m]; strength: over that of the tables [1]; peak_met: maximal
    uptake [MET]; inputs: of each row, as given for all but the draws; central: as given.
    people: how many are the group's. typical (draws,): the row that a draw differs from by its
    inputs only. beyond_tables: share of the group older than the strength tables [1].
    """

    bodies: Bodies
    depth_m: Array
    strength: Array
    peak_met: Array
    inputs: RowInputs
    central: FreeInputs
    people: int
    typical: NDArray[np.int_]
    beyond_tables: float

    def __len__(self) -> int:
        return len(self.depth_m)


def sample_of(
    group: Group, pool: Pool, inputs: FreeInputs, people: int = PEOPLE, draws: int = DRAWS
) -> Sample:
    """Return a sample of a group in a pool. Raises InputError or RangeError for the impossible.

    inputs: of the model; people, draws: how many bodies, and how many draws of the inputs.
    Height is normal between the ends given (truncated there), women in the lower and men in
    the upper part, apart by the difference of the ANSUR means or half the range; mass
    goes with height (correlation 0.5); age is even; fat, strength and uptake are those
    published for age, sex and size, with their spread.
    """
    _check(group, pool)
    share = group.women / group.size
    women = min(max(round(people * share), 1 if share > 0 else 0), people)
    drawn_woman = np.arange(draws) + 0.5 < draws * share
    woman = np.concatenate([np.arange(people) < women, [True, False], drawn_woman])
    middle = np.zeros((_DIMENSIONS, draws + 2))
    z = np.concatenate([_normal(people), middle], axis=1)
    even = np.concatenate([_even(people), middle + 0.5], axis=1)
    height = _heights(group, woman, z[0])
    low, high = group.mass_kg
    half = max((group.height_m[1] - group.height_m[0]) / (2 * _ENDS), 1e-9)
    tall = (height - sum(group.height_m) / 2) / half
    own = np.sqrt(1 - _MASS_WITH_HEIGHT**2)
    heavy = np.clip(_MASS_WITH_HEIGHT * tall + own * z[1], -_ENDS, _ENDS)
    mass = (low + high) / 2 + (high - low) / (2 * _ENDS) * heavy
    mass = np.clip(mass, *(build * height**2 for build in _BUILD_KG_M2))
    age = group.age_years[0] + (group.age_years[1] - group.age_years[0]) * even[2]
    fat = _fat(group, mass / height**2, age, woman, z[3], even[3])
    bodies = bodies_of([
        Person(float(h), float(m), Sex.WOMAN if w else Sex.MAN, float(a), float(f))
        for h, m, w, a, f in zip(height, mass, woman, age, fat, strict=True)
    ])  # fmt: skip
    beyond = np.maximum(age - OLDEST_IN_TABLE_YEARS, 0.0)
    sd = inputs.strength_spread + _WIDER_BEYOND * beyond
    if group.uptake_ml_kg_min is None:
        peak = peak_met(bodies) * np.exp(_UPTAKE_SPREAD * z[5] - _UPTAKE_SPREAD**2 / 2)
    else:
        least, most = group.uptake_ml_kg_min
        peak = (least + (most - least) * even[5]) / UPTAKE_PER_MET
    return Sample(
        bodies=bodies,
        depth_m=_depths(pool, tall, z[6]),
        strength=np.exp(sd * z[4] - sd**2 / 2),
        peak_met=np.maximum(peak, _LEAST_MET),
        inputs=row_inputs(inputs, people + 2, draws),
        central=inputs,
        people=people,
        typical=np.where(drawn_woman, people, people + 1),
        beyond_tables=float(np.mean(beyond[:people] > 0)),
    )


def _heights(group: Group, woman: NDArray[np.bool_], z: Array) -> Array:
    stature = next(r for r in read_table("ansur-2012").rows if r["quantity"] == "stature")
    low, high = group.height_m
    apart = min(float(stature["man"]) - float(stature["woman"]), (high - low) / 2)
    if group.women in (0, group.size):
        apart = 0.0
    bottom = np.where(woman, low, low + apart)
    top = np.where(woman, high - apart, high)
    return np.asarray((bottom + top) / 2 + (top - bottom) / (2 * _ENDS) * z)


def _fat(
    group: Group, build: Array, age: Array, woman: NDArray[np.bool_], z: Array, even: Array
) -> Array:
    if group.body_fat_percent is not None:
        low, high = group.body_fat_percent
        return np.asarray(low + (high - low) * even)
    values = read_values("deurenberg-1991")["deurenberg-1991"]
    usual = fat_percent(build, age, woman)
    return np.asarray(np.clip(usual + values["standard_error"] * z, *values["valid_percent"]))


def _depths(pool: Pool, tall: Array, z: Array) -> Array:
    if pool.far_depth_m is None:
        return np.asarray(pool.depth_m + _ABOUT_M * z)
    own = np.sqrt(1 - _PLACE_WITH_HEIGHT**2)
    place = np.clip(_PLACE_WITH_HEIGHT * tall + own * z, -_ENDS, _ENDS)
    share = 0.5 + place / (2 * _ENDS)
    return np.asarray(pool.depth_m + (pool.far_depth_m - pool.depth_m) * share)


@cache
def _even(people: int) -> Array:
    """Return numbers evenly spread over 0 to 1, (dimensions, people)."""
    ratio = 2.0
    for _ in range(60):  # the positive root of x^(d+1) = x + 1
        ratio = (1.0 + ratio) ** (1.0 / (_DIMENSIONS + 1))
    steps = ratio ** -np.arange(1.0, _DIMENSIONS + 1)
    return np.asarray((0.5 + steps[:, None] * np.arange(1, people + 1)) % 1.0)


@cache
def _normal(people: int) -> Array:
    """Return normal deviates between -2 and 2, (dimensions, people)."""
    normal = NormalDist()
    tail = normal.cdf(-_ENDS)
    inverse = np.frompyfunc(normal.inv_cdf, 1, 1)
    return np.asarray(inverse(tail + (1 - 2 * tail) * _even(people)), float)


def _check(group: Group, pool: Pool) -> None:
    if group.size < 1 or not 0 <= group.women <= group.size:
        raise InputError(
            f"group of {group.size} with {group.women} women: needs at least 1 person "
            "and no more women than people"
        )
    spans = [
        ("height", group.height_m),
        ("age", group.age_years),
        ("mass", group.mass_kg),
        ("body fat", group.body_fat_percent),
        ("maximal oxygen uptake", group.uptake_ml_kg_min),
    ]
    for name, span in spans:
        if span is not None and span[0] > span[1]:
            raise InputError(f"{name} range {span[0]:g} to {span[1]:g}: needs the lower end first")
    if group.uptake_ml_kg_min is not None:
        for end in group.uptake_ml_kg_min:
            check_range("maximal oxygen uptake", end, "mL/kg/min", 8.0, 90.0, "litres a minute?")
    for depth in (pool.depth_m, pool.far_depth_m):
        if depth is not None:
            check_range("depth", depth, "m", 0.3, 5.0, "pools are 0.5 to 5 m deep; centimetres?")
