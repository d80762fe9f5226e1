"""What is called, shown and counted, on the beats of one track."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from aquatempo.records.origin import Origin
from aquatempo.records.plan import Stint
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

__all__ = [
    "CallWords",
    "Change",
    "Cue",
    "CueKind",
    "CueOptions",
    "CuePhrase",
    "CueTimeline",
]


class CueKind(StrEnum):
    """The calls that lead to a change, in their order."""

    WARN = "warn"
    PREVIEW = "preview"
    COUNTDOWN = "countdown"
    NAME = "name"
    COUNT_ONE = "count 1"


@dataclass(frozen=True, slots=True)
class CallWords:
    """How a move, or one option of a factor, is written, spoken and signed.

    factor: empty for a move. short: a spoken form for when time is short, or empty.
    """

    key: str
    name: str
    spoken: str
    sign: str
    factor: str = ""
    short: str = ""


@dataclass(frozen=True, slots=True)
class CueOptions:
    """How calls are made; the rate and the budget are common practice, no source.

    own_names, own_signs: the instructor's own, as (move key, text). known_moves: keys
    of moves that the class did before this track. words_per_phrase: more than this
    many spoken words in a phrase is noted.
    """

    language: str = "en"
    syllables_per_second: float = 4.0
    silent: bool = False
    words_per_phrase: int = 24
    own_names: tuple[tuple[str, str], ...] = ()
    own_signs: tuple[tuple[str, str], ...] = ()
    known_moves: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Change:
    """The moment from which the class does something else.

    beat: 0-based index into the track's beats. stretched: called in the long form;
    reason: why it needs the long form, empty where the short one will do. lead is the
    class's side, mirrored_lead the side that the instructor facing them shows.
    notice_counts: counts between the start of the first call and the change. stint: the turn
    of work or rest that it is part of.
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
    mirrored_lead: str = ""
    notice_counts: int = 0
    variation_names: tuple[str, ...] = ()
    tempo_name: str = ""
    stint: Stint | None = None

    @property
    def style_names(self) -> tuple[str, ...]:
        """Names of what is varied beside the tempo option, which has a name of its own."""
        pairs = zip(self.variation, self.variation_names, strict=False)
        return tuple(name for (factor, _), name in pairs if factor != "tempo")


@dataclass(frozen=True, slots=True)
class Cue:
    """One call. It starts at time_s and ends at end_s [s], before the change it leads to.

    beat: 0-based index of the beat it starts on; count: 1 to 8 within its eight;
    phrase: index into the timeline's phrases, -1 before the first; change: index of the
    change it leads to. words is empty where only the sign is given; count 1 itself,
    which lasts one beat, is never spoken.
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
class CuePhrase:
    """A stretch of the track and how much is spoken in it. Times [s]."""

    start_s: float
    end_s: float
    start_beat: int
    counts: int
    kind: PhraseKind
    energy_level: EnergyLevel
    words: int = 0
    syllables: int = 0
    speaking_s: float = 0.0


@dataclass(frozen=True, slots=True)
class CueTimeline:
    """All changes and calls of one track, in order of time.

    Times are as played: seconds from the start of the file at ``speed`` times its
    recorded tempo; tempo_bpm is the tempo played.
    """

    title: str
    file: str
    tempo_bpm: float
    beats_s: tuple[float, ...]
    beats_inferred: tuple[bool, ...]
    changes: tuple[Change, ...]
    cues: tuple[Cue, ...]
    origin: Origin = Origin.MEASURED
    notes: tuple[str, ...] = ()
    phrases: tuple[CuePhrase, ...] = ()
    speed: float = 1.0
    duration_s: float = 0.0
    language: str = "en"
