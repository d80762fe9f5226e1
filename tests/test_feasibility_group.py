"""A group as a sample of bodies, and the tempo where each of them loses full range."""

from __future__ import annotations

import numpy as np
import pytest

from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.group_figures import limits_bpm
from aquatempo.feasibility.law import TEMPI_BPM
from aquatempo.feasibility.sample import Sample, sample_of
from aquatempo.records.people import Group, Pool


def drawn(group: Group, people: int = 400) -> Sample:
    """Return a large sample of a group in a pool of 1.2 m."""
    return sample_of(group, Pool(), free_inputs(), people)


@pytest.mark.parametrize("ends_bpm", [35.0, 60.0, 111.0, 200.0, 300.0, 440.0])
def test_a_limit_is_found_also_beyond_the_tempi_that_are_judged(ends_bpm: float) -> None:
    """A loss that goes with the 16th power of the tempo and is 5 % at a tempo ends there, to 3 %.

    A strain goes with the square of the tempo, the loss with its eighth power.
    """
    kept = 1.0 - 0.05 * (TEMPI_BPM[None] / ends_bpm) ** 16
    assert float(limits_bpm(np.maximum(kept, 0.0), 0.95)[0]) == pytest.approx(ends_bpm, rel=0.03)


def test_strength_spreads_by_a_quarter_about_the_tables() -> None:
    """The mean person is as strong as the tables say, to 2 %, a tenth has less than 0.73.

    Spread 20 to 30 % (Benfica 2018, Anderson 2007); log-normal: exp(-1.28 x 0.25 - 0.03) = 0.70.
    """
    group = drawn(Group(age_years=(30.0, 60.0)))
    strength = group.strength[: group.people]
    assert float(np.mean(strength)) == pytest.approx(1.0, abs=0.02)
    assert float(np.std(strength)) == pytest.approx(0.25, abs=0.04)
    assert 0.67 < float(np.quantile(strength, 0.1)) < 0.76


def test_people_beyond_the_tables_differ_more() -> None:
    """Ten years over the oldest of the strength tables the spread is a tenth wider or more."""
    usual, beyond = (drawn(Group(age_years=(age, age))) for age in (70.0, 88.0))
    spreads = [float(np.std(one.strength[: one.people])) for one in (usual, beyond)]
    assert spreads[1] > 1.1 * spreads[0]
    assert usual.beyond_tables == 0.0
    assert beyond.beyond_tables == 1.0


def test_the_tall_are_the_heavy_in_part() -> None:
    """Mass goes with height, correlation 0.5 (memory), apart from who is held to a usual build."""
    women = Group(20, 20, (1.50, 1.80), (30.0, 60.0), (55.0, 85.0))
    bodies = drawn(women).bodies
    both = np.corrcoef(bodies.stature_m[:400], bodies.mass_kg[:400])[0, 1]
    assert float(both) == pytest.approx(0.5, abs=0.12)


def test_nobody_stands_exactly_as_deep_as_told() -> None:
    """Waves, breath and knees spread the depth by some 2 cm, none of it in the middle."""
    group = drawn(Group())
    depths = group.depth_m[: group.people]
    assert float(np.mean(depths)) == pytest.approx(1.2, abs=0.003)
    assert 0.01 < float(np.std(depths)) < 0.03
    assert np.all(group.depth_m[group.people :] == 1.2)  # typical people stand as told
