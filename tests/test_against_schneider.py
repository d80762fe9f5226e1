"""Weight on the feet against Schneider et al. 2007.

Schneider S, Schmitt H, Tönges S, Eckhardt H. Phys Med Rehab Kuror 2007;17(2):88-93,
doi 10.1055/s-2007-960475, abstract: 14 men and 20 women of 21 to 26 years, standing.
Inputs fixed beforehand: body fat of students (12 and 22 %, memory), lung gas of the free
inputs, arms hanging, ANSUR mean sizes, water of 30 C. Tolerance 5 percentage points (3 at the
knee, where only feet and shanks count): half the spread of 2 to 5 points between people, plus what
arm position (2 to 9 points) and lung gas (about 4) leave open.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aquatempo.feasibility import free_inputs
from aquatempo.records.people import Person, Sex
from aquatempo.water.body import LANDMARKS, bodies_of
from aquatempo.water.immersion import depth_kind, landmark_reached, weight_on_feet
from aquatempo.water.properties import water

WATER = water(30.0)
GAS_L = free_inputs().lung_gas_l
MAN = Person(1.7562, 85.5, Sex.MAN, 23.0, 12.0)  # ANSUR II means; body fat of students
WOMAN = Person(1.6285, 67.8, Sex.WOMAN, 23.0, 22.0)  # (12 and 22 %, memory)

# percent of land weight on the feet: men, women (abstract)
PUBLISHED = {
    "knee": (88.1, 86.7),
    "front of hip bone": (59.1, 52.5),
    "breastbone end": (35.3, 31.6),
    "collarbone": (11.8, 10.2),
}


@pytest.mark.parametrize("landmark", PUBLISHED)
@pytest.mark.parametrize("sex", [0, 1], ids=["men", "women"])
def test_weight_on_feet_matches_the_published_means(landmark: str, sex: int) -> None:
    """Each of the eight published means is met within 5 points, 3 at the knee."""
    body = bodies_of([(MAN, WOMAN)[sex]])
    depth = body.landmarks_m[landmark]
    percent = 100.0 * float(weight_on_feet(body, depth, WATER, True, GAS_L)[0])
    tolerance = 3.0 if landmark == "knee" else 5.0
    assert percent == pytest.approx(PUBLISHED[landmark][sex], abs=tolerance)


def test_fat_lightens_as_published() -> None:
    """At the collarbone a point of body fat takes 0.19 points off (Schneider), within 0.04."""
    shares = []
    for fat in (15.0, 25.0):
        body = bodies_of([Person(1.65, 62.0, Sex.WOMAN, 23.0, fat)])
        shares.append(weight_on_feet(body, body.landmarks_m["collarbone"], WATER, True, GAS_L)[0])
    assert 100.0 * (shares[1] - shares[0]) / 10.0 == pytest.approx(-0.19, abs=0.04)


@given(st.floats(0.3, 1.6), st.floats(0.001, 0.2))
@settings(max_examples=60, deadline=None)
def test_more_depth_never_adds_weight(depth_m: float, more_m: float) -> None:
    """Deeper water never puts more weight on the feet, arms in or out."""
    bodies = bodies_of([MAN, WOMAN])
    for arms in (True, False):
        before = weight_on_feet(bodies, np.full(2, depth_m), WATER, arms, GAS_L)
        after = weight_on_feet(bodies, np.full(2, depth_m + more_m), WATER, arms, GAS_L)
        assert np.all(after <= before + 1e-12)


@pytest.mark.parametrize("landmark", ["front of hip bone", "breastbone end", "collarbone"])
def test_men_carry_at_least_as_much_as_women(landmark: str) -> None:
    """At the same landmark men keep at least the share that women keep, as published."""
    bodies = bodies_of([MAN, WOMAN])
    share = weight_on_feet(bodies, bodies.landmarks_m[landmark], WATER, True, GAS_L)
    assert share[0] >= share[1] - 0.01


def test_arms_out_of_the_water_put_weight_back() -> None:
    """Lifting the arms out adds 2 to 9 points of weight from the hip bone up."""
    body = bodies_of([WOMAN])
    for landmark in ("breastbone end", "collarbone"):
        depth = body.landmarks_m[landmark]
        more = weight_on_feet(body, depth, WATER, False) - weight_on_feet(body, depth, WATER, True)
        assert 0.02 < float(more[0]) < 0.09


def test_landmarks_rise_in_order_and_name_the_depth() -> None:
    """Landmarks are in order from the floor, and name depth and kind of each person."""
    bodies = bodies_of([MAN, WOMAN])
    heights = np.array([bodies.landmarks_m[name] for name in LANDMARKS])
    assert np.all(np.diff(heights, axis=0) > 0)
    assert landmark_reached(bodies, np.array([1.0, 1.0])) == ["front of hip bone", "navel"]
    small = bodies_of([Person(1.50, 55.0, Sex.WOMAN, 40.0)])
    tall = bodies_of([Person(1.90, 90.0, Sex.MAN, 40.0)])
    assert [int(depth_kind(small, np.array([d]))[0]) for d in (0.8, 1.0, 1.25, 1.4)] == [0, 1, 2, 3]
    assert int(depth_kind(tall, np.array([1.1]))[0]) == 0
