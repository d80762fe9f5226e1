"""What can be asked of a class: moves, what may vary in them, patterns of counts.

A ``Move`` is an entry of the catalogue. A ``Variation`` names what is changed in
it. A ``MoveForm`` is the two put together: the physical form that feasibility
judges, with every factor resolved into angles, levers and speeds.

Postures and movements are told in ``aquatempo.records.limbs`` (angle conventions there) and
offered here as well.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from aquatempo.records.limbs import (
    Action,
    Arm,
    Hands,
    Joint,
    JointSwing,
    Leg,
    Lever,
    Movement,
    Plane,
    Posture,
    Side,
    Trunk,
)
from aquatempo.records.people import ClassDepth

__all__ = [
    "ARM_SYMMETRIES",
    "Action",
    "Arm",
    "Factor",
    "FactorOption",
    "Hands",
    "ImpactLevel",
    "Joint",
    "JointSwing",
    "LadderRung",
    "LeadCheck",
    "Leg",
    "Lever",
    "Move",
    "MoveForm",
    "MoveKind",
    "Movement",
    "Pattern",
    "PatternStep",
    "Plane",
    "Posture",
    "Side",
    "Transition",
    "Travel",
    "Trunk",
    "Variation",
]


ARM_SYMMETRIES = ("both", "alternating", "one")  # how the two arms share an arm action


class MoveKind(StrEnum):
    """What a move is for in a class."""

    BASE = "base"
    HOLDING = "holding"
    ARMS_ONLY = "arms only"
    DEEP_ONLY = "deep only"
    STRETCH = "stretch"


class ImpactLevel(StrEnum):
    """I rebound; II hips and knees bent, shoulders at the surface; III suspended."""

    I = "I"  # noqa: E741 - the trade's own name
    II = "II"
    III = "III"
    GROUNDED = "grounded"
    POWER = "power"


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
    SIDES = "sides"


@dataclass(frozen=True, slots=True)
class Move:
    """An entry of the catalogue. The movements listed make one repetition.

    movements hold legs and trunk; the arms are added by the move's arm action and
    symmetry (keys of factor options) when a form is resolved. levels[0] is the usual
    level. sided: a lead leg can be told; a sided move that does not alternate works
    one side and has to be done again on the other. travel_m [m] a repetition.
    easier, harder, deep_equivalent: keys of moves, "" for none.
    """

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
    default_counts: tuple[int, ...]  # usual counts a movement in water, holds included: (2,)
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
    sided: bool = False
    arms: str = "still"
    arm_symmetry: str = "both"
    travel: Travel = Travel.IN_PLACE
    travel_m: float = 0.0
    pattern: str = "2"  # the usual pattern as text; default_counts are its counts
    range_reason: str = ""  # why the full excursion is what it is


@dataclass(frozen=True, slots=True)
class FactorOption:
    """One value of a factor: what it changes and which moves it fits.

    Numbers that change the physics live in ``effect`` as (name, value) pairs; the
    names are those of ``MoveForm`` fields, except travel_m (here a movement).
    home, out: for an arm action, where an arm is before and after an outward movement;
    the next movement brings it back, past via_back where it comes another way. physics:
    what it changes, in plain words. rung: how much harder (+) or easier (-) than the base
    move it usually feels, -3 to 3.
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
    home: Arm | None = None
    out: Arm | None = None
    via_back: Arm | None = None
    physics: str = ""
    rung: int = 0


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
    """Counts for each movement in turn, written ``2``, ``2-2-4``, ``2+2h`` or ``2+2b``.

    The steps are repeated as long as the move lasts. counts: of one round of them.
    aligns_after_counts: counts until a round ends with an eight.
    fills_eights: whole rounds fill one eight, or one round fills whole eights.
    """

    text: str
    steps: tuple[PatternStep, ...]
    counts: int = 0
    aligns_after_counts: int = 8
    fills_eights: bool = True


@dataclass(frozen=True, slots=True)
class LeadCheck:
    """What a pattern does to the lead leg of a move.

    A round here ends with an eight (Pattern.aligns_after_counts); movements: in it.
    swaps: a round ends ready to start on the other leg. at_start: it ends where the
    move may start, on either leg (False: half-way through). returns_after_counts:
    counts until a round ends where the first began; returns: that is within a phrase.
    lead_counts, other_counts: how the counts until then fall on the two sides (0, 0
    where a move has no sides). note: what to mind, in words, "" for nothing.
    """

    movements: int
    swaps: bool
    at_start: bool
    returns: bool
    returns_after_counts: int
    lead_counts: int = 0
    other_counts: int = 0
    note: str = ""


@dataclass(frozen=True, slots=True)
class MoveForm:
    """A move with its variation resolved: what feasibility judges.

    movements: one repetition with the arms in, every excursion and flight already
    multiplied by range_scale (about the angle nearest to standing).
    travel_m: distance per repetition [m]; reverses_every: repetitions between
    reversals of travel, 0 = never; turn_deg: body turn per repetition [deg].
    pattern None: the move's own pattern. partner: key of the move that it is
    combined with, whose movements follow in the same repetition.
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
    arms: str = "still"
    arm_symmetry: str = "both"
    partner: str = ""
    spoken: str = ""
    sign: str = ""


@dataclass(frozen=True, slots=True)
class Transition:
    """What it costs a class to go from one form of a move to another.

    counts: to allow for it, beyond count 1 of the new move (0: clean). reasons: pairs
    of words and the counts that each adds. works: cheap enough to be taught as is.
    """

    counts: int
    reasons: tuple[tuple[str, int], ...]
    works: bool


@dataclass(frozen=True, slots=True)
class LadderRung:
    """A variation on the ladder of its move, from easier to harder.

    rung: common judgement, 0 for the base move, below it easier; why: what changes
    physically, in plain words.
    """

    rung: int
    variation: Variation
    form: MoveForm
    why: str
