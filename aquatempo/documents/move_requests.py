"""Moves as people write them on the command line and in files.

::

    knee lift                      the move as it stands
    knee lift:2-2-4                with a pattern of counts a movement
    knee lift+hands=fist+travel=forward:4
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from aquatempo.errors import InputError, UnknownNameError
from aquatempo.moves import Catalogue, catalogue, parse_pattern
from aquatempo.records.moves import Factor, Move, Pattern, Variation
from aquatempo.store.files import read_text

__all__ = ["MoveRequest", "open_catalogue", "parse_moves"]


@dataclass(frozen=True, slots=True)
class MoveRequest:
    """A move asked for; pattern is None where none was named."""

    move: Move
    variation: Variation
    pattern: Pattern | None


def open_catalogue(own_moves: str | None = None) -> Catalogue:
    """Return the packaged catalogue, with the user's own TOML file on top of it.

    Raises TextFileError with the line of what is wrong.
    """
    if own_moves is None:
        return catalogue()
    return catalogue((own_moves, read_text(own_moves)))


def parse_moves(texts: Iterable[str], source: Catalogue) -> tuple[MoveRequest, ...]:
    """Return the moves that texts name; commas part several in one text.

    Raises UnknownNameError with the nearest name, InputError for a form that is not one.
    source: the catalogue in force.
    """
    parts = [part.strip() for text in texts for part in text.split(",")]
    return tuple(_parse_one(part, source) for part in parts if part)


def _parse_one(text: str, source: Catalogue) -> MoveRequest:
    words, colon, pattern_text = text.partition(":")
    name, *changes = (part.strip() for part in words.split("+"))
    move = source.move(name)
    pairs = tuple(_parse_change(change, text, source) for change in changes)
    pattern = parse_pattern(pattern_text) if colon else None
    return MoveRequest(move, Variation(move.key, pairs), pattern)


def _parse_change(change: str, text: str, source: Catalogue) -> tuple[Factor, str]:
    factor_text, equals, key = (part.strip() for part in change.partition("="))
    if not equals:
        raise InputError(f"{text!r}: needs factor=option after a plus, such as hands=fist")
    factors = {str(factor): factor for factor in Factor}
    factor = factors.get(factor_text.lower().replace("_", " "))
    if factor is None:
        raise UnknownNameError("factor", factor_text, factors)
    exact = (factor, key) in source.options  # levels are told in capitals
    return factor, source.option(factor, key if exact else key.lower()).key
