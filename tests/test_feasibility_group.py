"""A group as a sample of bodies, and the tempo where each of them loses full range."""

from __future__ import annotations

import math

import numpy as np
import pytest
from feasibility_cases import GROUP, POOL, form

from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.combining import Persons
from aquatempo.feasibility.engine import Engine
from aquatempo.feasibility.group_figures import figures_of, limits_bpm
from aquatempo.feasibility.law import TEMPI_BPM
from aquatempo.feasibility.sample import Sample, sample_of
from aquatempo.moves import parse_pattern
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


@pytest.fixture(scope="module")
def ski() -> tuple[Engine, Persons]:
    """Return a ski at land tempo, person by person."""
    engine = Engine(POOL, GROUP, free_inputs(), 240.0)
    return engine, engine.persons(form("cross-country-ski"), parse_pattern("1"))


@pytest.mark.parametrize(
    ("figure", "person"), [("range_kept", "kept"), ("met", "met"), ("rpe", "rpe")]
)
def test_a_group_is_told_by_its_quantiles(
    ski: tuple[Engine, Persons], figure: str, person: str
) -> None:
    """Weak tenth, median and strong tenth of equal people are numpy's quantiles of Hazen."""
    engine, persons = ski
    told = figures_of(persons, engine.people)
    group = getattr(persons, person)[: engine.people.people]
    wanted = np.quantile(group, [0.1, 0.5, 0.9], axis=0, method="hazen").T
    assert getattr(told, figure) == pytest.approx(wanted, rel=1e-6)


def test_what_breath_has_left_for_the_less_fit_is_told(ski: tuple[Engine, Persons]) -> None:
    """One in ten uses ``capacity_less_fit`` or more; landings are the median and hardest tenth."""
    engine, persons = ski
    told, n = figures_of(persons, engine.people), engine.people.people
    low, median, high = (
        np.quantile(persons.share[:n], q, axis=0, method="hazen") for q in (0.1, 0.5, 0.9)
    )
    assert told.capacity_share == pytest.approx(median)
    assert told.capacity_less_fit == pytest.approx(high)
    assert np.all(low <= median)
    held = np.quantile(persons.held_s[:n], [0.1, 0.5], axis=0, method="hazen").T
    assert told.held_s == pytest.approx(held)
    landing = np.quantile(persons.impact_bw[:n], [0.5, 0.9], axis=0, method="hazen").T
    assert told.impact_bw == pytest.approx(landing)
    assert told.legs_kept == pytest.approx(
        np.quantile(persons.legs[:n], 0.5, axis=0, method="hazen")
    )


def test_the_share_with_full_range_counts_people(ski: tuple[Engine, Persons]) -> None:
    """Nobody within 5 % of a tempo: the soft share is the number of people above it, over all."""
    engine, persons = ski
    told = figures_of(persons, engine.people)
    for share, kept in ((told.full_share, 0.95), (1.0 - told.lost_share, 0.5)):
        limits = limits_bpm(persons.kept[: engine.people.people], kept)
        for tempo, found in zip(TEMPI_BPM, share, strict=True):
            near = np.mean(np.abs(np.log(limits / tempo)) < 0.05)
            assert found == pytest.approx(np.mean(limits > tempo), abs=near + 1e-2)


def test_odds_count_pairs_of_people_and_draws(ski: tuple[Engine, Persons]) -> None:
    """How likely full range is: of people times factors of draws, the share of higher limits."""
    engine, persons = ski
    told, people = figures_of(persons, engine.people), engine.people
    limits = limits_bpm(persons.kept, 0.95)
    factors = limits[people.people + 2 :] / limits[people.typical]
    pairs = (limits[: people.people, None] * factors).ravel()
    for tempo, odds in zip(TEMPI_BPM, told.odds, strict=True):
        assert odds == pytest.approx(np.mean(pairs > tempo), abs=0.01)
    assert told.people_bpm == pytest.approx(limits[: people.people])
    assert told.model == pytest.approx(factors)
    assert told.limit_bpm == pytest.approx(np.quantile(pairs, [0.25, 0.75]), rel=0.005)
    assert told.max_tempo_bpm == pytest.approx(
        math.exp(float(np.median(np.log(limits[: people.people]))))
    )
    middle = np.log(told.max_tempo_bpm)
    of_model = np.exp(middle + np.quantile(np.log(factors), [0.1, 0.9]))
    assert told.limit_model_bpm == pytest.approx(of_model)
    of_people = np.quantile(limits[: people.people], [0.1, 0.9])
    assert told.limit_people_bpm == pytest.approx(of_people, rel=0.01)


def test_a_limit_is_where_a_straight_line_over_the_logarithm_crosses() -> None:
    """A share that falls from 1 at 80 to 0 at 160 b/min in ln tempo is 0.75 at 80 x 2^0.25."""
    kept = np.clip(1.0 - np.log2(TEMPI_BPM / 80.0), 0.0, 1.0)[None]
    for share in (0.9, 0.75, 0.5, 0.1):
        assert limits_bpm(kept, share)[0] == pytest.approx(80.0 * 2.0 ** (1.0 - share), rel=1e-9)
