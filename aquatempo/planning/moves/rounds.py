"""What it costs that rounds only swing between two ways; judgement, no source."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.solver.choosing import Link

__all__ = ["TO_AND_FRO", "to_and_fro"]

TO_AND_FRO = 10  # a third round as the first was: what is on goes on to more, or stays


def to_and_fro(first: int, third: int, was: Sequence[Rated], comes: Sequence[Rated]) -> Link:
    """Return what it costs that a round is as the last but one was, and only swings back.

    first, third: rows of the puzzle; was, comes: the forms that they may take.
    """
    costs = {
        (i, j): TO_AND_FRO * (one.form == other.form)
        for i, one in enumerate(was)
        for j, other in enumerate(comes)
    }
    return Link(first, third, costs)
