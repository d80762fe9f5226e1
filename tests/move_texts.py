"""Texts of invented moves and options, for tests of how they are read."""

from __future__ import annotations

import pytest

from aquatempo.errors import TextFileError
from aquatempo.moves import catalogue
from aquatempo.records.moves import Move

__all__ = ["HEAD", "OPTION", "TO", "read", "refused", "swung", "text_of"]

OPTION = """\
[factors.{factor}.own]
name = "Own"
spoken = "own"
sign = "a sign"
physics = "in words"
{more}
"""


HEAD = """\
name = "Own"
spoken = "own"
sign = "a sign"
kind = "base"
plane = "sagittal"
lever = "short"
levels = ["I", "grounded"]
depths = ["shallow"]
muscles = ["thighs"]
limits = "little"
description = "Invented."
start = "feet together"
"""
TO = 'name = "to"\nend = "{end}"\n{more}\n'


def text_of(head: str = "", *movements: str) -> str:
    """Return the text of a move with further keys and movements, each of them keys too."""
    told = movements or (TO.format(end="feet together", more=""),)
    return "[moves.own]\n" + HEAD + head + "".join(f"\n[[moves.own.movements]]\n{m}" for m in told)


def read(head: str = "", *movements: str) -> Move:
    """Return the move of a text."""
    return catalogue(("own.toml", text_of(head, *movements))).move("own")


def refused(head: str = "", *movements: str) -> str:
    """Return why a text is refused, without its place."""
    with pytest.raises(TextFileError) as caught:
        catalogue(("own.toml", text_of(head, *movements)))
    return caught.value.problem


def swung(swing: str, more: str = "") -> str:
    """Return a movement of one swing."""
    return TO.format(end="feet together", more=f"swings = [{{ {swing} }}]\n{more}")
