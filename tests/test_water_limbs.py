"""Laws of a limb in water; numbers in them follow from mechanics, not from data."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from water_bodies import PEOPLE, WATER, arm, demand, kick, leg
from water_second_way import de_leva

from aquatempo.records.limbs import Hands
from aquatempo.water.limb_demand import Coefficients, limb_inertia_kg_m2
from aquatempo.water.limbs import Kind, lengths_of, places, strips_of
from aquatempo.water.muscle_use import use_of
from aquatempo.water.paths import SHARES, LimbPath, path_tables, profile
from aquatempo.water.properties import GRAVITY_M_S2

FULL = int(np.flatnonzero(SHARES == 1.0)[0])
angles = st.floats(-30.0, 90.0)
knees = st.floats(0.0, 120.0)


@st.composite
def legs(draw: st.DrawFn) -> LimbPath:
    """Any path of a leg, knee and ankle moving with the hip."""
    ends = [
        (draw(angles), draw(st.floats(-10.0, 35.0)), draw(knees), draw(st.floats(-40.0, 15.0)))
        for _ in range(2)
    ]
    return leg(*ends)


@given(legs())
@settings(max_examples=25, deadline=None)
def test_power_into_the_water_is_force_times_velocity(path: LimbPath) -> None:
    """Torques by virtual work do the work of the strips' drag: sum T dq = sum F dp, to 1 %.

    The strips are moved by hand here, by differences of places, and each feels 1/2 rho Cd A
    v |v| of the velocity across its axis or along its normal.
    """
    place, speed, _ = profile("half-sine")
    strips, step = strips_of(path.kind), 1e-4
    start, end = (np.radians(np.array(p)) for p in (path.start, path.end))

    def at(s: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        return places(path.kind, start + (end - start) * s[:, None], strips.segment, strips.along)

    here, axes, normals = at(place)
    velocity = (at(place + step)[0] - at(place - step)[0]) / (2 * step) * speed[:, None, None]
    axis, normal = axes[:, strips.segment], normals[:, strips.normal]
    along = np.sum(velocity * axis, axis=-1, keepdims=True) * axis
    through = np.sum(velocity * normal, axis=-1, keepdims=True) * normal
    felt = np.where(strips.by_axis[None, :, None], velocity - along, through)
    drag = felt * np.linalg.norm(felt, axis=-1, keepdims=True)
    power = np.sum(drag * velocity, axis=-1)
    cylinder, plate = power @ strips.cylinder[0], power @ strips.plate
    tables = path_tables(path)
    rate = tables.rate[FULL] * tables.speed[:, None]
    ours = np.sum(tables.drag_cylinder[0, -1, FULL] * rate, axis=-1)
    ours_plate = np.sum(tables.drag_plate[-1, FULL] * rate, axis=-1)
    # the ankle is not driven by a joint that is told: its share of the foot's drag is left out
    still_foot = path.start[3] == path.end[3]
    assert np.allclose(ours, cylinder, rtol=0.01, atol=1e-6)
    if still_foot:
        assert np.allclose(ours_plate, plate, rtol=0.01, atol=1e-6)
    assert here.shape[0] == len(place)


def test_the_toes_of_a_level_leg_are_wet_in_chest_deep_water() -> None:
    """A straight leg that comes down from 83 degrees feels all of its foot from the start.

    Toes stand a tenth of the stature over the hip then, and chest-deep water twice that.
    """
    level = path_tables(leg((83.0, 0.0, 0.0, 0.0), (0.0,) * 4)).drag_plate[-1, FULL, 0]
    lower = path_tables(leg((43.0, 0.0, 0.0, 0.0), (-40.0, 0.0, 0.0, 0.0))).drag_plate[-1, FULL, 0]
    assert level == pytest.approx(lower, rel=0.02)  # the same swing, the whole foot far under


def test_a_straight_knee_hangs_on_its_ligaments_and_a_bent_one_on_muscles() -> None:
    """Coming down, a knee that is held bent needs its flexors; a straight one needs none."""

    def worked(knee_deg: float) -> set[str]:
        path = leg((60.0, 0.0, knee_deg, 0.0), (0.0, 0.0, knee_deg, 0.0))
        used = use_of(path, PEOPLE, demand(path), np.ones(2))
        return {muscle.name for muscle in used.muscles}

    assert "knee flexion" not in worked(0.0)
    assert "knee flexion" in worked(60.0)


def test_a_straight_plain_limb_matches_the_integral_done_by_hand() -> None:
    """Hip torque of thigh and shank is 1/2 rho Cd w^2 times the integral of d s^3, to 1 %."""
    path = kick(10.0)
    thigh, shank, _ = lengths_of(Kind.LEG)
    parts = PEOPLE.parts
    height = PEOPLE.stature_m
    by_hand = np.zeros(2)
    for name, first, length in (("thigh", 0.0, thigh), ("shank", thigh, shank)):
        s = np.linspace(0.0, 1.0, 4001)
        part = parts[name]
        width = part.upper_m[:, None] + (part.lower_m - part.upper_m)[:, None] * s
        lever = (first + length * s)[None, :] * height[:, None]
        by_hand += np.trapezoid(width * lever**3, s, axis=1) * length * height
    tables = path_tables(path)
    rate = float(np.max(np.abs(tables.rate[FULL, :, 0]) * tables.speed))
    top = np.max(np.abs(tables.drag_cylinder[:, -1, FULL, :, 0]), axis=-1)  # by sex
    ours = top * PEOPLE.girth * height**4
    # the top speed of half a sine is pi/2 of the mean; with 8 instants it is met within 4 %
    assert rate == pytest.approx(np.radians(10.0) * np.pi / 2, rel=0.04)
    assert np.allclose(ours, by_hand * rate**2, rtol=0.01)


@pytest.mark.parametrize("swing", ["ahead", "aside"])
def test_a_bent_leg_asks_less_than_a_straight_one(swing: str) -> None:
    """Bending the knee shortens the lever: torque at the hip falls by more than a third."""
    aside = swing == "aside"

    def torque(knee_deg: float) -> np.ndarray:
        end = (0.0, 35.0, knee_deg, 0.0) if aside else (50.0, 0.0, knee_deg, 0.0)
        found = demand(leg((0.0, 0.0, knee_deg, 0.0), end))
        turning = np.abs(found.moving[:, FULL, :, 1 if aside else 0])
        return np.asarray(turning.max(axis=-1))

    assert np.all(torque(90.0) < 0.66 * torque(0.0))


def test_a_knee_that_moves_with_the_hip_asks_less_than_one_that_is_frozen() -> None:
    """A jog's leg, knee and hip together, does less work than one carried with a bent knee.

    The shank stays upright and slow instead of sweeping with the thigh.
    """
    coupled = demand(leg((0.0, 0.0, 0.0, 0.0), (50.0, 0.0, 80.0, 0.0)))
    frozen = demand(kick(50.0, 80.0))
    straight = demand(kick(50.0))

    def work(found: object) -> np.ndarray:
        power = (found.moving * found.rate).sum(axis=-1)[:, FULL]  # type: ignore[attr-defined]
        return np.asarray(np.maximum(power, 0.0).mean(axis=-1))

    assert np.all(work(coupled) < 0.7 * work(straight))
    assert np.all(work(frozen) < 0.7 * work(straight))


def test_hands_order_slice_fist_open() -> None:
    """A slicing hand meets least water, then the fist, then the open hand."""
    path = arm((0.0, 90.0, 0.0), (80.0, 90.0, 0.0))
    forces = [
        demand(path, hands).hand_n[:, FULL] for hands in (Hands.SLICE, Hands.FIST, Hands.OPEN)
    ]
    assert np.all(forces[0] < forces[1])
    assert np.all(forces[1] < forces[2])


def test_equipment_adds_drag_and_a_float_pulls_up() -> None:
    """A paddle of 300 cm2 more than doubles the force at an open hand; a float lifts the arm.

    At a level arm the lift takes float times reach off the shoulder (worked, 2 %).
    """
    path = arm((70.0, 90.0, 0.0), (90.0, 90.0, 0.0))
    plain, paddle = (demand(path, Hands.OPEN, area_m2=a) for a in (0.0, 0.03))
    assert np.all(paddle.hand_n[:, FULL] > 2.0 * plain.hand_n[:, FULL])
    floats = demand(path, Hands.OPEN, float_n=30.0)
    upper, fore, hand = lengths_of(Kind.ARM)
    reach = (upper + fore + 0.5 * hand) * PEOPLE.stature_m
    lifted = plain.still[:, FULL, -1, 0] - floats.still[:, FULL, -1, 0]
    assert np.allclose(lifted, 30.0 * reach * np.sin(np.radians(90.0)), rtol=0.02)


def test_out_of_the_water_there_is_no_drag_but_full_weight() -> None:
    """In air an arm has inertia and weight only; in water most of the weight is carried."""
    path = arm((60.0, 90.0, 0.0), (90.0, 90.0, 0.0))
    dry, wet = (demand(path, in_water=inside) for inside in (False, True))
    assert np.all(dry.push == 0.0)
    assert np.all(dry.hand_n == 0.0)
    weight = [float(abs(d.still[0, FULL, -1, 0])) for d in (dry, wet)]
    assert weight[1] < 0.3 * weight[0]
    parts, first = PEOPLE.parts, 0.0
    moment = 0.0
    for name in ("upper arm", "forearm", "hand"):  # centres of mass of de Leva 1996
        part = parts[name]
        centre = 0.5 if name == "hand" else de_leva(name, PEOPLE, 0)[0]
        moment += float(part.mass_kg[0]) * (first + centre * float(part.length_m[0]))
        first += float(part.length_m[0])
    assert weight[0] == pytest.approx(GRAVITY_M_S2 * moment, rel=0.02)


def test_only_the_wet_part_counts() -> None:
    """The lower the water stands on a leg that kicks, the less of it is met."""
    hip = PEOPLE.joints_m["hip"]
    ankle, knee, full = (
        np.abs(demand(kick(), surface_m=hip + over).push).max(axis=(1, 2, 3))
        for over in (-0.6, -0.25, 1.0)
    )
    assert np.all(ankle < 0.6 * knee)
    assert np.all(knee < full)


def test_a_pointed_foot_adds_drag_to_a_kick() -> None:
    """In a kick a square foot moves along its own sole; a pointed one stands across the way."""
    square, pointed = (demand(kick(30.0, 0.0, ankle)).foot_n[:, FULL] for ankle in (0.0, -40.0))
    assert np.all(pointed > 1.2 * square)


def test_a_lowered_arm_sweeps_a_smaller_circle() -> None:
    """A level sweep with the arm at 40 degrees has 0.64 of the reach, and far less force."""
    level, low = (
        demand(LimbPath(Kind.ARM, (up, 0.0, 0.0), (up, 80.0, 0.0), (up, 0.0, 0.0)), Hands.OPEN)
        for up in (90.0, 40.0)
    )
    ratio = low.hand_n[:, FULL] / level.hand_n[:, FULL]
    assert np.allclose(ratio, np.sin(np.radians(40.0)) ** 2, rtol=0.02)


def test_minimum_jerk_is_faster_at_its_peak() -> None:
    """The peak speed of minimum jerk is 15/8, of half a sine pi/2 of the mean (worked)."""
    peaks = [profile(name)[1].max() for name in ("half-sine", "minimum-jerk")]
    assert peaks[0] == pytest.approx(np.pi / 2, rel=0.03)
    assert peaks[1] == pytest.approx(15 / 8, rel=0.05)


@given(st.floats(1.0, 1.5), st.floats(0.7, 1.0))
@settings(max_examples=20, deadline=None)
def test_drag_goes_with_its_coefficient_and_inertia_with_added_mass(
    unsteady: float, added: float
) -> None:
    """Twice the coefficient is twice the force; more added mass means more inertia."""
    one = demand(kick(), coefficients=Coefficients(unsteady_drag=1.0))
    more = demand(kick(), coefficients=Coefficients(unsteady_drag=unsteady))
    assert np.allclose(more.push, unsteady * one.push, rtol=1e-5)
    light = limb_inertia_kg_m2(kick(), PEOPLE, WATER, 0.7)
    heavy = limb_inertia_kg_m2(kick(), PEOPLE, WATER, added)
    assert np.all(heavy >= light)


@given(legs())
@settings(max_examples=10, deadline=None)
def test_the_way_back_is_the_way_there_seen_backwards(path: LimbPath) -> None:
    """Drag turns its sign on the way back, inertia and weight do not (time reversed)."""
    there = path_tables(path)
    back = path_tables(LimbPath(path.kind, path.end, path.start, path.pivot, path.via))
    assert np.allclose(back.drag_cylinder[..., ::-1, :], -there.drag_cylinder, atol=1e-5)
    assert np.allclose(back.mass[..., ::-1, :], there.mass, atol=1e-5)
    assert np.allclose(back.heavy[..., ::-1, :], there.heavy, atol=1e-6)
