"""TOML text of the user: its data, and the line on which each value stands.

Briefs, plans, track sheets and catalogues are written by hand, so an error has to
name its line. ``tomllib`` gives lines for bad syntax only; this module finds them
for values that parse but mean nothing.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from typing import Any

from aquatempo.errors import TextFileError

__all__ = ["Place", "TomlText"]

_TABLE = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"\s*([A-Za-z0-9_.\-\"' ]+?)\s*=")
_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")

Place = tuple[str | int, ...]


class TomlText:
    r"""A parsed TOML text that can tell the line of a value and raise errors there.

    >>> text = TomlText("brief.toml", 'title = "A"\n[pool]\ndepth = 120\n')
    >>> text.line_of(("pool", "depth"))
    3
    """

    def __init__(self, path: str, text: str) -> None:
        """Parse text; raise TextFileError with path and line where it is not TOML."""
        self.path, self.text = path, text
        try:
            self.data: dict[str, Any] = tomllib.loads(text)
        except tomllib.TOMLDecodeError as exc:
            at = _AT_LINE.search(str(exc))
            line = int(at[1]) if at else None
            problem = _AT_LINE.sub("", str(exc)).strip()
            raise TextFileError(path, line, f"not valid TOML: {problem}") from exc
        self._lines = _index_lines(text)

    def line_of(self, place: Place) -> int | None:
        """Return the 1-based line of a value, or of the nearest table around it.

        A place is a path of keys and list indexes, e.g. ``("phrases", 2, "counts")``.
        """
        for end in range(len(place), 0, -1):
            if place[:end] in self._lines:
                return self._lines[place[:end]]
        return None

    def error(self, place: Place, problem: str) -> TextFileError:
        """Return the error that says what is wrong with the value at a place."""
        return TextFileError(self.path, self.line_of(place), problem)

    def check_keys(self, place: Place, table: dict[str, Any], known: Iterable[str]) -> None:
        """Raise TextFileError for the first key of table that is not known."""
        names = tuple(known)
        for key in table:
            if key not in names:
                problem = f"unknown key {key!r}; known here: {', '.join(names)}"
                raise self.error((*place, key), problem)


def _index_lines(text: str) -> dict[Place, int]:
    lines: dict[Place, int] = {}
    counts: dict[Place, int] = {}
    table: Place = ()
    quote = ""  # inside a multi-line string, its delimiter
    depth = 0  # inside a multi-line array, how many brackets are open
    for number, line in enumerate(text.splitlines(), 1):
        if quote:
            quote = "" if line.count(quote) % 2 else quote
            continue
        if depth == 0 and (header := _TABLE.match(line)):
            table = _entered(header[1] == "[[", _split(header[2]), counts)
            lines.setdefault(table, number)
            continue
        if depth == 0 and (key := _KEY.match(line)):
            lines.setdefault((*table, *_split(key[1])), number)
        for mark in ('"""', "'''"):
            if line.count(mark) % 2:
                quote = mark
        depth = max(0, depth + line.count("[") - line.count("]"))
    return lines


def _entered(repeated: bool, names: Place, counts: dict[Place, int]) -> Place:
    """Return the place of a table header, list indexes of its parents filled in."""
    place: Place = ()
    for position, name in enumerate(names):
        place = (*place, name)
        last = position == len(names) - 1
        if last and repeated:
            counts[place] = counts.get(place, -1) + 1
        if place in counts:
            place = (*place, counts[place])
    return place


def _split(dotted: str) -> Place:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))
