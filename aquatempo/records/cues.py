"""What is called, shown and counted, on the beats of one track."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from aquatempo.records.origin import Origin

__all__ = ["Change", "Cue", "CueKind", "CueTimeline"]


class CueKind(StrEnum):
    """The calls that lead to a change, in their order."""

    WARN = "warn"
    PREVIEW = "preview"
    COUNTDOWN = "countdown"
    NAME = "name"
    COUNT_ONE = "count 1"


@dataclass(frozen=True, slots=True)
class Change:
    """The moment from which the class does something else.

    beat: 0-based index into the track's beats; reason: why it needs a longer lead.
    """

    time_s: float
    end_s: float
    beat: int
    counts: int
    phrase: int
    move: str
    name: str
    variation: tuple[tuple[str, str], ...]
    pattern: str
    lead: str
    level: str
    travel: str
    new_move: bool
    stretched: bool
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Cue:
    """One call. It starts at time_s and ends at end_s [s], before the change it leads to.

    beat: 0-based index of the beat it starts on; count: 1 to 8 within its eight;
    phrase: index of the phrase it falls in; change: index of the change it leads to.
    """

    time_s: float
    end_s: float
    beat: int
    count: int
    phrase: int
    change: int
    kind: CueKind
    words: str
    sign: str
    origin: Origin = Origin.COMMON_PRACTICE


@dataclass(frozen=True, slots=True)
class CueTimeline:
    """All changes and calls of one track, in order of time."""

    title: str
    file: str
    tempo_bpm: float
    beats_s: tuple[float, ...]
    beats_inferred: tuple[bool, ...]
    changes: tuple[Change, ...]
    cues: tuple[Cue, ...]
    origin: Origin = Origin.MEASURED
    notes: tuple[str, ...] = ()
