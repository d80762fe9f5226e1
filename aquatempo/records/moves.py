"""What can be asked of a class: moves, what may vary in them, patterns of counts.

A ``Move`` is an entry of the catalogue. A ``Variation`` names what is changed in
it. A ``MoveForm`` is the two put together: the physical form that feasibility
judges, with every factor resolved into angles, levers and speeds.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from aquatempo.records.people import ClassDepth

__all__ = [
    "Action",
    "Factor",
    "FactorOption",
    "Foot",
    "Hands",
    "ImpactLevel",
    "Joint",
    "JointSwing",
    "Lever",
    "Move",
    "MoveForm",
    "MoveKind",
    "Movement",
    "Pattern",
    "PatternStep",
    "Plane",
    "Segment",
    "Side",
    "Travel",
    "Variation",
]


class MoveKind(StrEnum):
    """What a move is for in a class."""

    BASE = "base"
    HOLDING = "holding"
    ARMS_ONLY = "arms only"
    DEEP_ONLY = "deep only"
    STRETCH = "stretch"


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


class ImpactLevel(StrEnum):
    """I rebound; II hips and knees bent, shoulders at the surface; III suspended."""

    I = "I"  # noqa: E741 - the trade's own name
    II = "II"
    III = "III"
    GROUNDED = "grounded"
    POWER = "power"


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
    TRAIL = "trail"
    BOTH = "both"


class Foot(StrEnum):
    """How the foot meets the water."""

    EDGE = "edge"
    BROAD = "broad"


class Hands(StrEnum):
    """How the hand meets the water."""

    SLICE = "slice"
    FIST = "fist"
    OPEN = "open"


class Travel(StrEnum):
    """Where the body goes."""

    IN_PLACE = "in place"
    FORWARD = "forward"
    BACK = "back"
    SIDEWAYS = "sideways"


class Factor(StrEnum):
    """What a variation may change, one at a time."""

    ARMS = "arms"
    ARM_SYMMETRY = "arm symmetry"
    HANDS = "hands"
    TRAVEL = "travel"
    TURN = "turn"
    TEMPO = "tempo"
    LEVEL = "level"
    RANGE = "range"
    COMBINATION = "combination"


@dataclass(frozen=True, slots=True)
class JointSwing:
    """One joint driven through the water during a movement.

    Angles [degrees] from the anatomical position: flexion, abduction and the
    forward or inward direction positive. bend_deg is the angle at which the next
    joint (knee or elbow) is held, 0 = straight.
    """

    joint: Joint
    action: Action
    segment: Segment
    start_deg: float
    end_deg: float
    side: Side = Side.LEAD
    bend_deg: float = 0.0
    foot: Foot = Foot.EDGE


@dataclass(frozen=True, slots=True)
class Movement:
    """The action between two named end positions of a move.

    flight_m: how far the body is thrown up by it [m] (0: no flight).
    """

    name: str
    start: str
    end: str
    swings: tuple[JointSwing, ...]
    flight_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Move:
    """An entry of the catalogue. The movements listed make one repetition."""

    key: str
    name: str
    spoken: str
    sign: str
    kind: MoveKind
    plane: Plane
    lever: Lever
    movements: tuple[Movement, ...]
    swaps_lead: bool  # one repetition ends on the other lead
    alternates: bool  # both sides are worked within one repetition
    default_counts: tuple[int, ...]  # usual counts a movement in water: (2,)
    levels: tuple[ImpactLevel, ...]
    depths: tuple[ClassDepth, ...]
    muscles: tuple[str, ...]
    limits: str  # what limits speed or range, in the trade's words
    description: str
    min_depth: str = "navel"  # landmark that the water must reach on the person
    max_depth: str = "neck"
    needs_floor: bool = False
    space_m2: float = 2.0
    deep_equivalent: str = ""
    easier: str = ""
    harder: str = ""
    cautions: tuple[str, ...] = ()
    origin: str = "common practice"


@dataclass(frozen=True, slots=True)
class FactorOption:
    """One value of a factor: what it changes and which moves it fits.

    Numbers that change the physics live in ``effect`` as (name, value) pairs; the
    names are those of ``MoveForm`` fields.
    """

    factor: Factor
    key: str
    name: str
    spoken: str
    sign: str
    effect: tuple[tuple[str, str | float | bool], ...]
    fits: tuple[str, ...] = ()  # move keys, planes, levers or kinds; empty = any
    unfit: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Variation:
    """A base move with some factors set: pairs of factor and option key."""

    move: str
    changes: tuple[tuple[Factor, str], ...] = ()


@dataclass(frozen=True, slots=True)
class PatternStep:
    """Counts of one movement: moving_counts in motion, then held_counts held or bounced."""

    moving_counts: int
    held_counts: int = 0
    bounced: bool = False


@dataclass(frozen=True, slots=True)
class Pattern:
    """Counts for each movement in turn, written ``2``, ``2-2-4``, ``2+2h`` or ``2+2b``."""

    text: str
    steps: tuple[PatternStep, ...]


@dataclass(frozen=True, slots=True)
class MoveForm:
    """A move with its variation resolved: what feasibility judges.

    travel_m: distance per repetition [m]; turn_deg: body turn per repetition [deg];
    range_scale multiplies every excursion about its middle.
    """

    move: Move
    variation: Variation
    name: str
    movements: tuple[Movement, ...]
    level: ImpactLevel = ImpactLevel.I
    hands: Hands = Hands.SLICE
    arms_in_water: bool = True
    arms_same_way: bool = False  # both arms push the trunk the same way
    travel: Travel = Travel.IN_PLACE
    travel_m: float = 0.0
    reverses_every: int = 0  # repetitions between reversals of travel, 0 = never
    turn_deg: float = 0.0
    range_scale: float = 1.0
    pattern: Pattern | None = None
    equipment_area_m2: float = 0.0
    equipment_buoyancy_n: float = 0.0
    cautions: tuple[str, ...] = field(default=())
