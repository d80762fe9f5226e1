"""How hard each moment of a class should be, on a scale of 0 (easiest move) to 100."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import pairwise

from aquatempo.records.plan import PartName
from aquatempo.records.rhythm import EnergyLevel

__all__ = ["hardness", "wanted"]

# (share of the part, hardness): straight lines between (common practice, no source)
_CURVES = {
    PartName.WARM_UP: ((0.0, 20.0), (1.0, 60.0)),
    PartName.MAIN: ((0.0, 55.0), (0.7, 90.0), (1.0, 65.0)),
    PartName.INTERVALS: ((0.0, 95.0), (1.0, 95.0)),
    PartName.COOL_DOWN: ((0.0, 40.0), (1.0, 0.0)),
    PartName.STRETCH: ((0.0, 0.0), (1.0, 0.0)),
}
_SONG = {EnergyLevel.LOW: -15.0, EnergyLevel.MEDIUM: 0.0, EnergyLevel.HIGH: 12.0}
_QUIET_SHARE = 0.4  # outside the main part the song's energy sways the effort less


def wanted(part: PartName, share: float, energy: EnergyLevel) -> float:
    """Return the hardness wanted at a share of a part, 0 to 1, as the song drives.

    energy: of the phrase.

    >>> wanted(PartName.MAIN, 0.7, EnergyLevel.MEDIUM)
    90.0
    """
    points = _CURVES[part]
    value = points[-1][1]
    for (start, low), (end, high) in pairwise(points):
        if share <= end:
            value = low + (high - low) * (share - start) / (end - start)
            break
    weight = 1.0 if part is PartName.MAIN else _QUIET_SHARE
    return min(100.0, max(0.0, value + weight * _SONG[energy]))


def hardness(met: float, mets: Sequence[float]) -> float:
    """Return where an effort stands among the sorted efforts of all moves, 0 to 100.

    met: the effort; mets: those of all moves, ascending [MET].

    >>> hardness(3.0, [1.0, 2.0, 3.0, 4.0, 5.0])
    50.0
    """
    if len(mets) < 2:
        return 50.0
    place = (bisect_left(mets, met) + bisect_right(mets, met) - 1) / 2.0
    return min(100.0, max(0.0, 100.0 * place / (len(mets) - 1)))
