"""Hops, travel, floating and effort: laws and worked values."""

from __future__ import annotations

import numpy as np
import pytest
from water_bodies import PEOPLE, WATER

from aquatempo.records.limbs import Plane
from aquatempo.records.moves import Travel
from aquatempo.water.effort import heart_rate_bpm, met, peak_met, rpe, support_j
from aquatempo.water.endurance import LONGEST_S, held_for_s, holdable
from aquatempo.water.floating import downward_n, net_weight_n, scull_power_w, trunk_inertia_kg_m2
from aquatempo.water.immersion import weight_on_feet
from aquatempo.water.properties import GRAVITY_M_S2, Water
from aquatempo.water.rebound import flight, peak_force_bw
from aquatempo.water.travel import grip_speed_m_s, hull_of, reversal_s, start_s

CHEST_M = PEOPLE.landmarks_m["breastbone end"]


def test_on_land_a_hop_is_free_fall() -> None:
    """In no water a 5 cm hop takes 2 sqrt(2 h / g) = 0.202 s and lands at 0.990 m/s, 1 %."""
    air = Water(1e-9, 1e-9)
    hop = flight(PEOPLE, np.full(2, 0.0), np.full(2, 0.05), air)
    assert np.allclose(hop.time_s, 2 * np.sqrt(2 * 0.05 / GRAVITY_M_S2), rtol=0.01)
    assert np.allclose(hop.landing_m_s, np.sqrt(2 * GRAVITY_M_S2 * 0.05), rtol=0.01)


def test_a_hop_of_5_cm_takes_a_third_of_a_second_at_the_chest() -> None:
    """At 0.30 to 0.35 of land weight a 5 cm hop lasts 0.33 to 0.38 s (worked estimate), 10 %.

    So with 0.20 s of contact a two-foot jump cannot follow a beat of 125 b/min (0.48 s).
    """
    hop = flight(PEOPLE, CHEST_M, np.full(2, 0.05), WATER)
    share = weight_on_feet(PEOPLE, CHEST_M, WATER)
    assert np.all((share > 0.27) & (share < 0.38))
    assert np.all((hop.time_s > 0.33 * 0.9) & (hop.time_s < 0.38 * 1.1))
    assert np.all(hop.time_s + 0.20 > 60.0 / 125.0)


def test_drag_slows_the_landing_below_the_take_off() -> None:
    """Water takes energy out of a hop: it lands slower than it left, and falls longer."""
    hop = flight(PEOPLE, CHEST_M, np.full(2, 0.15), WATER)
    assert np.all(hop.landing_m_s < hop.takeoff_m_s)
    assert np.all(hop.fall_s > hop.rise_s)


def test_deeper_water_makes_hops_longer_and_softer() -> None:
    """The same hop lasts longer and lands slower in deeper water."""
    waist, chest = (
        flight(PEOPLE, PEOPLE.landmarks_m[name], np.full(2, 0.08), WATER)
        for name in ("navel", "nipple")
    )
    assert np.all(chest.time_s > waist.time_s)
    assert np.all(chest.landing_m_s < waist.landing_m_s)


def test_buoyancy_falls_as_the_body_rises() -> None:
    """Without drag a hop lasts between 2 sqrt(2 h M / W) with the weight at its top and at rest.

    W is weight less buoyancy, M mass and axial added mass; Archimedes at both heights.
    """
    hop_m = 0.15
    hop = flight(PEOPLE, CHEST_M, np.full(2, hop_m), WATER, vertical_cd=1e-6)
    kg, weight_n = hop.moving_kg, PEOPLE.mass_kg * GRAVITY_M_S2
    slow, quick = (
        2 * np.sqrt(2 * hop_m * kg / (weight_on_feet(PEOPLE, at_m, WATER) * weight_n))
        for at_m in (CHEST_M, CHEST_M - hop_m)
    )
    assert np.all(hop.time_s < 0.97 * slow)
    assert np.all(hop.time_s > quick)


def test_water_to_the_hips_moves_with_both_legs() -> None:
    """Added mass of two cylinders across the flow: rho pi / 4 d^2 a metre (potential flow)."""
    hip = PEOPLE.joints_m["hip"]
    hull = hull_of(PEOPLE, hip, Travel.FORWARD, WATER)
    thigh, shank = PEOPLE.parts["thigh"], PEOPLE.parts["shank"]
    wide = (thigh.upper_m + thigh.lower_m + shank.upper_m + shank.lower_m) / 4
    both = 2 * WATER.density_kg_m3 * np.pi / 4 * wide**2 * hip
    assert np.allclose(hull.moving_kg - PEOPLE.mass_kg, both, rtol=1e-9)


def test_water_turns_with_the_trunk_as_with_an_ellipse() -> None:
    """About the hips: rho pi (width / 2)^2 a metre, a rod's third of the length cubed."""
    none = Water(1e-9, 1e-9)
    wet, dry = (trunk_inertia_kg_m2(PEOPLE, Plane.FRONTAL, medium) for medium in (WATER, none))
    tall = PEOPLE.landmarks_m["neck"] - PEOPLE.joints_m["hip"]
    half = PEOPLE.widths_m["chest depth"] / 2
    assert np.allclose(wet - dry, WATER.density_kg_m3 * np.pi * half**2 * tall**3 / 3, rtol=1e-6)


def test_hands_press_down_who_nearly_floats() -> None:
    """Balanced by the water one falls by the hands' 30 N alone; 300 N hardly need them."""
    pressed = downward_n(np.array([-500.0, 0.0, 300.0]), 30.0)
    assert pressed[0] < 2.0
    assert pressed[1:] == pytest.approx([30.0, 303.0], abs=0.1)


def test_sideways_against_forward_travel_is_computed(capsys: pytest.CaptureFixture[str]) -> None:
    """The ratio of drag sideways with split legs to forward is finite; its sign is not tested."""
    depth = np.full(2, 1.2)
    forward = hull_of(PEOPLE, depth, Travel.FORWARD, WATER)
    sideways = hull_of(PEOPLE, depth, Travel.SIDEWAYS, WATER, split_legs=True)
    ratio = sideways.drag_n_s2_m2 / forward.drag_n_s2_m2
    print(f"drag sideways over forward: {ratio.round(2)}")
    assert np.all(np.isfinite(ratio) & (ratio > 0))
    assert "sideways" in capsys.readouterr().out


def test_split_legs_meet_more_water_sideways_than_closed_ones() -> None:
    """Both legs count when they are split, one when they are closed."""
    depth = np.full(2, 1.2)
    split, closed = (
        hull_of(PEOPLE, depth, Travel.SIDEWAYS, WATER, split_legs=split) for split in (True, False)
    )
    assert np.all(split.area_m2 > closed.area_m2)


def test_travel_drag_meets_grip_at_the_grip_speed() -> None:
    """At the grip speed drag equals grip times apparent weight; faster is never reached."""
    hull = hull_of(PEOPLE, np.full(2, 1.2), Travel.FORWARD, WATER)
    held = net_weight_n(PEOPLE, np.full(2, 1.2), WATER, 0.0)
    top = grip_speed_m_s(hull, held, 0.42)
    assert np.allclose(hull.drag_n_s2_m2 * top**2, 0.42 * held)
    assert np.all(np.isinf(start_s(hull, held, 0.42, top * 1.2)))
    assert np.all(reversal_s(hull, held, 0.42, top * 0.8) > start_s(hull, held, 0.42, top * 0.8))


def test_at_low_speed_starting_is_newtons_law() -> None:
    """Slowly, drag is nothing: the time to start is 0.9 M v / F, within 1 %."""
    hull = hull_of(PEOPLE, np.full(2, 1.2), Travel.FORWARD, WATER)
    held = net_weight_n(PEOPLE, np.full(2, 1.2), WATER, 0.0)
    slow = np.full(2, 0.05)
    by_hand = hull.moving_kg * 0.9 * slow / (0.42 * held)
    assert np.allclose(start_s(hull, held, 0.42, slow), by_hand, rtol=0.01)


def test_a_belt_floats_and_sculling_costs_as_a_disc() -> None:
    """A belt takes its buoyancy off; sculling needs no power when nothing is to be held."""
    neck = PEOPLE.landmarks_m["neck"]
    bare, belt = (net_weight_n(PEOPLE, neck, WATER, 2.5, n) for n in (0.0, 60.0))
    assert np.allclose(bare - belt, 60.0)
    assert np.all(scull_power_w(np.array([-10.0, 0.0]), 0.1, WATER) == 0.0)


def test_effort_adds_up() -> None:
    """60 W of work at 22.5 % and 70 kg cost 3.28 MET over standing (worked)."""
    work_w = np.array(60.0 / 0.225)
    assert float(met(work_w, np.array(70.0), 1.3)) == pytest.approx(4.58, abs=0.01)
    # ACSM classes in whole numbers: light ends with 11, moderate starts with 12 at 46 %
    assert float(rpe(np.array(4.6), np.array(10.0))) == pytest.approx(11.5)
    assert np.all(peak_met(PEOPLE) > 6.0)


def test_peak_uptake_is_the_registry_equation() -> None:
    """A woman of 24, 1.65 m, 60 kg has 38.9 mL/kg/min by the FRIEND equation, worked by hand."""
    from aquatempo.records.people import Person, Sex
    from aquatempo.water.body import bodies_of

    body = bodies_of([Person(1.65, 60.0, Sex.WOMAN, 24.0)])
    by_hand = 45.2 - 0.46 - 0.35 * 24 - 10.9 * 2 - 0.15 * 60 / 0.45359237 + 0.68 * 1.65 / 0.0254
    assert 3.5 * float(peak_met(body)[0]) == pytest.approx(by_hand, rel=1e-9)
    assert by_hand == pytest.approx(38.9, abs=0.6)


def test_a_strained_muscle_is_felt_as_breath_is() -> None:
    """What can just be held feels like 20, nothing like 6, and the stronger of two decides."""
    rest, top = np.array(1.0), np.array(10.0)
    assert float(rpe(rest, top, 1.0)) == pytest.approx(20.0, abs=0.1)
    assert float(rpe(rest, top, 0.0)) < 7.0
    breath = float(rpe(np.array(6.4), top))
    assert breath == pytest.approx(14.0)  # ACSM classes: 64 % of uptake, RPE 14
    assert breath <= float(rpe(np.array(6.4), top, 0.4)) < breath + 0.5


def test_the_mean_force_of_a_cycle_is_the_weight() -> None:
    """Peak times what a pulse is on average gives the weight back over an event, to 1 %.

    Newton: what the feet push over a cycle balances the apparent weight. A short contact is
    half a sine, whose mean is 2/pi of its peak.
    """
    event, air, weight = 0.45, 0.22, 0.32
    peak = float(peak_force_bw(np.array(weight), np.array(event), np.array(air)))
    assert peak * 2 / np.pi * (event - air) == pytest.approx(weight * event, rel=0.01)


def test_waiting_on_the_floor_does_not_soften_a_landing() -> None:
    """A jump once a second lands as hard as one every two; a higher one lands harder."""
    slow, slower = (
        float(peak_force_bw(np.array(0.35), np.array(event), np.array(0.4))) for event in (1.2, 2.4)
    )
    higher = float(peak_force_bw(np.array(0.35), np.array(1.2), np.array(0.5)))
    assert slow == pytest.approx(slower)
    assert higher > slow > 0.35


def test_support_costs_as_the_force_that_it_takes() -> None:
    """A hop costs its impulse: twice the weight twice the energy; stepping is the least.

    Gutmann and Bertram 2017, J Exp Biol 220:1654: energy of a hop goes with its impulse.
    """
    costs = [
        float(support_j(np.array(n), np.array(0.5), np.array(air), 0.65, 0.2, 0.3))
        for n, air in ((200.0, 0.25), (400.0, 0.25), (200.0, 0.0))
    ]
    assert costs[1] == pytest.approx(2 * costs[0])
    assert costs[2] == pytest.approx(200.0 * 0.2 * 0.5)
    assert costs[0] > costs[2]


def test_what_can_be_held_is_a_hyperbola_over_time() -> None:
    """The most at once, the critical share for ever; and held_for_s is its inverse.

    Critical power (Poole et al. 2016, Med Sci Sports Exerc 48:2320).
    """
    assert holdable(0.0, 0.8, 48.0, 2.0) == pytest.approx(2.0)
    assert holdable(1e9, 0.8, 48.0, 2.0) == pytest.approx(0.8)
    for time in (20.0, 60.0, 600.0):
        share = holdable(time, 0.8, 48.0, 2.0)
        assert float(held_for_s(np.array(share), 0.8, 48.0, 2.0)) == pytest.approx(time)
    assert float(held_for_s(np.array(0.8), 0.8, 48.0, 2.0)) == LONGEST_S
    assert float(held_for_s(np.array(3.0), 0.8, 48.0, 2.0)) == 0.0


def test_heart_rate_rises_with_the_share_of_the_reserve() -> None:
    """At rest it is the resting rate, at the maximum 208 - 0.7 age (Tanaka 2001, memory)."""
    age = np.array(40.0)
    rest, most = (
        float(heart_rate_bpm(np.array(met_), np.array(10.0), age)) for met_ in (1.0, 10.0)
    )
    assert rest == 65.0
    assert most == pytest.approx(208.0 - 0.7 * 40.0)
