"""Tempo ranges of a class, and the draws of the model's inputs, beside integrals and scipy."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import triang

from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.draws import DRAWS, NOT_DRAWN, drawn_inputs, row_inputs
from aquatempo.feasibility.inputs import input_ranges
from aquatempo.feasibility.tempo_curve import tempo_range, warm_up_range
from aquatempo.records.people import ClassDepth, Group, Pool

SHALLOW, DEEP = (125.0, 150.0), (100.0, 135.0)  # the manual's (docs/science.md)
OLDER = (100.0, 125.0)  # common practice, no source
CONDITIONING = (115.0, 130.0)


def smooth(value: float, low: float, high: float) -> float:
    """Return the cubic that rises from 0 at low to 1 at high, level at both ends."""
    x = min(max((value - low) / (high - low), 0.0), 1.0)
    return x**2 * (3 - 2 * x)


def mean(share: object, low: float, high: float) -> float:
    """Return the mean of a function between two ends."""
    return float(quad(share, low, high, limit=200)[0] / (high - low))


GROUPS = [
    Group(age_years=(45.0, 70.0)),
    Group(age_years=(30.0, 60.0), height_m=(1.50, 1.70)),
    Group(age_years=(55.0, 90.0), height_m=(1.60, 1.95)),
]
POOLS = [Pool(depth_m=1.2), Pool(depth_m=1.0, far_depth_m=1.6), Pool(depth_m=1.35)]


@pytest.mark.parametrize("group", GROUPS)
@pytest.mark.parametrize("pool", POOLS)
def test_a_range_lies_between_the_published_ones_by_age_and_depth(pool: Pool, group: Group) -> None:
    """Older from 45 to 70 years, deeper from the nipple to the chin, each share a mean over people.

    The taller stand where it is deeper. 33 points stand for the integral: to 0.3 b/min.
    """
    older = mean(lambda age: smooth(age, 45, 70), *group.age_years)
    far = pool.far_depth_m or pool.depth_m

    def depth(x: float) -> float:
        tall = group.height_m[0] + x * (group.height_m[1] - group.height_m[0])
        return smooth((pool.depth_m + x * (far - pool.depth_m)) / tall, 0.72, 0.87)

    deeper = mean(depth, 0.0, 1.0)
    for i, found in enumerate(tempo_range(pool, group)):
        shallow = SHALLOW[i] * (1 - older) + OLDER[i] * older
        deep = DEEP[i] - 10.0 * older
        assert found == pytest.approx(shallow * (1 - deeper) + deep * deeper, abs=0.3)
        assert round(found, 1) == found


def test_half_old_is_half_way() -> None:
    """Ages from 45 to 70, even: the curve is odd about its middle, so the share is one half."""
    assert tempo_range(Pool(depth_m=1.0), GROUPS[0]) == (112.5, 137.5)


def test_a_deep_class_goes_by_the_deep_range_and_ten_slower_where_older() -> None:
    """With a belt nobody's height counts."""
    deep = Pool(depth_m=3.0, kind=ClassDepth.DEEP)
    assert tempo_range(deep, Group(age_years=(20.0, 40.0))) == DEEP
    assert tempo_range(deep, Group(age_years=(72.0, 90.0))) == (90.0, 125.0)


@pytest.mark.parametrize("group", GROUPS)
def test_a_warm_up_goes_from_the_conditioning_range_to_the_lower_half(group: Group) -> None:
    """Young in the shallow: 115 to 130, the manual's conditioning; older: the lower half."""
    shallow = Pool(depth_m=0.9)
    young = Group(age_years=(20.0, 40.0))
    assert warm_up_range(shallow, young) == CONDITIONING
    older = mean(lambda age: smooth(age, 45, 70), *group.age_years)
    low, high = tempo_range(shallow, group)
    for usual, half, found in zip(
        CONDITIONING, (low, (low + high) / 2), warm_up_range(shallow, group), strict=True
    ):
        assert found == pytest.approx(usual + older * (half - usual), abs=0.3)


def test_draws_are_two_triangles_about_the_value() -> None:
    """Half of them below the value and half above, each side falling to nothing at its end.

    scipy's triangular distribution, at evenly spread shares: the draws in order.
    """
    even = (np.arange(DRAWS) + 0.5) / DRAWS
    given, ranges = free_inputs(), input_ranges()
    for name, values in drawn_inputs(given).items():
        low, value, high = ranges[name]["low"], getattr(given, name), ranges[name]["high"]
        low, high = min(low, value), max(high, value)
        wanted = np.concatenate([
            triang(1.0, low, max(value - low, 1e-12)).ppf(2 * even[even < 0.5]),
            triang(0.0, value, max(high - value, 1e-12)).ppf(2 * even[even >= 0.5] - 1),
        ])  # fmt: skip
        assert np.sort(values) == pytest.approx(wanted, rel=1e-6, abs=1e-9), name


def test_draws_of_two_inputs_have_nothing_in_common() -> None:
    """No two inputs move together (largest rank correlation, of 630 pairs, below one half)."""
    drawn = drawn_inputs(free_inputs())
    ranks = np.array([np.argsort(np.argsort(row)) for row in drawn.values()])
    apart = np.corrcoef(ranks) - np.eye(len(ranks))
    assert np.abs(apart).max() < 0.5


def test_rows_of_people_have_the_inputs_as_given_and_draws_their_own() -> None:
    """The first rows all have what was given, those after them one draw each."""
    given = replace(free_inputs(), lung_gas_l=2.5)
    rows = row_inputs(given, 3, 4)
    drawn = drawn_inputs(given, 4)
    assert rows.lung_gas_l[:3].tolist() == [2.5, 2.5, 2.5]
    assert rows.lung_gas_l[3:] == pytest.approx(drawn["lung_gas_l"])
    assert len(set(drawn["lung_gas_l"].tolist())) == 4
    for name in NOT_DRAWN:
        assert name not in drawn
    assert np.all(np.asarray(rows.bout_s) == given.bout_s)
