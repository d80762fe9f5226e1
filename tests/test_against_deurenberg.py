"""Body fat against published equations and surveys.

Deurenberg et al. 1991, Br J Nutr 65:105-114, abstract: fat % = 1.20 BMI + 0.23 age - 10.8
sex - 5.4 (men 1). Li et al. 2009 (survey of the United States by X-ray): men 28.1 %, women
40.0 % on average; its people were of BMI about 28 and 45 years (memory).
"""

from __future__ import annotations

import numpy as np
import pytest

from aquatempo.records.people import Person, Sex
from aquatempo.water.body import bodies_of, fat_percent


@pytest.mark.parametrize(
    ("bmi", "age", "woman", "percent"),
    [(22.0, 20.0, False, 14.8), (22.0, 20.0, True, 25.6), (28.0, 70.0, True, 44.3)],
)
def test_the_equation_is_met(bmi: float, age: float, woman: bool, percent: float) -> None:
    """Three people worked by hand from the equation, to a tenth."""
    found = fat_percent(bmi, np.array(age), np.array(woman))
    assert float(found) == pytest.approx(percent, abs=0.05)


@pytest.mark.parametrize(("sex", "percent"), [(Sex.MAN, 28.1), (Sex.WOMAN, 40.0)])
def test_people_of_a_survey_are_as_fat_as_measured(sex: Sex, percent: float) -> None:
    """At BMI 28 and 45 years fat is within 4.1 points (the equation's error) of the survey."""
    height = 1.76 if sex is Sex.MAN else 1.62
    body = bodies_of([Person(height, 28.0 * height**2, sex, 45.0)])
    assert float(body.fat_percent[0]) == pytest.approx(percent, abs=4.1)


def test_what_is_told_of_a_person_goes_before_what_is_usual() -> None:
    """Body fat that is given is used as it is."""
    body = bodies_of([Person(1.65, 62.0, Sex.WOMAN, 23.0, 31.5)])
    assert float(body.fat_percent[0]) == 31.5
