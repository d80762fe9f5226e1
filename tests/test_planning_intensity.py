"""Easy, steady and hard are told apart by the class that comes out, and kept to its ceilings."""

from __future__ import annotations

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

TEMPOS = (98.0, 116.0, 124.0, 126.0, 128.0, 130.0, 92.0, 84.0)


@cache
def planned(intensity: Intensity) -> ClassPlan:
    """Return a class of 20 minutes on the same shelf of songs."""
    group = Group(age_years=(25.0, 45.0), intensity=intensity)
    brief = Brief(minutes=20.0, pool=Pool(space_m2=5.0), group=group)
    return plan_class(shelf(TEMPOS), brief)


def effort_of(plan: ClassPlan) -> tuple[float, float, ImpactBand]:
    """Return mean effort and peak effort of the main part [Borg], and its highest impact."""
    reading = read(plan, catalogue())
    known = figures(reading)
    main = [spot for spot in reading.of_parts(PartName.MAIN) if not spot.between]
    mean = mean_rpe(main, known)
    assert mean is not None
    rated = [known[spot.form_key] for spot in main]
    impact = max((one.impact for one in rated), key=BANDS.index)
    return mean, max(one.rpe for one in rated), impact


@pytest.mark.long
def test_mean_peak_and_impact_order_as_the_words_do() -> None:
    """Means half a point apart or more, peaks a whole one; impact never the other way."""
    easy, steady, hard = (effort_of(planned(one)) for one in Intensity)
    assert easy[0] + 0.5 <= steady[0]
    assert steady[0] + 0.5 <= hard[0]
    assert easy[1] + 1.0 <= steady[1]
    assert steady[1] + 1.0 <= hard[1]
    assert BANDS.index(easy[2]) <= BANDS.index(steady[2]) <= BANDS.index(hard[2])


@pytest.mark.parametrize("intensity", list(Intensity))
def test_no_block_is_above_what_the_class_may_be_asked(intensity: Intensity) -> None:
    """The checker finds nothing, and no block is above the ceiling of effort by more than 1."""
    plan = planned(intensity)
    assert check(plan) == []
    assert effort_of(plan)[1] <= limits_of(plan.brief).max_rpe + 1.0
