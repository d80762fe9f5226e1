"""The players: each turns a stretch of the song into notes on the beat grid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

STRENGTH = {"g": 0.3, "o": 0.6, "x": 0.82, "X": 1.0}
NAMES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
QUALITIES = {
    "": (0, 4, 7),
    "m": (0, 3, 7),
    "7": (0, 4, 7, 10),
    "m7": (0, 3, 7, 10),
    "maj7": (0, 4, 7, 11),
    "sus4": (0, 5, 7),
    "6": (0, 4, 7, 9),
    "m9": (0, 3, 7, 10, 14),
}


@dataclass(frozen=True)
class Note:
    """A note on the grid: sound, beat, length in beats, MIDI pitch, velocity 0 to 1."""

    sound: str
    beat: float
    beats: float
    pitch: int
    velocity: float


@dataclass(frozen=True)
class Chord:
    """A chord: its root (0 to 11) and its tones above the root."""

    root: int
    tones: tuple[int, ...]

    @classmethod
    def named(cls, name: str) -> Chord:
        """Return the chord called for example ``F#m7``."""
        split = 2 if name[1:2] in ("#", "b") else 1
        shift = {"#": 1, "b": -1}.get(name[1:2], 0)
        return cls((NAMES[name[0]] + shift) % 12, QUALITIES[name[split:]])

    def pitches(self) -> set[int]:
        """Return the pitch classes in the chord."""
        return {(self.root + tone) % 12 for tone in self.tones}

    def near(self, centre: int) -> list[int]:
        """Return the tones in close position, the middle one near ``centre``."""
        base = [self.root + tone for tone in self.tones]
        options = []
        for turn in range(len(base)):
            notes = [pitch + 12 * (index < turn) for index, pitch in enumerate(base)]
            shift = 12 * round((centre - float(np.mean(notes))) / 12)
            options.append(sorted(pitch + shift for pitch in notes))
        return min(options, key=lambda notes: abs(float(np.mean(notes)) - centre))


def steps_of(pattern: str, bar: int) -> str:
    """Return the 16 steps that a pattern of one or more bars has in that bar."""
    bars = len(pattern) // 16
    return pattern[16 * (bar % bars) : 16 * (bar % bars + 1)]


def drums(
    patterns: dict[str, str], start: float, counts: int, level: float, rng: np.random.Generator
) -> list[Note]:
    """Return the drum pattern over ``counts`` beats, with ghost notes that vary."""
    notes = []
    for step in range(counts * 4):
        for sound, pattern in patterns.items():
            mark = steps_of(pattern, step // 16)[step % 16]
            if mark == "." or (mark == "g" and rng.random() < 0.35):
                continue
            velocity = STRENGTH[mark] * level * rng.uniform(0.92, 1.04)
            notes.append(Note(sound, start + step / 4, 0.25, 0, min(1.0, velocity)))
    return notes


def variation(notes: list[Note], start: float, counts: int, rng: np.random.Generator) -> list[Note]:
    """Return the notes with a small turn at the end of every fourth bar but the last."""
    extra = []
    for bar_end in range(16, counts, 16):
        beat = start + bar_end
        choice = rng.integers(3)
        if choice == 0:
            extra.append(Note("hat_open", beat - 0.5, 0.25, 0, 0.75))
        elif choice == 1:
            extra += [
                Note("snare", beat - 0.75, 0.25, 0, 0.4),
                Note("snare", beat - 0.25, 0.25, 0, 0.55),
            ]
        else:
            extra.append(Note("kick", beat - 0.25, 0.25, 0, 0.7))
    return notes + extra


def fill(
    notes: list[Note], end: float, length: float, level: float, rng: np.random.Generator
) -> list[Note]:
    """Return the notes with a fill over the last ``length`` beats before ``end``.

    Kicks on the beat stay, so that the pulse holds; everything else makes way.
    """
    begin = end - length
    kept = [
        note
        for note in notes
        if note.beat < begin or (note.sound.startswith("kick") and note.beat % 1 == 0)
    ]
    steps = int(length * 4)
    runs = (
        ("snare", "snare", "tom_high", "tom_mid", "tom_low"),
        ("tom_high", "tom_high", "tom_mid", "tom_low"),
        ("snare",),
        ("snare", "tom_low"),
    )
    run = runs[rng.integers(len(runs))]
    for step in range(steps):
        on_beat = step % 4 == 0
        if not on_beat and rng.random() > (0.75 if step % 2 == 0 else 0.6):
            continue
        sound = run[step * len(run) // steps]
        velocity = level * (0.5 + 0.42 * step / steps + (0.08 if on_beat else 0))
        kept.append(Note(sound, begin + step / 4, 0.25, 0, min(1.0, velocity)))
    return kept


def bass(
    sound: str, pattern: str, chords: list[Chord], start: float, counts: int, level: float
) -> list[Note]:
    """Return a bass line.

    r root, R its octave, f fifth, s seventh or sixth, a a semitone from the next root.
    """
    notes: list[Note] = []
    for step in range(counts * 4):
        mark = steps_of(pattern, step // 16)[step % 16]
        if mark in ".-":
            continue
        bar = step // 16
        chord, after = chords[bar % len(chords)], chords[(bar + 1) % len(chords)]
        root = 28 + (chord.root - 28) % 12
        following = 28 + (after.root - 28) % 12
        pitch = {
            "r": root,
            "R": root + 12,
            "f": root + 7,
            "s": root + (chord.tones[3] if len(chord.tones) > 3 else 9),
            "a": following + (1 if root > following else -1),
        }[mark]
        held = 1
        while step + held < counts * 4 and (step + held) % 16:
            if steps_of(pattern, bar)[(step + held) % 16] != "-":
                break
            held += 1
        velocity = level * (0.95 if step % 4 == 0 else 0.85)
        notes.append(Note(sound, start + step / 4, held / 4 - 0.03, pitch, velocity))
    return notes


def comping(
    sound: str,
    pattern: str,
    chords: list[Chord],
    start: float,
    counts: int,
    level: float,
    centre: int,
) -> list[Note]:
    """Return chords: x all tones, o softly all tones, digits 0 to 4 one tone of an arpeggio."""
    notes: list[Note] = []
    for step in range(counts * 4):
        bar, within = step // 16, step % 16
        row = steps_of(pattern, bar)
        if row[within] in ".-":
            continue
        held = 1
        while within + held < 16 and row[within + held] == "-":
            held += 1
        voicing = chords[bar % len(chords)].near(centre)
        mark = row[within]
        if mark.isdigit():
            index = int(mark)
            voicing = [voicing[index % len(voicing)] + 12 * (index // len(voicing))]
        velocity = level * (0.7 if mark == "o" else 0.9)
        spread = 0.0 if sound != "string" or len(voicing) == 1 else 0.012
        notes += [
            Note(sound, start + step / 4 + spread * index, held / 4, pitch, velocity)
            for index, pitch in enumerate(voicing)
        ]
    return notes


RHYTHMS = (  # onsets of two bars, in beats
    (0, 1, 1.5, 2.5, 4, 5, 5.5, 6),
    (0, 0.5, 1.5, 2, 3.5, 4, 6),
    (0.5, 1, 1.5, 2.5, 4, 4.5, 5.5, 6.5),
    (0, 1.5, 3, 4, 5.5, 6),
    (0, 2, 2.5, 3, 4, 6),
    (0, 0.5, 1, 2, 3, 4, 4.5, 5, 6),
)


def motif(rng: np.random.Generator, rhythm: int | None = None) -> list[tuple[float, int]]:
    """Return a two-bar idea: onset in beats and move in scale steps."""
    onsets = RHYTHMS[rng.integers(len(RHYTHMS)) if rhythm is None else rhythm]
    moves = rng.choice([-2, -1, -1, 0, 1, 1, 2, 3], size=len(onsets))
    return [(float(onset), int(move)) for onset, move in zip(onsets, moves, strict=True)]


def melody(
    sound: str,
    ideas: tuple[list[tuple[float, int]], list[tuple[float, int]]],
    scale: list[int],
    chords: list[Chord],
    start: float,
    counts: int,
    level: float,
    centre: int,
    rng: np.random.Generator,
) -> list[Note]:
    """Return a lead in two-bar answers: idea, idea, other idea, idea with a long last note.

    Notes on the beat move to the nearest chord tone, so that the line fits the harmony.
    """
    ladder = [pitch for pitch in range(centre - 14, centre + 17) if pitch % 12 in scale]
    notes: list[Note] = []
    for block in range(counts // 8):
        idea = ideas[1] if block % 4 == 2 else ideas[0]
        place = int(np.argmin([abs(pitch - centre) for pitch in ladder])) + (
            2 if block % 4 == 2 else 0
        )
        for index, (onset, move) in enumerate(idea):
            if block % 4 == 3 and onset > 5:
                break
            place = int(np.clip(place + move, 0, len(ladder) - 1))
            pitch = ladder[place]
            tones = chords[int(block * 2 + onset // 4) % len(chords)].pitches()
            if onset % 1 == 0:
                pitch = min((p for p in ladder if p % 12 in tones), key=lambda p: abs(p - pitch))
                place = ladder.index(pitch)
            until = idea[index + 1][0] if index + 1 < len(idea) else 7.5
            beats = min(until - onset, 2.0) * 0.92
            velocity = level * rng.uniform(0.8, 0.95)
            notes.append(Note(sound, start + 8 * block + onset, beats, pitch, velocity))
    return notes
