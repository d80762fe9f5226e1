"""Records to plain data (dicts, lists, numbers, text) and back, as JSON and TOML hold it.

Reading is strict: a missing or unknown key, or a value of another type, is an error
that names its place. Writing a record and reading it back gives an equal record.
"""

from __future__ import annotations

import contextlib
import math
import types
from dataclasses import MISSING, fields, is_dataclass
from enum import Enum
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from aquatempo.errors import InputError

__all__ = ["Plain", "from_plain", "to_plain"]

Plain = dict[str, Any] | list[Any] | str | int | float | bool | None
Record = TypeVar("Record")

_NAMES = {str: "text", int: "a whole number", float: "a number", bool: "true or false"}


def to_plain(value: object) -> Plain:
    """Return a record, or a tuple, enum or scalar in one, as plain data.

    Raises ValueError for a float that is not finite (JSON has none) and TypeError for
    what is not part of a record.

    >>> from aquatempo.records.rhythm import TempoAlternative
    >>> to_plain(TempoAlternative(tempo_bpm=66.0, odds=0.25))
    {'tempo_bpm': 66.0, 'odds': 0.25}
    """
    if type(value) is float and math.isfinite(value):  # first, as beats are many
        return value
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: to_plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Enum):
        return to_plain(value.value)
    if isinstance(value, tuple | list):
        return [to_plain(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError(f"{value} has no place in plain data: use None for what is not known")
    if value is None or isinstance(value, str | bool | int | float):
        return value
    raise TypeError(f"{type(value).__name__} is not part of a record")


def from_plain(cls: type[Record], data: object, place: str = "") -> Record:
    """Return the record of class cls that plain data describe.

    Keys with a default may be missing. place prefixes the place named in errors. Raises
    InputError with the place, what was seen and what is needed.

    >>> from aquatempo.records.rhythm import TempoAlternative
    >>> from_plain(TempoAlternative, {"tempo_bpm": 66, "odds": 0.25})
    TempoAlternative(tempo_bpm=66.0, odds=0.25)
    >>> from_plain(TempoAlternative, {"tempo_bpm": "fast", "odds": 0.25})
    Traceback (most recent call last):
        ...
    aquatempo.errors.InputError: tempo_bpm 'fast': needs a number
    """
    record: Record = _read(cls, data, place)
    return record


def _read(kind: Any, data: object, place: str) -> Any:  # noqa: ANN401 - any type, any value
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return _read_union(get_args(kind), data, place)
    if origin is tuple:
        return _read_tuple(get_args(kind), data, place)
    if is_dataclass(kind):
        return _read_record(kind, data, place)
    if isinstance(kind, type) and issubclass(kind, Enum):
        try:
            return kind(data)
        except ValueError as exc:
            raise _error(place, data, ", ".join(str(member.value) for member in kind)) from exc
    if kind is float and type(data) is int:
        return float(data)
    if type(data) is kind and not (isinstance(data, float) and not math.isfinite(data)):
        return data
    raise _error(place, data, _needed(kind))


def _read_union(kinds: tuple[Any, ...], data: object, place: str) -> Any:  # noqa: ANN401
    if data is None and types.NoneType in kinds:
        return None
    some = [kind for kind in kinds if kind is not types.NoneType]
    if len(some) == 1:
        return _read(some[0], data, place)
    # The exact type goes first, so that 2 stays whole in ``float | int``.
    for kind in sorted(some, key=lambda kind: type(data) is not kind):
        with contextlib.suppress(InputError):
            return _read(kind, data, place)
    raise _error(place, data, " or ".join(_needed(kind) for kind in some))


def _read_tuple(kinds: tuple[Any, ...], data: object, place: str) -> tuple[Any, ...]:
    if not isinstance(data, list | tuple):
        raise _error(place, data, "a list")
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        if kinds[0] is float and all(type(one) is float and math.isfinite(one) for one in data):
            return tuple(data)  # at once, as beats are many
        kinds = (kinds[0],) * len(data)
    if len(kinds) != len(data):
        raise _error(place, data, f"a list of {len(kinds)}")
    return tuple(
        _read(kind, item, f"{place}[{index}]")
        for index, (kind, item) in enumerate(zip(kinds, data, strict=True))
    )


def _read_record(cls: Any, data: object, place: str) -> Any:  # noqa: ANN401
    if not isinstance(data, dict):
        raise _error(place, data, f"a table of {cls.__name__}")
    hints = _hints(cls)
    known = {field.name: field for field in fields(cls)}
    unknown = [key for key in data if key not in known]
    if unknown:
        raise InputError(f"{_inside(place, unknown[0])}: unknown; known here: {', '.join(known)}")
    values: dict[str, Any] = {}
    for name, field in known.items():
        if name in data:
            values[name] = _read(hints[name], data[name], _inside(place, name))
        elif field.default is MISSING and field.default_factory is MISSING:
            raise InputError(f"{_inside(place, name)} is missing")
    return cls(**values)


@cache
def _hints(cls: type) -> dict[str, Any]:
    return get_type_hints(cls)


def _inside(place: str, name: object) -> str:
    return f"{place}.{name}" if place else str(name)


def _needed(kind: Any) -> str:  # noqa: ANN401
    return _NAMES[kind] if kind in _NAMES else str(getattr(kind, "__name__", kind))


def _error(place: str, data: object, needed: str) -> InputError:
    seen = repr(data)
    seen = seen if len(seen) <= 60 else f"{seen[:57]}..."
    return InputError(f"{place or 'the whole'} {seen}: needs {needed}")
