"""Where limbs are, by rotations of a library (scipy), and where a bent path passes."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from water_bodies import leg

from aquatempo.water.limbs import Kind, lengths_of, places
from aquatempo.water.paths import SHARES, path_tables, profile

JOINTS = np.array([0, 1, 2])  # the ends of the three segments
FULL = int(np.flatnonzero(SHARES == 1.0)[0])


@pytest.mark.parametrize(
    ("hip", "out", "knee", "ankle"),
    [(0, 0, 0, 0), (90, 0, 90, 0), (40, 0, 70, -20), (0, 30, 0, 0), (50, 25, 80, 15),
     (-20, -10, 30, -40)],
)  # fmt: skip
def test_a_leg_is_turned_joint_by_joint(hip: float, out: float, knee: float, ankle: float) -> None:
    """Thigh up by the hip, shank back by the knee, foot ahead of it; all turned outwards at last.

    x is ahead, y outwards, z up: a turn about y by -a lifts what hangs, one about x leads out.
    """
    thigh, shank, foot = lengths_of(Kind.LEG)
    aside = Rotation.from_euler("x", out, degrees=True)

    def turned(angle: float, way: tuple[float, float, float]) -> np.ndarray:
        lifted = Rotation.from_euler("y", -angle, degrees=True)
        return np.asarray((aside * lifted).apply(np.array(way)))

    down, ahead = (0.0, 0.0, -1.0), (1.0, 0.0, 0.0)
    at_knee = thigh * turned(hip, down)
    at_heel = at_knee + shank * turned(hip - knee, down)
    at_toes = at_heel + foot * turned(hip - knee + ankle, ahead)
    angles = np.radians(np.array([[hip, out, knee, ankle]], float))
    found, axes, _ = places(Kind.LEG, angles, JOINTS, np.array([thigh, shank, foot]))
    assert found[0] == pytest.approx(np.stack([at_knee, at_heel, at_toes]), abs=1e-9)
    assert np.linalg.norm(axes[0], axis=-1) == pytest.approx(np.ones(3))


@pytest.mark.parametrize(
    ("raised", "across", "elbow", "upper", "lower"),
    [
        (0, 0, 0, (0, 0, -1), (0, 0, -1)),  # hangs
        (90, 0, 0, (0, 1, 0), (0, 1, 0)),  # out to the side
        (90, 90, 0, (1, 0, 0), (1, 0, 0)),  # ahead
        (90, 90, 90, (1, 0, 0), (0, 0, 1)),  # ahead, bent upwards
        (90, 0, 90, (0, 1, 0), (1, 0, 0)),  # to the side, bent inwards
        (0, 90, 90, (0, 0, -1), (1, 0, 0)),  # hangs, forearm ahead
        (90, 135, 90, (0.7071068, -0.7071068, 0), (0, 0, 1)),  # across the body, bent upwards
    ],
)
def test_an_arm_points_where_it_is_raised(
    raised: float, across: float, elbow: float, upper: tuple[float, ...], lower: tuple[float, ...]
) -> None:
    """Side, ahead and hanging arms, straight and bent by a right angle."""
    one, two, hand = lengths_of(Kind.ARM)
    angles = np.radians(np.array([[raised, across, elbow]], float))
    found, _, _ = places(Kind.ARM, angles, JOINTS, np.array([one, two, hand]))
    at_elbow = one * np.array(upper)
    wrist = at_elbow + two * np.array(lower)
    wanted = np.stack([at_elbow, wrist, wrist + hand * np.array(lower)])
    assert found[0] == pytest.approx(wanted, abs=1e-6)


def test_a_bent_path_passes_where_it_is_said() -> None:
    """The parabola through start, half-way and end in each angle (numpy's fit), at each share."""
    path = leg((10.0, 0.0, 20.0, 0.0), (50.0, 10.0, 30.0, 0.0), (40.0, 20.0, 90.0, 0.0))
    found = path_tables(path)
    place = profile("half-sine")[0]
    assert path.via is not None
    for d in range(3):
        through = [path.start[d], path.via[d], path.end[d]]
        curve = np.polyfit([0.0, 0.5, 1.0], through, 2)
        for r, share in enumerate(SHARES):
            wanted = np.radians(share * np.polyval(curve, place))
            assert found.angle[r, :, d] == pytest.approx(wanted, abs=1e-9)
        slope = np.radians(np.polyval(np.polyder(curve), place))
        assert found.rate[FULL, :, d] == pytest.approx(slope, abs=1e-6)
