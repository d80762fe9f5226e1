"""What was heard in one track."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from aquatempo.records.origin import Origin

__all__ = [
    "BeatEvidence",
    "EnergyLevel",
    "Phrase",
    "PhraseKind",
    "RhythmAnalysis",
    "TempoAlternative",
    "TempoSection",
]


class PhraseKind(StrEnum):
    """What a stretch of the track is to a class."""

    INTRO = "intro"
    PHRASE = "phrase"
    BRIDGE = "bridge"
    BREAK = "break"
    OUTRO = "outro"


class EnergyLevel(StrEnum):
    """How driving a stretch is, within its track."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


@dataclass(frozen=True, slots=True)
class TempoAlternative:
    """Another metrical level that may be meant.

    tempo_bpm [beats/min]; odds: probability 0 to 1 that this is the level to count.
    """

    tempo_bpm: float
    odds: float


@dataclass(frozen=True, slots=True)
class TempoSection:
    """A stretch of constant or slowly drifting tempo. Times [s], tempo [beats/min]."""

    start_s: float
    end_s: float
    tempo_bpm: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Phrase:
    """A stretch between two count-1s.

    start_beat is the 0-based index into ``beats_s`` of its count 1; counts is the
    number of beats in it (32 for ``PhraseKind.PHRASE``; a phrase cut off by the end
    of the track is an outro). energy: 0 to 1, relative to the track.
    """

    start_s: float
    end_s: float
    start_beat: int
    counts: int
    kind: PhraseKind
    energy: float
    energy_level: EnergyLevel


@dataclass(frozen=True, slots=True)
class BeatEvidence:
    """What each beat shows, one value a beat; kept so that corrections can weigh it again.

    energy: 0 to 1, relative to the track. bar_odds, phrase_odds, bridge_odds: log-odds
    [nats] that the beat is count 1 of a bar, of a phrase, of a bridge. splices: beats on
    which another grid begins, as where a mix goes over to another song. end_odds: of the end
    of a bridge, or of a song that was cut [nats]; empty where nothing tells. mix: whether the
    recording is taken for songs joined together.
    """

    energy: tuple[float, ...]
    bar_odds: tuple[float, ...]
    phrase_odds: tuple[float, ...]
    bridge_odds: tuple[float, ...]
    splices: tuple[int, ...] = ()
    end_odds: tuple[float, ...] = ()
    mix: bool = False


@dataclass(frozen=True, slots=True)
class RhythmAnalysis:
    """Beats, bars, phrases of one track and how sure each is.

    Times in seconds from the start of the file. tempo_bpm is None and the lists are
    empty where no beat was found. beats_inferred marks beats that the grid carries
    through a passage where none is played. Confidences are probabilities 0 to 1:
    tempo_confidence that the tempo is right, confidence that tempo and count 1 both
    are. tempo_drift_percent is the range of the local tempo over its median. evidence is
    None where the beats were entered by hand.
    """

    duration_s: float
    tempo_bpm: float | None
    tempo_confidence: float
    confidence: float
    tempo_alternatives: tuple[TempoAlternative, ...]
    tempo_sections: tuple[TempoSection, ...]
    steady: bool
    tempo_drift_percent: float
    beats_per_bar: int | None
    beats_s: tuple[float, ...]
    beats_inferred: tuple[bool, ...]
    downbeats_s: tuple[float, ...]
    phrases: tuple[Phrase, ...]
    origin: Origin = Origin.MEASURED
    notes: tuple[str, ...] = ()
    evidence: BeatEvidence | None = None
