"""Scales, chord progressions and chords."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["PROGRESSIONS", "SCALES", "Chord", "chord_on"]

PROGRESSIONS = (
    (0, 4, 5, 3), (0, 5, 3, 4), (5, 3, 0, 4), (0, 3, 4, 3), (0, 3, 0, 4), (0, 6, 3, 0),
    (0, 6, 5, 6), (0, 5, 1, 4), (0, 2, 3, 4), (3, 4, 5, 5), (0, 0, 3, 4), (0, 0, 5, 5),
    (0, 3, 5, 4), (5, 4, 3, 4), (0, 6, 5, 4), (1, 4, 0, 0), (0, 0, 0, 0, 3, 3, 4, 4),
    (0, 0, 3, 3, 4, 4, 0, 0), (0, 4, 5, 2, 3, 0, 3, 4), (0, 0, 0, 0), (0, 0, 5, 6),
    (0, 3, 0, 3), (0, 0, 0, 4), (5, 5, 3, 3, 0, 0, 4, 4), (0, 0, 0, 0, 5, 5, 3, 4),
)  # fmt: skip
SCALES = (
    (0, 2, 4, 5, 7, 9, 11),
    (0, 2, 3, 5, 7, 8, 10),
    (0, 2, 3, 5, 7, 9, 10),
    (0, 2, 4, 5, 7, 9, 10),
)


@dataclass(frozen=True)
class Chord:
    """A triad or seventh: MIDI number of its root (48 to 59) and its tones above it."""

    root: int
    tones: tuple[int, ...]


def chord_on(scale: tuple[int, ...], key: int, degree: int, seventh: bool, power: bool) -> Chord:
    """Return the triad or seventh on a degree of a scale, or its power chord."""
    pitches = [scale[(degree + step) % 7] + 12 * ((degree + step) // 7) for step in (0, 2, 4, 6)]
    root = 48 + (pitches[0] + key) % 12
    above = tuple(pitch - pitches[0] for pitch in pitches)
    if power:
        return Chord(root, (0, 7, 12))
    return Chord(root, above if seventh else above[:3])
