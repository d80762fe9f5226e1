"""A class as asked for (brief) and as planned."""

from __future__ import annotations

from dataclasses import dataclass, field

from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.rhythm import EnergyLevel, PhraseKind, RhythmAnalysis

__all__ = ["Block", "Brief", "ClassPlan", "LeftOut", "PartBrief", "PlannedPhrase", "PlannedTrack"]


@dataclass(frozen=True, slots=True)
class PartBrief:
    """One part of a class: warm-up, main, intervals, cool-down or stretch.

    minutes: share of the class [min]; tempo_bpm: music tempo range [beats/min].
    """

    name: str
    minutes: float
    tempo_bpm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Brief:
    """What the class is to be; an empty brief works."""

    title: str = "Water class"
    minutes: float = 45.0
    depth: ClassDepth = ClassDepth.SHALLOW
    pool: Pool = field(default_factory=Pool)
    group: Group = field(default_factory=Group)
    parts: tuple[PartBrief, ...] = ()
    build: str = "linear"
    allowed_moves: tuple[str, ...] = ()  # empty = all
    banned_moves: tuple[str, ...] = ()
    equipment: tuple[str, ...] = ()
    move_names: tuple[tuple[str, str], ...] = ()  # the instructor's own: (move key, name)
    move_signs: tuple[tuple[str, str], ...] = ()
    range_floor: float = 0.8
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Block:
    """A run of counts filled with one form of one move.

    lead: "right", "left" or "" where it does not apply. variation: (factor, option key).
    """

    counts: int
    move: str
    variation: tuple[tuple[str, str], ...] = ()
    pattern: str = "2"
    lead: str = ""
    level: str = "I"
    travel: str = "in place"
    words: str = ""


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
    """A track in its place. speed multiplies the tempo (1.0 = as recorded)."""

    title: str
    file: str
    part: str
    tempo_bpm: float
    phrases: tuple[PlannedPhrase, ...]
    speed: float = 1.0
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
    """A whole class."""

    brief: Brief
    tracks: tuple[PlannedTrack, ...]
    left_out: tuple[LeftOut, ...] = ()
    notes: tuple[str, ...] = ()
