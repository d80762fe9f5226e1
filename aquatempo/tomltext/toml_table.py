"""A table of hand-written TOML, read value by value; what does not fit names its line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from enum import StrEnum
from typing import Any, TypeVar

from aquatempo.errors import InputError, TextFileError
from aquatempo.tomltext.positions import Place, TomlText
from aquatempo.units import parse_span

__all__ = ["TomlTable", "read_toml"]

Choice = TypeVar("Choice", bound=StrEnum)
_FIGURE = r"(\d+(?:[.,]\d+)?)"
_MINUTES = re.compile(rf"{_FIGURE} *min(?:ute[ns]?)?\.?", re.IGNORECASE)
_HOURS = re.compile(
    rf"{_FIGURE}(?::([0-5]\d))? *(?:h|std)\.?(?: *([0-5]?\d) *min\.?)?", re.IGNORECASE
)


def read_toml(path: str, text: str) -> TomlTable:
    """Return the whole of a TOML text as a table. Raises TextFileError where it is not TOML.

    path: as named in errors. text: the content of the file.
    """
    source = TomlText(path, text)
    return TomlTable(source, (), source.data)


class TomlTable:
    """A table at a place of a TOML text.

    Getters take the key, then what is needed, and last ``usual``: the value where the key
    is missing; without one (None) the key has to be there. All raise TextFileError with
    the line of the value.
    """

    def __init__(self, text: TomlText, place: Place, data: Mapping[str, Any]) -> None:
        self._text, self._place, self.data = text, place, data

    def __contains__(self, key: str) -> bool:
        return key in self.data

    @property
    def name(self) -> str:
        """The key under which the table stands, "file" for the whole text."""
        return str(next((key for key in reversed(self._place) if isinstance(key, str)), "file"))

    @property
    def path(self) -> str:
        """The file that the text is from."""
        return self._text.path

    def over(self, below: Mapping[str, Any]) -> TomlTable:
        """Return this table on top of another's data, which hold where this says nothing.

        below: key -> value.
        """
        return TomlTable(self._text, self._place, {**below, **self.data})

    def line_of(self, *keys: str | int) -> int | None:
        """Return the 1-based line of the value that keys lead to, without any of the table."""
        return self._text.line_of((*self._place, *keys))

    def error(self, key: str | None, problem: str) -> TextFileError:
        """Return the error for what is wrong with the value of a key (None: with the table).

        problem: what was seen and what is needed.
        """
        return self._text.error(self._place if key is None else (*self._place, key), problem)

    @contextmanager
    def naming(self, *keys: str | int) -> Iterator[None]:
        """Give an InputError raised inside the line of the value that keys lead to."""
        try:
            yield
        except TextFileError:
            raise
        except InputError as exc:
            raise self._text.error((*self._place, *keys), str(exc)) from exc

    def know(self, keys: Iterable[str]) -> None:
        """Raise TextFileError for the first key that is not among keys."""
        names = tuple(keys)
        for key in self.data:
            if key not in names:
                raise self.error(key, f"unknown key {key!r}; known here: {', '.join(names)}")

    def text(self, key: str, usual: str | None = None) -> str:
        """Return a text."""
        found = self._given(key, usual, "text")
        if not isinstance(found, str):
            raise self.error(key, f"{key} {found!r}: needs text in quotes")
        return found

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts, empty where the key is missing."""
        found = self.data.get(key, [])
        if not isinstance(found, list) or not all(isinstance(item, str) for item in found):
            raise self.error(key, f'{key} {found!r}: needs a list of texts, such as ["a", "b"]')
        return tuple(found)

    def number(
        self, key: str, low: float, high: float, unit: str = "", usual: float | None = None
    ) -> float:
        """Return a number from low to high, in a unit that errors name.

        Minutes may be told as people write them: ``"45 min"``, ``"1:10 h"``, ``"1 h 10 min"``.
        """
        needed = f"{low:g} to {high:g} {unit}".strip()
        found = self._given(key, usual, needed)
        if unit == "min" and isinstance(found, str):
            found = _minutes(found) or found
        if isinstance(found, bool) or not isinstance(found, int | float):
            told = found.strip() if isinstance(found, str) else ""
            slip = " (without quotes and unit?)" if told[:1].isdigit() else ""
            slip = " (without quotes?)" if told.replace(".", "", 1).isdigit() else slip
            raise self.error(key, f"{key} {found!r}: needs {needed}{slip}")
        if not low <= found <= high:
            seen = f"{found:g}" if abs(found) < 1e300 else "beyond all numbers"
            raise self.error(key, f"{key} {seen}: needs {needed}")
        return float(found)

    def numbers(self, key: str, low: float, high: float, unit: str = "") -> tuple[float, ...]:
        """Return a list of numbers from low to high [unit], empty where the key is missing."""
        found = self.data.get(key, [])
        if not isinstance(found, list):
            raise self.error(key, f"{key} {found!r}: needs a list of numbers, such as [1.5, 2]")
        items = self.tables(key, bare=key)
        return tuple(item.number(key, low, high, unit) for item in items)

    def whole(self, key: str, low: int, high: int, unit: str = "", usual: int | None = None) -> int:
        """Return a whole number from low to high, in a unit that errors name."""
        found = self.number(key, low, high, unit, usual)
        if found != int(found):
            raise self.error(key, f"{key} {found:g}: needs a whole number")
        return int(found)

    def flag(self, key: str) -> bool:
        """Return true or false; false where the key is missing."""
        found = self.data.get(key, False)
        if not isinstance(found, bool):
            raise self.error(key, f"{key} {found!r}: needs true or false")
        return found

    def word(self, key: str, known: Iterable[str], usual: str | None = None) -> str:
        """Return one of the known words."""
        names = [str(name) for name in known]
        needed = ", ".join(name or '""' for name in names)
        needed = f"one of {needed}" if len(names) > 1 else needed
        found = self._given(key, usual, needed)
        if not isinstance(found, str):
            raise self.error(key, f"{key} {found!r}: needs text in quotes, {needed}")
        if found not in names:
            raise self.error(key, f"{key} {found!r}: needs {needed}")
        return str(found)

    def choice(self, key: str, kinds: type[Choice], usual: Choice | None = None) -> Choice:
        """Return one of the values of an enumeration, kinds."""
        return kinds(self.word(key, kinds, usual))

    def choices(self, key: str, kinds: type[Choice]) -> tuple[Choice, ...]:
        """Return a list of at least one value of an enumeration, kinds, each once."""
        found, known = self.texts(key), ", ".join(kinds)
        for item in found:
            if item not in list(kinds):
                raise self.error(key, f"{key} {item!r}: needs one of {known}")
        if not found or len(set(found)) < len(found):
            raise self.error(key, f"{key} needs at least one of, each once: {known}")
        return tuple(kinds(item) for item in found)

    def span(self, key: str, low: float, high: float, unit: str) -> tuple[float, float]:
        """Return a range, written ``"120-130"`` or ``[120, 130]``, from low to high [unit]."""
        found = self.data.get(key)
        needed = f'needs a range of {low:g} to {high:g} {unit}, as "{low:g}-{high:g}"'
        try:
            ends = parse_span(found, key) if isinstance(found, str) else found
            first, second = (float(end) for end in ends or ())
        except (InputError, TypeError, ValueError):
            raise self.error(key, f"{key} {found!r}: {needed}") from None
        if not low <= first <= second <= high:
            raise self.error(key, f"{key} {found!r}: {needed}")
        return first, second

    def table(self, key: str) -> TomlTable:
        """Return the table under a key, an empty one where the key is missing."""
        return self._inside(key, self.data.get(key, {}))

    def tables(self, key: str, bare: str = "") -> tuple[TomlTable, ...]:
        """Return a list of tables, empty where the key is missing.

        bare: an item that is no table is one that has this key only ("": it is an error).
        """
        found = self.data.get(key, [])
        if isinstance(found, list) and bare:
            found = [item if isinstance(item, dict) else {bare: item} for item in found]
        if not isinstance(found, list) or not all(isinstance(item, dict) for item in found):
            raise self.error(key, f"{key}: needs a list of tables, as [[{key}]]")
        place = (*self._place, key)
        return tuple(
            TomlTable(self._text, (*place, index), item) for index, item in enumerate(found)
        )

    def inner(self) -> Iterator[tuple[str, TomlTable]]:
        """Yield each key with the table under it; every value has to be one."""
        for key, value in self.data.items():
            yield key, self._inside(key, value)

    def _inside(self, key: str, value: object) -> TomlTable:
        if not isinstance(value, dict):
            raise self.error(key, f"{key} {value!r}: needs a table of keys, as [{key}]")
        return TomlTable(self._text, (*self._place, key), value)

    def _given(self, key: str, usual: object, needed: str) -> object:
        found = self.data.get(key, usual)
        if found is None:
            raise self.error(None, f"no {key}: needs {key} = {needed}")
        return found


def _minutes(told: str) -> float | None:
    """Return a length as people write it [min], None where it can mean two things, or none."""
    words = told.strip()
    if matched := _MINUTES.fullmatch(words):
        return float(matched[1].replace(",", "."))
    matched = _HOURS.fullmatch(words)
    if matched is None or (matched[2] and matched[3]):
        return None
    rest = int(matched[2] or matched[3] or 0)
    return 60.0 * float(matched[1].replace(",", ".")) + rest
