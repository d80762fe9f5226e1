"""An invented limb with two muscles that tests of feasibility share.

What it asks of muscles is invented so that all tables go with powers of the range.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from feasibility_cases import DEEP, GROUP, POOL, form

from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.engine import Engine
from aquatempo.feasibility.parts import LimbPart
from aquatempo.records.limbs import Action, Joint
from aquatempo.water.limbs import Kind
from aquatempo.water.muscle_use import LimbUse, Muscle
from aquatempo.water.paths import SHARES, LimbPath

ENGINE, DEEP_ENGINE = (Engine(pool, GROUP, free_inputs(), 240.0) for pool in (POOL, DEEP))
SETTING, FLOATING = ENGINE.setting(form("jog")), DEEP_ENGINE.setting(form("jog", DEEP.kind))
N = len(SETTING.people)
KICK, BACK = Muscle(Joint.HIP, Action.FLEXION), Muscle(Joint.HIP, Action.EXTENSION)
LEG = LimbPath(Kind.LEG, (0.0,) * 4, (60.0, 0.0, 0.0, 0.0), (0.0,) * 4, None)
ARM = LimbPath(Kind.ARM, (0.0, 90.0, 0.0), (80.0, 90.0, 0.0), (0.0, 90.0, 0.0), None)
ROWS = np.linspace(0.8, 1.2, N)  # people differ by this factor in all that they are asked
# Of the two muscles: mean and peak use x T^2, at rest, speeds x T, torque x T^2, c4, c5.
MEAN, MEAN_STILL, PEAK, PEAK_STILL = (0.30, 0.22), (0.02, 0.05), (0.55, 0.40), (0.03, 0.09)
SPEED, PEAK_SPEED = (1.0, 1.4), (1.6, 2.4)
TORQUE, CAN, C4, C5 = (60.0, 35.0), (150.0, 120.0), (2.2, 3.0), (5.0, 7.5)
WORK, WORK_STILL, TIP, PUSH = 40.0, 2.0, 25.0, (-70.0, 30.0)


def rows(values: tuple[float, ...], power: float) -> np.ndarray:
    """Return a table (n, R, M) that goes with a power of the share."""
    return np.asarray(ROWS[:, None, None] * (SHARES**power)[None, :, None] * np.array(values))


def invented() -> LimbUse:
    """Return how invented limbs use two muscles."""
    ways = (SHARES[:, None] * np.array(one) for one in (SPEED, PEAK_SPEED))
    mean_speed, peak_speed = ways
    return LimbUse(
        muscles=(KICK, BACK),
        mean_moving=rows(MEAN, 2.0), mean_still=rows(MEAN_STILL, 1.0),
        peak_moving=rows(PEAK, 2.0), peak_still=rows(PEAK_STILL, 1.0),
        mean_speed_rad=mean_speed, peak_speed_rad=peak_speed,
        c4=np.tile(C4, (N, 1)), c5=np.tile(C5, (N, 1)),
        work_moving=rows((WORK,), 3.0)[..., 0], work_still=rows((WORK_STILL,), 1.0)[..., 0],
        torque_nm=rows(TORQUE, 2.0), can_nm=ROWS[:, None] * np.array(CAN),
        hand_n=rows((2 * TIP,), 2.0)[..., 0], foot_n=rows((TIP,), 2.0)[..., 0],
        push=rows(PUSH, 2.0), estimated=(False, True),
    )  # fmt: skip


USE = invented()


def part(path: LimbPath = LEG, **others: float) -> LimbPart:
    """Return an invented limb that takes its path in half of all movements."""
    return replace(LimbPart(path, 1, 0.5), **others)  # type: ignore[arg-type]


WILLING = np.full(N, 0.3)
