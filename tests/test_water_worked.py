"""Formulas of the water model against a second way to the same number."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from water_bodies import PEOPLE, WATER, arm, demand, kick

from aquatempo.errors import InputError
from aquatempo.records.limbs import Hands, Plane
from aquatempo.records.people import Person, Sex
from aquatempo.water.body import bodies_of
from aquatempo.water.floating import downward_n, trunk_inertia_kg_m2
from aquatempo.water.immersion import weight_on_feet
from aquatempo.water.muscle_use import use_of
from aquatempo.water.paths import INSTANTS, SHARES, profile
from aquatempo.water.properties import GRAVITY_M_S2, Water
from aquatempo.water.rebound import flight

FULL = int(np.flatnonzero(SHARES == 1.0)[0])
MIDDLES = (np.arange(INSTANTS) + 0.5) / INSTANTS


def test_minimum_jerk_is_the_quintic_that_rests_at_both_ends() -> None:
    """Place is 10 t^3 - 15 t^4 + 6 t^5 (Flash and Hogan 1985, J Neurosci 5:1688).

    Found here as the quintic through six conditions: place 0 and 1, speed and acceleration 0 at
    both ends. Speed and acceleration are its derivatives.
    """
    powers = np.arange(6)
    rows = [
        [
            float(np.prod(np.arange(k - d + 1, k + 1))) * (t ** (k - d)) if k >= d else 0.0
            for k in powers
        ]
        for d in (0, 1, 2)
        for t in (0.0, 1.0)
    ]
    curve = np.polynomial.Polynomial(np.linalg.solve(rows, [0.0, 1.0, 0.0, 0.0, 0.0, 0.0]))
    for order, values in enumerate(profile("minimum-jerk")):
        expected = curve.deriv(order) if order else curve
        assert values == pytest.approx(expected(MIDDLES), abs=1e-9)


def test_half_a_sine_is_simple_harmonic() -> None:
    """Speed and acceleration of a harmonic swing follow from its place: v^2 = w^2 x (1 - x)."""
    place, speed, acceleration = profile("half-sine")
    assert speed**2 == pytest.approx(np.pi**2 * place * (1 - place))
    assert acceleration == pytest.approx(np.pi**2 * (0.5 - place))


def test_a_dry_trunk_turns_as_its_parts_at_their_middles() -> None:
    """About the hips: mass times distance squared of each part; arms hang at the breastbone."""
    none = Water(1e-12, 1e-12)
    marks, hip = PEOPLE.landmarks_m, PEOPLE.joints_m["hip"]
    edges = ("hip", "navel", "breastbone end", "collarbone")
    heights = [*(marks[name] for name in edges), PEOPLE.stature_m]
    parts = ("lower trunk", "middle trunk", "upper trunk", "head")
    by_hand = np.zeros(2)
    for name, low, high in zip(parts, heights, heights[1:], strict=False):
        by_hand += PEOPLE.trunk_kg[name] * ((low + high) / 2 - hip) ** 2
    for name in ("upper arm", "forearm", "hand"):
        by_hand += 2 * PEOPLE.parts[name].mass_kg * (marks["breastbone end"] - hip) ** 2
    for plane in Plane:
        assert trunk_inertia_kg_m2(PEOPLE, plane, none) == pytest.approx(by_hand, rel=1e-9)


def test_who_floats_and_presses_with_nothing_still_comes_down() -> None:
    """A newton is left, so that a hop ends."""
    assert downward_n(np.array([-500.0, -1.0]), 0.0) == pytest.approx([1.0, 1.0])


def test_a_hop_is_that_of_an_integrated_equation_of_motion() -> None:
    """Rise and fall of 12 cm at the chest by a general solver of differential equations, 1 %.

    m x'' = -(weight - buoyancy(x)) - 1/2 rho Cd A x' |x'|, started at the top both ways; the
    buoyancy is what is missing of the weight on the feet, the moving mass the body's and a
    quarter of the water that it pushes aside.
    """
    hop_m, added, cd = 0.12, 0.25, 1.0
    depth = PEOPLE.landmarks_m["breastbone end"]
    found = flight(PEOPLE, depth, np.full(2, hop_m), WATER, added, cd)
    widths = PEOPLE.widths_m
    area = np.pi / 4 * widths["chest breadth"] * widths["chest depth"]
    resist = 0.5 * WATER.density_kg_m3 * cd * area
    stands = weight_on_feet(PEOPLE, depth, WATER)
    moving = PEOPLE.mass_kg * (1 + added * (1 - stands))
    assert found.moving_kg == pytest.approx(moving, rel=1e-6)
    for who in range(2):

        def pull(height: float, who: int = who) -> float:
            share = weight_on_feet(PEOPLE, depth - height, WATER)[who]
            return float(share * PEOPLE.mass_kg[who] * GRAVITY_M_S2)

        for way, time_s, speed in (
            (1.0, found.fall_s[who], found.landing_m_s[who]),
            (-1.0, found.rise_s[who], found.takeoff_m_s[who]),
        ):

            def motion(
                _: float, state: np.ndarray, way: float = way, who: int = who
            ) -> list[float]:
                height, pace = state
                drag = way * resist[who] * pace * abs(pace)
                return [pace, (-pull(height) - drag) / moving[who]]

            def floor(_: float, state: np.ndarray) -> float:
                return float(state[0])

            floor.terminal = True  # type: ignore[attr-defined]
            done = solve_ivp(motion, (0.0, 3.0), [hop_m, 0.0], events=floor, max_step=0.005)
            assert time_s == pytest.approx(done.t[-1], rel=0.01)
            assert speed == pytest.approx(-done.y[1, -1], rel=0.01)


def test_a_hop_takes_the_energy_of_its_take_off() -> None:
    """Work is half the moving mass times the speed squared; who stands weighs what feet bear.

    Untold, water along the body is a tenth of what it pushes aside and Cd 0.8, as free_inputs.toml.
    """
    depth = PEOPLE.landmarks_m["navel"]
    found = flight(PEOPLE, depth, np.full(2, 0.1), WATER)
    told = flight(PEOPLE, depth, np.full(2, 0.1), WATER, 0.1, 0.8)
    assert found.work_j == pytest.approx(found.moving_kg * found.takeoff_m_s**2 / 2)
    stands = weight_on_feet(PEOPLE, depth, WATER) * PEOPLE.mass_kg * GRAVITY_M_S2
    assert found.apparent_n == pytest.approx(stands)
    assert found.time_s == pytest.approx(told.time_s)
    assert found.moving_kg == pytest.approx(told.moving_kg)


def test_a_larger_body_of_the_same_shape_meets_the_fifth_power() -> None:
    """At one angular speed force goes with the fourth power of the length, torque with the fifth.

    Drag is density times area times speed squared: two, and two more of the speed; the lever is
    the fifth (geometric similarity).
    """
    small, large = 1.50, 1.80
    people = bodies_of([Person(tall, 20.0 * tall**3, Sex.WOMAN, 40.0) for tall in (small, large)])
    scale = large / small
    swing = arm((60.0, 90.0, 0.0), (90.0, 90.0, 0.0))
    found = demand(swing, Hands.OPEN, bodies=people)
    assert found.hand_n[1, FULL] / found.hand_n[0, FULL] == pytest.approx(scale**4, rel=1e-3)
    for path in (swing, kick(50.0, 0.0, -30.0)):
        moving = demand(path, Hands.OPEN, bodies=people).moving[:, FULL, :, 0]
        assert np.abs(moving[1]).max() / np.abs(moving[0]).max() == pytest.approx(
            scale**5, rel=0.02
        )


def test_a_kick_forward_is_done_by_the_muscles_that_bend_the_hip() -> None:
    """What moves a limb against the water pulls the way it goes: hip flexion, and no extension."""
    path = kick(50.0)
    found = demand(path)
    used = use_of(path, PEOPLE, found, np.ones(2))
    names = [muscle.name for muscle in used.muscles]
    flexors = names.index("hip flexion")
    needed = np.maximum(found.moving[:, FULL, :, 0], 0.0).max(axis=-1)
    assert used.torque_nm[:, FULL, flexors] == pytest.approx(needed, rel=0.01)
    if "hip extension" in names:
        extensors = names.index("hip extension")
        assert np.all(
            used.mean_moving[:, FULL, extensors] < 0.2 * used.mean_moving[:, FULL, flexors]
        )


def test_an_arm_that_hangs_still_uses_no_muscle() -> None:
    """At the side and in the water it asks nothing; the tables are empty, with their shapes."""
    path = arm((0.0,) * 3, (0.0,) * 3)
    used = use_of(path, PEOPLE, demand(path), np.ones(2))
    assert used.muscles == ()
    assert used.c4.shape == used.can_nm.shape == (len(PEOPLE), 0)
    assert used.mean_moving.shape == used.torque_nm.shape == (len(PEOPLE), len(SHARES), 0)
    assert used.mean_speed_rad.shape == (len(SHARES), 0)


@pytest.mark.parametrize(
    ("field", "least", "most"),
    [("height_m", 1.2, 2.2), ("mass_kg", 30.0, 200.0), ("age_years", 16.0, 100.0)],
)
def test_bodies_are_taken_up_to_the_stated_limits(field: str, least: float, most: float) -> None:
    """Both ends of each range are people; a hundredth past one is named with the range."""
    usual = {"height_m": 1.7, "mass_kg": 70.0, "age_years": 50.0}

    def body(value: float) -> None:
        given = {**usual, field: value}
        bodies_of([Person(given["height_m"], given["mass_kg"], Sex.WOMAN, given["age_years"])])

    body(least)
    body(most)
    for beyond in (least - 0.01, most + 0.01):
        with pytest.raises(InputError):
            body(beyond)
