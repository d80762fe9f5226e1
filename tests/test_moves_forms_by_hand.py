"""A form put together from invented moves: hops, arms, turns, travel, one side, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from aquatempo.moves import catalogue, parse_pattern, resolve
from aquatempo.moves.forms import counts_a_repetition
from aquatempo.moves.tags import fits, tags
from aquatempo.records.limbs import Arm, Leg, Movement, Posture, Trunk
from aquatempo.records.moves import (
    Factor,
    FactorOption,
    ImpactLevel,
    Move,
    MoveForm,
    MoveKind,
    Travel,
    Variation,
)
from aquatempo.records.people import ClassDepth

JACK, KNEE = catalogue().move("jack"), catalogue().move("knee-lift")
REST = Posture()
UP, OTHER_UP = Posture(lead_leg=Leg(hip=60.0)), Posture(other_leg=Leg(hip=60.0))
LEVELS = tuple(ImpactLevel)


def made(*movements: Movement, **others: object) -> Move:
    """Return an invented move with arms still in place, of all levels."""
    own = replace(
        JACK, movements=movements, levels=LEVELS, arms="still", arm_symmetry="both",
        travel=Travel.IN_PLACE, travel_m=0.0, pattern="2", cautions=(),
    )  # fmt: skip
    return replace(own, **others)  # type: ignore[arg-type]


LEAD = Movement("lead up", "upright", "lead knee up", REST, UP, flight_m=0.02, sway_m=0.1)
DOWN = Movement("lead down", "lead knee up", "upright", UP, REST)
UP_DOWN = made(LEAD, DOWN)


def done(move: Move, *changes: tuple[Factor, str], deep: bool = False) -> MoveForm:
    """Return a form of a move."""
    depth = ClassDepth.DEEP if deep else ClassDepth.SHALLOW
    return resolve(move, Variation(move.key, changes), depth)


@pytest.mark.parametrize(
    ("level", "flights_m", "sway_m"),
    [
        ("I", [0.05, 0.0], 0.1),  # 3 cm more, for moves that usually stay on the floor
        ("power", [0.08, 0.0], 0.1),  # 6 cm more where it takes off, nowhere else
        ("II", [0.0, 0.0], 0.1),
        ("grounded", [0.0, 0.0], 0.1),
        ("III", [0.0, 0.0], 0.0),  # off the floor nothing pushes the body aside
    ],
)
def test_levels_hop_and_sway(level: str, flights_m: list[float], sway_m: float) -> None:
    """The flights and sways that a level allows."""
    found = done(UP_DOWN, (Factor.LEVEL, level))
    assert found.level == level
    assert [m.flight_m for m in found.movements] == pytest.approx(flights_m)
    assert [m.sway_m for m in found.movements] == [sway_m, 0.0]


def test_a_move_without_hops_gets_one_in_each_movement() -> None:
    """Without flights each movement gets what the level adds; on the floor none is shared."""
    flat = made(replace(LEAD, flight_m=0.0), DOWN)
    added = dict(catalogue().option(Factor.LEVEL, "power").effect)["hop_added_m"]
    found = done(flat, (Factor.LEVEL, "power"))
    assert [m.flight_m for m in found.movements] == [added, added]
    shared = made(replace(LEAD, flight_movements=2), DOWN)
    assert done(shared).movements[0].flight_movements == 2
    for level in ("II", "III", "grounded"):
        assert done(shared, (Factor.LEVEL, level)).movements[0].flight_movements == 1


def test_deep_water_hangs_on_the_belt() -> None:
    """Level III without hops, arms as they are; suspended in shallow water, the hands scull."""
    arms = replace(UP_DOWN, arms="press")
    deep = done(arms, deep=True)
    assert (deep.level, deep.arms, deep.movements[0].flight_m) == (ImpactLevel.III, "press", 0.0)
    hung = done(arms, (Factor.LEVEL, "III"))
    assert (hung.arms, hung.arm_symmetry) == ("scull", "both")
    only = replace(arms, kind=MoveKind.ARMS_ONLY, arm_symmetry="alternating")
    assert done(only, (Factor.LEVEL, "III")).arms == "press"
    assert done(only, (Factor.LEVEL, "III")).arm_symmetry == "alternating"


PRESS = catalogue().option(Factor.ARMS, "press")
HIP_HAND = Arm(0.0, 45.0, 90.0)


@pytest.mark.parametrize(
    ("symmetry", "lead_out", "other_out"),
    [("both", [True, False], [True, False]), ("alternating", [False, True], [True, False]),
     ("one", [True, False], [None, None])],
)  # fmt: skip
def test_arms_go_out_in_one_movement_and_home_in_the_next(
    symmetry: str, lead_out: list[bool], other_out: list[bool | None]
) -> None:
    """Both together; in turn the arm goes out with the opposite leg; or one, a hand on the hip."""
    found = done(replace(UP_DOWN, arms="press", arm_symmetry=symmetry))
    home, out = PRESS.home, PRESS.out
    assert home is not None
    assert out is not None
    for i, movement in enumerate(found.movements):
        assert movement.end_pose.lead_arm == (out if lead_out[i] else home)
        assert movement.start_pose.lead_arm == (home if lead_out[i] else out)
        if other_out[i] is None:
            assert movement.start_pose.other_arm == movement.end_pose.other_arm == HIP_HAND
        else:
            assert movement.end_pose.other_arm == (out if other_out[i] else home)
            assert movement.start_pose.other_arm == (home if other_out[i] else out)
        assert movement.via is None


def test_arms_that_come_back_another_way_bend_half_way() -> None:
    """Only the arm that comes home is bent; legs pass the middle of both ends."""
    option = next(
        o for o in catalogue().options_of(Factor.ARMS) if o.via_back is not None and o.home
    )
    bent, home, out = option.via_back, option.home, option.out
    assert home is not None
    assert out is not None
    middle = Arm(*((getattr(home, f) + getattr(out, f)) / 2 for f in ("raised", "across", "elbow")))
    both = done(replace(UP_DOWN, arms=option.key))
    first, second = (m.via for m in both.movements)
    assert first is not None
    assert second is not None
    assert (first.lead_arm, first.other_arm) == (middle, middle)
    assert (second.lead_arm, second.other_arm) == (bent, bent)
    assert first.lead_leg == second.lead_leg == Leg(30.0)
    turned = done(replace(UP_DOWN, arms=option.key, arm_symmetry="alternating"))
    first, second = (m.via for m in turned.movements)
    assert first is not None
    assert second is not None
    assert (first.lead_arm, first.other_arm) == (bent, middle)
    assert (second.lead_arm, second.other_arm) == (middle, bent)
    one = done(replace(UP_DOWN, arms=option.key, arm_symmetry="one")).movements[1].via
    assert one is not None
    assert (one.lead_arm, one.other_arm) == (bent, HIP_HAND)


def test_legs_keep_their_own_way() -> None:
    """A bent way of the legs stays where arms are laid over it, with arms half-way."""
    via = Posture(lead_leg=Leg(30.0, knee=80.0))
    found = done(replace(made(replace(LEAD, via=via), DOWN), arms="press"))
    own = found.movements[0].via
    assert own is not None
    assert own.lead_leg == Leg(30.0, knee=80.0)
    assert PRESS.home is not None
    assert PRESS.out is not None
    assert own.lead_arm.raised == (PRESS.home.raised + PRESS.out.raised) / 2
    assert found.movements[1].via is None


def test_a_trunk_turns_to_and_fro() -> None:
    """A torso turn of so many degrees: to one side in a movement, to the other in the next."""
    turn = float(dict(catalogue().option(Factor.TURN, "torso").effect)["trunk_turn_deg"])
    found = done(UP_DOWN, (Factor.TURN, "torso"))
    assert [m.start_pose.trunk for m in found.movements] == [Trunk(-turn), Trunk(turn)]
    assert [m.end_pose.trunk for m in found.movements] == [Trunk(turn), Trunk(-turn)]
    assert found.turn_deg == 0.0


def test_movements_are_joined_end_to_start() -> None:
    """Each begins where the one before ended, the first where the last did, partners as well."""
    found = done(JACK, (Factor.COMBINATION, catalogue().options_of(Factor.COMBINATION)[0].key))
    legs = [(m.start_pose.lead_leg, m.end_pose.lead_leg) for m in found.movements]
    for before, after in zip(legs, [*legs[1:], legs[0]], strict=True):
        assert before[1] == after[0]
    assert len(found.movements) > len(JACK.movements)
    third = Movement("c", "b", "a", OTHER_UP, Posture(other_leg=Leg(20.0)))
    three = done(made(LEAD, Movement("b", "a", "b", UP, OTHER_UP), third))
    assert [m.start_pose for m in three.movements] == [third.end_pose, UP, OTHER_UP]


@pytest.mark.parametrize(
    ("pattern", "turn_deg", "reverses"),
    [("1", 22.5, 8), ("2", 45.0, 4), ("4", 90.0, 2), ("2+2h", 90.0, 2), ("4+4h", 180.0, 1)],
)
def test_turns_and_reversals_go_by_counts(pattern: str, turn_deg: float, reverses: int) -> None:
    """90 degrees an eight: two movements of n counts turn 90 x 2n / 8; round after 16 counts."""
    way = made(LEAD, DOWN, pattern=pattern, travel=Travel.FORWARD, travel_m=0.8)
    found = done(way, (Factor.TURN, "quarter"))
    assert found.turn_deg == pytest.approx(turn_deg)
    assert found.reverses_every == reverses
    assert found.travel_m == pytest.approx(0.8)
    assert found.pattern == parse_pattern(pattern)


@pytest.mark.parametrize(("pattern", "reverses"), [("4+12h", 1), ("2-2-2-4", 3), ("1-1-4", 4)])
def test_long_repetitions_reverse_each_time(pattern: str, reverses: int) -> None:
    """16 counts over 32, 5 and 4 of a repetition: 0.5, 3.2 and 4, whole and one at least."""
    way = made(LEAD, DOWN, pattern=pattern, travel=Travel.BACK, travel_m=0.8)
    assert done(way).reverses_every == reverses
    assert done(replace(way, travel=Travel.IN_PLACE)).reverses_every == 0


def test_travel_is_told_a_movement_and_kept_for_a_partner() -> None:
    """0.8 m for two movements is 0.4 m each: four of them with a partner of two go 1.6 m."""
    way = replace(JACK, travel=Travel.FORWARD, travel_m=0.4 * len(JACK.movements))
    option = catalogue().options_of(Factor.COMBINATION)[0]
    found = done(way, (Factor.COMBINATION, option.key))
    assert found.travel_m == pytest.approx(0.4 * len(found.movements))
    assert counts_a_repetition(3, parse_pattern("2-4")) == pytest.approx(9.0)


ONE = (Factor.SIDES, "one")


def test_one_side_of_two_is_the_first_half() -> None:
    """Lead up, lead down, other up, other down: the first two, again and again."""
    other = Movement("other up", "upright", "other knee up", REST, OTHER_UP)
    back = Movement("other down", "other knee up", "upright", OTHER_UP, REST)
    four = made(LEAD, DOWN, other, back, alternates=True, travel_m=0.8, travel=Travel.FORWARD)
    found = done(four, ONE)
    assert [m.name for m in found.movements] == ["lead up", "lead down"]
    assert [m.end_pose for m in found.movements] == [UP, REST]
    assert (found.move.alternates, found.move.travel_m) == (False, 0.4)


def test_one_side_of_a_change_over_comes_back_by_itself() -> None:
    """Lead up as the other comes down: the lead goes up and down, the other leg stands."""
    lead = replace(
        LEAD, name="lead up, straight", start="other knee up",
        start_pose=replace(OTHER_UP, ahead_m=0.2, aside_m=0.1),
        end_pose=replace(UP, ahead_m=0.3),
        via=Posture(Leg(20.0, knee=50.0), Leg(10.0), aside_m=0.1),
    )  # fmt: skip
    other = Movement("other up", "lead knee up", "other knee up", UP, OTHER_UP)
    found = done(made(lead, other, alternates=True, travel_m=0.6, travel=Travel.BACK), ONE)
    assert [m.name for m in found.movements] == ["lead up, straight", "lead down, bent"]
    assert [(m.start, m.end) for m in found.movements] == [
        *(("upright", "lead knee up"), ("lead knee up", "upright")),
    ]
    assert [(m.start_pose, m.end_pose) for m in found.movements] == [(REST, UP), (UP, REST)]
    assert [m.via for m in found.movements] == [Posture(Leg(20.0, knee=50.0))] * 2
    alone = done(made(lead), ONE).movements
    assert [m.name for m in alone] == ["lead up, straight", "lead down, bent"]
    # One movement of two with 0.3 m each, then back again: two of them.
    assert found.travel_m == pytest.approx(0.6)


@pytest.mark.parametrize("option", ["small", "large"])
def test_a_range_scales_angles_and_flights(option: str) -> None:
    """Each angle about the one nearest to standing, the flight with it; sway stays."""
    scale = float(dict(catalogue().option(Factor.RANGE, option).effect)["range_scale"])
    found = done(UP_DOWN, (Factor.RANGE, option))
    assert found.range_scale == scale
    assert found.movements[0].end_pose.lead_leg.hip == pytest.approx(60.0 * scale)
    assert found.movements[0].flight_m == pytest.approx(0.02 * scale)
    assert found.movements[0].sway_m == 0.1


@pytest.mark.parametrize(
    ("home", "out", "symmetry", "same_way"),
    [
        (Arm(0.0, 90.0), Arm(80.0, 90.0), "both", True),
        (Arm(0.0, 45.0), Arm(80.0, 0.0), "both", True),  # 45 across is ahead
        (Arm(0.0, 44.0), Arm(80.0, 0.0), "both", False),
        (Arm(0.0, 0.0), Arm(80.0, 45.0), "alternating", False),
        (Arm(80.0, 0.0), Arm(80.0, 90.0), "both", False),  # a level sweep: left cancels right
        (Arm(80.0, 0.0), Arm(80.0, 90.0), "alternating", True),
        (Arm(10.0, 0.0), Arm(70.0, 0.0), "alternating", True),
        (Arm(0.0, 90.0), Arm(80.0, 90.0), "one", False),
    ],
)
def test_arms_that_push_the_same_way(home: Arm, out: Arm, symmetry: str, same_way: bool) -> None:
    """Raised ahead they add up together, aside or level in turn (mechanics, by hand)."""
    known = catalogue()
    option = replace(PRESS, home=home, out=out)
    own = replace(known, options={**known.options, (Factor.ARMS, "press"): option})
    move = replace(UP_DOWN, arms="press", arm_symmetry=symmetry)
    assert resolve(move, Variation(move.key), ClassDepth.SHALLOW, own).arms_same_way is same_way


def test_words_are_joined_in_order() -> None:
    """Name, call and sign of a move, then of each option; a partner is called without a comma."""
    partner = catalogue().options_of(Factor.COMBINATION)[0]
    open_hands = catalogue().option(Factor.HANDS, "open")
    found = done(JACK, (Factor.HANDS, "open"), (Factor.COMBINATION, partner.key))
    assert found.name == f"{JACK.name}, {open_hands.name.lower()}, {partner.name.lower()}"
    assert found.spoken == f"{JACK.spoken}, {open_hands.spoken} {partner.spoken}"
    assert found.sign == f"{JACK.sign}; {open_hands.sign}; {partner.sign}"


def tagged(**others: object) -> frozenset[str]:
    """Return the tags of an invented move."""
    return tags(made(LEAD, DOWN, **others))


@pytest.mark.parametrize(
    ("others", "has", "lacks"),
    [
        ({}, {"hops", "in place", "arms still"}, {"no hop", "big hop", "travels", "deep water"}),
        ({"movements": (DOWN,)}, {"no hop"}, {"hops", "big hop"}),
        ({"movements": (DOWN, replace(LEAD, flight_m=0.08))}, {"big hop", "hops"}, {"no hop"}),
        ({"movements": (replace(LEAD, flight_m=0.079), DOWN)}, {"hops"}, {"big hop"}),
        ({"travel": Travel.BACK}, {"travels"}, {"in place"}),
        ({"arms": "press"}, set(), {"arms still"}),
        ({"alternates": True, "sided": True}, {"alternates"}, {"one side"}),
        ({"alternates": False, "sided": True}, {"one side"}, {"alternates"}),
        ({"alternates": False, "sided": False}, set(), {"one side", "alternates"}),
    ],
)
def test_tags_say_what_a_move_is(others: dict[str, object], has: set[str], lacks: set[str]) -> None:
    """Hops from any flight on, big ones from 8 cm, in deep water none."""
    found = tagged(**others)
    assert has <= found
    assert not lacks & found
    assert {"jack", "frontal", f"{JACK.lever} lever", "base"} <= found
    deep = tags(made(replace(LEAD, flight_m=0.2), DOWN), ClassDepth.DEEP, arms_out_of_water=True)
    assert {"deep water", "no hop", "arms out of water"} <= deep
    assert not {"big hop", "hops"} & deep


@pytest.mark.parametrize(
    ("wanted", "unwanted", "found"),
    [
        ((), (), True),
        (("hops",), (), True),
        (("sagittal", "jack"), (), True),
        (("sagittal",), (), False),
        (("hops",), ("arms still",), False),
        ((), ("travels",), True),
        ((), ("jack",), False),
    ],
)
def test_an_option_fits_by_its_tags(
    wanted: tuple[str, ...], unwanted: tuple[str, ...], found: bool
) -> None:
    """One wanted tag is enough, one unwanted too many."""
    option = FactorOption(Factor.HANDS, "own", "", "", "", (), fits=wanted, unfit=unwanted)
    assert fits(option, made(LEAD, DOWN)) is found
