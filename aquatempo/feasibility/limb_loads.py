"""What the muscles of a limb bear in a movement of a group's median person."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.law import AtShares
from aquatempo.feasibility.limb_tables import LEAST_SPEED_FACTOR, LEAST_SWING, LimbTable
from aquatempo.water.muscle_use import Muscle
from aquatempo.water.strength import beyond_c5, speed_factor

__all__ = ["LimbLoads", "limb_loads"]

Array = NDArray[Any]  # of 32 or 64 bits


@dataclass(frozen=True, slots=True)
class LimbLoads:
    """Loads of a limb's muscles (M) in a movement of some time, for the median person.

    mean_use, peak_use: over the cycle and at the most, over what the muscle can do at that
    angle and speed [1]; torque_nm, can_nm [N m]. push_n (2,): force of the water on the
    body, ahead and aside [N]. beyond: faster than the strength tables reach.
    """

    muscles: tuple[Muscle, ...]
    mean_use: Array
    peak_use: Array
    torque_nm: Array
    can_nm: Array
    push_n: Array
    beyond: bool
    estimated: bool


def limb_loads(table: LimbTable, people: int, time_s: float, range_kept: float) -> LimbLoads:
    """Return the loads of a limb's muscles in a movement of time_s [s] at a share of range.

    range_kept: share of it [1].
    people: how many rows of the table are the group's.
    """
    use, group = table.source, slice(0, people)
    swing_s = max(time_s - table.lost_s, time_s / LEAST_SWING)
    over = 1.0 / swing_s**2
    at = AtShares(np.full((people, 1), range_kept))
    found: list[list[float]] = []
    for m in range(len(use.muscles)):
        told = []
        for moving, still, way in (
            (use.mean_moving, use.mean_still, use.mean_speed_rad),
            (use.peak_moving, use.peak_still, use.peak_speed_rad),
        ):
            share = at.read(moving[group, :, m], 2.0) * over + at.read(still[group, :, m])
            speed = at.read_ways(way[:, m]) * table.fast / swing_s
            left = speed_factor(speed, use.c4[group, m, None], use.c5[group, m, None])
            share = share / np.maximum(left, LEAST_SPEED_FACTOR)
            told.append(float(np.median(share)))
        torque = float(np.median(at.read(use.torque_nm[group, :, m], 2.0))) * over
        can = float(np.median(use.can_nm[group, m]))
        found.append([told[0] * table.duty, told[1], torque, can])
    columns = np.array(found).reshape(-1, 4).T
    sign = np.sign(np.median(use.push[group, -2], axis=0))
    push = [float(np.median(at.read(np.abs(use.push[group, :, i]), 2.0))) * over for i in range(2)]
    fastest = use.peak_speed_rad[-2] * range_kept * table.fast / swing_s
    beyond = np.any(fastest > beyond_c5() * np.min(use.c5, axis=0))
    mean_use, peak_use, torque_nm, can_nm = columns
    return LimbLoads(
        muscles=use.muscles,
        mean_use=mean_use,
        peak_use=peak_use,
        torque_nm=torque_nm,
        can_nm=can_nm,
        push_n=sign * np.array(push),
        beyond=bool(beyond),
        estimated=any(use.estimated),
    )
