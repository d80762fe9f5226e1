"""A move of a text of one's own, read key by key: usual values, borders, postures, swings.

All moves here are invented. Norms of joints are the packaged ones (``moves/data/norms.toml``).
"""

from __future__ import annotations

import pytest
from move_texts import HEAD, OPTION, TO, read, refused, text_of

from aquatempo.errors import TextFileError
from aquatempo.moves import catalogue
from aquatempo.records.limbs import Arm, Leg, Plane, Posture, Side, Trunk
from aquatempo.records.moves import (
    Factor,
    FactorOption,
    ImpactLevel,
    Lever,
    Move,
    MoveKind,
    Travel,
)
from aquatempo.records.people import ClassDepth


def test_what_a_text_leaves_out_is_usual() -> None:
    """A move as short as can be: in place, arms still, water tempo, navel to neck, 2 m2 each."""
    own = read()
    assert own == Move(
        key="own",
        name="Own",
        spoken="own",
        sign="a sign",
        kind=MoveKind.BASE,
        plane=Plane.SAGITTAL,
        lever=Lever.SHORT,
        movements=own.movements,
        swaps_lead=False,
        alternates=False,
        default_counts=(2,),
        levels=(ImpactLevel.I, ImpactLevel.GROUNDED),
        depths=(ClassDepth.SHALLOW,),
        muscles=("thighs",),
        limits="little",
        description="Invented.",
        needs_floor=True,
    )
    (only,) = own.movements
    assert (only.name, only.start, only.end) == ("to", "feet together", "feet together")
    assert (only.start_pose, only.end_pose, only.via) == (Posture(), Posture(), None)
    assert (only.stands, only.flight_m, only.flight_movements, only.sway_m) == ((), 0.0, 1, 0.0)


def test_counts_travel_and_floor_are_worked_out() -> None:
    """Holds count; 0.3 m a movement are 0.6 m for two; deep water needs no floor."""
    head = 'pattern = "2+2h-4"\ntravel = "back"\ntravel_m = 0.3\nswaps_lead = true\n'
    own = read(head, *(TO.format(end="feet together", more="") for _ in range(2)))
    assert own.default_counts == (4, 4)
    assert own.travel_m == pytest.approx(0.6)
    assert (own.travel, own.swaps_lead, own.pattern) == (Travel.BACK, True, "2+2h-4")
    both = text_of().replace('["shallow"]', '["shallow", "deep"]')
    assert not catalogue(("own.toml", both)).move("own").needs_floor


NUMBERS = [
    ("space_m2", 0.5, 20.0),
    ("travel_m", 0.0, 2.0),
    ("flight_m", 0.0, 0.4),
    ("sway_m", 0.0, 1.0),
]


@pytest.mark.parametrize(("key", "low", "high"), NUMBERS)
def test_numbers_have_their_borders(key: str, low: float, high: float) -> None:
    """Both ends are read, a hundredth beyond is refused with both ends."""
    of_move = key in ("space_m2", "travel_m")
    for value in (low, high):
        line = f"{key} = {value}\n"
        own = read(line) if of_move else read("", TO.format(end="feet together", more=line))
        assert getattr(own if of_move else own.movements[0], key) == value
    for value in (low - 0.01, high + 0.01):
        line = f"{key} = {value}\n"
        told = refused(line) if of_move else refused("", TO.format(end="feet together", more=line))
        assert f"needs {low:g} to {high:g}" in told


def test_a_flight_is_shared_by_one_to_four_movements() -> None:
    """Whole numbers from 1 to 4."""
    for count in (1, 4):
        own = read("", TO.format(end="feet together", more=f"flight_movements = {count}"))
        assert own.movements[0].flight_movements == count
    for count in (0, 5):
        told = refused("", TO.format(end="feet together", more=f"flight_movements = {count}"))
        assert "needs 1 to 4" in told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("x" * 24, ""),
        ("x" * 25, f"spoken {'x' * 25!r}: needs 1 to 24 letters"),
        ("", "spoken '': needs 1 to 24 letters"),
        ("x", ""),
    ],
)
def test_a_call_has_1_to_24_letters(words: str, told: str) -> None:
    """What can be called in about a second and a half (judgement)."""
    text = text_of().replace('spoken = "own"', f'spoken = "{words}"')
    if not told:
        assert catalogue(("own.toml", text)).move("own").spoken == words
    else:
        with pytest.raises(TextFileError) as caught:
            catalogue(("own.toml", text))
        assert caught.value.problem == told


@pytest.mark.parametrize("key", ["easier", "harder"])
def test_a_move_is_not_its_own_neighbour(key: str) -> None:
    """Easier or harder, another move is meant."""
    assert refused(f'{key} = "own"\n') == "'own' cannot be its own easier or harder option"
    assert getattr(read(f'{key} = "jog"\n'), key) == "jog"


def test_movements_have_to_close() -> None:
    """Each starts where the one before it ended, the first where the last did."""
    told = refused("", TO.format(end="feet apart", more=""))
    assert told == (
        "'to' starts at 'feet together', but 'to' ends at 'feet apart': a repetition has to end"
        " where it starts"
    )
    two = read("", TO.format(end="feet apart", more=""), TO.format(end="feet together", more=""))
    assert [(m.start, m.end) for m in two.movements] == [
        *(("feet together", "feet apart"), ("feet apart", "feet together")),
    ]
    # A move without movements.
    with pytest.raises(TextFileError, match="needs at least one movement"):
        catalogue(("own.toml", "[moves.own]\n" + HEAD + "movements = []\n"))


POSES = """
[moves.own.poses."lead knee up"]
lead = {{ hip = 60, knee = 90 }}
{more}
[[moves.own.movements]]
name = "lead, up"
end = "lead knee up"
stands = ["other"]
{first}
[[moves.own.movements]]
name = "lead down"
end = "feet together"
sway_m = 0.1
{last}
"""


def posed(head: str = "", more: str = "", first: str = "", last: str = "") -> Move:
    """Return a move told by postures."""
    tail = POSES.format(more=more, first=first, last=last)
    return catalogue(("own.toml", "[moves.own]\n" + HEAD + head + tail)).move("own")


UP = Posture(lead_leg=Leg(hip=60.0, knee=90.0))


def test_postures_are_read_and_mirrored() -> None:
    """Two movements on the lead side, the same on the other side after them."""
    own = posed("mirror = true\n")
    assert [m.name for m in own.movements] == [
        *("lead, up", "lead down", "other, up", "other down"),
    ]
    assert [m.end for m in own.movements] == [
        *("lead knee up", "feet together", "other knee up", "feet together"),
    ]
    other = Posture(other_leg=Leg(hip=60.0, knee=90.0))
    assert [m.start_pose for m in own.movements] == [Posture(), UP, Posture(), other]
    assert [m.end_pose for m in own.movements] == [UP, Posture(), other, Posture()]
    assert [m.stands for m in own.movements] == [(Side.TRAIL,), (), (Side.LEAD,), ()]
    assert [m.sway_m for m in own.movements] == [0.0, 0.1, 0.0, 0.1]
    assert own.alternates
    assert own.sided
    plain = posed()
    assert (plain.alternates, plain.sided, len(plain.movements)) == (False, True, 2)


def test_what_both_sides_do_is_not_sided() -> None:
    """Both knees go up: no lead leg can be told, though the trunk leans."""
    more = "both = { hip = 60, knee = 90 }\ntrunk = { lean = 5 }\n"
    tail = POSES.format(more=more, first="", last="").replace('stands = ["other"]', "")
    own = catalogue(("own.toml", "[moves.own]\n" + HEAD + tail)).move("own")
    assert own.movements[0].end_pose == Posture(
        Leg(60.0, knee=90.0), Leg(60.0, knee=90.0), trunk=Trunk(lean=5.0)
    )
    assert not own.sided


def test_later_keys_of_a_posture_add_to_earlier_ones() -> None:
    """One limb by itself, both of a pair over it, arms and trunk beside them."""
    more = "both = { ankle = -20 }\nlead_arm = { raised = 30 }\nboth_arms = { elbow = 40 }\n"
    more += "trunk = { turn = 10, side = -5 }\n"
    found = posed(more=more).movements[0].end_pose
    assert found.lead_leg == Leg(60.0, 0.0, 90.0, -20.0)
    assert found.other_leg == Leg(ankle=-20.0)
    assert found.lead_arm == Arm(30.0, 90.0, 40.0)
    assert found.other_arm == Arm(0.0, 90.0, 40.0)
    assert found.trunk == Trunk(10.0, 0.0, -5.0)


def test_half_way_is_the_middle_but_for_what_is_told() -> None:
    """A knee by 100 on the way; the hip passes 30, the middle of 0 and 60."""
    own = posed(first="via = { lead = { knee = 100 } }")
    assert own.movements[0].via == Posture(lead_leg=Leg(30.0, knee=100.0))
    assert own.movements[1].via is None
    mirrored = posed("mirror = true\n", first="via = { lead = { knee = 100 } }").movements[2]
    assert mirrored.via == Posture(other_leg=Leg(30.0, knee=100.0))


def test_a_posture_that_is_not_told_is_named() -> None:
    """The message lists those of the table and the two of standing."""
    with pytest.raises(TextFileError) as caught:
        posed(last='pose = "lead knee down"')
    wanted = "no posture 'lead knee down': the table poses has feet together, upright, lead knee up"
    assert caught.value.problem == wanted
    assert posed(last='pose = "upright"').movements[1].end_pose == Posture()


@pytest.mark.parametrize("more", ["back = true", "swings = []"])
def test_a_move_with_postures_tells_no_swings(more: str) -> None:
    """One way of telling a move at a time."""
    with pytest.raises(TextFileError) as caught:
        posed(last=more)
    assert caught.value.problem == "a move with poses tells no swings"


NORMS = [
    *(("lead", "hip", -30, 120), ("lead", "out", -30, 45), ("lead", "knee", 0, 135)),
    *(("other", "ankle", -50, 20), ("both_arms", "raised", -60, 180)),
    *(("lead_arm", "across", -45, 135), ("other_arm", "elbow", 0, 150)),
    *(("trunk", "turn", -45, 45), ("trunk", "lean", -25, 80), ("trunk", "side", -35, 35)),
]


@pytest.mark.parametrize(("limb", "joint", "low", "high"), NORMS)
def test_angles_have_the_norms_of_their_joint(limb: str, joint: str, low: int, high: int) -> None:
    """Both ends are read, one degree beyond is refused with the norm and its source."""
    for value in (low, high):
        text = f"via = {{ {limb} = {{ {joint} = {value} }} }}"
        assert posed(first=text).movements[0].via is not None
    for value in (low - 1, high + 1):
        with pytest.raises(TextFileError) as caught:
            posed(first=f"via = {{ {limb} = {{ {joint} = {value} }} }}")
        source = "AAOS joint ranges, as usually quoted (from memory)"
        told = f"{joint} {value} degrees: needs {low} to {high} ({source})"
        assert caught.value.problem == told


@pytest.mark.parametrize(("across", "low"), [(44, 0), (45, -60)])
def test_an_arm_beside_the_body_has_the_norm_of_the_side(across: int, low: int) -> None:
    """Across below 45 it is raised aside, from 0; from 45 on ahead, from -60."""
    text = "via = {{ lead_arm = {{ across = {}, raised = {} }} }}"
    assert posed(first=text.format(across, low)).movements[0].via is not None
    with pytest.raises(TextFileError, match=f"needs {low} to 180"):
        posed(first=text.format(across, low - 1))


def option(factor: str, more: str) -> FactorOption:
    """Return an option of a text."""
    text = OPTION.format(factor=factor, more=more)
    return catalogue(("own.toml", text)).option(Factor(factor.replace("_", " ")), "own")


def test_an_option_is_read_as_it_stands() -> None:
    """What is left out is empty, on rung 0, with no arms."""
    own = option("range", 'effect = { range_scale = 0.5 }\ncautions = ["slowly"]')
    assert own == FactorOption(
        factor=Factor.RANGE,
        key="own",
        name="Own",
        spoken="own",
        sign="a sign",
        effect=(("range_scale", 0.5),),
        cautions=("slowly",),
        physics="in words",
    )
    fit = option(
        "range", 'effect = { range_scale = 1 }\nrung = 3\nfits = ["jog"]\nunfit = ["hops"]'
    )
    assert (fit.rung, fit.fits, fit.unfit) == (3, ("jog",), ("hops",))


@pytest.mark.parametrize(
    ("factor", "effect", "low", "high"),
    [
        ("travel", "travel_m", 0.0, 2.0),
        ("turn", "turn_deg", 0.0, 720.0),
        ("turn", "trunk_turn_deg", 0.0, 45.0),
        ("level", "hop_added_m", 0.0, 0.4),
        ("range", "range_scale", 0.1, 2.0),
    ],
)
def test_effects_have_their_borders(factor: str, effect: str, low: float, high: float) -> None:
    """Both ends are read, a hundredth beyond is refused."""
    beside = {"travel": 'travel = "back", ', "level": 'level = "I", '}.get(factor, "")
    for value in (low, high):
        own = option(factor, f"effect = {{ {beside}{effect} = {value} }}")
        assert dict(own.effect)[effect] == value
    for value in (low - 0.01, high + 0.01):
        with pytest.raises(TextFileError) as caught:
            option(factor, f"effect = {{ {beside}{effect} = {value} }}")
        told = f"effect {effect} {value:g}: needs {low:g} to {high:g}"
        assert caught.value.problem == told


@pytest.mark.parametrize(
    ("factor", "effect", "told"),
    [
        ("range", "{}", "an option of range needs an effect: range_scale"),
        ("turn", "{ travel_m = 1 }",
         "an option of turn needs an effect: turn_deg or trunk_turn_deg"),
        ("range", "3", "effect needs a table such as { range_scale = 0.6 }"),
        ("range", "{ range_scale = true }", "effect range_scale True: needs a float"),
        ("sides", "{ one_side = 1 }", "effect one_side 1: needs a bool"),
        ("tempo", "{ pattern = 2 }", "effect pattern 2: needs a str"),
        ("hands", '{ hands = "flat" }', "hands 'flat': needs slice, fist, open"),
        ("travel", '{ travel = "up" }', "travel 'up': needs in place, forward, back, sideways"),
        ("arm_symmetry", '{ arm_symmetry = "two" }',
         "arm_symmetry 'two': needs both, alternating, one"),
        ("level", '{ level = "IV" }', "level 'IV': needs I, II, III, grounded, power"),
    ],
)  # fmt: skip
def test_an_effect_that_is_none_is_told(factor: str, effect: str, told: str) -> None:
    """What it has to set, of which type, among which words."""
    with pytest.raises(TextFileError) as caught:
        option(factor, f"effect = {effect}")
    assert caught.value.problem == told


def test_a_pattern_among_effects_has_to_be_one() -> None:
    """2-2-4 is, 3 is not."""
    assert option("tempo", 'effect = { pattern = "2-2-4" }').effect == (("pattern", "2-2-4"),)
    with pytest.raises(TextFileError, match="needs counts a movement of 1, 2 or 4"):
        option("tempo", 'effect = { pattern = "3" }')
