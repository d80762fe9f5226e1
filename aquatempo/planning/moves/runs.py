"""Runs of phrases that share a move, by the way of building; pure arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from aquatempo.records.plan import BuildWay
from aquatempo.records.rhythm import EnergyLevel
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["places_of", "pyramid_counts"]

# What a run of so many phrases costs, by way of building (common practice, no source).
_LENGTHS = {
    BuildWay.LINEAR: {1: 9, 2: 2, 3: 0, 4: 0, 5: 5},
    BuildWay.LAYER: {1: 20, 2: 8, 3: 5, 4: 0, 5: 0, 6: 1, 7: 4, 8: 6},
    BuildWay.PYRAMID: {1: 9, 2: 0},
}
_AT_ENERGY_CHANGE, _INSIDE_ENERGY_CHANGE = -2, 2
_BLOCK_MOVES = 4
_STEPS = (16, 8, 4, 2)  # counts a side


def places_of(way: BuildWay, energies: Sequence[EnergyLevel]) -> tuple[int, ...]:
    """Return for each phrase which place of the track it belongs to: same place, same move.

    way: of building; energies: of the phrases.

    >>> places_of(BuildWay.ADD_ON, [EnergyLevel.LOW] * 9)
    (0, 0, 1, 1, 0, 1, 2, 2, 0)
    >>> places_of(BuildWay.BLOCK, [EnergyLevel.LOW] * 8)
    (0, 1, 2, 3, 0, 1, 2, 3)
    """
    count = len(energies)
    if way is BuildWay.ADD_ON:
        return _added_on(count)
    if way is BuildWay.BLOCK:
        return _in_blocks(count)
    runs = _runs(tuple(energies), way)
    return tuple(place for place, length in enumerate(runs) for _ in range(length))


def pyramid_counts(repetition: int, total: int = 2 * COUNTS_PER_PHRASE) -> tuple[int, ...]:
    """Return the counts of the blocks of a pyramid, right and left in turn.

    16, 8, 4, 2 counts a side; steps shorter than a repetition are left out, and the last step
    is repeated until the counts are full. total: counts to fill.

    >>> pyramid_counts(4)
    (16, 16, 8, 8, 4, 4, 4, 4)
    >>> pyramid_counts(8)
    (16, 16, 8, 8, 8, 8)
    """
    steps = [step for step in _STEPS if step >= repetition and 2 * step <= total]
    blocks: list[int] = []
    for step in steps:
        if sum(blocks) + 2 * step <= total:
            blocks += [step, step]
    while steps and sum(blocks) + 2 * steps[-1] <= total:
        blocks += [steps[-1], steps[-1]]
    return tuple(blocks)


def _added_on(count: int) -> tuple[int, ...]:
    """Learn a move for two phrases, then do all that are known in a row, and so on."""
    places: list[int] = []
    known = 0
    while len(places) < count:
        places += [known, known]
        known += 1
        if known > 1:
            places += range(known)
        if known == _BLOCK_MOVES:
            while len(places) < count:
                places += range(known)
    return tuple(places[:count])


def _in_blocks(count: int) -> tuple[int, ...]:
    """Do the same set of moves again and again, two phrases each where there is room."""
    if count >= 4 * _BLOCK_MOVES:
        each, size = 2, _BLOCK_MOVES
    else:
        each, size = 1, min(_BLOCK_MOVES, max(2, count // 2))
    return tuple(index // each % size for index in range(count)) if count > 1 else (0,) * count


@lru_cache(maxsize=512)
def _runs(energies: tuple[EnergyLevel, ...], way: BuildWay) -> tuple[int, ...]:
    """Return the cheapest lengths of runs: as usual, and changing where the song changes."""
    costs = _LENGTHS[way]
    best: list[tuple[int, tuple[int, ...]]] = [(0, ())]
    for end in range(1, len(energies) + 1):
        cases = []
        for length, cost in costs.items():
            start = end - length
            if start < 0:
                continue
            inside = sum(energies[i] is not energies[i - 1] for i in range(start + 1, end))
            edge = start > 0 and energies[start] is not energies[start - 1]
            total = best[start][0] + cost + _INSIDE_ENERGY_CHANGE * inside
            total += _AT_ENERGY_CHANGE if edge else 0
            cases.append((total, (*best[start][1], length)))
        best.append(min(cases, key=lambda case: (case[0], len(case[1]), case[1])))
    return best[-1][1]
