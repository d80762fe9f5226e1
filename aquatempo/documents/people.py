"""The pool and the group, read from what a person types on a line or in a file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager, nullcontext
from typing import TypeVar

from aquatempo.errors import InputError, UnknownNameError
from aquatempo.records.people import DEEP_POOL, Group, Intensity, Pool
from aquatempo.units import (
    check_range,
    parse_length_m,
    parse_mass_kg,
    parse_number,
    parse_span,
    parse_temperature_c,
)

__all__ = ["GROUP_KEYS", "POOL_KEYS", "read_group", "read_pool"]

POOL_KEYS = ("depth", "temperature", "salinity", "space")
GROUP_KEYS = ("size", "women", "heights", "ages", "masses", "intensity")

DEPTH_M = (0.5, 5.0)
TEMPERATURE_C = (10.0, 40.0)  # from cold open water to a therapy pool
SALINITY_G_KG = (0.0, 45.0)
SPACE_M2 = (0.5, 50.0)
HEIGHT_M = (1.0, 2.3)
AGE_YEARS = (6.0, 110.0)
MASS_KG = (20.0, 250.0)
SIZE = (1, 200)

Value = TypeVar("Value")
Typed = Mapping[str, object]
Naming = Callable[[str], AbstractContextManager[object]]


def read_pool(typed: Typed, *, deep: bool = False, naming: Naming = nullcontext) -> Pool:
    """Return the pool of values as typed, the usual one where nothing is said.

    typed: of POOL_KEYS, what was given: text or numbers, a range as ``1.0-1.4`` or
    [1.0, 1.4], in metres or ``4ft``, degrees Celsius or ``84F``, g/kg, m2. deep: a belt
    class. naming: context that tells where a key was typed. Raises InputError.

    >>> read_pool({"depth": "1.0-1.4", "temperature": 29}).far_depth_m
    1.4
    """
    usual = DEEP_POOL if deep else Pool()
    given = _Given(typed, naming)
    near, far = given.span(
        "depth", "depth", parse_length_m, "m", DEPTH_M, "centimetres",
        (usual.depth_m, usual.far_depth_m or usual.depth_m),
    )  # fmt: skip
    return Pool(
        depth_m=near,
        far_depth_m=far if far > near else None,
        temperature_c=given.one("temperature", _temperature_c, usual.temperature_c),
        salinity_g_kg=given.one("salinity", _salinity_g_kg, usual.salinity_g_kg),
        kind=usual.kind,
        space_m2=given.one("space", _space_m2, usual.space_m2),
    )


def read_group(typed: Typed, *, naming: Naming = nullcontext) -> Group:
    """Return the group of values as typed, the usual one where nothing is said.

    typed: of GROUP_KEYS, what was given: counts of people, ranges such as ``1.50-1.90``,
    ``5ft-6ft``, ``30-75`` or [55, 95], the name of an intensity. naming: as for
    ``read_pool``. Raises InputError.

    >>> read_group({"heights": "5ft-6ft", "ages": "60-80"}).age_years
    (60.0, 80.0)
    """
    usual, given = Group(), _Given(typed, naming)
    size = given.one("size", _size, usual.size)
    share = usual.women / usual.size
    return Group(
        size=size,
        women=given.one("women", lambda text: _women(text, size), round(share * size)),
        height_m=given.span(
            *("heights", "height", parse_length_m, "m", HEIGHT_M, "centimetres", usual.height_m)
        ),
        age_years=given.span(
            *("ages", "age", parse_number, "years", AGE_YEARS, "", usual.age_years)
        ),
        mass_kg=given.span(
            *("masses", "mass", parse_mass_kg, "kg", MASS_KG, "pounds, as 150lb", usual.mass_kg)
        ),
        intensity=given.one("intensity", _intensity, usual.intensity),
    )


class _Given:
    """What was typed under some keys, read one by one."""

    def __init__(self, typed: Typed, naming: Naming) -> None:
        self._typed, self._naming = typed, naming

    def one(self, key: str, read: Callable[[str], Value], usual: Value) -> Value:
        value = self._typed.get(key)
        if value is None:
            return usual
        with self._naming(key):
            return read(_as_typed(value))

    def span(
        self,
        key: str,
        name: str,
        parse: Callable[[str, str], float],
        unit: str,
        limits: tuple[float, float],
        slip: str,
        usual: tuple[float, float],
    ) -> tuple[float, float]:
        """Return a range: name and unit as errors tell them, slip the unit that was meant."""

        def read(text: str) -> tuple[float, float]:
            low, high = (
                check_range(
                    *(name, value := parse(end, name), unit, *limits),
                    f"did you mean {slip}?" if slip and value > limits[1] else "",
                )
                for end in parse_span(text, name)
            )
            if low > high:
                raise InputError(f"{name} {text!r}: needs the smaller end first")
            return low, high

        return self.one(key, read, usual)


def _as_typed(value: object) -> str:
    """Return a value as people type it: a number, a text, or [low, high] as a range."""
    if isinstance(value, list) and len(value) == 2:
        return f"{value[0]}-{value[1]}"
    return str(value)


def _temperature_c(text: str) -> float:
    warmth = parse_temperature_c(text, "water temperature")
    slip = "did you mean Fahrenheit, as 84F?" if warmth > TEMPERATURE_C[1] else ""
    if warmth < TEMPERATURE_C[0] and text.strip().lower().endswith("f"):
        slip = "did you mean Celsius, without F?"
    check_range("water temperature", round(warmth, 1), "C", *TEMPERATURE_C, slip)
    return warmth


def _salinity_g_kg(text: str) -> float:
    return check_range("salinity", parse_number(text, "salinity"), "g/kg", *SALINITY_G_KG)


def _space_m2(text: str) -> float:
    name = "space for each person"
    return check_range(name, parse_number(text, name), "m2", *SPACE_M2)


def _size(text: str) -> int:
    return int(check_range("group size", _whole(text, "group size"), "", *SIZE))


def _women(text: str, size: int) -> int:
    women = _whole(text, "women")
    if not 0 <= women <= size:
        raise InputError(f"{women} women in a group of {size}: needs 0 to {size}")
    return women


def _whole(text: str, name: str) -> int:
    value = parse_number(text, name)
    if value != int(value):
        raise InputError(f"{name} {text!r}: needs a whole number")
    return int(value)


def _intensity(text: str) -> Intensity:
    try:
        return Intensity(text.strip().lower())
    except ValueError:
        raise UnknownNameError("intensity", text, [one.value for one in Intensity]) from None
