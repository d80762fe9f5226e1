"""The order of songs within a part: rising to the working tempo and falling from it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from aquatempo.records.plan import PartName

__all__ = ["in_order"]

Item = TypeVar("Item")
_FALLING_SHARE = 3  # one song in three of the main part is on the way down


def in_order(
    part: PartName, items: Sequence[Item], tempo_bpm: Callable[[Item], float]
) -> list[Item]:
    """Return songs in the order to play them; tempo_bpm tells the tempo played.

    part: they play in; items: the songs.

    >>> in_order(PartName.MAIN, [130, 126, 134, 138, 128, 140], float)
    [126, 130, 134, 140, 138, 128]
    >>> in_order(PartName.COOL_DOWN, [80, 96], float)
    [96, 80]
    """
    rising = sorted(items, key=tempo_bpm)
    if part in (PartName.COOL_DOWN, PartName.STRETCH):
        return rising[::-1]
    if part is PartName.MAIN:
        places = range(len(rising) - 2, 0, -_FALLING_SHARE)
        climbing = [item for place, item in enumerate(rising) if place not in places]
        return climbing + [rising[place] for place in places]
    return rising
