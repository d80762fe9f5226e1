"""The pool and the group, read from what a person types."""

from __future__ import annotations

from collections.abc import Callable

from aquatempo.errors import InputError, UnknownNameError
from aquatempo.records.people import ClassDepth, Group, Intensity, Pool
from aquatempo.units import (
    check_range,
    parse_length_m,
    parse_mass_kg,
    parse_span,
    parse_temperature_c,
)

__all__ = ["read_group", "read_pool"]

DEPTH_M = (0.5, 5.0)
TEMPERATURE_C = (10.0, 40.0)  # from cold open water to a therapy pool
SPACE_M2 = (0.5, 50.0)
HEIGHT_M = (1.0, 2.3)
AGE_YEARS = (6.0, 110.0)
MASS_KG = (20.0, 250.0)
SIZE = (1, 200)
DEEP_M = 2.0  # default depth of a deep class: over the head of the tallest of most groups


def read_pool(
    depth: str | None = None,
    temperature: str | None = None,
    *,
    deep: bool = False,
    space_m2: float | None = None,
) -> Pool:
    """Return the pool of texts such as ``1.2``, ``4ft`` or ``1.0-1.4`` (a slope) and ``29``.

    >>> read_pool("1.0-1.4").far_depth_m
    1.4
    """
    usual = Pool(kind=ClassDepth.DEEP, depth_m=DEEP_M) if deep else Pool()
    near, far = usual.depth_m, usual.far_depth_m
    if depth is not None:
        near, far_end = _span(depth, "depth", parse_length_m, "m", DEPTH_M, "centimetres")
        far = far_end if far_end > near else None
    warmth = usual.temperature_c
    if temperature is not None:
        warmth = parse_temperature_c(temperature, "water temperature")
        slip = "did you mean Fahrenheit, as 84F?" if warmth > TEMPERATURE_C[1] else ""
        if warmth < TEMPERATURE_C[0] and temperature.strip().lower().endswith("f"):
            slip = "did you mean Celsius, without F?"
        check_range("water temperature", round(warmth, 1), "C", *TEMPERATURE_C, slip)
    if space_m2 is not None:
        check_range("space for each person", space_m2, "m2", *SPACE_M2)
    return Pool(near, far, warmth, kind=usual.kind, space_m2=space_m2)


def read_group(
    *,
    size: int | None = None,
    women: int | None = None,
    heights: str | None = None,
    ages: str | None = None,
    masses: str | None = None,
    intensity: str | None = None,
) -> Group:
    """Return the group of ranges as typed: ``1.50-1.90``, ``5ft-6ft``, ``30-75``, ``55-95``.

    >>> read_group(heights="5ft-6ft", ages="60-80").age_years
    (60.0, 80.0)
    """
    usual = Group()
    people = usual.size if size is None else int(check_range("group size", size, "", *SIZE))
    share = usual.women / usual.size
    of_them = round(share * people) if women is None else women
    if not 0 <= of_them <= people:
        raise InputError(f"{of_them} women in a group of {people}: needs 0 to {people}")
    return Group(
        size=people,
        women=of_them,
        height_m=usual.height_m
        if heights is None
        else _span(heights, "height", parse_length_m, "m", HEIGHT_M, "centimetres"),
        age_years=usual.age_years
        if ages is None
        else _span(ages, "age", _parse_years, "years", AGE_YEARS, ""),
        mass_kg=usual.mass_kg
        if masses is None
        else _span(masses, "mass", parse_mass_kg, "kg", MASS_KG, "pounds, as 150lb"),
        intensity=usual.intensity if intensity is None else _intensity(intensity),
    )


def _span(
    text: str,
    name: str,
    parse: Callable[[str, str], float],
    unit: str,
    limits: tuple[float, float],
    slip: str,
) -> tuple[float, float]:
    first, second = parse_span(text, name)
    ends = []
    for end in (first, second):
        value = parse(end, name)
        likely = f"did you mean {slip}?" if slip and value > limits[1] else ""
        ends.append(check_range(name, value, unit, *limits, likely))
    if ends[0] > ends[1]:
        raise InputError(f"{name} {text!r}: needs the smaller end first")
    return ends[0], ends[1]


def _parse_years(text: str, name: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise InputError(f"{name} {text!r}: needs years, as 65 or 60-80") from None


def _intensity(text: str) -> Intensity:
    try:
        return Intensity(text.strip().lower())
    except ValueError:
        raise UnknownNameError("intensity", text, [one.value for one in Intensity]) from None
