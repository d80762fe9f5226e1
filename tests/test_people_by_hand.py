"""Pool and group as people type them: each value, each border, each likely slip."""

from __future__ import annotations

import pytest

from aquatempo.documents.people import read_group, read_pool
from aquatempo.errors import InputError
from aquatempo.records.people import ClassDepth, Group, Intensity, Pool


def test_nothing_said_is_the_usual() -> None:
    """A pool of 1.2 m, of 2 m for belts; a group of 20, of whom 14 are women."""
    assert read_pool({}) == Pool()
    assert read_pool({}, deep=True) == Pool(depth_m=2.0, kind=ClassDepth.DEEP)
    assert read_group({}) == Group()


@pytest.mark.parametrize(
    ("typed", "near_m", "far_m"),
    [
        ("1.0-1.4", 1.0, 1.4),
        ([1.0, 1.4], 1.0, 1.4),
        (1.3, 1.3, None),
        ("1.3-1.3", 1.3, None),
        ("120cm", 1.2, None),
        ("4ft", 1.2192, None),  # the international foot is 0.3048 m
        ("4ft..5ft", 1.2192, 1.524),
        ("0.5-5", 0.5, 5.0),
    ],
)
def test_the_depth_is_a_length_or_a_range(
    typed: object, near_m: float, far_m: float | None
) -> None:
    """One depth is that of the whole pool."""
    pool = read_pool({"depth": typed})
    assert (pool.depth_m, pool.far_depth_m) == (near_m, far_m)


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [(29, 29.0), ("84F", 28.89), ("50F", 10.0), (10, 10.0), (40, 40.0), ("104F", 40.0)],
)
def test_the_water_is_warm_in_either_scale(typed: object, wanted: float) -> None:
    """(84 - 32) x 5 / 9 = 28.89; 50 F are 10 C and 104 F are 40 C, the borders."""
    assert read_pool({"temperature": typed}).temperature_c == wanted


def test_other_figures_of_the_pool() -> None:
    """Salt and room at both ends of their ranges."""
    for salinity, space in ((0, 0.5), (45, 50)):
        pool = read_pool({"salinity": salinity, "space": space})
        assert (pool.salinity_g_kg, pool.space_m2) == (salinity, space)


@pytest.mark.parametrize(
    ("key", "typed", "told"),
    [
        ("depth", 120, "depth 120 m: needs 0.5 to 5 m (did you mean centimetres?)"),
        ("depth", 5.01, "depth 5.01 m: needs 0.5 to 5 m (did you mean centimetres?)"),
        ("depth", 0.4, "depth 0.4 m: needs 0.5 to 5 m"),
        ("depth", "1.4-1.0", "depth '1.4-1.0': needs the smaller end first"),
        ("depth", "deep", "depth 'deep': needs metres (1.2), 120cm, 4ft or 5ft 10in"),
        ("depth", [1, 2, 3], "depth '[1, 2, 3]': needs metres (1.2), 120cm, 4ft or 5ft 10in"),
        ("temperature", 84, "water temperature 84 C: needs 10 to 40 C "
         "(did you mean Fahrenheit, as 84F?)"),
        ("temperature", 40.1, "water temperature 40.1 C: needs 10 to 40 C "
         "(did you mean Fahrenheit, as 84F?)"),
        ("temperature", "28F", "water temperature -2.2 C: needs 10 to 40 C "
         "(did you mean Celsius, without F?)"),
        ("temperature", 9.9, "water temperature 9.9 C: needs 10 to 40 C"),
        ("salinity", -1, "salinity -1 g/kg: needs 0 to 45 g/kg"),
        ("salinity", 46, "salinity 46 g/kg: needs 0 to 45 g/kg"),
        ("space", 0.4, "space for each person 0.4 m2: needs 0.5 to 50 m2"),
        ("space", 51, "space for each person 51 m2: needs 0.5 to 50 m2"),
        ("space", "much", "space for each person 'much': needs a number, such as 65"),
    ],
)  # fmt: skip
def test_a_pool_that_is_none_is_refused(key: str, typed: object, told: str) -> None:
    """What was seen, what is needed, and what was likely meant."""
    with pytest.raises(InputError) as caught:
        read_pool({key: typed})
    assert str(caught.value) == told


def test_ranges_of_the_group() -> None:
    """In metres or feet, years, kilograms or pounds; one value is both ends."""
    group = read_group({"heights": "5ft-6ft", "ages": [30, 75], "masses": "120lb-190lb"})
    assert group.height_m == (1.524, 1.8288)
    assert group.age_years == (30.0, 75.0)
    assert group.mass_kg == (54.43, 86.18)  # 0.45359237 kg a pound
    assert read_group({"ages": 60}).age_years == (60.0, 60.0)
    assert read_group({"intensity": " Hard "}).intensity is Intensity.HARD


@pytest.mark.parametrize(
    ("size", "women"), [(20, 14), (10, 7), (18, 13), (1, 1), (3, 2), (200, 140)]
)
def test_of_ten_people_seven_are_women_where_nothing_is_said(size: int, women: int) -> None:
    """14 of the usual 20: of 18, 12.6, rounded."""
    assert read_group({"size": size}).women == women


@pytest.mark.parametrize("women", [0, 9, 18])
def test_women_are_none_to_all(women: int) -> None:
    """As many as there are people at most."""
    assert read_group({"size": 18, "women": women}).women == women


@pytest.mark.parametrize(
    ("key", "low", "high", "unit"),
    [("heights", 1.0, 2.3, "m"), ("ages", 6, 110, "years"), ("masses", 20, 250, "kg")],
)
def test_ranges_reach_to_their_borders(key: str, low: float, high: float, unit: str) -> None:
    """The border is read, a tenth beyond it is not."""
    read_group({key: f"{low}-{high}"})
    for span in (f"{low - 0.1:g}-{high}", f"{low}-{high + 0.1:g}"):
        with pytest.raises(InputError, match=f"needs {low:g} to {high:g} {unit}"):
            read_group({key: span})


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"heights": "150-190"}, "height 150 m: needs 1 to 2.3 m (did you mean centimetres?)"),
        ({"masses": "300"}, "mass 300 kg: needs 20 to 250 kg (did you mean pounds, as 150lb?)"),
        ({"masses": "10"}, "mass 10 kg: needs 20 to 250 kg"),
        ({"ages": "120"}, "age 120 years: needs 6 to 110 years"),
        ({"ages": "80-60"}, "age '80-60': needs the smaller end first"),
        ({"size": 0}, "group size 0: needs 1 to 200"),
        ({"size": 201}, "group size 201: needs 1 to 200"),
        ({"size": 2.5}, "group size '2.5': needs a whole number"),
        ({"size": 5, "women": 6}, "6 women in a group of 5: needs 0 to 5"),
        ({"size": 5, "women": -1}, "-1 women in a group of 5: needs 0 to 5"),
        ({"women": 2.5}, "women '2.5': needs a whole number"),
        ({"intensity": "wild"}, "no intensity named 'wild'; known: easy, steady, hard"),
    ],
)
def test_a_group_that_is_none_is_refused(typed: dict[str, object], told: str) -> None:
    """What was seen, what is needed, and what was likely meant."""
    with pytest.raises(InputError) as caught:
        read_group(typed)
    assert str(caught.value) == told


def test_the_deep_pool_of_a_range_is_deep() -> None:
    """Its kind is that of the class, whatever the depth."""
    pool = read_pool({"depth": "1.8-3"}, deep=True)
    assert (pool.kind, pool.depth_m, pool.far_depth_m) == (ClassDepth.DEEP, 1.8, 3.0)
