"""Limbs through the water: joints, levers, swings and the movements made of them.

Angles are degrees from the anatomical position (standing, arms hanging, palms in),
trunk upright, so that a straight limb at angle a hangs a degrees off the vertical:

==========  ===================================================================
hip         flexion (thigh forward) +, extension -; abduction (out) +, adduction -
knee        0 straight, flexion (heel towards the seat) +
ankle       0 foot square to the shank, flexion (toes up) +, extension (pointed) -
shoulder    flexion (arm forward and up) +, extension -; abduction (out and up) +
shoulder    horizontal: 0 arm out to the side, 90 straight ahead (inward is +)
elbow       0 straight, flexion +
trunk       rotation towards the lead side +; flexion (forward) +; side bend +
==========  ===================================================================

An action names the direction of motion, so flexion, abduction, horizontal adduction
and side bend run upwards (end > start), extension, adduction and horizontal
abduction downwards; rotation runs either way.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = [
    "Action",
    "Foot",
    "Hands",
    "Joint",
    "JointSwing",
    "Lever",
    "Movement",
    "Plane",
    "Segment",
    "Side",
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


class Segment(StrEnum):
    """What is swung about the joint."""

    LEG = "leg"  # thigh, shank and foot, knee held at bend_deg
    SHANK = "shank"  # shank and foot about the knee
    FOOT = "foot"
    ARM = "arm"  # upper arm, forearm and hand, elbow held at bend_deg
    FOREARM = "forearm"
    TRUNK = "trunk"


class Side(StrEnum):
    """Which limb, told by the lead: the side that starts."""

    LEAD = "lead"
    TRAIL = "other"
    BOTH = "both"


class Foot(StrEnum):
    """How the foot meets the water.

    EDGE: it moves along its own length (ankle square in a forward swing); BROAD: a
    flat plate across the swing (pointed in a forward swing, sideways in any other).
    """

    EDGE = "edge"
    BROAD = "broad"


class Hands(StrEnum):
    """How the hand meets the water."""

    SLICE = "slice"
    FIST = "fist"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class JointSwing:
    """One joint driven through the water during a movement.

    Only limbs that move through the water are listed: a leg that bears on the floor
    is not. start_deg, end_deg: angles [degrees] as drawn in the module docstring; the
    excursion is abs(end_deg - start_deg), swept in the time of the movement.

    bend_deg: the angle [degrees] at which the next joint down (knee of a leg, elbow of
    an arm) is held meanwhile; 0 = straight. With the hip at a in the sagittal plane
    the shank then hangs at a - bend_deg off the vertical (heel behind the knee), the
    forearm at a + bend_deg.
    held_deg: the angle [degrees] at which the joint above is held: for a shank the hip
    flexion, for a forearm the shoulder flexion; for an arm that sweeps horizontally
    how far it is raised (0 hanging, 90 level with the shoulder). 0 otherwise.
    side BOTH: the left and the right limb do the same at once (two limbs).
    """

    joint: Joint
    action: Action
    segment: Segment
    start_deg: float
    end_deg: float
    side: Side = Side.LEAD
    bend_deg: float = 0.0
    foot: Foot = Foot.EDGE
    held_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Movement:
    """The action between two named end positions of a move.

    All its swings start and end together. Names tell the sides as "lead" and "other".
    flight_m: how far the body is thrown up off the floor [m] (0: no flight), and
    flight_movements: how many movements, this one first, the flight and one contact
    with the floor share (a tuck takes off in "up" and lands in "down": 2).
    sway_m: how far the trunk is carried sideways (frontal and transverse moves) or
    forward and back (sagittal moves) during it [m], in turn to and fro.
    """

    name: str
    start: str
    end: str
    swings: tuple[JointSwing, ...]
    flight_m: float = 0.0
    flight_movements: int = 1
    sway_m: float = 0.0
