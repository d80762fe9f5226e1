"""Limb drag against Pöyhönen et al. 2000, Clin Biomech 15:256-260.

doi 10.1016/S0268-0033(99)00070-4, abstract: lower leg and foot on a dynamometer, peak
drag 61 N at 300 degrees a second; nearly constant Cd from 250 to 300. What point their
force refers to, and how the foot was held, was not seen: hence a factor of 2.
"""

from __future__ import annotations

import numpy as np
import pytest

from aquatempo.records.moves import Foot, Segment
from aquatempo.records.people import Person, Sex
from aquatempo.water.body import bodies_of
from aquatempo.water.limbs import SwingAxis, build_limb, swing_moments
from aquatempo.water.properties import water

PEOPLE = bodies_of([Person(1.69, 62.0, Sex.WOMAN, 25.0), Person(1.80, 76.0, Sex.MAN, 25.0)])


def _force_n(speed_deg_s: float, foot: Foot) -> float:
    limb = build_limb(PEOPLE, Segment.SHANK, SwingAxis.SAGITTAL, foot=foot)
    _, force, *_ = swing_moments(limb, np.zeros(1), np.full(2, 0.6), water(30.0))
    return float(np.mean(force[:, 0]) * np.radians(speed_deg_s) ** 2)


def test_bare_leg_is_within_a_factor_of_two() -> None:
    """With the foot square to the shank the model meets 61 N within a factor of 2."""
    assert 61.0 / 2 < _force_n(300.0, Foot.EDGE) < 61.0 * 2


def test_the_foot_brackets_the_published_force() -> None:
    """Foot square and foot pointed lie on both sides of the published force."""
    assert _force_n(300.0, Foot.EDGE) < 61.0 < _force_n(300.0, Foot.BROAD)


def test_drag_scales_with_the_square_between_the_published_speeds() -> None:
    """From 250 to 300 degrees a second drag grows by (300/250)^2 = 1.44 at constant Cd."""
    ratio = _force_n(300.0, Foot.EDGE) / _force_n(250.0, Foot.EDGE)
    assert ratio == pytest.approx(1.44, rel=1e-9)
