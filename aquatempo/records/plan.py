"""A class as it is planned; what it was asked to be stands in ``records.brief``."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.brief import (
    Brief,
    BuildWay,
    Intervals,
    IntervalUnit,
    PartBrief,
    PartName,
)
from aquatempo.records.rhythm import EnergyLevel, PhraseKind, RhythmAnalysis

__all__ = [
    "RIGHTS_OPEN",
    "Because",
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
    "Stint",
]

RIGHTS_OPEN = "rights not checked"


@dataclass(frozen=True, slots=True)
class Stint:
    """A turn of work or of rest in a set of intervals.

    number: the set it belongs to, 1 the first, of so many. seconds: how long the turn
    lasts at the tempo played [s]; it may go on over several blocks.
    """

    works: bool
    number: int
    of: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Block:
    """A run of counts filled with one form of one move.

    lead: "right", "left" or "" where it does not apply. variation: (factor, option key).
    show: how the instructor shows it on deck: "full", "low impact", "arms only", or "" where
    nothing in it hops. stint: the work or rest that it is part of. held_s: how long a held
    stretch is held [s], 0 where nothing is. locked: it stays when the class is planned again.
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
    stint: Stint | None = None
    held_s: float = 0.0
    locked: bool = False


@dataclass(frozen=True, slots=True)
class PlannedPhrase:
    """A stretch of a track and the blocks that fill it; the blocks' counts add up to it.

    section: what it is in the song's choreography ("verse 1", "chorus", "pyramid",
    "ending", the name of a favourite), "" where nothing is said.
    """

    start_beat: int
    counts: int
    kind: PhraseKind
    energy_level: EnergyLevel
    blocks: tuple[Block, ...]
    section: str = ""
    locked: bool = False


@dataclass(frozen=True, slots=True)
class PlannedTrack:
    """A track in its place.

    tempo_bpm: as recorded [beats/min]; speed multiplies it (1.0 = as recorded), for
    speed_reason. phrases follow one another without a gap. file "": no music, the counts
    are told by the clock. locked: song, place and phrases stay when planned again.
    """

    title: str
    file: str
    part: str
    tempo_bpm: float
    phrases: tuple[PlannedPhrase, ...]
    speed: float = 1.0
    speed_reason: str = ""
    content_key: str = ""
    rights: str = RIGHTS_OPEN
    analysis: RhythmAnalysis | None = None
    locked: bool = False


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A track that was not used, and why."""

    title: str
    reason: str


@dataclass(frozen=True, slots=True)
class Because:
    """Why the plan is as it is: which ask or note does what, and where that comes from.

    overruled: the line of the brief that lets it through all the same, "" for none.
    """

    of: str
    does: str
    source: str = ""
    overruled: str = ""


@dataclass(frozen=True, slots=True)
class ClassPlan:
    """A whole class.

    status: how far the search got ("optimal", "feasible", "by hand"); gap: the share by
    which a better plan could at most be better, 0 where it is proven best. because: what
    the notes and asks of the brief did. ending: the last move of the class, by key.
    """

    brief: Brief
    tracks: tuple[PlannedTrack, ...]
    left_out: tuple[LeftOut, ...] = ()
    notes: tuple[str, ...] = ()
    status: str = "by hand"
    gap: float = 0.0
    because: tuple[Because, ...] = ()
    ending: str = ""
