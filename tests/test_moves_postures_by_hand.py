"""Where a body is at an instant of a move, worked by hand on invented movements.

Joints go from rest to rest with the speed of half a sine: a quarter of the time is (1 - cos 45)/2 =
0.1464 of the way, half is half. A hop is a parabola; half-way its height is all, a quarter 3/4.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from feasibility_cases import form

from aquatempo.moves import pose
from aquatempo.moves.postures import mirrored, mirrored_side, pivots_of, scaled, scaled_movements
from aquatempo.records.limbs import Arm, Leg, Movement, Posture, Side, Trunk
from aquatempo.records.moves import MoveForm, Travel

REST = Posture()
UP = Posture(lead_leg=Leg(hip=60.0, knee=20.0), other_arm=Arm(raised=40.0), trunk=Trunk(lean=10.0))
QUARTER = (1.0 - math.cos(math.pi / 4)) / 2.0


def made(*movements: Movement, **others: object) -> MoveForm:
    """Return a form of invented movements."""
    return replace(form("front-kick"), movements=movements, **others)  # type: ignore[arg-type]


def up_and_down(**others: float) -> tuple[Movement, Movement]:
    """Return a leg that goes up in one movement and down in the next."""
    up = Movement("up", "a", "b", REST, UP)
    return replace(up, **others), Movement("down", "b", "a", UP, REST)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("phase", "share"),
    [
        (0.0, 0.0),
        (0.25, QUARTER),
        (0.5, 0.5),
        (0.75, 1.0 - QUARTER),
        (1.0, 1.0),
        (1.25, 1.0 - QUARTER),
        (1.5, 0.5),
        (2.0, 0.0),  # a repetition later it is where it began
        (3.0, 1.0),
        (4.25, QUARTER),
    ],
)
def test_joints_go_from_rest_to_rest(phase: float, share: float) -> None:
    """All joints are the same share of their way, whichever of them turn."""
    found = pose(made(*up_and_down()), phase)
    assert found.lead_leg.hip == pytest.approx(60.0 * share)
    assert found.lead_leg.knee == pytest.approx(20.0 * share)
    assert found.other_arm.raised == pytest.approx(40.0 * share)
    assert found.trunk.lean == pytest.approx(10.0 * share)
    assert (found.other_leg, found.lead_arm) == (Leg(), Arm())
    assert (found.hop_m, found.ahead_m, found.aside_m, found.turned_deg) == (0.0, 0.0, 0.0, 0.0)


def test_a_limb_passes_where_it_is_told_to_half_way() -> None:
    """Knee by 70 on a way from 0 to 20: at half it is 70, at a quarter 4 q (1 - q) of the bend."""
    via = Posture(lead_leg=Leg(hip=30.0, knee=70.0), other_arm=Arm(raised=20.0))
    first, last = up_and_down()
    move = made(replace(first, via=via), last)
    assert pose(move, 0.5).lead_leg.knee == pytest.approx(70.0)
    assert pose(move, 0.5).lead_leg.hip == pytest.approx(30.0)
    bend = 4 * QUARTER * (1 - QUARTER) * (70.0 - 10.0)
    for phase, share in ((0.25, QUARTER), (0.75, 1 - QUARTER)):
        assert pose(move, phase).lead_leg.knee == pytest.approx(20.0 * share + bend)
        assert pose(move, phase).other_arm.raised == pytest.approx(40.0 * share)
    assert pose(move, 0.0).lead_leg.knee == pytest.approx(0.0)
    assert pose(move, 1.0).lead_leg.knee == pytest.approx(20.0)


@pytest.mark.parametrize(("phase", "share"), [(0.0, 0.0), (0.25, 0.75), (0.5, 1.0), (1.5, 0.0)])
def test_a_hop_of_one_movement_is_a_parabola(phase: float, share: float) -> None:
    """4 s (1 - s) of 0.1 m in the first movement, on the floor in the second."""
    assert pose(made(*up_and_down(flight_m=0.1)), phase).hop_m == pytest.approx(0.1 * share)


@pytest.mark.parametrize(
    ("phase", "share"), [(0.5, 0.75), (1.0, 1.0), (1.5, 0.75), (1.75, 0.4375), (0.25, 0.4375)]
)
def test_a_hop_of_two_movements_is_highest_between_them(phase: float, share: float) -> None:
    """A tuck takes off in the first and lands at the end of the second."""
    flight = made(*up_and_down(flight_m=0.2, flight_movements=2))
    assert pose(flight, phase).hop_m == pytest.approx(0.2 * share)


def test_a_flight_that_begins_late_goes_on_at_the_start() -> None:
    """Taking off in the last of three for two movements: the first one lands."""
    still = Movement("still", "a", "a")
    three = made(still, still, replace(still, flight_m=0.3, flight_movements=2))
    assert [pose(three, p).hop_m for p in (0.0, 0.5, 1.5, 2.5)] == pytest.approx(
        [0.3, 0.225, 0.0, 0.225]
    )


@pytest.mark.parametrize(
    ("travel", "ahead", "aside"),
    [
        (Travel.FORWARD, 1.0, 0.0),
        (Travel.BACK, -1.0, 0.0),
        (Travel.SIDEWAYS, 0.0, 1.0),
        (Travel.IN_PLACE, 0.0, 0.0),
    ],
)
@pytest.mark.parametrize("phase", [0.3, 1.0, 1.7])
def test_travel_is_even_over_a_repetition(
    travel: Travel, ahead: float, aside: float, phase: float
) -> None:
    """0.8 m a repetition of two movements is 0.4 m each, turned 90 degrees 45 each."""
    found = pose(made(*up_and_down(), travel=travel, travel_m=0.8, turn_deg=90.0), phase)
    assert found.ahead_m == pytest.approx(0.4 * phase * ahead)
    assert found.aside_m == pytest.approx(0.4 * phase * aside)
    assert found.turned_deg == pytest.approx(45.0 * phase)


@pytest.mark.parametrize(
    ("phase", "place"), [(0.0, -0.5), (0.25, QUARTER - 0.5), (0.5, 0.0), (1.0, 0.5), (1.5, 0.0)]
)
def test_sway_goes_to_and_fro_about_the_middle(phase: float, place: float) -> None:
    """0.2 m: from 0.1 m on one side to 0.1 m on the other, ahead where the first joint flexes."""
    to, fro = up_and_down(sway_m=0.2)
    rocking = made(to, replace(fro, sway_m=0.2))
    assert pose(rocking, phase).ahead_m == pytest.approx(0.2 * place)
    assert pose(rocking, phase).aside_m == 0.0
    assert pose(rocking, 1.0 + phase).ahead_m == pytest.approx(-0.2 * place)
    out = Posture(lead_leg=Leg(out=30.0))
    aside = made(replace(to, end_pose=out), replace(fro, start_pose=out, sway_m=0.2))
    assert pose(aside, phase).aside_m == pytest.approx(0.2 * place)
    assert pose(aside, phase).ahead_m == 0.0
    still = made(replace(to, end_pose=REST), replace(fro, start_pose=REST, sway_m=0.2))
    assert pose(still, phase).aside_m == pytest.approx(0.2 * place)


@pytest.mark.parametrize("kept", [0.25, 0.5, 2.0])
def test_a_share_of_the_range_shrinks_all_of_it(kept: float) -> None:
    """Angles about the angle nearest standing, hop, sway and travel times the share."""
    bent = Posture(lead_leg=Leg(hip=20.0, knee=90.0))
    high = Posture(lead_leg=Leg(hip=60.0, knee=30.0))
    there = Movement("up", "a", "b", bent, high, flight_m=0.1, sway_m=0.3)
    move = made(there, replace(there, start_pose=high, end_pose=bent, flight_m=0.0),
                travel=Travel.FORWARD, travel_m=0.6, turn_deg=90.0)  # fmt: skip
    found = pose(move, 0.5, kept)
    assert found.lead_leg.hip == pytest.approx(20.0 + 20.0 * kept)
    assert found.lead_leg.knee == pytest.approx(30.0 + 30.0 * kept)
    assert found.hop_m == pytest.approx(0.1 * kept)
    assert found.ahead_m == pytest.approx(0.15 * kept)
    assert found.turned_deg == pytest.approx(22.5)
    assert pose(move, 0.25, kept).ahead_m == pytest.approx(
        kept * (0.075 + 0.3 * (QUARTER - 0.5)), abs=1e-12
    )


def test_pivots_are_the_angles_nearest_to_standing() -> None:
    """Within 20 to 60: 20; -50 to -10: -10; across zero: zero; an arm hangs ahead at 90."""
    first = Posture(Leg(20.0, -50.0, -5.0), Leg(), Arm(30.0, 0.0), Arm(), Trunk(turn=-20.0))
    last = Posture(Leg(60.0, -10.0, 40.0), Leg(ankle=15.0), Arm(10.0, 45.0), Arm(), Trunk(lean=5.0))
    found = pivots_of([Movement("to", "a", "b", first, last)])
    assert found.lead_leg == Leg(20.0, -10.0, 0.0, 0.0)
    assert found.other_leg == Leg()
    assert found.lead_arm == Arm(10.0, 45.0, 0.0)
    assert found.trunk == Trunk()


def test_scaling_is_about_the_pivots() -> None:
    """Half of 20 to 60 is 20 to 40; what lies beyond the pivot shrinks towards it as well."""
    pivots = Posture(lead_leg=Leg(20.0), lead_arm=Arm(10.0, 45.0))
    found = scaled(Posture(lead_leg=Leg(60.0, knee=30.0), lead_arm=Arm(-10.0, 90.0)), pivots, 0.5)
    assert found.lead_leg == Leg(40.0, knee=15.0)
    assert found.lead_arm == Arm(0.0, 67.5)
    assert found.other_arm == Arm()


def test_scaled_movements_keep_their_hops_and_ways() -> None:
    """Start, end and half-way shrink, flights do not; a scale of one is the movements as told."""
    via = Posture(lead_leg=Leg(hip=30.0, knee=80.0))
    there = Movement("up", "a", "b", REST, UP, via=via, flight_m=0.1)
    back = Movement("down", "b", "a", UP, REST)
    first, last = scaled_movements((there, back), 0.5)
    assert (first.start_pose, first.end_pose.lead_leg) == (REST, Leg(30.0, knee=10.0))
    assert first.via is not None
    assert first.via.lead_leg == Leg(15.0, knee=40.0)
    assert (first.flight_m, last.via) == (0.1, None)
    assert last.start_pose.lead_leg == Leg(30.0, knee=10.0)
    given = (there, back)
    assert scaled_movements(given, 1.0) is given


def test_a_mirror_changes_sides_and_turns() -> None:
    """Limbs change over, the trunk turns and bends the other way, it leans as before."""
    one = Posture(Leg(1.0), Leg(2.0), Arm(3.0), Arm(4.0), Trunk(turn=5.0, lean=6.0, side=7.0))
    other = mirrored(one)
    assert other == Posture(Leg(2.0), Leg(1.0), Arm(4.0), Arm(3.0), Trunk(-5.0, 6.0, -7.0))
    assert mirrored(other) == one
    assert [mirrored_side(side) for side in (Side.LEAD, Side.TRAIL, Side.BOTH)] == [
        *(Side.TRAIL, Side.LEAD, Side.BOTH),
    ]
