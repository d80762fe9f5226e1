"""Postures of the body and the movements between them.

Angles are degrees from standing with the arms hanging, trunk upright, so that a straight
limb at angle a hangs a degrees off the vertical. ``lead`` is the side that starts.

======  ========  =================================================================
leg     hip       thigh forward +, back -
leg     out       thigh away from the middle +, across it -
leg     knee      0 straight, heel towards the seat +
leg     ankle     0 foot square to the shank, toes up +, pointed -
arm     raised    away from hanging, within the plane that ``across`` names
arm     across    0 out to the side, 90 straight ahead; beyond 90 across the chest
arm     elbow     0 straight, flexion +
trunk   turn      chest towards the lead side +
trunk   lean      chest forward +
trunk   side      bend towards the lead side +
======  ========  =================================================================

An arm raised 40 with across 90 is flexed 40 degrees forward, raised -20 extended back,
raised 70 with across 0 abducted; with raise held, a change of across is a level sweep.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from enum import StrEnum
from typing import Any, TypeAlias

__all__ = [
    "Action",
    "Arm",
    "Hands",
    "Joint",
    "JointSwing",
    "Leg",
    "Lever",
    "Movement",
    "Plane",
    "Posture",
    "Side",
    "Trunk",
    "swings_between",
]


class Plane(StrEnum):
    """The plane that the limbs sweep."""

    SAGITTAL = "sagittal"
    FRONTAL = "frontal"
    TRANSVERSE = "transverse"
    VERTICAL = "vertical"


class Lever(StrEnum):
    """Long: the straight limb sweeps the water; short: it is bent."""

    LONG = "long"
    SHORT = "short"
    BODY = "body"


class Joint(StrEnum):
    """A joint that is driven."""

    HIP = "hip"
    KNEE = "knee"
    ANKLE = "ankle"
    SHOULDER = "shoulder"
    ELBOW = "elbow"
    TRUNK = "trunk"


class Action(StrEnum):
    """The direction a joint is driven in (the muscles that work)."""

    FLEXION = "flexion"
    EXTENSION = "extension"
    ABDUCTION = "abduction"
    ADDUCTION = "adduction"
    HORIZONTAL_ABDUCTION = "horizontal abduction"
    HORIZONTAL_ADDUCTION = "horizontal adduction"
    ROTATION = "rotation"
    SIDE_BEND = "side bend"


class Side(StrEnum):
    """Which limb, told by the lead: the side that starts."""

    LEAD = "lead"
    TRAIL = "other"
    BOTH = "both"


class Hands(StrEnum):
    """How the hand meets the water."""

    SLICE = "slice"
    FIST = "fist"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class Leg:
    """Angles of a leg [degrees]; see the table of the module."""

    hip: float = 0.0
    out: float = 0.0
    knee: float = 0.0
    ankle: float = 0.0


@dataclass(frozen=True, slots=True)
class Arm:
    """Angles of an arm [degrees]; see the table of the module."""

    raised: float = 0.0
    across: float = 90.0
    elbow: float = 0.0


@dataclass(frozen=True, slots=True)
class Trunk:
    """Angles of the trunk [degrees]; see the table of the module."""

    turn: float = 0.0
    lean: float = 0.0
    side: float = 0.0


_Limb: TypeAlias = Leg | Arm | Trunk


@dataclass(frozen=True, slots=True)
class Posture:
    """The whole body at one instant, seen from the lead side: joint angles [degrees].

    hop_m: how far the feet are above where they stand [m]; ahead_m, aside_m: where the
    body is, forward and towards the lead side of where the repetition began [m];
    turned_deg: how far the whole body has turned round [degrees].
    """

    lead_leg: Leg = Leg()
    other_leg: Leg = Leg()
    lead_arm: Arm = Arm()
    other_arm: Arm = Arm()
    trunk: Trunk = Trunk()
    hop_m: float = 0.0
    ahead_m: float = 0.0
    aside_m: float = 0.0
    turned_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class JointSwing:
    """One joint that goes from one angle to another during a movement [degrees]."""

    joint: Joint
    action: Action
    start_deg: float
    end_deg: float
    side: Side


@dataclass(frozen=True, slots=True)
class Movement:
    """The action between two named end positions of a move.

    start_pose, end_pose: postures there; via: where the limbs pass half-way, None for the
    straight way. All joints start and end together. stands: legs that bear on the floor
    and are not swung through the water, though their joints may turn. flight_m: how far
    the body is thrown up off the floor [m] (0: no flight), and flight_movements: how
    many movements, this one first, the flight and one contact with the floor share (a
    tuck takes off in "up" and lands in "down": 2). sway_m: how far the trunk is carried
    sideways (frontal and transverse moves) or forward and back (sagittal moves) during it
    [m], in turn to and fro.
    """

    name: str
    start: str
    end: str
    start_pose: Posture = Posture()
    end_pose: Posture = Posture()
    via: Posture | None = None
    stands: tuple[Side, ...] = ()
    flight_m: float = 0.0
    flight_movements: int = 1
    sway_m: float = 0.0

    @property
    def swings(self) -> tuple[JointSwing, ...]:
        """The joints that turn in it, those of a standing leg left out."""
        return swings_between(self.start_pose, self.end_pose, self.via, self.stands)


def swings_between(
    start: Posture, end: Posture, via: Posture | None = None, stands: tuple[Side, ...] = ()
) -> tuple[JointSwing, ...]:
    """Return the joints that turn from one posture, start, to another, end, or to via and back.

    stands: legs to leave out. Equal turns of both sides are told once, as both.
    """
    legs = [(Side.LEAD, "lead_leg"), (Side.TRAIL, "other_leg")]
    limbs = [(side, name) for side, name in legs if side not in stands]
    limbs += [(Side.LEAD, "lead_arm"), (Side.TRAIL, "other_arm"), (Side.LEAD, "trunk")]
    found: list[JointSwing] = []
    for side, name in limbs:
        first, last = getattr(start, name), getattr(end, name)
        middle = getattr(via, name) if via is not None else None
        for field in fields(first):
            a, b = getattr(first, field.name), getattr(last, field.name)
            if a == b and middle is not None:
                b = getattr(middle, field.name)
            if a != b:
                joint, action = _ACTIONS[type(first), field.name](a, b, _farther(first, last))
                own = Side.BOTH if (name, field.name) == ("trunk", "lean") else side
                found.append(JointSwing(joint, action, a, b, own))
    return _paired(found)


def _farther(first: _Limb, last: _Limb) -> _Limb:
    """Return the limb of two that tells the plane: of arms the one raised more."""
    if isinstance(first, Arm) and isinstance(last, Arm):
        return max(last, first, key=lambda arm: abs(arm.raised))
    return last


def _paired(found: list[JointSwing]) -> tuple[JointSwing, ...]:
    """Return swings with those that both sides do alike told once."""
    told: list[JointSwing] = []
    for swing in found:
        twin = JointSwing(swing.joint, swing.action, swing.start_deg, swing.end_deg, Side.LEAD)
        if swing.side is Side.TRAIL and twin in told:
            told[told.index(twin)] = JointSwing(*_fields(twin), Side.BOTH)
        else:
            told.append(swing)
    return tuple(told)


def _fields(swing: JointSwing) -> tuple[Joint, Action, float, float]:
    return swing.joint, swing.action, swing.start_deg, swing.end_deg


_Way: TypeAlias = Callable[[float, float, Any], tuple[Joint, Action]]


def _two_way(joint: Joint, up: Action, down: Action) -> _Way:
    return lambda a, b, _limb: (joint, up if b > a else down)


def _raised(a: float, b: float, arm: Arm) -> tuple[Joint, Action]:
    if arm.across < 45.0:
        return Joint.SHOULDER, Action.ABDUCTION if b > a else Action.ADDUCTION
    return Joint.SHOULDER, Action.FLEXION if b > a else Action.EXTENSION


_ACTIONS = {
    (Leg, "hip"): _two_way(Joint.HIP, Action.FLEXION, Action.EXTENSION),
    (Leg, "out"): _two_way(Joint.HIP, Action.ABDUCTION, Action.ADDUCTION),
    (Leg, "knee"): _two_way(Joint.KNEE, Action.FLEXION, Action.EXTENSION),
    (Leg, "ankle"): _two_way(Joint.ANKLE, Action.FLEXION, Action.EXTENSION),
    (Arm, "raised"): _raised,
    (Arm, "across"): _two_way(
        Joint.SHOULDER, Action.HORIZONTAL_ADDUCTION, Action.HORIZONTAL_ABDUCTION
    ),
    (Arm, "elbow"): _two_way(Joint.ELBOW, Action.FLEXION, Action.EXTENSION),
    (Trunk, "turn"): _two_way(Joint.TRUNK, Action.ROTATION, Action.ROTATION),
    (Trunk, "lean"): _two_way(Joint.TRUNK, Action.FLEXION, Action.EXTENSION),
    (Trunk, "side"): _two_way(Joint.TRUNK, Action.SIDE_BEND, Action.SIDE_BEND),
}
