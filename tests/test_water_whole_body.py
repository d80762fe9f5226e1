"""Hops, travel, floating, trunk and effort: laws and worked values."""

from __future__ import annotations

import numpy as np
import pytest
from water_bodies import PEOPLE, WATER

from aquatempo.records.moves import Travel
from aquatempo.water.effort import met, peak_met, rpe
from aquatempo.water.floating import net_weight_n, scull_power_w, trunk_inertia_kg_m2, water_share
from aquatempo.water.immersion import weight_on_feet
from aquatempo.water.limbs import SwingAxis
from aquatempo.water.properties import GRAVITY_M_S2, Water
from aquatempo.water.rebound import flight
from aquatempo.water.travel import grip_speed_m_s, hull_of, reversal_s, start_s
from aquatempo.water.trunk import arm_reaction, trunk_turn_coefficients

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


def test_arms_add_or_cancel_on_the_trunk() -> None:
    """Both arms the same way give twice the force and no twist; opposite arms the reverse."""
    width = np.array(0.42)
    same = arm_reaction(np.array(15.0), np.array(15.0), width)
    opposite = arm_reaction(np.array(15.0), np.array(-15.0), width)
    assert (float(same[0]), float(same[1])) == (30.0, 0.0)
    assert float(opposite[0]) == 0.0
    assert float(opposite[1]) == pytest.approx(15.0 * 0.42)


def test_a_free_pelvis_takes_part_of_a_lone_swing() -> None:
    """One leg turns the trunk back; two legs against each other leave it still."""
    rest = trunk_inertia_kg_m2(PEOPLE, SwingAxis.SAGITTAL, WATER)
    assert np.all(water_share(np.zeros(2), rest) == 1.0)
    assert np.all((water_share(0.5 * rest, rest) > 0.6) & (water_share(0.5 * rest, rest) < 0.7))


def test_holding_arms_out_makes_a_turn_heavier() -> None:
    """Arms to the sides add inertia to a turning trunk."""
    wet = np.full(2, 0.3)
    in_, out = (trunk_turn_coefficients(PEOPLE, wet, WATER, arms) for arms in (False, True))
    assert np.all(out[1] > in_[1])


def test_a_belt_floats_and_sculling_costs_as_a_disc() -> None:
    """A belt takes its buoyancy off; sculling needs no power when nothing is to be held."""
    neck = PEOPLE.landmarks_m["neck"]
    bare, belt = (net_weight_n(PEOPLE, neck, WATER, 2.5, n) for n in (0.0, 60.0))
    assert np.allclose(bare - belt, 60.0)
    assert np.all(scull_power_w(np.array([-10.0, 0.0]), 0.1, WATER) == 0.0)


def test_effort_adds_up() -> None:
    """60 W at 70 kg and 22.5 % cost 3.28 MET over standing (worked)."""
    assert float(met(np.array(60.0), np.array(70.0), 0.225, 1.3)) == pytest.approx(4.58, abs=0.01)
    assert float(rpe(np.array(4.6), np.array(10.0))) == pytest.approx(12.0)
    assert np.all(peak_met(PEOPLE) > 6.0)


def test_peak_uptake_is_the_registry_equation() -> None:
    """A woman of 24, 1.65 m, 60 kg has 38.9 mL/kg/min by the FRIEND equation, worked by hand."""
    from aquatempo.records.people import Person, Sex
    from aquatempo.water.body import bodies_of

    body = bodies_of([Person(1.65, 60.0, Sex.WOMAN, 24.0)])
    by_hand = 45.2 - 0.46 - 0.35 * 24 - 10.9 * 2 - 0.15 * 60 / 0.45359237 + 0.68 * 1.65 / 0.0254
    assert 3.5 * float(peak_met(body)[0]) == pytest.approx(by_hand, rel=1e-9)
    assert by_hand == pytest.approx(38.9, abs=0.6)
