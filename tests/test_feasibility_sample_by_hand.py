"""Who is drawn, number by number: a lattice of seven roots, and what each of its rows sets.

The lattice is an additive recurrence with the powers of the root of x^8 = x + 1 (the generalised
golden ratio of seven dimensions); its row for each figure is told below.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import GROUP, POOL, form
from scipy.optimize import brentq
from scipy.stats import truncnorm

from aquatempo.errors import InputError, RangeError
from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.draws import DRAWS, row_inputs
from aquatempo.feasibility.engine import Engine
from aquatempo.feasibility.group_figures import figures_of, limits_bpm
from aquatempo.feasibility.law import TEMPI_BPM
from aquatempo.feasibility.sample import Sample, sample_of
from aquatempo.moves import parse_pattern
from aquatempo.records.people import Group, Pool
from aquatempo.water.effort import peak_met

HEIGHT, MASS, AGE, FAT, STRENGTH, FITNESS, PLACE = range(7)
N = 100
WOMEN = Group(20, 20, (1.50, 1.80), (30.0, 60.0), (55.0, 95.0))
ROOT = float(brentq(lambda x: x**8 - x - 1.0, 1.0, 2.0))
EVEN = (0.5 + np.outer(ROOT ** -np.arange(1.0, 8.0), np.arange(1, N + 1))) % 1.0
NORMAL = truncnorm(-2, 2).ppf(EVEN)


def drawn(group: Group = WOMEN, pool: Pool | None = None) -> Sample:
    """Return the usual sample of a group."""
    return sample_of(group, pool or Pool(), free_inputs())


def test_every_figure_has_a_row_of_its_own() -> None:
    """Height, mass with it, age, strength and uptake of women, and how deep they stand."""
    sample = drawn()
    bodies = sample.bodies
    height = 1.65 + 0.075 * NORMAL[HEIGHT]
    assert bodies.stature_m[:N] == pytest.approx(height)
    heavy = np.clip(0.5 * NORMAL[HEIGHT] + np.sqrt(0.75) * NORMAL[MASS], -2, 2)
    mass = np.clip(75.0 + 10.0 * heavy, 17.0 * height**2, 45.0 * height**2)
    assert bodies.mass_kg[:N] == pytest.approx(mass)
    assert bodies.age_years[:N] == pytest.approx(30.0 + 30.0 * EVEN[AGE])
    spread = free_inputs().strength_spread
    assert sample.strength[:N] == pytest.approx(np.exp(spread * NORMAL[STRENGTH] - spread**2 / 2))
    usual = peak_met(bodies)
    wanted = np.maximum(usual[:N] * np.exp(0.2 * NORMAL[FITNESS] - 0.02), 2.5)
    assert sample.peak_met[:N] == pytest.approx(wanted)
    assert sample.depth_m[:N] == pytest.approx(1.2 + 0.025 * NORMAL[PLACE])
    assert sample.peak_met[N:] == pytest.approx(usual[N:] * np.exp(-0.02))
    assert sample.bodies.stature_m[N:] == pytest.approx(1.65)
    assert sample.bodies.mass_kg[N:] == pytest.approx(75.0)
    assert sample.bodies.age_years[N:] == pytest.approx(45.0)


def test_nobody_has_a_build_beyond_reach() -> None:
    """17 to 45 kg/m2: of 1.50 m at least 38 kg and at most 101; ends of masses beyond are cut."""
    light = drawn(replace(WOMEN, height_m=(1.60, 1.60), mass_kg=(30.0, 160.0))).bodies
    assert light.mass_kg.min() == pytest.approx(17.0 * 1.6**2)
    assert light.mass_kg.max() == pytest.approx(45.0 * 1.6**2)
    assert light.stature_m == pytest.approx(1.60)


def test_fat_is_that_of_a_published_equation_or_even_where_told() -> None:
    """Women: 1.20 BMI + 0.23 age - 5.4, standard error 4.1, 6 to 55 % (Deurenberg 1991)."""
    usual, leaner = drawn().bodies, drawn(replace(WOMEN, body_fat_percent=(20.0, 40.0))).bodies
    fat = 1.20 * usual.mass_kg / usual.stature_m**2 + 0.23 * usual.age_years - 5.4
    fat[:N] += 4.1 * NORMAL[FAT]
    told = 20.0 + 20.0 * np.concatenate([EVEN[FAT], np.full(DRAWS + 2, 0.5)])
    fat -= 10.8 * ~usual.woman  # the typical man
    assert usual.fat_percent == pytest.approx(np.clip(fat, 6.0, 55.0))
    assert leaner.fat_percent == pytest.approx(told)


def test_men_and_women_share_the_range_of_heights() -> None:
    """Apart by 12.77 cm (ANSUR 2012) at its lower and upper part; alone they have all of it."""
    sample = drawn(replace(WOMEN, women=10))
    apart = 1.7562 - 1.6285
    middle = np.where(np.arange(N) < 50, (3.30 - apart) / 2, (3.30 + apart) / 2)
    wanted = middle + (0.30 - apart) / 4 * NORMAL[HEIGHT]
    assert sample.bodies.stature_m[:N] == pytest.approx(wanted)
    assert sample.bodies.stature_m[N : N + 2] == pytest.approx(
        [(3.30 - apart) / 2, (3.30 + apart) / 2]
    )
    men = drawn(replace(WOMEN, women=0))
    assert men.bodies.stature_m[:N] == pytest.approx(1.65 + 0.075 * NORMAL[HEIGHT])


def test_places_on_a_slope() -> None:
    """0.7 with height, the rest by itself, cut at two standard deviations, from end to end."""
    sample = drawn(pool=Pool(depth_m=0.9, far_depth_m=1.5))
    place = np.clip(0.7 * NORMAL[HEIGHT] + np.sqrt(0.51) * NORMAL[PLACE], -2, 2)
    assert sample.depth_m[:N] == pytest.approx(1.2 + 0.15 * place)
    assert sample.depth_m[N:] == pytest.approx(1.2)


def test_one_woman_among_many_is_drawn() -> None:
    """One in 300 is a third of a person in a hundred, and yet one; none in none."""
    for women, wanted in ((0, 0), (1, 1), (150, 50), (299, 100), (300, 100)):
        sample = drawn(Group(300, women))
        assert int(sample.bodies.woman[:N].sum()) == wanted
        assert sample.people == N
        assert len(sample) == N + 2 + DRAWS
    assert np.array_equal(sample.typical, np.full(DRAWS, N))


def test_who_is_older_than_the_tables_differs_more() -> None:
    """The share beyond 75 years, people only; their strength spreads a hundredth more a year."""
    assert drawn(replace(WOMEN, age_years=(30.0, 75.0))).beyond_tables == 0.0
    old = drawn(replace(WOMEN, age_years=(70.0, 90.0)))
    ages = old.bodies.age_years[:N]
    assert old.beyond_tables == np.mean(ages > 75.0)
    sd = free_inputs().strength_spread + 0.01 * np.maximum(ages - 75.0, 0.0)
    assert old.strength[:N] == pytest.approx(np.exp(sd * NORMAL[STRENGTH] - sd**2 / 2))


@pytest.mark.parametrize(
    ("size", "women", "told"),
    [
        (0, 0, "group of 0 with 0 women: needs at least 1 person and no more women than people"),
        (5, 6, "group of 5 with 6 women: needs at least 1 person and no more women than people"),
        (5, -1, "group of 5 with -1 women: needs at least 1 person and no more women than people"),
    ],
)
def test_an_impossible_group_is_refused(size: int, women: int, told: str) -> None:
    """Nobody, more women than people, fewer than none."""
    with pytest.raises(InputError) as caught:
        drawn(Group(size, women))
    assert str(caught.value) == told
    for least in (0, 1):
        assert len(drawn(Group(1, least)))


@pytest.mark.parametrize(
    ("name", "field"),
    [
        ("height", "height_m"),
        ("age", "age_years"),
        ("mass", "mass_kg"),
        ("body fat", "body_fat_percent"),
        ("maximal oxygen uptake", "uptake_ml_kg_min"),
    ],
)
def test_a_range_has_its_lower_end_first(name: str, field: str) -> None:
    """Ends the wrong way round are told; equal ends are one value."""
    with pytest.raises(InputError) as caught:
        drawn(replace(WOMEN, **{field: (31.0, 30.0)}))  # type: ignore[arg-type]
    assert str(caught.value) == f"{name} range 31 to 30: needs the lower end first"
    value = 1.7 if field == "height_m" else 60.0
    value = 30.0 if "percent" in field or "uptake" in field else value
    assert len(drawn(replace(WOMEN, **{field: (value, value)})))  # type: ignore[arg-type]


def test_uptake_and_depth_have_their_borders() -> None:
    """8 to 90 mL/kg/min, 0.3 to 5 m at either end of a pool."""
    ends = drawn(replace(WOMEN, uptake_ml_kg_min=(8.0, 90.0)))
    assert ends.peak_met[:N] == pytest.approx(np.maximum((8.0 + 82.0 * EVEN[FITNESS]) / 3.5, 2.5))
    for span in ((7.9, 30.0), (30.0, 90.1)):
        with pytest.raises(RangeError, match="needs 8 to 90 mL/kg/min"):
            drawn(replace(WOMEN, uptake_ml_kg_min=span))
    assert len(drawn(pool=Pool(depth_m=0.3, far_depth_m=5.0)))
    for pool in (Pool(depth_m=0.29), Pool(depth_m=5.1), Pool(depth_m=1.0, far_depth_m=5.1)):
        with pytest.raises(RangeError, match=r"needs 0\.3 to 5 m"):
            drawn(pool=pool)


def test_words_among_the_inputs_are_the_same_for_all_rows() -> None:
    """The shape of a motion is one word; numbers have as many rows as fixed ones and draws."""
    rows = row_inputs(free_inputs(), 5, 7)
    assert rows.motion_profile == free_inputs().motion_profile
    assert len(np.asarray(rows.plate_cd)) == 12
    assert len(np.asarray(row_inputs(free_inputs(), 2).plate_cd)) == 2 + DRAWS


@pytest.mark.parametrize(("wanted", "rest"), [(0.95, 0.05), (0.5, 0.5)])
def test_a_limit_beyond_the_tempi_goes_with_the_sixteenth_power(wanted: float, rest: float) -> None:
    """A loss of half the allowed at the last tempo: 2^(1/16) further; twice at the first: less."""
    kept = np.ones((4, len(TEMPI_BPM)))
    kept[0] = 1.0 - rest / 2.0
    kept[1] = 1.0 - min(2.0 * rest, 1.0)
    kept[3, :] = 0.0
    found = limits_bpm(kept, wanted)
    assert found[0] == pytest.approx(TEMPI_BPM[-1] * 2.0 ** (1 / 16))
    assert found[1] == pytest.approx(40.0 * 2.0 ** (-1 / 16))
    assert found[2] == pytest.approx(min(TEMPI_BPM[-1] * (rest / 1e-9) ** (1 / 16), 480.0))
    assert found[3] == pytest.approx(max(40.0 * rest ** (1 / 16), 20.0))


def test_a_step_down_is_found_between_two_tempi() -> None:
    """From 1 to 0.5 between the 6th and 7th tempo: 0.95 after a tenth of the way in ln tempo."""
    kept = np.ones((1, len(TEMPI_BPM)))
    kept[0, 6:] = 0.5
    assert limits_bpm(kept, 0.95)[0] == pytest.approx(TEMPI_BPM[5] * 2.0 ** (0.1 / 8))
    flat = np.ones((1, len(TEMPI_BPM)))
    flat[0, 1:] = 0.95 - 1e-13
    assert TEMPI_BPM[0] <= limits_bpm(flat, 0.95)[0] <= TEMPI_BPM[1] * 1.001


def test_the_figures_of_people_are_quantiles_and_those_of_the_model_factors() -> None:
    """Every figure of a ski: Hazen's quantiles of people, times draws over typical people."""
    engine = Engine(POOL, GROUP, free_inputs(), 240.0)
    people, n = engine.people, engine.people.people
    persons = engine.persons(form("jack"), parse_pattern("1"))
    told = figures_of(persons, people)

    def of(values: np.ndarray, *q: float) -> np.ndarray:
        return np.asarray(np.quantile(values[:n], q, axis=0, method="hazen").T)

    for figure, person in (
        ("legs_kept", "legs"), ("arms_kept", "arms"), ("hop_kept", "hop"),
        ("travel_kept", "travel"), ("hand_force_n", "hand_n"), ("foot_force_n", "foot_n"),
        ("breath", "breath"), ("capacity_share", "share"),
    ):  # fmt: skip
        wanted = of(getattr(persons, person), 0.5)[:, 0]
        assert getattr(told, figure) == pytest.approx(wanted), figure
    assert told.full_held_s == pytest.approx(of(persons.full_held_s, 0.1, 0.5))
    assert told.impact_bw == pytest.approx(of(persons.impact_bw, 0.5, 0.9))
    for step, found in zip(persons.by_step, told.by_step, strict=True):
        assert found == pytest.approx(of(step, 0.5)[:, 0])
    for figure in ("met", "rpe"):
        values = getattr(persons, figure)
        factors = values[n + 2 :] / values[people.typical]
        ends = np.quantile(factors, [0.1, 0.9], axis=0, method="hazen")
        wanted = (ends * of(values, 0.5)[:, 0]).T
        assert getattr(told, f"{figure}_model") == pytest.approx(wanted), figure
    age = people.bodies.age_years[:, None]
    # Share of the reserve of the heart is that of uptake; 208 - 0.7 age, 65 at rest (memory).
    reserve = (persons.met - 1.0) / (people.peak_met[:, None] - 1.0)
    beats = 65.0 + np.clip(reserve, 0.0, 1.0) * (208.0 - 0.7 * age - 65.0)
    assert told.heart_rate_bpm == pytest.approx(of(beats, 0.5)[:, 0], rel=0.02)
    # A person within 1 % of a tempo counts in part, by a logistic curve.
    own = np.log(limits_bpm(persons.kept[:n], 0.95))
    soft = 1.0 / (1.0 + np.exp(-(own[:, None] - np.log(TEMPI_BPM)) / 0.01))
    assert told.full_share == pytest.approx(soft.mean(axis=0), abs=1e-9)
