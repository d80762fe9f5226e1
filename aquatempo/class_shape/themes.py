"""Themes of a class: a focus (legs, core) or a feature (travel), as weights from 0 to 1."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from aquatempo.class_shape.tables import packaged
from aquatempo.errors import UnknownNameError
from aquatempo.records.moves import Factor, Move

__all__ = ["factor_weight", "theme_key", "theme_weight", "themes"]


@cache
def themes() -> dict[str, dict[str, tuple[str, ...]]]:
    """Return every documented theme by its key."""
    rows = packaged("themes")["themes"]
    return {key: {name: tuple(v) for name, v in row.items()} for key, row in rows.items()}


def theme_key(text: str) -> str:
    """Return the theme that a text names; raise UnknownNameError with the nearest.

    >>> theme_key("lower body")
    'legs'
    """
    said = text.strip().lower()
    for key, row in themes().items():
        if said == key or said in row.get("words", ()):
            return key
    raise UnknownNameError("theme", text, themes())


def theme_weight(asked: Sequence[str], move: Move) -> float:
    """Return how much a base move does for the themes asked for, 0 to 1 each."""
    total = 0.0
    for text in asked:
        row = themes()[theme_key(text)]
        muscles = row.get("muscles", ())
        shared = sum(muscle in muscles for muscle in move.muscles)
        total += 1.0 if move.key in row.get("moves", ()) else 0.0
        total += shared / max(1, len(move.muscles)) if muscles else 0.0
    return min(total, float(max(1, len(asked))))


def factor_weight(asked: Sequence[str], factor: Factor, option: str) -> float:
    """Return how much a variation does for the themes asked for, 0 to 1 each.

    factor: what is varied; option: how, by key.
    """
    total = 0.0
    for text in asked:
        for named in themes()[theme_key(text)].get("factors", ()):
            name, equals, key = named.partition("=")
            total += float(name == factor.value and (not equals or key == option))
    return total
