"""Draws of the model's own inputs: how far the answer moves when they are what they may be.

Each input with a range is drawn with its value as the median and its low and high as ends, all
of them at once and each evenly over its distribution (a Latin hypercube of fixed order, so that
the same question always gets the same answer). Shape of motion, bout and the spread of strength
between people are not drawn: the first is a choice of two (docs/sensitivity.md tells its
effect), the second is asked for, the third belongs to the people.
"""

from __future__ import annotations

from dataclasses import fields
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.inputs import FreeInputs, Inputs, RowInputs, input_ranges

__all__ = ["DRAWS", "NOT_DRAWN", "drawn_inputs", "row_inputs"]

Array = NDArray[np.float64]

DRAWS = 24
_SEED = 1
_ORDERS_TRIED = 200
NOT_DRAWN = ("motion_profile", "bout_s", "strength_spread")


def row_inputs(inputs: FreeInputs, fixed: int, draws: int = DRAWS) -> RowInputs:
    """Return inputs by row: the same for the first fixed rows, then one draw a row.

    draws: how many.
    """
    drawn = drawn_inputs(inputs, draws)
    told: dict[str, Any] = {}
    for field in fields(inputs):
        value = getattr(inputs, field.name)
        if isinstance(value, str):
            told[field.name] = value
            continue
        rest = drawn.get(field.name, np.full(draws, value))
        told[field.name] = np.concatenate([np.full(fixed, value), rest])
    return Inputs(**told)


def drawn_inputs(inputs: FreeInputs, draws: int = DRAWS) -> dict[str, Array]:
    """Return for each input that is drawn its values (draws,).

    inputs: whose value is the median of each.
    """
    ranges = input_ranges()
    names = [name for name in ranges if name not in NOT_DRAWN]
    even = _hypercube(len(names), draws)
    return {
        name: _two_sided(row, ranges[name]["low"], getattr(inputs, name), ranges[name]["high"])
        for name, row in zip(names, even, strict=True)
    }


def _two_sided(even: Array, low: float, value: float, high: float) -> Array:
    """Return values at cumulative shares (draws,): half below the value, half above it.

    Either side is a triangle that falls to nothing at its end, so that the value is the
    median however lopsided its range.
    """
    low, high = min(low, value), max(high, value)
    below = value - (value - low) * (1.0 - np.sqrt(np.minimum(2.0 * even, 1.0)))
    above = value + (high - value) * (1.0 - np.sqrt(np.minimum(2.0 - 2.0 * even, 1.0)))
    return np.where(even < 0.5, below, above)


@cache
def _hypercube(dimensions: int, draws: int) -> Array:
    """Return shares from 0 to 1, (dimensions, draws): each row evenly spread, in its own order.

    Of some orders drawn for a row the one is taken that is least like those of the rows before, so
    that no two inputs move together.
    """
    chance = np.random.RandomState(_SEED)  # whose numbers numpy promises not to change
    orders = np.empty((dimensions, draws))
    for row in range(dimensions):
        places = np.argsort(chance.random_sample((_ORDERS_TRIED, draws)), axis=1)
        tried = places - (draws - 1) / 2.0
        alike = np.abs(tried @ orders[:row].T).max(axis=1, initial=0.0)
        orders[row] = tried[np.argmin(alike)]
    return np.asarray((orders + draws / 2.0) / draws)
