"""How hard each moment of a class should be, as perceived exertion [Borg 6 to 20].

Light 9 to 11, moderate 12 to 13, vigorous 14 to 17 (garber-2011); how a part rises and
falls is common practice, no source.
"""

from __future__ import annotations

from itertools import pairwise

from aquatempo.class_shape.limits import Limits
from aquatempo.records.brief import PartName
from aquatempo.records.rhythm import EnergyLevel

__all__ = ["REST_RPE", "WORK_ABOVE", "part_ends", "wanted_rpe"]

START_RPE = 8.5  # the first moves of a warm-up
END_RPE = 8.0
STILL_RPE = 7.0  # held stretches
REST_RPE = 10.0  # most that rest between intervals may ask
WORK_ABOVE = 1.5  # interval work is above the main part by so much
_PEAK_AT = 0.7  # of the main part
_SONG = {EnergyLevel.LOW: -0.7, EnergyLevel.MEDIUM: 0.0, EnergyLevel.HIGH: 0.7}
_QUIET_SHARE = 0.4  # outside the main part the song's energy sways the effort less


def wanted_rpe(
    part: PartName,
    share: float,
    energy: EnergyLevel,
    limits: Limits,
    own: tuple[float, float] | None = None,
) -> float:
    """Return the effort wanted at a share of a part, 0 to 1, as the song drives [Borg].

    own: the part's own effort, low to high, in place of what the class asks. energy: how loud
    the phrase is; limits: what the class may and may not do.
    """
    points = part_ends(part, limits, own)
    value = points[-1][1]
    for (start, low), (end, high) in pairwise(points):
        if share <= end:
            value = low + (high - low) * (share - start) / (end - start)
            break
    weight = 1.0 if part is PartName.MAIN else _QUIET_SHARE
    return min(limits.max_rpe, value + weight * _SONG[energy])


def part_ends(
    part: PartName, limits: Limits, own: tuple[float, float] | None = None
) -> tuple[tuple[float, float], ...]:
    """Return (share of the part, effort) pairs with straight lines between.

    The main part begins where the warm-up ended, peaks late and comes down a little; the
    cool-down goes on from there to the end. limits: what the class may and may not do; own: the
    part's own effort [Borg], None for the class's.
    """
    low, high = own or limits.rpe
    middle = (low + high) / 2.0
    if part is PartName.WARM_UP:
        first, last = (START_RPE, limits.rpe[0] - 0.5) if own is None else own
        return (0.0, min(first, last)), (1.0, last)
    if part is PartName.MAIN:
        return (0.0, low), (_PEAK_AT, high), (1.0, middle)
    if part is PartName.INTERVALS:
        work = min(limits.max_rpe, high + WORK_ABOVE) if own is None else high
        return (0.0, work), (1.0, work)
    if part is PartName.COOL_DOWN:
        first, last = (limits.rpe[0] - 1.5, END_RPE) if own is None else (own[1], own[0])
        return (0.0, max(first, last)), (1.0, last)
    return (0.0, STILL_RPE), (1.0, STILL_RPE)
