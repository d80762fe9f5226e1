"""Which side leads: runs alternate so that right and left come out even; arithmetic."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["balanced_leads"]

MOST_IN_A_ROW = 6 * COUNTS_PER_PHRASE  # counts on one lead
_Cost = tuple[int, int]  # swaps inside runs, then runs that begin on the lead of the one before


def balanced_leads(
    pieces: Sequence[tuple[int, bool]], apart: int = 0, most_apart: int = COUNTS_PER_PHRASE
) -> tuple[list[str], int]:
    """Return the lead of each piece, right or left, and how far apart the sums then are.

    pieces: (counts, begins) of what has a lead, in order; begins False: it carries on what
    was done before, and a swap of the lead there is one change more. apart: counts that
    the right is ahead of the left before. The sides end within most_apart counts where
    that can be done, with as few swaps inside runs as that takes, then with as many between
    runs as can be; on the way they are never further apart than before by the longest piece
    and twice most_apart.

    >>> balanced_leads([(64, True), (64, True), (32, True)])
    (['left', 'right', 'left'], -32)
    """
    # (right ahead by, lead, counts on it in a row) -> (cost, sides so far)
    states: dict[tuple[int, int, int], tuple[_Cost, tuple[int, ...]]] = {
        (apart, 0, 0): ((0, 0), ())
    }
    limit = abs(apart) + max((counts for counts, _ in pieces), default=0) + 2 * most_apart
    for counts, begins in pieces:
        following: dict[tuple[int, int, int], tuple[_Cost, tuple[int, ...]]] = {}
        for (ahead, lead, row), ((inside, kept), sides) in states.items():
            for side in (-1, 1):
                swapped = side != lead
                price = (inside + (swapped and not begins), kept + (begins and not swapped))
                length = counts if swapped else row + counts
                key = (ahead + side * counts, side, length)
                too_long = length > MOST_IN_A_ROW and not swapped
                if too_long or abs(key[0]) > limit:
                    continue
                if key not in following or (price, sides) < following[key]:
                    following[key] = (price, (*sides, side))
        states = following
    key, (_, sides) = min(
        states.items(),
        key=lambda item: (max(0, abs(item[0][0]) - most_apart), item[1][0], abs(item[0][0]), item),
    )
    return ["right" if side > 0 else "left" for side in sides], key[0]
