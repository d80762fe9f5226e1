"""Typed values out of a TOML text; what does not fit is an error on its line."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from aquatempo.errors import InputError
from aquatempo.tomltext.lines import Place, TomlText
from aquatempo.units import parse_span

__all__ = ["choice", "keys", "number", "span", "table", "text", "texts", "value_at", "whole"]


def value_at(toml: TomlText, place: Place, usual: object = None) -> Any:  # noqa: ANN401 - TOML
    """Return the value at a place, usual where there is none."""
    found: Any = toml.data
    for key in place:
        if isinstance(found, dict):
            if key not in found:
                return usual
        elif not isinstance(found, list):
            return usual
        found = found[key]
    return found


def table(toml: TomlText, place: Place) -> dict[str, Any]:
    """Return the table at a place, an empty one where there is none."""
    found = value_at(toml, place, {})
    if not isinstance(found, dict):
        raise toml.error(place, f"{_name(place)}: needs a table of keys, as [{_name(place)}]")
    return found


def keys(toml: TomlText, place: Place, known: Iterable[str]) -> dict[str, Any]:
    """Return the table at a place after checking that all its keys are known."""
    found = table(toml, place)
    toml.check_keys(place, found, known)
    return found


def text(toml: TomlText, place: Place, usual: str | None = None) -> str:
    """Return the text at a place; usual None: it has to be there."""
    found = _given(toml, place, usual, "text")
    if not isinstance(found, str):
        raise toml.error(place, f'{_name(place)} {found!r}: needs text, as "..."')
    return found


def texts(toml: TomlText, place: Place) -> tuple[str, ...]:
    """Return the list of texts at a place, empty where there is none."""
    found = value_at(toml, place, [])
    if not isinstance(found, list) or not all(isinstance(item, str) for item in found):
        raise toml.error(place, f'{_name(place)}: needs a list of texts, as ["...", "..."]')
    return tuple(found)


def number(
    toml: TomlText, place: Place, low: float, high: float, unit: str, usual: float | None = None
) -> float:
    """Return the number at a place, low to high; usual None: it has to be there."""
    needed = f"{low:g} to {high:g} {unit}".strip()
    found = _given(toml, place, usual, needed)
    if isinstance(found, bool) or not isinstance(found, int | float) or not low <= found <= high:
        raise toml.error(place, f"{_name(place)} {found!r}: needs {needed}")
    return float(found)


def whole(toml: TomlText, place: Place, low: int, high: int, unit: str) -> int:
    """Return the whole number at a place, low to high; it has to be there."""
    found = number(toml, place, low, high, unit)
    if found != int(found):
        raise toml.error(place, f"{_name(place)} {found:g}: needs a whole number")
    return int(found)


def choice(toml: TomlText, place: Place, known: Iterable[str], usual: str | None = None) -> str:
    """Return the name at a place, one of the known; usual None: it has to be there."""
    names = [str(name) for name in known]
    found = _given(toml, place, usual, f"one of {', '.join(names)}")
    if not isinstance(found, str) or str(found) not in names:
        listed = ", ".join(name or '""' for name in names)
        raise toml.error(place, f"{_name(place)} {found!r}: needs one of {listed}")
    return str(found)


def span(toml: TomlText, place: Place, low: float, high: float, unit: str) -> tuple[float, float]:
    """Return the range at a place, written ``"120-130"`` or ``[120, 130]``."""
    found = value_at(toml, place)
    needed = f'needs a range of {low:g} to {high:g} {unit}, as "{low:g}-{high:g}"'
    try:
        ends = parse_span(found, _name(place)) if isinstance(found, str) else found
        first, second = (float(end) for end in ends)
    except (InputError, TypeError, ValueError):
        raise toml.error(place, f"{_name(place)} {found!r}: {needed}") from None
    if not low <= first <= second <= high:
        raise toml.error(place, f"{_name(place)} {found!r}: {needed}")
    return first, second


def _given(toml: TomlText, place: Place, usual: object, needed: str) -> object:
    found = value_at(toml, place, usual)
    if found is None:
        raise toml.error(place, f"no {_name(place)}: needs {_name(place)} = {needed}")
    return found


def _name(place: Place) -> str:
    return str(next((key for key in reversed(place) if isinstance(key, str)), "file"))
