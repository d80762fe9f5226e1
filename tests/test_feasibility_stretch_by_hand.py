"""People who swing further than the path, and limbs that come back to where they began."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import form
from water_bodies import PEOPLE, demand, kick

from aquatempo.feasibility.limb_uses import _stretched
from aquatempo.feasibility.parts import parts_of
from aquatempo.records.limbs import Leg, Movement, Posture
from aquatempo.water.muscle_use import use_of
from aquatempo.water.paths import SHARES

FULL = int(np.flatnonzero(np.isclose(SHARES, 1.0))[0])


@pytest.mark.parametrize("stretch", [0.91, 1.15])
def test_who_swings_further_reads_the_table_further(stretch: float) -> None:
    """At full range: what the table has at that share, as a square between its shares.

    The other person swings as the path says and stays as the table is.
    """
    path = kick()
    use = use_of(path, PEOPLE, demand(path), np.ones(2))
    found = _stretched(use, np.array([1.0, stretch]))
    assert np.array_equal(found.mean_moving[0], use.mean_moving[0])
    assert np.array_equal(found.work_moving[0], use.work_moving[0])
    for m in range(len(use.muscles)):
        root = np.interp(stretch, SHARES, np.sqrt(use.mean_moving[1, :, m]))
        assert found.mean_moving[1, FULL, m] == pytest.approx(root**2, rel=1e-4)
        line = np.interp(stretch, SHARES, use.mean_still[1, :, m])
        assert found.mean_still[1, FULL, m] == pytest.approx(line, rel=1e-4, abs=1e-6)
    cube = np.interp(stretch, SHARES, np.cbrt(use.work_moving[1]))
    assert found.work_moving[1, FULL] == pytest.approx(cube**3, rel=1e-4)


@pytest.mark.parametrize(("by", "legs"), [(10.0, 1), (50.0, 1), (30.0, 0)])
def test_a_leg_that_only_passes_elsewhere_swings(by: float, legs: int) -> None:
    """From 30 degrees by 10 or 50 back to 30 is a swing; by 30 it is none."""
    at, via = (Posture(lead_leg=Leg(hip=hip)) for hip in (30.0, by))
    there = replace(Movement("to", "a", "b", at, at), via=via)
    found = parts_of(replace(form("jack"), movements=(there,)))
    assert len(found.movements[0].legs) == legs
