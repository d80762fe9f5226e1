"""Plain data and records: each kind of field read and refused, with the place that is told."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

import pytest

from aquatempo.errors import InputError
from aquatempo.records.plain import from_plain, to_plain


class Colour(Enum):
    """Two values that are no text."""

    RED = 1
    BLUE = 2


@dataclass(frozen=True)
class Inner:
    """A record within another."""

    number: float
    label: str = "x"


@dataclass(frozen=True)
class Outer:
    """One field of each kind."""

    whole: int
    flag: bool
    inner: Inner
    colour: Colour = Colour.RED
    many: tuple[Inner, ...] = ()
    numbers: tuple[float, ...] = ()
    pair: tuple[int, str] = (1, "a")
    maybe: Inner | None = None
    either: int | float | str = 0
    made: list[int] = field(default_factory=list)


GOOD: dict[str, Any] = {"whole": 3, "flag": True, "inner": {"number": 2}}


def read(**change: Any) -> Outer:
    """Return a record of good data with a change."""
    return from_plain(Outer, GOOD | change)


def test_a_record_is_read_with_its_defaults() -> None:
    """A whole number stands for a float; what has a default may be missing."""
    found = read()
    assert found == Outer(3, True, Inner(2.0))
    assert isinstance(found.inner.number, float)
    assert to_plain(found) == {
        "whole": 3, "flag": True, "inner": {"number": 2.0, "label": "x"}, "colour": 1, "many": [],
        "numbers": [], "pair": [1, "a"], "maybe": None, "either": 0, "made": [],
    }  # fmt: skip


@pytest.mark.parametrize(
    ("change", "name", "value"),
    [
        ({"colour": 2}, "colour", Colour.BLUE),
        ({"many": [{"number": 1.5}]}, "many", (Inner(1.5),)),
        ({"numbers": [1.5, 2.5]}, "numbers", (1.5, 2.5)),
        ({"numbers": [1, 2.5]}, "numbers", (1.0, 2.5)),
        ({"numbers": (1.5,)}, "numbers", (1.5,)),
        ({"pair": [4, "b"]}, "pair", (4, "b")),
        ({"maybe": {"number": 1}}, "maybe", Inner(1.0)),
        ({"maybe": None}, "maybe", None),
        ({"either": 2}, "either", 2),
        ({"either": 2.0}, "either", 2.0),
        ({"either": "2"}, "either", "2"),
    ],
)
def test_each_kind_of_field_is_read(change: dict[str, Any], name: str, value: object) -> None:
    """With the type that it had."""
    found = getattr(read(**change), name)
    assert (found, type(found)) == (value, type(value))
    if name == "numbers":
        assert all(type(one) is float for one in found)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"whole": 2.0}, "whole 2.0: needs a whole number"),
        ({"whole": True}, "whole True: needs a whole number"),
        ({"whole": "2"}, "whole '2': needs a whole number"),
        ({"flag": 1}, "flag 1: needs true or false"),
        ({"inner": {"number": True}}, "inner.number True: needs a number"),
        ({"inner": {"number": math.inf}}, "inner.number inf: needs a number"),
        ({"inner": {}}, "inner.number is missing"),
        ({"inner": {"number": 1, "lable": 2}}, "inner.lable: unknown; known here: number, label"),
        ({"inner": [1]}, "inner [1]: needs a table of Inner"),
        ({"colour": 3}, "colour 3: needs 1, 2"),
        ({"many": [{"number": 1}, 5]}, "many[1] 5: needs a table of Inner"),
        ({"many": {"number": 1}}, "many {'number': 1}: needs a list"),
        ({"numbers": [1.5, math.nan]}, "numbers[1] nan: needs a number"),
        ({"numbers": [1.5, "x"]}, "numbers[1] 'x': needs a number"),
        ({"pair": [1]}, "pair [1]: needs a list of 2"),
        ({"pair": [1, "a", 2]}, "pair [1, 'a', 2]: needs a list of 2"),
        ({"pair": ["a", 1]}, "pair[0] 'a': needs a whole number"),
        ({"either": []}, "either []: needs a whole number or a number or text"),
        ({"maybe": 3}, "maybe 3: needs a table of Inner"),
        ({"unknown": 3}, "unknown: unknown; known here: whole, flag, inner, colour, many, numbers, "
         "pair, maybe, either, made"),
        ({"whole": "x" * 58}, f"whole {'x' * 58!r}: needs a whole number"),  # 60 with its quotes
        ({"whole": "x" * 59}, f"whole '{'x' * 56}...: needs a whole number"),
    ],
)  # fmt: skip
def test_what_does_not_fit_has_its_place(change: dict[str, Any], told: str) -> None:
    """Keys and indexes that lead to it, what was seen, what is needed."""
    with pytest.raises(InputError) as caught:
        read(**change)
    assert str(caught.value) == told


def test_a_place_may_be_given() -> None:
    """It stands before the rest; without one the whole is told."""
    with pytest.raises(InputError, match=r"^file\.whole is missing$"):
        from_plain(Outer, {}, "file")
    with pytest.raises(InputError, match=r"^the whole 5: needs a table of Outer$"):
        from_plain(Outer, 5)
    with pytest.raises(InputError, match=r"^whole is missing$"):
        from_plain(Outer, {})


def test_what_is_written() -> None:
    """Scalars as they are, tuples as lists, enumerations by their value."""
    assert to_plain((1, 2.5, True, None, "a", Colour.BLUE, [Inner(1.0)])) == [
        1, 2.5, True, None, "a", 2, [{"number": 1.0, "label": "x"}],
    ]  # fmt: skip
    for wrong in (math.nan, math.inf, Inner(math.nan)):
        with pytest.raises(ValueError, match="has no place in plain data: use None"):
            to_plain(wrong)
    for foreign in (object(), Inner, {"a": 1}, {1}):
        with pytest.raises(TypeError, match="is not part of a record"):
            to_plain(foreign)
