"""A form taken apart, on invented movements: which limb goes where, how often, with whom."""

from __future__ import annotations

from dataclasses import replace

import pytest
from feasibility_cases import form

from aquatempo.feasibility.parts import FormParts, LimbPart, MovementParts, parts_of
from aquatempo.records.limbs import Arm, Hands, Leg, Movement, Plane, Posture, Side, Trunk
from aquatempo.records.moves import ImpactLevel, MoveForm, Travel
from aquatempo.water.limb_demand import Held
from aquatempo.water.limbs import Kind
from aquatempo.water.paths import LimbPath

REST = Posture()
BASE = form("jack")


def made(*movements: Movement, **others: object) -> MoveForm:
    """Return a form of invented movements in place, of level I."""
    own = replace(BASE, movements=movements, level=ImpactLevel.I, travel=Travel.IN_PLACE)
    return replace(own, **others)  # type: ignore[arg-type]


def to_and_fro(pose: Posture, **others: object) -> tuple[Movement, Movement]:
    """Return a movement to a posture and one back from it."""
    there = replace(Movement("to", "a", "b", REST, pose), **others)  # type: ignore[arg-type]
    return there, replace(there, name="fro", start_pose=pose, end_pose=REST)


def only(found: FormParts, at: int = 0) -> MovementParts:
    """Return the parts of a movement."""
    return found.movements[found.index[at]]


KICK = Posture(lead_leg=Leg(hip=60.0))


def test_a_leg_that_kicks_is_one_limb_all_the_time() -> None:
    """From standing to 60 degrees, and back: each of the two ways half the time."""
    found = parts_of(made(*to_and_fro(KICK)))
    (leg,) = only(found).legs
    up = LimbPath(Kind.LEG, (0.0,) * 4, (60.0, 0.0, 0.0, 0.0), (0.0,) * 4, None)
    assert leg == LimbPart(path=up, limbs=1, duty=0.5, alongside=1)
    (back,) = only(found, 1).legs
    assert back.path == replace(up, start=up.end, end=up.start)
    assert (found.index, only(found).arms) == ((0, 1), ())
    assert only(found) == MovementParts(
        legs=(leg,), arms=(), flight_m=0.0, flight_movements=1, sway_m=0.0, sideways=True,
        travel=Travel.IN_PLACE, step_m=0.0, turns=0.0, trunk_deg=0.0,
    )  # fmt: skip


def test_sides_that_do_the_same_in_turn_are_one_movement() -> None:
    """Lead up, down, other up, down: two kinds of movement, each leg a quarter of the time."""
    other = Posture(other_leg=Leg(hip=60.0))
    found = parts_of(made(*to_and_fro(KICK), *to_and_fro(other)))
    assert found.index == (0, 1, 0, 1)
    assert only(found).legs[0].duty == 0.25
    assert only(found).legs[0].limbs == 1


def test_limbs_that_do_the_same_at_once_are_told_once() -> None:
    """Both arms and both legs: two of each, no leg alone to turn the pelvis aside."""
    both = Posture(Leg(out=30.0), Leg(out=30.0), Arm(80.0), Arm(80.0))
    found = only(parts_of(made(*to_and_fro(both))))
    assert [(part.limbs, part.duty) for part in (*found.legs, *found.arms)] == [(2, 0.5)] * 2
    assert found.legs[0].alongside == 0
    assert found.arms[0].path == LimbPath(
        Kind.ARM, (0.0, 90.0, 0.0), (80.0, 90.0, 0.0), (0.0, 90.0, 0.0), None
    )


def test_the_more_often_limb_of_two_sets_the_duty() -> None:
    """Lead goes the way in both of three movements, other in one: two thirds for both at once."""
    two = Posture(Leg(hip=60.0), Leg(hip=60.0))
    movements = (
        Movement("both", "a", "a", REST, two),
        Movement("lead", "a", "a", REST, KICK),
        Movement("none", "a", "a", REST, REST),
    )
    found = parts_of(made(*movements))
    assert only(found).legs[0].duty == pytest.approx(2 / 3)
    assert only(found).legs[0].limbs == 2
    assert only(found, 1).legs[0].limbs == 1
    assert only(found, 2).legs == ()


def test_standing_legs_do_not_swing() -> None:
    """A leg that stands is left out though its joints turn; arms are not meant by it."""
    bent = Posture(Leg(hip=60.0), Leg(knee=10.0), other_arm=Arm(30.0))
    there, back = to_and_fro(bent, stands=(Side.TRAIL,))
    found = only(parts_of(made(there, back)))
    assert [part.path.end[0] for part in found.legs] == [60.0]
    assert [part.path.end[0] for part in found.arms] == [30.0]
    swung = only(parts_of(made(*to_and_fro(bent))))
    assert len(swung.legs) == 2


@pytest.mark.parametrize(
    ("end", "alongside"),
    [
        # Ahead and back: legs that part company balance, legs that go together do not.
        (Posture(Leg(hip=30.0), Leg(hip=-30.0)), [0, 0]),
        (Posture(Leg(hip=40.0), Leg(hip=-20.0)), [0, 1]),  # 20 left over: half of 40, to even; 1
        (Posture(Leg(hip=60.0), Leg(hip=-20.0)), [1, 2]),  # 40 over 60 and over 20
        (Posture(Leg(hip=60.0)), [1]),
        (Posture(Leg(hip=30.0), Leg(hip=30.0)), [2]),
        # Aside: one alone; two alike open and balance; one that opens and one that closes add up.
        (Posture(Leg(out=30.0)), [1]),
        (Posture(Leg(out=30.0), Leg(out=30.0)), [0]),
        (Posture(Leg(out=30.0), Leg(out=-30.0)), [2, 2]),
        (Posture(Leg(out=30.0), Leg(out=-15.0)), [2, 3]),  # 45 over 30, half to even; over 15
        (Posture(Leg(hip=30.0, out=31.0)), [1]),
        (Posture(Leg(knee=40.0)), [0]),
    ],
)
def test_what_turns_the_pelvis(end: Posture, alongside: list[int]) -> None:
    """How many legs turn a free pelvis the same way, by the sum of what they swing."""
    found = only(parts_of(made(*to_and_fro(end))))
    assert [leg.alongside for leg in found.legs] == alongside


@pytest.mark.parametrize(
    ("start", "end", "alongside"),
    [
        # 10 to 50 is 40 ahead, 5 to -15 is 20 back: 20 left over, 0 of 40 (to even), 1 of 20.
        (Posture(Leg(hip=10.0, ankle=7.0), Leg(hip=5.0)), Posture(Leg(hip=50.0), Leg(hip=-15.0)),
         [0, 1]),
        # 30 to 40 is 10 ahead and 5 to 25 is 20 aside: told aside, by that leg alone.
        (Posture(Leg(hip=30.0, out=5.0)), Posture(Leg(hip=40.0, out=25.0)), [1]),
        # -30 to -10 and 20 to 40, both 20 ahead: two go the same way.
        (Posture(Leg(hip=-30.0), Leg(hip=20.0)), Posture(Leg(hip=-10.0), Leg(hip=40.0)), [2, 2]),
        # Ahead and aside alike count as ahead: 20 of 20.
        (Posture(Leg(hip=5.0, out=5.0)), Posture(Leg(hip=25.0, out=25.0)), [1]),
    ],
)  # fmt: skip
def test_what_a_leg_swings_is_from_where_it_began(
    start: Posture, end: Posture, alongside: list[int]
) -> None:
    """Legs that do not begin upright: the way between counts, not the angles at its ends."""
    found = only(parts_of(made(Movement("to", "a", "b", start, end))))
    assert [leg.alongside for leg in found.legs] == alongside


@pytest.mark.parametrize(
    ("level", "flies"),
    [("I", True), ("power", True), ("II", False), ("III", False), ("grounded", False)],
)
@pytest.mark.parametrize("shared", [1, 2])
def test_only_rebound_flies(level: str, flies: bool, shared: int) -> None:
    """Height and how many movements share it; legs then have only the time in the air."""
    movements = to_and_fro(KICK, flight_m=0.1, flight_movements=shared)
    found = only(parts_of(made(*movements, level=ImpactLevel(level))))
    assert (found.flight_m, found.flight_movements) == ((0.1, shared) if flies else (0.0, 1))
    assert found.legs[0].in_air == (shared if flies and shared > 1 else 0)
    flat = only(parts_of(made(*to_and_fro(KICK, flight_movements=2))))
    assert (flat.flight_m, flat.flight_movements, flat.legs[0].in_air) == (0.0, 1, 0)


def test_a_repetition_shares_its_way_and_its_turns() -> None:
    """0.8 m of two movements are 0.4 m each; one reversal in six movements."""
    way = made(*to_and_fro(KICK), travel=Travel.BACK, travel_m=0.8, reverses_every=3)
    found = only(parts_of(way))
    assert (found.step_m, found.travel) == (0.4, Travel.BACK)
    assert found.turns == pytest.approx(1 / 6)
    assert not parts_of(way).travels  # a jack goes nowhere by nature
    by_nature = replace(way, move=replace(BASE.move, travel=Travel.FORWARD))
    assert parts_of(by_nature).travels
    still = only(parts_of(made(*to_and_fro(KICK), travel_m=0.8)))
    assert (still.step_m, still.turns) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("plane", "sideways"),
    [(Plane.FRONTAL, True), (Plane.TRANSVERSE, True), (Plane.SAGITTAL, False),
     (Plane.VERTICAL, False)],
)  # fmt: skip
def test_sway_goes_with_the_plane(plane: Plane, sideways: bool) -> None:
    """Frontal and transverse moves sway aside, the others ahead."""
    move = replace(BASE.move, plane=plane)
    found = only(parts_of(made(*to_and_fro(KICK, sway_m=0.2), move=move)))
    assert (found.sway_m, found.sideways) == (0.2, sideways)


def test_how_far_a_trunk_turns() -> None:
    """From -20 to 25 degrees is 45, either way round."""
    one, other = Posture(trunk=Trunk(turn=-20.0)), Posture(trunk=Trunk(turn=25.0))
    to = Movement("to", "a", "b", one, other)
    found = parts_of(made(to, replace(to, start_pose=other, end_pose=one)))
    assert found.index == (0, 0)
    assert only(found).trunk_deg == 45.0


def test_a_way_that_is_straight_after_all_is_no_way() -> None:
    """Half-way told where the middle is anyway; a limb that only passes elsewhere swings too."""
    half = Posture(lead_leg=Leg(hip=30.0))
    (leg,) = only(parts_of(made(*to_and_fro(KICK, via=half)))).legs
    assert leg.path.via is None
    bent = Posture(lead_leg=Leg(hip=30.0, knee=50.0), other_leg=Leg(knee=20.0))
    found = only(parts_of(made(*to_and_fro(KICK, via=bent)))).legs
    assert [part.path.via for part in found] == [(30.0, 0.0, 50.0, 0.0), (0.0, 0.0, 20.0, 0.0)]
    assert len(only(parts_of(made(*to_and_fro(KICK, via=KICK)))).legs) == 1


def test_arms_hold_what_the_form_says_and_legs_nothing() -> None:
    """Hands, plates and floats go with the arms."""
    pose = Posture(lead_leg=Leg(hip=60.0), lead_arm=Arm(80.0))
    plates = made(*to_and_fro(pose), hands=Hands.FIST, equipment_area_m2=0.02,
                  equipment_buoyancy_n=5.0, arms_in_water=False)  # fmt: skip
    found = only(parts_of(plates))
    assert found.arms[0].held == Held(Hands.FIST, 0.02, 5.0, False)
    assert found.legs[0].held == Held()


def test_a_jump_is_told_by_its_move() -> None:
    """A jump of 8 cm or more is one without which it is another move."""
    assert parts_of(form("jump")).big_hop
    assert not parts_of(form("jog")).big_hop
