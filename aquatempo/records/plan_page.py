"""What the page shows of a class: the brief as a form, the plan with its review, its history."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = [
    "AlternativeShown",
    "BlockShown",
    "BriefForm",
    "FindingShown",
    "JobShown",
    "OtherShown",
    "PhraseShown",
    "PlanChange",
    "PlanEntry",
    "PlanHead",
    "PlanKind",
    "PlanShown",
    "PlanStep",
    "TrackShown",
]


@dataclass(frozen=True, slots=True)
class BriefForm:
    """What is asked of a class; pool and group are those of the water.

    minutes [min]; build, max_impact: names, "" for the usual; work, rest, sets: intervals, 0 sets
    for none; unit: phrases or seconds; wanted, banned: moves by key; themes, notes: words.
    songs: ids of the list to choose from, none for all that suit. place: only songs of this
    opened folder, "" for any. all_once: each song whole, once.
    """

    title: str = ""
    minutes: float = 45.0
    twin: bool = False
    build: str = ""
    max_impact: str = ""
    work: float = 0.0
    rest: float = 0.0
    sets: int = 0
    unit: str = "phrases"
    wanted: tuple[str, ...] = ()
    banned: tuple[str, ...] = ()
    themes: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    songs: tuple[str, ...] = ()
    place: str = ""
    all_once: bool = False


class PlanKind(StrEnum):
    """What a person changes in a plan."""

    PLANNED = "planned"
    OPENED = "opened"
    AGAIN = "planned again"
    TWIN = "twin"
    OTHER = "another class"
    LOCK = "lock"
    UNLOCK = "unlock"
    MOVE_SONG = "move song"
    DROP_SONG = "drop song"
    ADD_SONG = "add song"
    REPLACE_SONG = "replace song"
    USE = "use"
    SWAP_MOVE = "swap move"
    DROP_MOVE = "drop move"
    ADD_MOVE = "add move"
    SWAP_PHRASES = "swap phrases"
    LATE = "late"
    TITLE = "title"


@dataclass(frozen=True, slots=True)
class PlanChange:
    """One change to a plan; fields that a kind does not use stay as they are.

    place: a part's name, 3, 3.5 or 3.5.2; other: a second place. track, to: numbers, 1-based;
    song: its id in the list. choice: which of the alternatives, from 0; everywhere: wherever
    the track does the same. old, new: moves by key. minutes: late by [min].
    """

    kind: PlanKind
    place: str = ""
    other: str = ""
    track: int = 0
    to: int = 0
    song: str = ""
    choice: int = 0
    everywhere: bool = False
    old: str = ""
    new: str = ""
    minutes: float = 0.0
    title: str = ""


@dataclass(frozen=True, slots=True)
class PlanStep:
    """A state of a plan in its history: what made it, and about what."""

    kind: PlanKind = PlanKind.PLANNED
    about: str = ""


@dataclass(frozen=True, slots=True)
class PlanHead:
    """The history of a plan; at: the state in force, name: what it is called."""

    steps: tuple[PlanStep, ...] = ()
    at: int = 0
    name: str = ""


@dataclass(frozen=True, slots=True)
class PlanEntry:
    """A plan that is kept. changed_s: when it was changed last [s since 1970]."""

    id: str
    title: str
    depth: str
    minutes: float
    songs: int
    changed_s: float


@dataclass(frozen=True, slots=True)
class BlockShown:
    """A block: its place, such as 3.5.2, and what it is. ask: how its figure is asked for."""

    place: str
    counts: int
    move: str
    name: str
    options: tuple[str, ...]
    ask: str
    pattern: str
    lead: str
    level: str
    show: str
    works: bool | None
    locked: bool


@dataclass(frozen=True, slots=True)
class PhraseShown:
    """A stretch of a track. at_s: in the class [s]."""

    place: str
    kind: str
    energy: str
    section: str
    counts: int
    at_s: float
    locked: bool
    blocks: tuple[BlockShown, ...]


@dataclass(frozen=True, slots=True)
class TrackShown:
    """A song in its place. at_s, lasts_s: in the class [s]; song: its id in the list, or ""."""

    number: int
    title: str
    song: str
    part: str
    at_s: float
    lasts_s: float
    tempo_bpm: float
    speed: float
    speed_reason: str
    clock: bool
    locked: bool
    phrases: tuple[PhraseShown, ...]


@dataclass(frozen=True, slots=True)
class FindingShown:
    """A finding of the review; place leads to where it is, "" for the whole class."""

    fault: str
    severity: str
    place: str
    minute: float
    reason: str
    remedy: str
    source: str


@dataclass(frozen=True, slots=True)
class PlanShown:
    """A plan with its review. revision: a digest; undo, redo: None where nothing is.

    effort: (minute, perceived effort 6 to 20) along the class.
    """

    id: str
    revision: str
    title: str
    depth: str
    minutes: float
    asked_minutes: float
    status: str
    undo: PlanStep | None
    redo: PlanStep | None
    fit_to_teach: bool
    jump_minutes: float
    parts: tuple[tuple[str, float, float], ...]
    locked_parts: tuple[str, ...]
    tracks: tuple[TrackShown, ...]
    effort: tuple[tuple[float, float], ...]
    balance: tuple[tuple[str, float], ...]
    findings: tuple[FindingShown, ...]
    prompts: tuple[str, ...]
    because: tuple[str, ...]
    left_out: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AlternativeShown:
    """What might be done in a block instead, and what that would change."""

    name: str
    options: tuple[str, ...]
    ask: str
    rpe_change: float
    impact: str
    impact_before: str
    planes: tuple[tuple[str, float, float], ...]
    learning: str


@dataclass(frozen=True, slots=True)
class OtherShown:
    """Another class for the same brief: its id, its base moves by name.

    shared: share of its work, 0 to 1, with base moves of the class that it was asked for beside.
    """

    id: str
    title: str
    moves: tuple[str, ...]
    shared: float


@dataclass(frozen=True, slots=True)
class JobShown:
    """Long work on a class. what: is done; done of all; plan: the id that came of it.

    error: why it failed, "" while it runs or where it did not. others: the classes that came of
    it, where they are for the brief of another.
    """

    running: bool = False
    what: str = ""
    done: int = 0
    all: int = 0
    plan: str = ""
    error: str = ""
    others: tuple[OtherShown, ...] = ()
