"""Which muscles a movement uses and how much, on small tables of demand written by hand."""

from __future__ import annotations

import numpy as np
import pytest
from water_bodies import PEOPLE, arm, leg

from aquatempo.records.limbs import Action, Joint
from aquatempo.records.people import Person, Sex
from aquatempo.water.body import bodies_of, fat_percent
from aquatempo.water.limb_demand import Demand
from aquatempo.water.muscle_use import LimbUse, muscles_of, use_of
from aquatempo.water.paths import LimbPath
from aquatempo.water.strength import strength_of

LEG = leg((0.0,) * 4, (60.0, 0.0, 0.0, 0.0))
HIP, OUT, KNEE = 0, 1, 2


def _use(
    moving: dict[int, list[float]] | None = None,
    still: dict[int, list[float]] | None = None,
    rate: dict[int, list[float]] | None = None,
    angle_deg: dict[int, list[float]] | None = None,
    push: list[tuple[float, float]] | None = None,
    factor: float = 1.0,
    path: LimbPath = LEG,
) -> LimbUse:
    """Return the use of muscles in four instants; what is not told of a joint is zero."""

    def table(given: dict[int, list[float]] | None) -> np.ndarray:
        columns = [(given or {}).get(d, [0.0] * 4) for d in range(3)]
        return np.array(columns).T

    both = np.ones((2, 1, 1, 1))  # two people who are asked for the same
    demand = Demand(
        moving=table(moving) * both,
        still=table(still) * both,
        push=np.array(push or [(0.0, 0.0)] * 4) * both,
        hand_n=np.array([[3.0], [4.0]]),
        foot_n=np.array([[5.0], [6.0]]),
        rate=table(rate)[None],
        angle=np.radians(table(angle_deg))[None],
    )
    return use_of(path, PEOPLE, demand, np.full(2, factor))


def _names(use: LimbUse) -> list[str]:
    return [muscle.name for muscle in use.muscles]


def _can(joint: Joint, action: Action, angle_deg: float) -> np.ndarray:
    strength = strength_of(PEOPLE, joint, action)
    assert strength is not None
    return strength.torque_nm(np.full(2, np.radians(angle_deg)), np.zeros(2))


# A thigh that rises quickly and slowly, then sinks: 10 and 20 N m up, a brake of 30, 40 N m down.
SWING = {HIP: [10.0, 20.0, 30.0, -40.0]}
RATES = {HIP: [3.0, 0.5, -0.5, -4.0]}
WEIGHT = {HIP: [-8.0, 4.0, 12.0, -16.0]}
ANGLES = {HIP: [20.0] * 4}


def test_a_muscle_counts_while_it_drives() -> None:
    """Flexors give 10 and 20 N m while the thigh rises, extensors 40 while it sinks, over 4.

    The brake of 30 N m counts for nobody, nor does what weight gives to the other side: of 8 N m
    down, 4 up, 12 up and 16 down the flexors hold 4 and the extensors 16.
    """
    use = _use(SWING, WEIGHT, RATES, ANGLES)
    assert _names(use) == ["hip flexion", "hip extension"]
    for m, (action, sums, top, held) in enumerate(
        [(Action.FLEXION, 30.0, 20.0, 4.0), (Action.EXTENSION, 40.0, 40.0, 16.0)]
    ):
        can = _can(Joint.HIP, action, 20.0)
        assert use.mean_moving[:, 0, m] == pytest.approx(sums / 4 / can, rel=1e-5)
        assert use.peak_moving[:, 0, m] == pytest.approx(top / can, rel=1e-5)
        assert use.mean_still[:, 0, m] == pytest.approx(held / 4 / can, rel=1e-5)
        assert use.peak_still[:, 0, m] == pytest.approx(held / can, rel=1e-5)
        assert use.torque_nm[:, 0, m] == pytest.approx([top, top])
        assert use.can_nm[:, m] == pytest.approx(can, rel=1e-5)
    assert use.estimated == (False, False)
    assert use.hand_n.tolist() == [[3.0], [4.0]]
    assert use.foot_n.tolist() == [[5.0], [6.0]]


def test_a_muscle_is_as_fast_as_where_it_is_used() -> None:
    """On average (10 x 3 + 20 x 0.5) / 30 = 4/3 rad, at its most 0.5; extensors 4 and 4."""
    use = _use(SWING, WEIGHT, RATES, ANGLES)
    assert use.mean_speed_rad[0] == pytest.approx([4 / 3, 4.0])
    assert use.peak_speed_rad[0] == pytest.approx([0.5, 4.0])


def test_work_is_torque_times_way_where_it_is_positive() -> None:
    """Moving: 10 x 3 + 20 x 0.5 - 0 + 40 x 4 = 200 over 4; weight: 4 x 0.5 + 16 x 4 = 66 over 4.

    Power of two joints counts together: a knee that takes 5 x 2 off the first instant leaves 190.
    """
    use = _use(SWING, WEIGHT, RATES, ANGLES)
    assert use.work_moving == pytest.approx(np.full((2, 1), 50.0))
    assert use.work_still == pytest.approx(np.full((2, 1), 16.5))
    knee = _use(
        {**SWING, KNEE: [-5.0, 0, 0, 0]}, rate={**RATES, KNEE: [2.0, 0, 0, 0]}, angle_deg=ANGLES
    )
    assert knee.work_moving == pytest.approx(np.full((2, 1), 47.5))


def test_what_can_be_given_changes_with_the_angle_and_the_person() -> None:
    """Each instant is held against the torque at its angle, times how strong one is.

    can_nm is the largest of them: with hip extension at 0 and 60 degrees these differ.
    """
    moving, rate = {HIP: [-10.0] * 4}, {HIP: [-1.0] * 4}
    use = _use(moving, rate=rate, angle_deg={HIP: [0.0, 0.0, 60.0, 60.0]}, factor=0.5)
    low, high = (0.5 * _can(Joint.HIP, Action.EXTENSION, angle) for angle in (0.0, 60.0))
    assert use.mean_moving[:, 0, 0] == pytest.approx((10 / low + 10 / high) / 2, rel=1e-5)
    assert use.can_nm[:, 0] == pytest.approx(np.maximum(low, high), rel=1e-5)
    assert np.all(np.abs(low - high) > 5.0)


def test_nobody_is_weaker_than_a_newton_metre() -> None:
    """Of a person of nearly no strength a muscle still gives 1 N m: no use is endless."""
    use = _use({HIP: [2.0] * 4}, rate={HIP: [1.0] * 4}, factor=1e-6)
    assert use.can_nm[:, 0] == pytest.approx([1.0, 1.0])
    assert use.peak_moving[:, 0, 0] == pytest.approx([2.0, 2.0])


@pytest.mark.parametrize(
    ("joint", "angle", "used"),
    [
        (KNEE, 5.9, ["knee extension"]),
        (KNEE, 6.1, ["knee flexion", "knee extension"]),
        (HIP, 0.0, ["hip flexion", "hip extension"]),
        (OUT, 0.0, ["hip abduction", "hip adduction"]),
    ],
)
def test_only_a_straight_knee_locks(joint: int, angle: float, used: list[str]) -> None:
    """A joint that is held still uses both its muscles, a knee under 6 degrees its extensors."""
    use = _use({joint: [3.0, -3.0, 3.0, -3.0]}, angle_deg={joint: [angle] * 4})
    assert _names(use) == used


@pytest.mark.parametrize(("angle", "used"), [(5.0, []), (7.0, ["elbow flexion"])])
def test_a_straight_elbow_locks_too(angle: float, used: list[str]) -> None:
    """What closes an elbow that is held still is a muscle from 6 degrees on."""
    path = arm((0.0, 90.0, 0.0), (60.0, 90.0, 0.0))
    assert _names(_use({2: [3.0] * 4}, angle_deg={2: [angle] * 4}, path=path)) == used


def test_a_straight_knee_that_bends_is_bent_by_muscles() -> None:
    """A lock holds only what is still."""
    assert _names(_use({KNEE: [3.0] * 4}, rate={KNEE: [1.0] * 4})) == ["knee flexion"]


@pytest.mark.parametrize(
    ("moving", "still", "counts"),
    [(1e-3, 0.0, True), (0.0, 1e-3, True), (0.9e-3, 0.9e-3, False), (0.0, 0.0, False)],
)
def test_less_than_a_thousandth_of_a_newton_metre_is_nothing(
    moving: float, still: float, counts: bool
) -> None:
    """A muscle counts from 0.001 N m on, of moving or of holding."""
    use = _use({HIP: [moving] * 4}, {HIP: [still] * 4}, {HIP: [1.0] * 4})
    assert bool(use.muscles) is counts


def test_the_push_is_told_where_it_is_largest() -> None:
    """Ahead and aside together: 3 + 4 beats 6 and 5, and signs stay."""
    use = _use(push=[(6.0, 0.0), (-3.0, 4.0), (0.0, -5.0), (1.0, 1.0)])
    assert use.push[:, 0].tolist() == [[-3.0, 4.0]] * 2


@pytest.mark.parametrize(
    ("start", "end", "lifts"),
    [
        ((0, 0, 0), (80, 0, 0), "abduction"),
        ((0, 30, 0), (80, 30, 0), "abduction"),
        ((0, 44, 0), (80, 44, 0), "abduction"),
        ((0, 45, 0), (80, 45, 0), "flexion"),
        ((0, 90, 0), (80, 90, 0), "flexion"),
        ((90, 0, 0), (90, 20, 0), "flexion"),
        ((90, -20, 0), (90, 0, 0), "flexion"),
    ],
)
def test_arms_are_raised_aside_or_ahead(
    start: tuple[float, float, float], end: tuple[float, float, float], lifts: str
) -> None:
    """Nearer to the side abductors lift an arm; ahead, and in a sweep, flexors do.

    The other two angles of an arm: across the body or away, elbow closing or opening.
    """
    against = {"abduction": "adduction", "flexion": "extension"}[lifts]
    names = [tuple(m.name for m in pair) for pair in muscles_of(arm(start, end))]
    assert names == [
        (f"shoulder {lifts}", f"shoulder {against}"),
        ("shoulder horizontal adduction", "shoulder horizontal abduction"),
        ("elbow flexion", "elbow extension"),
    ]


def test_a_womans_filled_strength_is_four_fifths_of_a_mans() -> None:
    """Hip abduction of a man of 21.5 years and the build of the tables: 1.29 N m/kg (Harbo 2012).

    A woman as heavy, as lean for a woman: 0.8 of it (judgement, as the table of assumptions).
    """
    ages, women = np.full(2, 21.5), np.array([True, False])
    usual = fat_percent(np.full(2, 24.0), ages, women)
    people = bodies_of(
        [
            Person(1.7, 70.0, sex, 21.5, float(fat))
            for sex, fat in zip((Sex.WOMAN, Sex.MAN), usual, strict=True)
        ]
    )
    found = strength_of(people, Joint.HIP, Action.ABDUCTION)
    assert found is not None
    assert found.peak_nm[0, 0] / found.peak_nm[0, 1] == pytest.approx(0.8, rel=0.02)


def test_fat_that_is_not_told_is_that_of_mass_over_height_squared() -> None:
    """1.60 m and 55.04 kg are 21.5 kg/m2: at 23 years 1.20 x 21.5 + 0.23 x 23 - 5.4 = 25.69 %.

    Deurenberg et al. 1991, Br J Nutr 65:105-114; a man has 10.8 less.
    """
    woman, man = bodies_of(
        [Person(1.60, 55.04, sex, 23.0) for sex in (Sex.WOMAN, Sex.MAN)]
    ).fat_percent
    assert woman == pytest.approx(25.69)
    assert man == pytest.approx(14.89)
