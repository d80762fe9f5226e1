"""Who the sample of a group is, how deep they stand, and tables read at a share of the range."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import DEEP, form
from scipy.stats import truncnorm

from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.law import at_share
from aquatempo.feasibility.rules import depth_fit
from aquatempo.feasibility.sample import Sample, sample_of
from aquatempo.feasibility.setting import Stance, setting_of
from aquatempo.records.people import Group, Pool
from aquatempo.water.immersion import immersed_volume_m3
from aquatempo.water.paths import SHARES

G_M_S2 = 9.80665
SLOPE = Pool(depth_m=0.9, far_depth_m=1.5)


def drawn(group: Group, pool: Pool | None = None, people: int = 400) -> Sample:
    """Return a sample of a group, large enough for shares to 1 %."""
    return sample_of(group, pool or Pool(), free_inputs(), people)


@pytest.mark.parametrize("women", [0, 5, 12, 20])
def test_draws_and_people_have_the_share_of_women_that_was_told(women: int) -> None:
    """So many of twenty are women, and so many of the draws are of the typical woman."""
    sample = drawn(Group(20, women))
    assert np.mean(sample.bodies.woman[:400]) == women / 20
    assert np.mean(sample.typical == 400) == pytest.approx(women / 20, abs=0.03)
    assert sample.bodies.woman[400:402].tolist() == [True, False]
    assert sample.bodies.woman[402:].tolist() == (sample.typical == 400).tolist()


def test_heights_are_normal_between_the_ends_told() -> None:
    """Ends at two standard deviations, cut there: quantiles of scipy's truncated normal."""
    sample = drawn(Group(20, 20, height_m=(1.50, 1.80)))
    wanted = truncnorm(-2, 2, loc=1.65, scale=0.075)
    for share in (0.02, 0.1, 0.25, 0.5, 0.75, 0.9, 0.98):
        found = np.quantile(sample.bodies.stature_m[:400], share)
        assert found == pytest.approx(wanted.ppf(share), abs=0.004)


def test_men_stand_above_women_by_the_difference_of_a_survey() -> None:
    """ANSUR 2012 means of stature: 1.756 m for men, 1.629 m for women, within one range told."""
    sample = drawn(Group(20, 10, height_m=(1.50, 1.90)))
    woman, tall = sample.bodies.woman[:400], sample.bodies.stature_m[:400]
    apart = float(tall[~woman].mean() - tall[woman].mean())
    assert apart == pytest.approx(1.756 - 1.629, abs=0.006)
    narrow = drawn(Group(20, 10, height_m=(1.60, 1.70))).bodies
    apart = narrow.stature_m[:400][~woman].mean() - narrow.stature_m[:400][woman].mean()
    assert apart == pytest.approx(0.05, abs=0.003)  # half of a range that leaves no more


def test_ages_and_uptake_that_were_told_are_even() -> None:
    """Each tenth of people lies in a tenth of the range, in ages and uptake (3.5 mL a MET)."""
    told = Group(age_years=(30.0, 60.0), uptake_ml_kg_min=(21.0, 42.0))
    sample = drawn(told)
    for values, low, high in (
        (sample.bodies.age_years, 30.0, 60.0),
        (sample.peak_met, 6.0, 12.0),
    ):
        share = np.sort((values[:400] - low) / (high - low))
        assert share == pytest.approx((np.arange(400) + 0.5) / 400, abs=0.012)


def test_on_a_slope_the_tall_stand_deeper() -> None:
    """Places reach from end to end, correlated with height by 0.7; the middle stands midway."""
    sample = drawn(Group(20, 20, height_m=(1.50, 1.80)), SLOPE)
    depth, tall = sample.depth_m[:400], sample.bodies.stature_m[:400]
    assert 0.9 <= depth.min() < 0.95
    assert 1.45 < depth.max() <= 1.5
    assert np.corrcoef(depth, tall)[0, 1] == pytest.approx(0.7, abs=0.06)
    assert sample.depth_m[400:] == pytest.approx(1.2, abs=1e-6)


@pytest.mark.parametrize(
    ("pool", "stance"),
    [
        (Pool(depth_m=1.2), Stance(lowered=False, free=False)),
        (Pool(depth_m=1.2), Stance(lowered=True, free=False)),
        (Pool(depth_m=1.2), Stance(lowered=True, free=True)),
        (DEEP, Stance(lowered=True, free=True)),
    ],
)
def test_the_water_line_and_what_it_carries(pool: Pool, stance: Stance) -> None:
    """Lowered people have it at the shoulders at least, nobody over the neck; Archimedes' rest."""
    people = drawn(Group(), pool, people=40)
    setting, bodies = setting_of(people, pool, stance), people.bodies
    deep = pool is DEEP
    for row in range(len(people)):
        neck, shoulder = bodies.landmarks_m["neck"][row], bodies.joints_m["shoulder"][row]
        line = min(people.depth_m[row], neck)
        line = max(line, min(shoulder, neck)) if stance.lowered else line
        assert setting.surface_m[row] == pytest.approx(neck if deep else line)
    lungs = people.inputs.lung_gas_l
    volume = immersed_volume_m3(bodies, setting.surface_m, True, lungs)
    carried = setting.water.density_kg_m3 * G_M_S2 * volume + people.inputs.belt_n * deep
    left = np.maximum(bodies.mass_kg * G_M_S2 - carried, 0.0)
    assert setting.apparent_n == pytest.approx(left, abs=0.5)
    assert setting.apparent_bw == pytest.approx(left / (bodies.mass_kg * G_M_S2), abs=1e-3)


def test_draws_swing_further_or_less_far_than_people() -> None:
    """A draw's excursion over the one given, in deep water times that of its deep excursion."""
    people = drawn(Group(), DEEP, people=10)
    for pool, stance in ((Pool(), Stance(False, False)), (DEEP, Stance(True, True))):
        setting, given = setting_of(people, pool, stance), free_inputs()
        told = people.inputs.excursion / given.excursion
        if pool is DEEP:
            told = told * people.inputs.deep_excursion / given.deep_excursion
        assert setting.stretch == pytest.approx(told)
        assert setting.stretch[:12].tolist() == [1.0] * 12
        assert len(set(setting.stretch[12:].round(9))) > 12


@pytest.mark.parametrize("pool", [Pool(depth_m=1.0), Pool(depth_m=1.5), SLOPE])
@pytest.mark.parametrize("key", ["jog", "jack", "jump"])
def test_who_stands_too_shallow_or_too_deep_is_counted(key: str, pool: Pool) -> None:
    """The soft shares are those of a count of people, but for who stands within 3 cm of a mark."""
    people, move = drawn(Group(), pool), form(key)
    fit = depth_fit(move, pool, people, 20)
    marks = people.bodies.landmarks_m
    low, high = marks[move.move.min_depth][:400], marks[move.move.max_depth][:400]
    near, far = pool.depth_m, pool.far_depth_m or pool.depth_m
    shallow, deep = max(near, far) < low, min(near, far) > high
    close = (np.abs(max(near, far) - low) < 0.03) | (np.abs(min(near, far) - high) < 0.03)
    assert fit.too_shallow == pytest.approx(np.mean(shallow), abs=float(np.mean(close)) + 0.01)
    assert fit.too_deep == pytest.approx(np.mean(deep & ~shallow), abs=float(np.mean(close)) + 0.01)
    assert fit.right == pytest.approx(1.0 - fit.too_shallow - fit.too_deep)


def test_in_deep_water_only_who_can_stand_is_wrong() -> None:
    """With a belt water is never too deep; in 1.6 m the tall stand with the chin out."""
    people = drawn(Group(), replace(DEEP, depth_m=1.6))
    fit = depth_fit(form("jog"), replace(DEEP, depth_m=1.6), people, 20)
    assert fit.too_deep == 0.0
    stand = np.mean(people.bodies.landmarks_m["chin"][:400] > 1.6)
    assert fit.too_shallow == pytest.approx(stand, abs=0.04)


@pytest.mark.parametrize("power", [1.0, 1.5, 2.0, 3.0])
def test_a_table_that_goes_with_a_power_is_read_exactly(power: float) -> None:
    """Between shares and above the least one: c r^p at p is c r^p; nothing moved costs nothing."""
    table = np.outer([2.0, 5.0], SHARES**power)
    kept = np.array([[SHARES[0], 0.33, 0.71, 0.999], [0.51, 0.9, 1.0, SHARES[-1]]])
    wanted = np.array([[2.0], [5.0]]) * kept**power
    assert at_share(table, kept, power) == pytest.approx(wanted, rel=1e-5)


@pytest.mark.parametrize("power", [1.0, 2.0, 3.0])
def test_below_the_least_share_a_table_falls_to_nothing_with_its_power(power: float) -> None:
    """A tenth of the least share has the power of a tenth of its value."""
    table = np.outer([3.0], SHARES**power)
    least = float(SHARES[0])
    found = at_share(table, np.array([[least / 10, least / 2, 0.0]]), power)
    assert found == pytest.approx(3.0 * np.array([[least / 10, least / 2, 0.0]]) ** power, rel=1e-5)
