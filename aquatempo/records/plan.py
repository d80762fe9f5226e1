"""A class as asked for (brief) and as planned."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.rhythm import EnergyLevel, PhraseKind, RhythmAnalysis

__all__ = [
    "CLASS_MINUTES",
    "Block",
    "Brief",
    "BuildWay",
    "ClassPlan",
    "IntervalUnit",
    "Intervals",
    "LeftOut",
    "PartBrief",
    "PartName",
    "PlannedPhrase",
    "PlannedTrack",
]

CLASS_MINUTES = (1.0, 180.0)  # least and most of a class


class PartName(StrEnum):
    """The parts of a class, in their order."""

    WARM_UP = "warm-up"
    MAIN = "main"
    INTERVALS = "intervals"
    COOL_DOWN = "cool-down"
    STRETCH = "stretch"


class BuildWay(StrEnum):
    """How moves are put together; common practice."""

    LINEAR = "linear"
    PYRAMID = "pyramid"
    ADD_ON = "add-on"
    LAYER = "layer"
    BLOCK = "block"


class IntervalUnit(StrEnum):
    """What work and rest are counted in."""

    PHRASES = "phrases"
    SECONDS = "seconds"


@dataclass(frozen=True, slots=True)
class Intervals:
    """Work and rest in turn, some sets of them, in phrases or in seconds."""

    work: float = 2
    rest: float = 1
    sets: int = 4
    unit: IntervalUnit = IntervalUnit.PHRASES


@dataclass(frozen=True, slots=True)
class PartBrief:
    """One part of a class.

    minutes: its length [min]; tempo_bpm: music tempo range [beats/min], None for the usual
    one; build: how its moves are put together, None for the brief's own.
    """

    name: PartName
    minutes: float
    tempo_bpm: tuple[float, float] | None = None
    build: BuildWay | None = None


@dataclass(frozen=True, slots=True)
class Brief:
    """What the class is to be; an empty brief works.

    minutes: the whole class [min]. parts: empty for the usual ones. allowed_moves: empty
    for all. range_floor: share of full range that the group's median must keep.
    jump_minutes: most that the instructor shows in jumps on deck. known_moves: moves that
    the class did in earlier weeks. free_speed, most_speed: shares by which a song may be
    played faster or slower, without and with a warning.
    """

    title: str = "Water class"
    minutes: float = 45.0
    depth: ClassDepth = ClassDepth.SHALLOW
    twin: bool = False  # the same songs for the other depth too
    pool: Pool = field(default_factory=Pool)
    group: Group = field(default_factory=Group)
    group_notes: tuple[str, ...] = ()
    parts: tuple[PartBrief, ...] = ()
    intervals: Intervals | None = None
    build: BuildWay = BuildWay.LINEAR
    allowed_moves: tuple[str, ...] = ()
    banned_moves: tuple[str, ...] = ()
    known_moves: tuple[str, ...] = ()
    equipment: tuple[str, ...] = ()
    move_names: tuple[tuple[str, str], ...] = ()  # the instructor's own: (move key, name)
    move_signs: tuple[tuple[str, str], ...] = ()
    range_floor: float = 0.85
    jump_minutes: float = 6.0
    free_speed: float = 0.04
    most_speed: float = 0.08
    language: str = "en"
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Block:
    """A run of counts filled with one form of one move.

    lead: "right", "left" or "" where it does not apply. variation: (factor, option key).
    show: how the instructor shows it on deck: "full", "low impact", "arms only", or "" where
    nothing in it hops.
    """

    counts: int
    move: str
    variation: tuple[tuple[str, str], ...] = ()
    pattern: str = "2"
    lead: str = ""
    level: str = "I"
    travel: str = "in place"
    words: str = ""
    show: str = ""


@dataclass(frozen=True, slots=True)
class PlannedPhrase:
    """A stretch of a track and the blocks that fill it; the blocks' counts add up to it."""

    start_beat: int
    counts: int
    kind: PhraseKind
    energy_level: EnergyLevel
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class PlannedTrack:
    """A track in its place.

    tempo_bpm: as recorded [beats/min]; speed multiplies it (1.0 = as recorded), for
    speed_reason. phrases follow one another without a gap. file "": no music, the counts
    are told by the clock.
    """

    title: str
    file: str
    part: str
    tempo_bpm: float
    phrases: tuple[PlannedPhrase, ...]
    speed: float = 1.0
    speed_reason: str = ""
    content_key: str = ""
    rights: str = "rights not checked"
    analysis: RhythmAnalysis | None = None


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A track that was not used, and why."""

    title: str
    reason: str


@dataclass(frozen=True, slots=True)
class ClassPlan:
    """A whole class.

    status: how far the search got ("optimal", "feasible", "by hand"); gap: the share by
    which a better plan could at most be better, 0 where it is proven best.
    """

    brief: Brief
    tracks: tuple[PlannedTrack, ...]
    left_out: tuple[LeftOut, ...] = ()
    notes: tuple[str, ...] = ()
    status: str = "by hand"
    gap: float = 0.0
