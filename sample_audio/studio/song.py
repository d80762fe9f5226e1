"""What a song is made of."""

from __future__ import annotations

from dataclasses import dataclass, field

from .mix import Channel


@dataclass(frozen=True)
class Section:
    """A stretch between two count-1s.

    counts: its beats; kind and energy_level as in the truth file; drums: name of the
    groove or None; bass, chords, lead: pattern names, None where the part rests.
    fill: length in beats of the fill at the end, 0 for none. crash: on its count 1.
    """

    counts: int
    kind: str
    energy_level: str
    drums: str | None = None
    bass: str | None = None
    chords: tuple[str, ...] = ()
    lead: str | None = None
    fill: float = 2.0
    crash: bool = True
    progression: str = "main"


@dataclass(frozen=True)
class Song:
    """A song: grid, harmony, patterns by name, sections in order, faders."""

    name: str
    title: str
    tempo_bpm: float
    seed: int
    scale: str
    progressions: dict[str, str]
    grooves: dict[str, dict[str, str]]
    basses: dict[str, tuple[str, str]]
    chords: dict[str, tuple[str, str, int]]
    leads: dict[str, tuple[str, int]]
    sections: tuple[Section, ...]
    faders: dict[str, Channel] = field(default_factory=dict)
    swing: float = 0.5
    human_ms: float = 3.0
    silence_s: float = 0.35
    pickup_counts: int = 0
    fade_counts: int = 0
    notes: str = ""
