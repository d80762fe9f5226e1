"""Which music tempo suits a class by its depth and age: one curve for checks, plans, reviews.

Ends of the curve: the manual's ranges for shallow and deep water (data/tempo-ranges.csv);
100 to 125 beats/min for older groups (common practice, no source). Between them it runs
smoothly: by age from 45 to 70 years, by depth from the nipple to the chin of each person. A
group takes the mean of its people.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.water.tables import read_table

__all__ = ["tempo_range", "tempo_ranges", "warm_up_range"]

Array = NDArray[np.float64]

_AGES_YEARS = (45.0, 70.0)  # younger: as the manual; older: as older groups
_OLDER_BPM = (100.0, 125.0)  # common practice, no source
_OLDER_DEEP_BPM = 10.0  # how much slower older people go with a belt (judgement)
_DEPTHS = (0.72, 0.87)  # of stature: nipple and chin
_POINTS = 33


def tempo_ranges() -> dict[str, tuple[float, float]]:
    """Return the published tempo ranges [beats/min] by kind of class.

    >>> tempo_ranges()["deep"]
    (100.0, 135.0)
    """
    rows = read_table("tempo-ranges", "aquatempo.feasibility").rows
    return {row["kind"]: (float(row["low_bpm"]), float(row["high_bpm"])) for row in rows}


def tempo_range(pool: Pool | None = None, group: Group | None = None) -> tuple[float, float]:
    """Return the range of music tempo [beats/min] that suits a class, low and high.

    pool, group: default where None.

    >>> tempo_range(Pool(depth_m=1.1), Group(age_years=(20.0, 35.0)))
    (125.0, 150.0)
    >>> tempo_range(Pool(depth_m=1.1), Group(age_years=(70.0, 85.0)))
    (100.0, 125.0)
    """
    older, deeper = _shares(pool or Pool(), group or Group())
    known = tempo_ranges()
    ends = []
    for i in range(2):
        shallow = known["shallow"][i] + older * (_OLDER_BPM[i] - known["shallow"][i])
        deep = known["deep"][i] - older * _OLDER_DEEP_BPM
        ends.append(shallow + deeper * (deep - shallow))
    return round(ends[0], 1), round(ends[1], 1)


def warm_up_range(pool: Pool | None = None, group: Group | None = None) -> tuple[float, float]:
    """Return the range for warming up [beats/min]: conditioning work, slower where it is slower.

    pool, group: default where None.
    Older and deep classes warm up in the lower half of their range.
    """
    pool, group = pool or Pool(), group or Group()
    older, deeper = _shares(pool, group)
    low, high = tempo_range(pool, group)
    usual = tempo_ranges()["conditioning"]
    slower = 1.0 - (1.0 - older) * (1.0 - deeper)
    half = (low, (low + high) / 2.0)
    ends = [one + slower * (other - one) for one, other in zip(usual, half, strict=True)]
    return round(ends[0], 1), round(ends[1], 1)


@lru_cache(maxsize=256)
def _shares(pool: Pool, group: Group) -> tuple[float, float]:
    """Return how far a class counts as older and as deep [1], the mean of its people."""
    even = np.linspace(0.0, 1.0, _POINTS)
    ages = group.age_years[0] + even * (group.age_years[1] - group.age_years[0])
    older = float(np.mean(_smooth(ages, *_AGES_YEARS)))
    if pool.kind is ClassDepth.DEEP:
        return older, 1.0
    heights = group.height_m[0] + even * (group.height_m[1] - group.height_m[0])
    far = pool.depth_m if pool.far_depth_m is None else pool.far_depth_m
    depths = pool.depth_m + even * (far - pool.depth_m)
    return older, float(np.mean(_smooth(depths / heights, *_DEPTHS)))


def _smooth(values: Array, low: float, high: float) -> Array:
    share = np.clip((values - low) / (high - low), 0.0, 1.0)
    return np.asarray(share * share * (3.0 - 2.0 * share))
