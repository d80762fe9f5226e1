"""Stand-ins: a few weighted people who span a group, each at a depth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError
from aquatempo.records.people import Group, Person, Pool, Sex
from aquatempo.units import check_range
from aquatempo.water.body import Bodies, bodies_of
from aquatempo.water.tables import read_table

__all__ = ["QUANTILES", "StandIns", "stand_ins_of", "weighted_quantile"]

Array = NDArray[np.float64]

_LEVELS = (0.0, 0.5, 1.0)  # short, middle, tall; young, middle, old
QUANTILES = (0.1, 0.5, 0.9)


@dataclass(frozen=True, slots=True)
class StandIns:
    """n weighted people: bodies, depth each stands in [m], weights that add up to 1."""

    bodies: Bodies
    depth_m: Array
    weight: Array


def stand_ins_of(group: Group, pool: Pool) -> StandIns:
    """Return stand-ins: sex x three heights x three ages, at one or two depths.

    Women take the lower and men the upper part of the height range, apart by the
    difference of the ANSUR means or half the range. Mass follows height.
    Raises InputError or RangeError for impossible groups and pools.
    """
    _check(group, pool)
    stature = next(r for r in read_table("ansur-2012").rows if r["quantity"] == "stature")
    low, high = group.height_m
    apart = min(float(stature["man"]) - float(stature["woman"]), (high - low) / 2)
    if group.women in (0, group.size):
        apart = 0.0
    people: list[Person] = []
    weights: list[float] = []
    for sex, count in ((Sex.WOMAN, group.women), (Sex.MAN, group.size - group.women)):
        bottom = low if sex is Sex.WOMAN else low + apart
        top = high - apart if sex is Sex.WOMAN else high
        for tall in _LEVELS:
            height = bottom + tall * (top - bottom)
            share = (height - low) / (high - low) if high > low else 0.5
            mass = group.mass_kg[0] + share * (group.mass_kg[1] - group.mass_kg[0])
            for old in _LEVELS:
                age = group.age_years[0] + old * (group.age_years[1] - group.age_years[0])
                if count:
                    people.append(Person(height, mass, sex, age))
                    weights.append(count / group.size / len(_LEVELS) ** 2)
    depths = [pool.depth_m] if pool.far_depth_m is None else [pool.depth_m, pool.far_depth_m]
    return StandIns(
        bodies_of(people * len(depths)),
        np.repeat(np.array(depths, float), len(people)),
        np.array(weights * len(depths)) / len(depths),
    )


def weighted_quantile(values: Array, weight: Array, q: float) -> Array:
    """Return the q-quantile along the last axis of values (..., n) with weights (n,).

    >>> float(weighted_quantile(np.array([3.0, 1.0, 2.0]), np.full(3, 1 / 3), 0.5))
    2.0
    """
    order = np.argsort(values, axis=-1)
    reached = np.cumsum(weight[order], axis=-1)
    index = np.argmax(reached >= q - 1e-9, axis=-1)
    place = np.take_along_axis(order, index[..., None], axis=-1)
    return np.asarray(np.take_along_axis(values, place, axis=-1)[..., 0])


def _check(group: Group, pool: Pool) -> None:
    if group.size < 1 or not 0 <= group.women <= group.size:
        raise InputError(
            f"group of {group.size} with {group.women} women: needs at least 1 person "
            "and no more women than people"
        )
    for name, span in (
        ("height", group.height_m),
        ("age", group.age_years),
        ("mass", group.mass_kg),
    ):
        if span[0] > span[1]:
            raise InputError(f"{name} range {span[0]:g} to {span[1]:g}: needs the lower end first")
    for depth in (pool.depth_m, pool.far_depth_m):
        if depth is not None:
            check_range("depth", depth, "m", 0.3, 5.0, "pools are 0.5 to 5 m deep; centimetres?")
