"""Movements told joint by joint: which postures they lead from and to, and what is refused.

All swings here are invented; norms of joints are the packaged ones (``moves/data/norms.toml``).
"""

from __future__ import annotations

import pytest
from move_texts import OPTION, TO, read, refused, swung

from aquatempo.errors import TextFileError
from aquatempo.moves import catalogue
from aquatempo.moves.rules import axis_of
from aquatempo.records.limbs import Action, Arm, Joint, JointSwing, Leg, Posture, Side, Trunk
from aquatempo.records.moves import Factor

NORM = "AAOS joint ranges, as usually quoted (from memory)"


def of(joint: str, action: str, start: float, end: float, more: str = "") -> str:
    """Return a swing as a text tells it."""
    told = f'joint = "{joint}", action = "{action}", from_deg = {start}, to_deg = {end}'
    return told + (f", {more}" if more else "")


def ends(swing: str) -> tuple[Posture, Posture]:
    """Return the postures at both ends of a movement of one swing."""
    (only,) = read("", swung(swing)).movements
    return only.start_pose, only.end_pose


LEGS = [
    (of("hip", "flexion", 0, 60), Leg(), Leg(60.0)),
    (of("hip", "flexion", -15, 60), Leg(-15.0), Leg(60.0)),
    (of("hip", "extension", 60, -20), Leg(60.0), Leg(-20.0)),
    (of("hip", "abduction", 0, 30), Leg(), Leg(out=30.0)),
    (of("hip", "adduction", 30, -10), Leg(out=30.0), Leg(out=-10.0)),
    (of("knee", "flexion", 0, 90), Leg(), Leg(knee=90.0)),
    (of("knee", "extension", 90, 10, "held_deg = 70"), Leg(70.0, knee=90.0), Leg(70.0, knee=10.0)),
    (of("ankle", "flexion", -30, 15), Leg(ankle=-30.0), Leg(ankle=15.0)),
    # A knee in proportion to the hip: 80 degrees at the farther end, a quarter of it at a quarter.
    (of("hip", "flexion", 15, 60, "bend_deg = 80"), Leg(15.0, knee=20.0), Leg(60.0, knee=80.0)),
    (of("hip", "flexion", -30, 15, "bend_deg = 80"), Leg(-30.0, knee=80.0), Leg(15.0, knee=40.0)),
    (of("hip", "flexion", 0, 60, 'foot = "broad"'), Leg(ankle=-40.0), Leg(60.0, ankle=-40.0)),
    (of("hip", "abduction", 0, 30, 'foot = "broad"'), Leg(), Leg(out=30.0)),
    (of("knee", "flexion", 0, 90, 'foot = "broad"'), Leg(ankle=-40.0), Leg(0.0, 0.0, 90.0, -40.0)),
    (of("hip", "flexion", 0, 60, 'foot = "edge"'), Leg(), Leg(60.0)),
]


@pytest.mark.parametrize(("swing", "first", "last"), LEGS)
def test_a_leg_swings_from_angle_to_angle(swing: str, first: Leg, last: Leg) -> None:
    """Lead by itself where no side is told, with what is bent, held or pointed."""
    assert ends(swing) == (Posture(lead_leg=first), Posture(lead_leg=last))
    other = ends(f'{swing}, side = "other"')
    assert other == (Posture(other_leg=first), Posture(other_leg=last))
    both = ends(f'{swing}, side = "both"')
    assert both == (Posture(first, first), Posture(last, last))


ARMS = [
    (of("shoulder", "flexion", 0, 80), Arm(), Arm(80.0)),
    (
        of("shoulder", "extension", 40, -30, "bend_deg = 20"),
        Arm(40.0, elbow=20),
        Arm(-30.0, 90, 20),
    ),
    (of("shoulder", "abduction", 10, 70), Arm(10.0, 0.0), Arm(70.0, 0.0)),
    (of("shoulder", "adduction", 70, 0), Arm(70.0, 0.0), Arm(0.0, 0.0)),
    (of("shoulder", "horizontal adduction", 0, 90), Arm(90.0, 0.0), Arm(90.0, 90.0)),
    (
        of("shoulder", "horizontal abduction", 90, -10, "held_deg = 70, bend_deg = 15"),
        Arm(70.0, 90.0, 15.0),
        Arm(70.0, -10.0, 15.0),
    ),
    (of("elbow", "flexion", 0, 120), Arm(), Arm(elbow=120.0)),
    (of("elbow", "extension", 90, 5, "held_deg = 40"), Arm(40.0, 90, 90.0), Arm(40.0, 90, 5.0)),
    (of("shoulder", "flexion", 0, 80, 'foot = "broad"'), Arm(), Arm(80.0)),
]


@pytest.mark.parametrize(("swing", "first", "last"), ARMS)
def test_an_arm_swings_from_angle_to_angle(swing: str, first: Arm, last: Arm) -> None:
    """Ahead, aside or level (raised by 90 where not told), the elbow bent all the way."""
    assert ends(swing) == (Posture(lead_arm=first), Posture(lead_arm=last))
    other = ends(f'{swing}, side = "other"')
    assert other == (Posture(other_arm=first), Posture(other_arm=last))


@pytest.mark.parametrize(
    ("swing", "first", "last"),
    [
        (of("trunk", "rotation", -30, 30), Trunk(turn=-30.0), Trunk(turn=30.0)),
        (of("trunk", "rotation", 30, 0), Trunk(turn=30.0), Trunk()),  # either way
        (of("trunk", "side bend", 10, -20), Trunk(side=10.0), Trunk(side=-20.0)),
        (of("trunk", "flexion", 0, 40), Trunk(), Trunk(lean=40.0)),
        (of("trunk", "extension", 40, -10), Trunk(lean=40.0), Trunk(lean=-10.0)),
    ],
)
def test_a_trunk_turns_bends_and_leans(swing: str, first: Trunk, last: Trunk) -> None:
    """Each action has its own angle; turns and bends go either way."""
    assert ends(swing) == (Posture(trunk=first), Posture(trunk=last))


def test_going_back_leads_where_the_movement_before_came_from() -> None:
    """Up by a swing, down by ``back``; what no swing moves stays as it was."""
    first = TO.format(end="lead knee up", more=f"swings = [{{ {of('hip', 'flexion', 0, 60)} }}]")
    back = TO.format(end="feet together", more="back = true")
    own = read("", first, back)
    up = Posture(lead_leg=Leg(60.0))
    assert [(m.start_pose, m.end_pose) for m in own.movements] == [(Posture(), up), (up, Posture())]
    arms = f"swings = [{{ {of('elbow', 'flexion', 0, 90)} }}]"
    held = read("", first, TO.format(end="feet together", more=arms))
    assert held.movements[1].start_pose == up
    assert held.movements[1].end_pose == Posture(Leg(60.0), lead_arm=Arm(elbow=90.0))


def test_back_needs_a_movement_and_no_swings() -> None:
    """Going back first, or with swings of its own, is refused."""
    told = "back needs a movement before it and no swings of its own"
    back = TO.format(end="feet together", more="back = true")
    assert refused("", back) == told
    first = swung(of("hip", "flexion", 0, 60))
    assert refused("", first, swung(of("hip", "extension", 60, 0), "back = true")) == told


@pytest.mark.parametrize(
    ("joint", "action", "start", "end", "told"),
    [
        ("knee", "abduction", 0, 20, "a knee has no abduction"),
        ("ankle", "rotation", 0, 20, "a ankle has no rotation"),
        ("elbow", "adduction", 20, 0, "a elbow has no adduction"),
        ("trunk", "abduction", 0, 20, "a trunk has no abduction"),
        ("hip", "horizontal adduction", 0, 20, "a hip has no horizontal adduction"),
    ],
)
def test_a_joint_has_its_own_actions(
    joint: str, action: str, start: float, end: float, told: str
) -> None:
    """What a joint cannot do is refused by name."""
    assert refused("", swung(of(joint, action, start, end))) == told


@pytest.mark.parametrize(
    ("joint", "action", "start", "end", "way", "meant"),
    [
        ("hip", "flexion", 30, 0, "upwards", "extension"),
        ("hip", "extension", 0, 30, "downwards", "flexion"),
        ("hip", "abduction", 30, 0, "upwards", "adduction"),
        ("hip", "adduction", 0, 30, "downwards", "abduction"),
        ("shoulder", "horizontal adduction", 90, 0, "upwards", "horizontal abduction"),
        ("shoulder", "horizontal abduction", 0, 90, "downwards", "horizontal adduction"),
        ("hip", "flexion", 30, 30, "upwards", "extension"),
        ("trunk", "rotation", 10, 10, "downwards", "rotation"),
        ("trunk", "side bend", 10, 10, "downwards", "side bend"),
    ],
)
def test_a_swing_runs_the_way_of_its_action(
    joint: str, action: str, start: float, end: float, way: str, meant: str
) -> None:
    """Flexion, abduction and horizontal adduction run up, the others down; none stands still."""
    told = f"{joint} {action} from {start:g} to {end:g}: needs to run {way} (did you mean {meant}?)"
    assert refused("", swung(of(joint, action, start, end))) == told


@pytest.mark.parametrize(
    ("joint", "action", "low", "high"),
    [
        ("hip", "flexion", -30, 120),
        ("hip", "abduction", -30, 45),
        ("knee", "flexion", 0, 135),
        ("shoulder", "abduction", 0, 180),
        ("shoulder", "horizontal adduction", -45, 135),
        ("trunk", "rotation", -45, 45),
        ("trunk", "side bend", -35, 35),
        ("trunk", "flexion", -25, 80),
    ],
)
def test_a_swing_stays_within_the_norm_of_its_joint(
    joint: str, action: str, low: int, high: int
) -> None:
    """From end to end is read, one degree more at either end is refused with the norm."""
    assert read("", swung(of(joint, action, low, high)))
    for start, end in ((low - 1, high), (low, high + 1)):
        told = f"{joint} {action} from {start} to {end} degrees: needs {low} to {high} ({NORM})"
        assert refused("", swung(of(joint, action, start, end))) == told


@pytest.mark.parametrize(
    ("key", "low", "high"), [("bend_deg", 0, 150), ("held_deg", -60, 120), ("from_deg", -360, 360)]
)
def test_angles_beside_a_swing_have_their_borders(key: str, low: int, high: int) -> None:
    """What is bent or held has wide borders of its own; beyond them it is no angle."""
    for value in (low - 1, high + 1):
        swing = of("hip", "flexion", 0, 60)
        swing = swing.replace("from_deg = 0", f"from_deg = {value}") if key == "from_deg" else (
            f"{swing}, {key} = {value}"
        )  # fmt: skip
        assert f"needs {low} to {high}" in refused("", swung(swing))
    if key != "from_deg":
        for value in (low, high):
            assert read("", swung(f"{of('hip', 'flexion', 0, 60)}, {key} = {value}"))


def arms(*lines: str) -> tuple[Arm | None, Arm | None, Arm | None]:
    """Return home, out and the way back of an arm action of a text."""
    text = OPTION.format(factor="arms", more="\n".join(lines))
    own = catalogue(("own.toml", text)).option(Factor.ARMS, "own")
    return own.home, own.out, own.via_back


def test_an_arm_action_may_come_back_another_way() -> None:
    """Out straight ahead, back with the elbow bent: half-way between both ends of the way back."""
    out = f"swings = [{{ {of('shoulder', 'flexion', 0, 80)} }}]"
    assert arms(out) == (Arm(), Arm(80.0), None)
    back = f"swings_back = [{{ {of('elbow', 'flexion', 20, 100, 'held_deg = 60')} }}]"
    assert arms(out, back) == (Arm(), Arm(80.0), Arm(60.0, 90.0, 60.0))
    one = f'swings = [{{ {of("shoulder", "flexion", 0, 80)}, side = "other" }}]'
    assert arms(one) == (Arm(), Arm(80.0), None)  # both arms do it


def test_an_arm_action_may_tell_its_ends() -> None:
    """Home and out, with the way back or without."""
    home, out = "home = { raised = 10 }", "out = { raised = 70, elbow = 20 }"
    assert arms(home, out) == (Arm(10.0), Arm(70.0, 90.0, 20.0), None)
    assert arms(home, out, "via_back = { elbow = 90 }")[2] == Arm(elbow=90.0)
    assert arms() == (None, None, None)
    for one in (home, out):
        with pytest.raises(TextFileError, match="an arm action needs both home and out"):
            arms(one)


@pytest.mark.parametrize("key", ["home", "swings", "swings_back"])
def test_reaches_belong_to_arm_actions(key: str) -> None:
    """Hands, levels and others have none."""
    text = OPTION.format(factor="hands", more=f'effect = {{ hands = "open" }}\n{key} = []')
    with pytest.raises(TextFileError) as caught:
        catalogue(("own.toml", text))
    assert caught.value.problem == f"{key} belong to arm actions, not to hands"


def test_an_arm_action_moves_no_leg() -> None:
    """A knee in it is refused by name."""
    with pytest.raises(TextFileError, match="an arm action cannot move the knee"):
        arms(f"swings = [{{ {of('knee', 'flexion', 0, 80)} }}]")


@pytest.mark.parametrize(
    ("joint", "action", "axis"),
    [
        (Joint.KNEE, Action.FLEXION, "knee sagittal"),
        (Joint.TRUNK, Action.EXTENSION, "trunk sagittal"),
        (Joint.SHOULDER, Action.HORIZONTAL_ABDUCTION, "shoulder horizontal"),
        (Joint.SHOULDER, Action.HORIZONTAL_ADDUCTION, "shoulder horizontal"),
        (Joint.SHOULDER, Action.ADDUCTION, "shoulder frontal"),
        (Joint.TRUNK, Action.ROTATION, "trunk rotation"),
        (Joint.TRUNK, Action.SIDE_BEND, "trunk side bend"),
    ],
)
def test_axes_have_the_names_of_the_norms(joint: Joint, action: Action, axis: str) -> None:
    """Front and back, level, aside; the trunk by its action."""
    assert axis_of(JointSwing(joint, action, 0.0, 10.0, Side.LEAD)) == axis
