"""One limb on its path, solved for all times of a movement: range kept, work, use of muscles."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.law import INNER_SHARES, TIMES_S, AtShares, kept_of
from aquatempo.feasibility.parts import LimbPart
from aquatempo.feasibility.setting import Setting
from aquatempo.water.limbs import Kind
from aquatempo.water.muscle_use import LimbUse

__all__ = ["LEAST_SPEED_FACTOR", "LEAST_SWING", "LimbTable", "limb_table"]

Array = NDArray[Any]  # of 32 or 64 bits

LEAST_SPEED_FACTOR = 0.05  # of its strength is left to a muscle however fast it shortens
LEAST_SWING = 4.0  # the share of a movement that is left to swing is never less than 1 in this


@dataclass(frozen=True, slots=True)
class LimbTable:
    """A limb of n people over TIMES_S (K of them), at the range that its muscles allow.

    kept (n, K): share of the range. work_j: positive work of a movement of one limb, never
    less than in a slower one. use, full_use (n, K): mean use over the cycle of the most
    strained muscle, as done and at full range. force_n: largest drag on hand or foot. cyclic
    (n, K): sum over muscles of torque x frequency^2 [N m/s2], the frequency that of the swing,
    as often as it is done. source: what else can be told of the median person, see
    limb_loads; lost_s: time of a movement in which the limb waits on the floor.
    """

    kept: Array
    work_j: Array
    use: Array
    full_use: Array
    force_n: Array
    cyclic: Array
    source: LimbUse
    duty: float
    fast: float
    lost_s: float


def limb_table(
    part: LimbPart, use: LimbUse, fast: float, setting: Setting, willing_use: Array
) -> LimbTable:
    """Return the table of a limb.

    part, setting: a limb on its path, and the people in their water.
    fast: the joint's way over the limb's, of limb_use. willing_use: mean use over the cycle
    that the class is willing and able to hold for the bout [1], (n,).
    """
    inputs = setting.inputs
    times = _swing_times(part, setting)
    over = (1.0 / times**2).astype(np.float32)
    inner = slice(0, INNER_SHARES)
    stretch = setting.stretch.astype(np.float32)[:, None, None]
    held = (part.duty / willing_use).astype(np.float32)[:, None, None]
    worst: Array | None = None
    most_use = inputs.use_most.astype(np.float32)[:, None]
    full: Array = np.zeros((len(setting.people), len(TIMES_S)), np.float32)
    for m in range(len(use.muscles)):
        mean = use.mean_moving[:, inner, m, None] * over + use.mean_still[:, inner, m, None]
        mean = mean / _speed_factor(
            use, m, times, use.mean_speed_rad[inner, m, None] * fast * stretch
        )
        mean_full = mean[:, -1] * np.float32(part.duty)
        mean = mean * held
        peak = use.peak_moving[:, inner, m, None] * over + use.peak_still[:, inner, m, None]
        peak = peak / _speed_factor(
            use, m, times, use.peak_speed_rad[inner, m, None] * fast * stretch
        )
        out = most_use * peak[:, -1] ** 4  # what is out of reach cannot be held at all
        full = np.maximum(full, np.maximum(mean_full, out))
        mean, peak = mean * mean, peak * peak
        strain = mean * mean + peak * peak  # to the fourth power
        worst = strain if worst is None else np.maximum(worst, strain)
    kept: Array
    if worst is None:
        kept = np.ones((len(setting.people), len(TIMES_S)), np.float32)
    else:
        kept = kept_of(np.sqrt(np.sqrt(worst)), inputs.stiffness).astype(np.float32)
    at = AtShares(kept)
    most: Array = np.zeros_like(kept)
    torque: Array = np.zeros_like(kept)
    for m in range(len(use.muscles)):
        own = at.read(use.mean_moving[..., m], 2.0) * over + at.read(use.mean_still[..., m])
        ways = at.read_ways(use.mean_speed_rad[:, m]) * np.float32(fast) * stretch[..., 0]
        most = np.maximum(most, own / _speed_factor(use, m, times, ways))
        torque += at.read(use.torque_nm[..., m], 2.0)
    work = (at.read(use.work_moving, 3.0) * over + at.read(use.work_still)) * np.float32(fast)
    work = np.maximum.accumulate(work / TIMES_S, axis=1) * TIMES_S
    # What pushes a leg that no other balances is held by the trunk and the standing leg.
    hold = 2.0 if part.alongside else 1.0
    tip = use.foot_n if part.path.kind is Kind.LEG else use.hand_n
    return LimbTable(
        kept=kept,
        work_j=work.astype(np.float32),
        use=most * np.float32(part.duty),
        full_use=full.astype(np.float32),
        force_n=at.read(tip.astype(np.float32), 2.0) * over,
        cyclic=torque * over * (part.duty / (2 * times**2) * hold).astype(np.float32),
        source=use,
        duty=part.duty,
        fast=fast,
        lost_s=float(TIMES_S[0] - times[0]),
    )


def _swing_times(part: LimbPart, setting: Setting) -> Array:
    """Return the time [s] (K,) that a limb has to swing in a movement of TIMES_S.

    In a jump that several movements share, each loses its part of the time on the floor.
    """
    if not part.in_air:
        return TIMES_S
    contact = setting.central.contact_work_s / part.in_air
    return np.asarray(np.maximum(TIMES_S - contact, TIMES_S / LEAST_SWING))


def _speed_factor(use: LimbUse, m: int, times_s: Array, way_rad: Array) -> Array:
    """Return what a muscle keeps of its strength at a joint speed x T, (n, ..., K)."""
    speed = (way_rad / times_s).astype(np.float32)
    wide = [None] * (speed.ndim - 1)
    c4, c5 = (c[(slice(None), m, *wide)] for c in (use.c4, use.c5))
    both = 2 * c4 * c5
    factor = (both + speed * (c5 - 3 * c4)) / (both + speed * (2 * c5 - 4 * c4))
    return np.maximum(factor, LEAST_SPEED_FACTOR)
