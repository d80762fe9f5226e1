"""A table of a catalogue text, read value by value with errors that name their line."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from typing import Any, TypeVar

from aquatempo.errors import TextFileError
from aquatempo.tomltext.lines import TomlText

__all__ = ["Table", "table_at"]

_Choice = TypeVar("_Choice", bound=StrEnum)


def table_at(text: TomlText, place: tuple[str | int, ...], data: object) -> Table:
    """Return data as a Table; raise TextFileError where it is not one."""
    if not isinstance(data, dict):
        raise text.error(place, f"{place[-1]!r} has to be a table of keys, not {data!r}")
    return Table(text, place, data)


class Table:
    """A TOML table at a place of a text; every getter raises TextFileError with the line."""

    def __init__(self, text: TomlText, place: tuple[str | int, ...], data: dict[str, Any]) -> None:
        self.text, self.place, self.data = text, place, data

    def error(self, key: str, problem: str) -> TextFileError:
        """Return the error that says what is wrong with the value of key."""
        return self.text.error((*self.place, key), problem)

    def know(self, keys: Iterable[str]) -> None:
        """Raise TextFileError for the first key that is not among keys."""
        self.text.check_keys(self.place, self.data, keys)

    def words(self, key: str, default: str | None = None) -> str:
        """Return a text; it has to be there unless a default is given."""
        value = self._get(key, default)
        if not isinstance(value, str):
            raise self.error(key, f"{key} {value!r}: needs text in quotes")
        return value

    def number(
        self, key: str, default: float | None = None, low: float = -360.0, high: float = 360.0
    ) -> float:
        """Return a number from low to high."""
        value = self._get(key, default)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.error(key, f"{key} {value!r}: needs a number, without quotes")
        if not low <= value <= high:
            raise self.error(key, f"{key} {value:g}: needs {low:g} to {high:g}")
        return float(value)

    def flag(self, key: str) -> bool:
        """Return true or false; false where the key is missing."""
        value = self._get(key, False)
        if not isinstance(value, bool):
            raise self.error(key, f"{key} {value!r}: needs true or false")
        return value

    def items(self, key: str) -> tuple[str, ...]:
        """Return a list of texts, empty where the key is missing."""
        value = self._get(key, [])
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise self.error(key, f'{key} {value!r}: needs a list such as ["a", "b"]')
        return tuple(value)

    def choice(self, key: str, kinds: type[_Choice], default: _Choice | None = None) -> _Choice:
        """Return one of the values of an enumeration."""
        return self._chosen(key, kinds, self.words(key, default))

    def choices(self, key: str, kinds: type[_Choice]) -> tuple[_Choice, ...]:
        """Return a list of at least one value of an enumeration, each once."""
        found = tuple(self._chosen(key, kinds, item) for item in self.items(key))
        if not found or len(set(found)) < len(found):
            known = ", ".join(kinds)
            raise self.error(key, f"{key} needs at least one of, each once: {known}")
        return found

    def tables(self, key: str) -> tuple[Table, ...]:
        """Return a list of tables, empty where the key is missing."""
        value = self._get(key, [])
        if not isinstance(value, list):
            raise self.error(key, f"{key} needs a list of tables")
        place = (*self.place, key)
        return tuple(table_at(self.text, (*place, i), item) for i, item in enumerate(value))

    def _get(self, key: str, default: object) -> object:
        value = self.data.get(key, default)
        if value is None:
            raise self.text.error(self.place, f"{self.place[-1]!r} needs the key {key!r}")
        return value

    def _chosen(self, key: str, kinds: type[_Choice], value: str) -> _Choice:
        try:
            return kinds(value)
        except ValueError as exc:
            raise self.error(key, f"{key} {value!r}: needs one of {', '.join(kinds)}") from exc
