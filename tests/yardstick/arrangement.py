"""What a test song is made of, and how it becomes notes on the beat grid.

The players of the sample tracks play; forms, endings, bridges and timing are written here.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from studio import players
from studio.players import Chord, Note

LEVELS = {"low": 0.72, "medium": 0.85, "high": 1.0}


@dataclass(frozen=True)
class Style:
    """Patterns of 16 steps a bar, by energy level; programs are General MIDI numbers from 0."""

    name: str
    grooves: dict[str, dict[str, str]]
    basses: dict[str, str]
    comps: dict[str, tuple[str, int]]
    programs: dict[str, int]
    progressions: tuple[str, ...]
    scale: str
    tempo_bpm: tuple[float, float]
    swing: float = 0.5


@dataclass(frozen=True)
class Stretch:
    """A stretch between two count-1s; None or () where a part rests.

    ending: fill, roll, stop, drop or none, over the last ``ending_counts``.
    """

    counts: int
    kind: str
    energy_level: str
    groove: str | None = None
    bass: str | None = None
    comps: tuple[str, ...] = ()
    lead: bool = False
    ending: str = "none"
    ending_counts: float = 2
    crash: bool = False
    progression: int = 0
    shift: int = 0


@dataclass(frozen=True)
class Pulse:
    """How time runs.

    drift: range of a slow wander in tempo, as a share of it; sway_ms: standard deviation by
    which single beats come early or late; scatter_ms: that of single notes.
    """

    drift: float = 0.0
    sway_ms: float = 0.0
    scatter_ms: float = 3.0


@dataclass(frozen=True)
class Render:
    """How it sounds: synth for the sample tracks' instruments, else the names of sound banks."""

    bank: str = "csound"
    kit: str = ""
    drums_db: float = 0.0
    bass_db: float = 0.0
    comps_db: float = 0.0
    lead_db: float = 0.0
    room: float = 0.15
    noise_db: float | None = None
    mp3_kbps: int | None = None
    low_pass_hz: float | None = None


@dataclass(frozen=True)
class Piece:
    """A test song.

    fade_counts: length of the fade-out at the end; pickup_counts: beats before the first
    count 1; silence_s before all. arguable: the level counted is not the only one.
    """

    name: str
    tempo_bpm: float
    seed: int
    style: Style
    stretches: tuple[Stretch, ...]
    transpose: int = 0
    pulse: Pulse = Pulse()
    render: Render = Render()
    silence_s: float = 0.3
    pickup_counts: int = 0
    fade_counts: int = 0
    beats_per_bar: int = 4
    arguable: bool = False
    tags: tuple[str, ...] = ()
    notes: str = ""
    extra: dict[str, object] = field(default_factory=dict)

    @property
    def counts(self) -> int:
        """All counts from the first count 1 to the end."""
        return sum(stretch.counts for stretch in self.stretches)


def notes_of(piece: Piece) -> list[Note]:
    """Return all notes; beat 0 is the first count 1. Pitched sounds bear the names of roles."""
    rng = np.random.default_rng(piece.seed)
    ideas = (players.motif(rng), players.motif(rng))
    notes: list[Note] = []
    start = 0.0
    for stretch in piece.stretches:
        notes += play(piece, stretch, start, ideas, rng)
        start += stretch.counts
    for count in range(-piece.pickup_counts, 0):
        notes += [Note("snare", count, 0.25, 0, 0.75), Note("kick", count, 0.25, 0, 0.6)]
        notes.append(Note("bass", count, 0.8, 40 + piece.transpose + count, 0.8))
    if not piece.fade_counts:
        notes += final_chord(piece, start)
    return notes


def play(
    piece: Piece,
    stretch: Stretch,
    start: float,
    ideas: tuple[list[tuple[float, int]], list[tuple[float, int]]],
    rng: np.random.Generator,
) -> list[Note]:
    """Return the notes of one stretch."""
    style, level = piece.style, LEVELS[stretch.energy_level]
    turn = piece.transpose + stretch.shift
    text = style.progressions[stretch.progression % len(style.progressions)]
    chords = [moved(Chord.named(name), turn) for name in text.split()]
    scale = [(Chord.named(name).root + turn) % 12 for name in style.scale.split()]
    drums: list[Note] = []
    if stretch.groove:
        drums = players.drums(style.grooves[stretch.groove], start, stretch.counts, level, rng)
        if stretch.counts >= 32:
            drums = players.variation(drums, start, stretch.counts, rng)
    drums = end(stretch, drums, start + stretch.counts, level, rng)
    if stretch.crash:
        drums.append(Note("crash", start, 4, 0, 0.85 * level))
    pitched: list[Note] = []
    if stretch.bass:
        pattern = style.basses[stretch.bass]
        pitched += players.bass("bass", pattern, chords, start, stretch.counts, level)
    for name in stretch.comps:
        if name not in style.comps:  # a style has an arpeggio or a riff, not both
            continue
        pattern, centre = style.comps[name]
        pitched += players.comping(
            name, pattern, chords, start, stretch.counts, level, centre + stretch.shift
        )
    if stretch.lead:
        pitched += players.melody(
            "lead", ideas, scale, chords, start, stretch.counts, level, 72 + stretch.shift, rng
        )
    if stretch.ending == "stop":
        limit = start + stretch.counts - stretch.ending_counts
        pitched = [note for note in pitched if note.beat <= limit]
    return drums + pitched


def moved(chord: Chord, semitones: int) -> Chord:
    """Return the chord transposed."""
    return replace(chord, root=(chord.root + semitones) % 12)


def end(
    stretch: Stretch, notes: list[Note], at: float, level: float, rng: np.random.Generator
) -> list[Note]:
    """Return the drums with the ending of the stretch.

    fill: toms and snare; roll: a snare that doubles its speed; stop: one hit, then nothing;
    drop: the drums leave.
    """
    if stretch.ending == "fill":
        return players.fill(notes, at, stretch.ending_counts, level, rng)
    if stretch.ending == "none":
        return notes
    begin = at - stretch.ending_counts
    kept = [note for note in notes if note.beat < begin]
    if stretch.ending == "stop":
        kept += [Note("kick", begin, 0.5, 0, level), Note("snare", begin, 0.5, 0, level)]
        kept.append(Note("crash", begin, 2, 0, 0.7 * level))
    elif stretch.ending == "roll":
        steps = int(stretch.ending_counts * 4)
        for step in range(steps):
            if step < steps // 2 and step % 2:
                continue
            velocity = level * (0.4 + 0.6 * step / steps)
            kept.append(Note("snare", begin + step / 4, 0.25, 0, min(1.0, velocity)))
        kept += [
            Note("kick", begin + beat, 0.25, 0, 0.8 * level)
            for beat in range(int(stretch.ending_counts))
        ]
    return kept


def final_chord(piece: Piece, beat: float) -> list[Note]:
    """Return the chord on the count after the last."""
    text = piece.style.progressions[0].split()[0]
    chord = moved(Chord.named(text), piece.transpose + piece.stretches[-1].shift)
    names = [name for name in piece.stretches[-1].comps if name in piece.style.comps]
    names = names or list(piece.style.comps)[:1]
    notes = [Note(name, beat, 3, pitch, 0.9) for name in names for pitch in chord.near(62)]
    notes.append(Note("bass", beat, 3, 28 + (chord.root - 28) % 12, 0.9))
    if any(stretch.groove for stretch in piece.stretches):
        notes += [Note("crash", beat, 4, 0, 0.8), Note("kick", beat, 1, 0, 1.0)]
    return notes
