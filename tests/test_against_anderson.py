"""Joint strength against Anderson, Madigan and Nussbaum 2007, Table 3.

J Biomech 40:3105-3113, doi 10.1016/j.jbiomech.2007.03.022, as transcribed.
"""

from __future__ import annotations

import numpy as np
import pytest

from aquatempo.records.moves import Action, Joint
from aquatempo.records.people import Person, Sex
from aquatempo.water.body import Bodies, bodies_of, fat_percent
from aquatempo.water.strength import Strength, pulling_mass_kg, speed_factor, strength_of
from aquatempo.water.tables import read_table

_BUILD = read_table("strength-assumptions").numbers("quantity", "value")[
    "build of the tables in kg/m2"
]


def _of_the_tables(height_m: float, mass_kg: float, sex: Sex, age_years: float) -> Bodies:
    """Return a body as lean as the tables' people are taken to be: its mass is what pulls."""
    usual = fat_percent(_BUILD, np.array(age_years), np.array(sex is Sex.WOMAN))
    return bodies_of([Person(height_m, mass_kg, sex, age_years, float(usual))])


YOUNG = _of_the_tables(1.6285, 67.8, Sex.WOMAN, 20.0)
OLD = _of_the_tables(1.6285, 67.8, Sex.WOMAN, 75.0)


def _hip(bodies: object, action: Action) -> Strength:
    found = strength_of(bodies, Joint.HIP, action)  # type: ignore[arg-type]
    assert found is not None
    return found


@pytest.mark.parametrize(
    "row", read_table("anderson-2007").rows, ids=lambda r: str(list(r.values())[:4])
)
def test_speed_identities_hold_in_every_row(row: dict[str, str]) -> None:
    """The speed factor is 1 at rest, 0.75 at C4 and 0.50 at C5 to 1e-9, by its form."""
    c4, c5 = np.array(float(row["c4"])), np.array(float(row["c5"]))
    assert float(speed_factor(np.array(0.0), c4, c5)) == pytest.approx(1.0, abs=1e-9)
    assert float(speed_factor(c4, c4, c5)) == pytest.approx(0.75, abs=1e-9)
    assert float(speed_factor(c5, c4, c5)) == pytest.approx(0.50, abs=1e-9)


def test_hip_flexion_of_a_young_woman_meets_the_check_values() -> None:
    """138 N m at rest, 75 % at 122 and 50 % at 249 degrees a second, all within 1 %."""
    hip = _hip(YOUNG, Action.FLEXION)
    best = float(hip.c3[0, 0])
    angle = np.array([best])
    still = float(hip.torque_nm(angle, np.zeros(1))[0])
    assert still == pytest.approx(138.0, rel=0.01)
    for speed, share in ((122.0, 0.75), (249.0, 0.50)):
        torque = float(hip.torque_nm(angle, np.radians([speed]))[0])
        assert torque == pytest.approx(share * still, rel=0.01)


@pytest.mark.parametrize(
    ("action", "torque_nm"), [(Action.FLEXION, 88.0), (Action.EXTENSION, 149.0)]
)
def test_hips_of_old_women_meet_the_check_values(action: Action, torque_nm: float) -> None:
    """Women over 65 of the same size: 88 N m hip flexion, 149 N m extension, within 1 %."""
    assert float(np.max(_hip(OLD, action).peak_nm[1])) == pytest.approx(torque_nm, rel=0.01)


def test_age_is_interpolated_between_group_means() -> None:
    """Half-way between two group means the torque is half-way between theirs."""
    ages = (21.5, 40.75, 60.0)
    torques = []
    for age in ages:
        hip = _hip(_of_the_tables(1.7, 75.0, Sex.MAN, age), Action.FLEXION)
        torques.append(float(hip.torque_nm(np.array([0.3]), np.array([1.0]))[0]))
    assert torques[1] == pytest.approx((torques[0] + torques[2]) / 2, rel=1e-9)


def test_missing_rows_are_filled_and_marked() -> None:
    """Sideways hip, shoulder and elbow are marked estimated; the trunk has no capacity."""
    for joint, action in (
        (Joint.HIP, Action.ABDUCTION),
        (Joint.SHOULDER, Action.FLEXION),
        (Joint.SHOULDER, Action.HORIZONTAL_ADDUCTION),
        (Joint.ELBOW, Action.FLEXION),
    ):
        found = strength_of(YOUNG, joint, action)
        assert found is not None
        assert found.estimated
    assert not _hip(YOUNG, Action.FLEXION).estimated
    assert strength_of(YOUNG, Joint.TRUNK, Action.ROTATION) is None


def test_harbo_men_of_25_are_met_where_the_table_is_silent() -> None:
    """A man of 21.5 years has 1.29 N m/kg of hip abduction, Harbo et al. 2012, exactly."""
    man = _of_the_tables(1.80, 80.0, Sex.MAN, 21.5)
    hip = strength_of(man, Joint.HIP, Action.ABDUCTION)
    assert hip is not None
    assert float(hip.torque_nm(np.zeros(1), np.zeros(1))[0]) == pytest.approx(1.29 * 80.0)


def test_speeds_beyond_the_table_never_turn_torque_round() -> None:
    """At sixty radians a second a muscle gives nothing, and never less."""
    hip = _hip(YOUNG, Action.FLEXION)
    fast = hip.torque_nm(np.zeros((1, 1)), np.array([[60.0]]))
    assert float(fast[0, 0]) >= 0.0


def test_strength_grows_with_lean_mass_not_with_fat() -> None:
    """Of two women as lean in kilograms the fatter pulls no harder; more muscle does."""
    lean = bodies_of([Person(1.63, 60.0, Sex.WOMAN, 40.0, 25.0)])
    fat = bodies_of([Person(1.63, 90.0, Sex.WOMAN, 40.0, 50.0)])  # 45 kg lean, as the first
    strong = bodies_of([Person(1.63, 90.0, Sex.WOMAN, 40.0, 25.0)])
    mass = [float(pulling_mass_kg(body)[0]) for body in (lean, fat, strong)]
    assert mass[0] == pytest.approx(mass[1])
    assert mass[2] == pytest.approx(1.5 * mass[0])


def test_strength_falls_on_beyond_the_table() -> None:
    """Above 75 strength falls by 1.3 % of that at 75 a year.

    Kemmler et al. 2018, Front Physiol 9:1524: leg strength of men falls 1.3 % a year after 52.
    """
    old, older = (
        float(pulling_mass_kg(bodies_of([Person(1.6, 65.0, Sex.WOMAN, age, 35.0)]))[0])
        / (100.0 - 35.0)
        * (100.0 - float(fat_percent(_BUILD, np.array(age), np.array(True))))
        for age in (75.0, 85.0)
    )
    assert older / old == pytest.approx(1.0 - 10 * 0.013)


def test_a_joint_keeps_some_strength_at_the_ends_of_its_range() -> None:
    """The cosine of the fit never takes a leg's torque below 0.4 of its best (judgement)."""
    hip = _hip(YOUNG, Action.FLEXION)
    ends = hip.isometric_nm(np.radians(np.array([[-30.0, 0.0, 60.0, 120.0]])))
    assert np.all(ends[0] >= 0.4 * float(hip.peak_nm[0, 0]) - 1e-9)


@pytest.mark.parametrize("joint", [Joint.HIP, Joint.KNEE])
@pytest.mark.parametrize("action", [Action.FLEXION, Action.EXTENSION])
@pytest.mark.parametrize("off_deg", [-25.0, 10.0, 25.0])
def test_torque_falls_off_its_best_angle_as_fitted(
    joint: Joint, action: Action, off_deg: float
) -> None:
    """C1 m g H cos(C2 (a - C3)) in both rows round a woman of 20, 25 degrees to either side."""
    rows = [
        row for row in read_table("anderson-2007").rows
        if (row["joint"], row["action"], row["sex"]) == (joint.value, action.value, "woman")
    ]  # fmt: skip
    found = strength_of(YOUNG, joint, action)
    assert found is not None
    for group, row in enumerate(rows[:2]):
        c1, c2, c3 = (float(row[name]) for name in ("c1", "c2", "c3"))
        at = c3 + np.radians(off_deg)
        best = c1 * 67.8 * 9.80665 * 1.6285
        wanted = best * max(np.cos(c2 * np.radians(off_deg)), 0.4)
        assert found.isometric_nm(np.array([at]))[group, 0] == pytest.approx(wanted, rel=1e-6)
