"""Music tempo turned into movement cadence, the inverse, and a tapped tempo."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.origin import Origin

__all__ = [
    "CadenceOption",
    "CadenceTable",
    "ConversionTable",
    "ConvertedPattern",
    "ConvertedStep",
    "TappedTempo",
]


@dataclass(frozen=True, slots=True)
class ConvertedStep:
    """One movement of a pattern: moving_s in motion, then held_s held or bounced [s]."""

    moving_counts: int
    held_counts: int
    bounced: bool
    moving_s: float
    held_s: float


@dataclass(frozen=True, slots=True)
class ConvertedPattern:
    """A tempo option or combined pattern at one music tempo.

    counts: of one round of the pattern; movements_per_minute: over a whole round;
    eights_to_count_1: eights after which a round starts on count 1 again.
    """

    name: str
    pattern: str
    count_lengths: str  # spelled out: "2 counts, 2 counts, 4 counts"
    counts: int
    steps: tuple[ConvertedStep, ...]
    movements_per_minute: float
    seconds_per_movement: float
    eights_to_count_1: int
    fills_phrase: bool


@dataclass(frozen=True, slots=True)
class ConversionTable:
    """What one music tempo [beats/min] means in the water; durations in seconds."""

    tempo_bpm: float
    beat_s: float
    eight_s: float
    phrase_s: float
    half_tempo_bpm: float
    double_tempo_bpm: float
    options: tuple[ConvertedPattern, ...]
    origin: Origin = Origin.ENTERED


@dataclass(frozen=True, slots=True)
class CadenceOption:
    """The music tempo that gives a cadence with one pattern."""

    name: str
    pattern: str
    count_lengths: str
    tempo_bpm: float


@dataclass(frozen=True, slots=True)
class CadenceTable:
    """Music tempos that give one cadence [movements/min]."""

    movements_per_minute: float
    options: tuple[CadenceOption, ...]


@dataclass(frozen=True, slots=True)
class TappedTempo:
    """A tempo tapped by a person.

    uncertainty_bpm: standard error of the tempo from the scatter of the taps;
    scatter_ms: how far taps fall from an even beat; skipped_beats: beats between
    taps on which no tap came.
    """

    tempo_bpm: float
    uncertainty_bpm: float
    scatter_ms: float
    taps: int
    skipped_beats: int
    half_tempo_bpm: float
    double_tempo_bpm: float
