"""Direction of what shrinks when music gets faster, against measured water exercise.

Small samples (5 and 6 people), directions only, abstracts: Costa et al. 2011, J Sports
Sci Med 10:607-615 (jumping jacks, 120 to 180 b/min: cycles shorten, feet keep their
lateral range by moving faster); Oliveira et al. (side kick, 120 to 180 b/min: limb
displacement not related to cadence, velocity rises).
"""

from __future__ import annotations

import numpy as np
import pytest
from feasibility_cases import LAND, WATER_TEMPO, form

from aquatempo.feasibility import judge_forms
from aquatempo.records.people import Group, Intensity, Pool

YOUNG = Group(
    size=6, women=6, height_m=(1.58, 1.70), age_years=(19.0, 27.0), mass_kg=(52.0, 66.0),
    intensity=Intensity.HARD,
)  # fmt: skip
CHEST = Pool(depth_m=0.70 * 1.64, temperature_c=30.0)
TEMPOS_BPM = [120.0, 135.0, 150.0, 165.0, 180.0]


@pytest.mark.parametrize("key", ["jack", "side-kick"])
def test_young_women_keep_the_lateral_range_of_their_legs(key: str) -> None:
    """From 120 to 180 b/min in water tempo the median keeps at least 95 % of the leg's range."""
    grid = judge_forms([form(key)], [WATER_TEMPO], TEMPOS_BPM, CHEST, YOUNG)
    assert np.all(grid.range_kept[0, 0, :, 1] >= 0.95)


def test_the_body_loses_height_before_the_legs_lose_range() -> None:
    """At land tempo a jack's hop shrinks from 120 to 180 b/min, as the measured body did."""
    grid = judge_forms([form("jack")], [LAND], TEMPOS_BPM, CHEST, YOUNG)
    hop, legs = grid.hop_kept[0, 0], grid.legs_kept[0, 0]
    assert np.all(np.diff(hop) < 0)
    assert np.all(hop < legs)
    assert hop[-1] < 0.5
