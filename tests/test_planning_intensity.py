"""Easy, steady and hard are told apart by the class that comes out, and kept to its ceilings."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import pytest
from plan_checker import check
from song_shelf import shelf

from aquatempo.class_shape.limits import BANDS, limits_of
from aquatempo.moves import catalogue
from aquatempo.planning.class_plan import plan_class
from aquatempo.records.people import Group, Intensity, Pool
from aquatempo.records.plan import Brief, ClassPlan, PartName
from aquatempo.records.verdict import ImpactBand
from aquatempo.review.figures import figures, mean_rpe
from aquatempo.review.spots import read

pytestmark = pytest.mark.long
TEMPOS = (98.0, 116.0, 124.0, 126.0, 128.0, 130.0, 92.0, 84.0)


@cache
def planned(intensity: Intensity) -> ClassPlan:
    """Return a class of 20 minutes on the same shelf of songs."""
    group = Group(age_years=(25.0, 45.0), intensity=intensity)
    brief = Brief(minutes=20.0, pool=Pool(space_m2=5.0), group=group)
    return plan_class(shelf(TEMPOS), brief)


@dataclass(frozen=True)
class Asked:
    """What a main part asks: mean and peak effort [Borg], highest impact, and what it is made of.

    firm: share of its time at medium impact or above. ways: options of the variations in it.
    """

    mean: float
    peak: float
    impact: ImpactBand
    firm: float
    ways: frozenset[str]


def asked_of(plan: ClassPlan) -> Asked:
    """Return what the main part of a plan asks."""
    reading = read(plan, catalogue())
    known = figures(reading)
    main = [spot for spot in reading.of_parts(PartName.MAIN) if not spot.between]
    mean = mean_rpe(main, known)
    assert mean is not None
    rated = [known[spot.form_key] for spot in main]
    firm = sum(
        spot.minutes
        for spot in main
        if BANDS.index(known[spot.form_key].impact) >= BANDS.index(ImpactBand.MEDIUM)
    )
    return Asked(
        mean,
        max(one.rpe for one in rated),
        max((one.impact for one in rated), key=BANDS.index),
        firm / sum(spot.minutes for spot in main),
        frozenset(key for spot in main for _, key in spot.form.variation.changes),
    )


def test_mean_and_peak_effort_order_as_the_words_do() -> None:
    """Means and peaks of effort are a whole point apart or more."""
    easy, steady, hard = (asked_of(planned(one)) for one in Intensity)
    assert easy.mean + 1.0 <= steady.mean
    assert steady.mean + 1.0 <= hard.mean
    assert easy.peak + 1.0 <= steady.peak
    assert steady.peak + 1.0 <= hard.peak


def test_impact_orders_as_the_words_do() -> None:
    """An easy class stays below a steady one in impact, and a hard one is never below that."""
    easy, steady, hard = (asked_of(planned(one)) for one in Intensity)
    assert BANDS.index(easy.impact) < BANDS.index(steady.impact) <= BANDS.index(hard.impact)
    assert easy.firm + 0.1 <= steady.firm < hard.firm


def test_a_hard_class_lands_clearly_harder_than_a_steady_one() -> None:
    """A hard main part is at medium impact for a tenth of its time more than a steady one."""
    steady, hard = asked_of(planned(Intensity.STEADY)), asked_of(planned(Intensity.HARD))
    assert steady.firm + 0.1 <= hard.firm


def test_a_hard_class_has_what_an_easy_one_has_not() -> None:
    """Land tempo and open hands are in the hard main part, neither in the easy one."""
    easy, hard = asked_of(planned(Intensity.EASY)), asked_of(planned(Intensity.HARD))
    assert {"land", "open"} <= hard.ways
    assert not easy.ways & {"land", "open", "power"}


@pytest.mark.parametrize("intensity", list(Intensity))
def test_no_block_is_above_what_the_class_may_be_asked(intensity: Intensity) -> None:
    """The checker finds nothing, and no block is above the ceiling of effort by more than 1."""
    plan = planned(intensity)
    assert check(plan) == []
    assert asked_of(plan).peak <= limits_of(plan.brief).max_rpe + 1.0
