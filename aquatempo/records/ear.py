"""A track as the ear corrects it: what was heard, what was changed, and its history."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from aquatempo.records.corrections import Corrections
from aquatempo.records.rhythm import RhythmAnalysis

__all__ = ["EarChange", "EarJournal", "EarKind", "EarState", "EarStep", "EarTrack"]


class EarKind(StrEnum):
    """What a person can change in what was heard."""

    CONFIRM = "confirm"
    HALF = "half"
    DOUBLE = "double"
    TAPPED = "tapped"
    TEMPO = "tempo"
    COUNT_ONE = "count one"
    PHRASE_START = "phrase start"
    NO_START = "no start"
    BRIDGE = "bridge"
    MOVE_START = "move start"
    NO_BEAT = "no beat"
    TAKE_BACK = "take back"
    FORGET = "forget"
    ELSEWHERE = "elsewhere"


@dataclass(frozen=True, slots=True)
class EarChange:
    """One change that a person makes.

    time_s: the beat it is about [s of the file]; to_s: where it goes, or ends. from_s: from
    when on a level or count 1 holds, 0 for the whole song. beats: by how many count 1 of the
    whole song moves later; time_s in its place: where it is. counts: of a bridge. tempo_bpm:
    as tapped. step: for "take back", which of the steps in force.
    """

    kind: EarKind
    time_s: float | None = None
    to_s: float | None = None
    from_s: float = 0.0
    beats: int | None = None
    counts: int | None = None
    tempo_bpm: float | None = None
    step: int | None = None


@dataclass(frozen=True, slots=True)
class EarStep:
    """One correction in force, as it is shown and can be taken back; fields as in EarChange."""

    kind: EarKind
    time_s: float | None = None
    to_s: float | None = None
    from_s: float = 0.0
    counts: int | None = None
    tempo_bpm: float | None = None


@dataclass(frozen=True, slots=True)
class EarState:
    """The corrections of a track after a change; kind None: as they were at first."""

    corrections: Corrections
    kind: EarKind | None = None


@dataclass(frozen=True, slots=True)
class EarJournal:
    """All states that the corrections of a track went through; at: the one in force."""

    states: tuple[EarState, ...]
    at: int = 0


@dataclass(frozen=True, slots=True)
class EarTrack:
    """A track, what holds in it, and what can be undone.

    revision: a digest of the corrections in force; a change names the one it was made on.
    undo, redo: what would be taken back or done again, None where nothing is.
    levels_step_s: the time between two values of its loudness curve.
    """

    id: str
    file: str
    title: str
    analysis: RhythmAnalysis
    is_sure: bool
    tempo_is_sure: bool
    steps: tuple[EarStep, ...]
    revision: str
    undo: EarKind | None
    redo: EarKind | None
    levels_step_s: float
    sound_rate_hz: int
    can_play: bool
