"""TOML text of the user: its data, and the line on which each value stands.

Briefs, plans, track sheets and catalogues are written by hand, so an error has to
name its line. ``tomllib`` gives lines for bad syntax only; for values that parse but
mean nothing they are taken from a syntax tree, which is made when the first is asked for.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Any

from aquatempo.errors import TextFileError
from aquatempo.tomltext.slips import likely_slip

if TYPE_CHECKING:
    from tree_sitter import Node

__all__ = ["Place", "TomlText"]

_QUOTED = re.compile(r""" "[^"\n]*" | '[^'\n]*' """, re.VERBOSE)
_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")

LONGEST_TEXT = 1 << 20  # characters; the plan of an hour has some 40,000
LONGEST_KEY = 100  # parts joined by dots; reading takes the square of their number
DEEPEST = 16  # a plan's blocks lie five deep

Place = tuple[str | int, ...]


class TomlText:
    r"""A parsed TOML text that can tell the line of a value and raise errors there.

    path: as named in errors. text: the whole of it.

    >>> text = TomlText("brief.toml", 'title = "A"\n[pool]\ndepth = [\n  1.0,\n  120,\n]\n')
    >>> text.line_of(("pool", "depth", 1))
    5
    """

    def __init__(self, path: str, text: str) -> None:
        """Parse text; raise TextFileError with path and line where it is not TOML."""
        self.path, self.text = path, text
        if len(text) > LONGEST_TEXT:
            problem = f"{len(text)} characters: needs {LONGEST_TEXT} at most (another file?)"
            raise TextFileError(path, None, problem)
        for number, row in enumerate(text.splitlines(), 1):
            if row.count(".") > LONGEST_KEY and _has_long_key(row):  # it would take minutes
                raise TextFileError(path, number, f"a key of more than {LONGEST_KEY} parts")
        try:
            self.data: dict[str, Any] = tomllib.loads(text)
            if _deeper_than(DEEPEST, self.data):
                raise RecursionError
        except RecursionError as exc:
            problem = f"nested more than {DEEPEST} deep: nothing that is read here is"
            raise TextFileError(path, None, problem) from exc
        except tomllib.TOMLDecodeError as exc:
            at = _AT_LINE.search(str(exc))
            line = int(at[1]) if at else None
            problem = _AT_LINE.sub("", str(exc)).strip()
            line, slip = likely_slip(text, line)
            raise TextFileError(path, line, f"not valid TOML: {slip or problem}") from exc
        except ValueError as exc:  # Python reads whole numbers of 4,300 digits at most
            raise TextFileError(path, None, "a number has thousands of digits") from exc

    def line_of(self, place: Place) -> int | None:
        """Return the 1-based line of a value, or of the nearest table around it.

        place: a path of keys and list indexes, e.g. ``("phrases", 2, "counts")``.
        """
        for end in range(len(place), 0, -1):
            if place[:end] in self._lines:
                return self._lines[place[:end]]
        return None

    def error(self, place: Place, problem: str) -> TextFileError:
        """Return the error that says what is wrong with the value at a place.

        place: as in ``line_of``. problem: what was seen and what is needed.
        """
        return TextFileError(self.path, self.line_of(place), problem, place)

    @cached_property
    def _lines(self) -> dict[Place, int]:
        import tree_sitter
        import tree_sitter_toml

        parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
        lines: dict[Place, int] = {}
        entries: dict[Place, int] = {}  # how many of a repeated table were seen so far
        for node in parser.parse(self.text.encode(errors="replace")).root_node.named_children:
            if node.type == "pair":
                _add_pair(node, (), lines)
            elif node.type in ("table", "table_array_element"):
                keys, *pairs = node.named_children
                place: Place = ()
                for place in _entered(node.type != "table", tuple(_names(keys)), entries):
                    lines.setdefault(place, _line(node))
                for pair in pairs:
                    _add_pair(pair, place, lines)
        return lines


def _has_long_key(line: str) -> bool:
    """Tell whether more single words are joined by dots in a line than keys may have."""
    run = 0
    for part in _QUOTED.sub("quoted", line).split("."):
        run = run + 1 if len(part.split(None, 1)) == 1 and "," not in part else 0
        if run > LONGEST_KEY:
            return True
    return False


def _deeper_than(most: int, data: object) -> bool:
    """Tell whether tables and lists lie deeper in each other than so many levels."""
    level: list[Any] = [data]
    for _ in range(most):
        level = [
            inner
            for one in level
            for inner in (one.values() if isinstance(one, dict) else one)
            if isinstance(inner, dict | list)
        ]
        if not level:
            return False
    return True


def _add_pair(node: Node, holder: Place, lines: dict[Place, int]) -> None:
    if node.type != "pair":  # a comment
        return
    keys, value = (child for child in node.named_children if child.type != "comment")
    place = holder
    for name in _names(keys):
        place = (*place, name)
        lines.setdefault(place, _line(node))
    _add_value(value, place, lines)


def _add_value(node: Node, place: Place, lines: dict[Place, int]) -> None:
    if node.type == "inline_table":
        for pair in node.named_children:
            _add_pair(pair, place, lines)
    elif node.type == "array":
        items = (child for child in node.named_children if child.type != "comment")
        for index, item in enumerate(items):
            lines[*place, index] = _line(item)
            _add_value(item, (*place, index), lines)


def _names(node: Node) -> Iterator[str]:
    """Yield the names of a key, of a dotted one in order, without quotes."""
    if node.type == "dotted_key":
        for child in node.named_children:
            yield from _names(child)
    else:
        written = (node.text or b"").decode()
        yield next(iter(tomllib.loads(f"{written} = 0"))) if written[:1] in "\"'" else written


def _entered(repeated: bool, names: Place, entries: dict[Place, int]) -> Iterator[Place]:
    """Yield the places that a table header enters: of a repeated table the list, then the item."""
    place: Place = ()
    for position, name in enumerate(names):
        place = (*place, name)
        if repeated and position == len(names) - 1:
            entries[place] = entries.get(place, -1) + 1
        yield place
        if place in entries:
            place = (*place, entries[place])
            yield place


def _line(node: Node) -> int:
    return node.start_point.row + 1
