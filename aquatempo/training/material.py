"""What is drawn for a song once and played in its sections: chords, grooves, who plays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from aquatempo.training.grooves import draw_groove
from aquatempo.training.harmony import PROGRESSIONS, Chord, chord_on
from aquatempo.training.styles import STYLES, Style

__all__ = ["Material", "draw_material", "draw_roles"]

Rng = np.random.Generator

_SLOW = [STYLES[name] for name in ("hiphop", "ballad", "singer", "acoustic", "soul", "latinpop")]
_BACKBEAT = [
    STYLES[name]
    for name in ("dancepop", "disco", "eighties", "funk", "indie", "rock", "singer", "soul")
]
ACROSS = ("anticipated", "dotted", "pushed", "late", "offsync", "riff", "threes")
"""Basses that stress what lies between the counts, in any style."""
ALL_ROLES = (
    "kick",
    "snare",
    "hats",
    "percussion",
    "bass",
    "chord0",
    "chord1",
    "chord2",
    "lead",
    "second",
)
PITCHED = ALL_ROLES[4:]


@dataclass(frozen=True)
class Material:
    """What stays the same within sections of one letter.

    push_beats: how early chords come that belong on count 1. ahead: roles that play
    everything ahead_beats early where kick and snare hold the beat. off: melodies lie between
    the counts. thirds: a melody moves in thirds of the count.
    """

    progression: tuple[Chord, ...]
    split: tuple[int, ...]
    kick: str
    snare: str
    hats: str
    percussion: str
    bass: str
    chords: tuple[str, ...]
    push_beats: float
    ahead: frozenset[str]
    ahead_beats: float
    seed: int
    off: bool = False
    thirds: bool = False


def draw_material(
    rng: Rng,
    style: Style,
    scale: tuple[int, ...],
    key: int,
    seventh: bool,
    tempo: float,
    half: bool = False,
) -> Material:
    """Draw chords, patterns and layers of one section's material; half: half-time drums."""
    progression = PROGRESSIONS[rng.integers(len(PROGRESSIONS))]
    power = any("chug" in kind or kind == "power" for kind in style.chords) and rng.random() < 0.6
    chords = tuple(chord_on(scale, key, degree, seventh, power) for degree in progression)
    stretch = 2 if len(chords) == 4 and rng.random() < 0.2 else 1
    chords = tuple(chord for chord in chords for _ in range(stretch))
    split = rng.random(len(chords)) < (style.half_bar_chords if rng.random() < 0.6 else 0)
    layers = int(rng.integers(1, 4))
    # between 75 and 95 a backbeat with hats on sixteenths is taken for half-time at the double
    slow = 75 < tempo < 95 and style in _SLOW
    hats = [hat for hat in style.hats if not (slow and hat.count(".") < 8)]
    percussion = [part for part in style.percussion if not (slow and part.count(".") < 8)]
    syncopated = rng.random()
    push_beats = float(rng.choice((0.5, 0.5, 0.25))) if syncopated < style.push else 0.0
    ahead: frozenset[str] = frozenset()
    if syncopated > 0.94 and style in _BACKBEAT:
        ahead = frozenset(role for role in PITCHED if rng.random() < 0.6)
    bass = str(rng.choice(style.bass))
    if style.beats_per_bar == 4 and rng.random() < 0.14:
        bass = str(rng.choice(ACROSS))
    kick, snare, hat = (str(rng.choice(part)) for part in (style.kick, style.snare, hats))
    if half or (style.groove and rng.random() < style.drawn):
        kick, snare, hat = draw_groove(rng, "half" if half else style.groove)
    elif style.beats_per_bar == 4 and style.drawn == 0 and rng.random() < 0.04 and tempo > 95:
        kick, snare, hat = draw_groove(rng, "offhats")
    return Material(
        chords,
        tuple(int(degree) for degree in np.where(split, rng.integers(1, 7, len(chords)), -1)),
        kick,
        snare,
        hat,
        str(rng.choice(percussion)) if percussion else "",
        bass,
        tuple(str(kind) for kind in rng.choice(style.chords, layers)),
        push_beats,
        ahead,
        float(rng.choice((0.5, 0.5, 0.25))),
        int(rng.integers(2**31)),
        bool(rng.random() < style.off),
        bool(rng.random() < style.thirds),
    )


def draw_roles(rng: Rng, style: Style, kind: str, drumless: bool) -> frozenset[str]:
    """Draw who plays in a section of one kind."""
    chances = {
        "full": (0.97, 0.97, 0.95, 0.7, 0.97, 0.95, 0.8, 0.7, 0.75, 0.5),
        "verse": (0.95, 0.9, 0.9, 0.5, 0.93, 0.9, 0.5, 0.3, 0.6, 0.2),
        "thin": (0.5, 0.35, 0.5, 0.4, 0.5, 0.7, 0.4, 0.2, 0.4, 0.1),
        "drums": (0.95, 0.8, 0.9, 0.6, 0.4, 0.15, 0.1, 0.05, 0.1, 0.05),
        "break": (0.05, 0.08, 0.15, 0.1, 0.35, 0.9, 0.6, 0.4, 0.5, 0.2),
        "hidden": (0.0, 0.0, 0.5, 0.35, 0.6, 0.5, 0.3, 0.1, 0.4, 0.1),
        "sparse": (0.1, 0.1, 0.05, 0.05, 0.3, 0.8, 0.1, 0.0, 0.3, 0.0),
        "looped": (1.0, 1.0, 1.0, 0.3, 0.35, 0.15, 0.0, 0.0, 0.1, 0.0),
    }[kind]
    roles = {role for role, chance in zip(ALL_ROLES, chances, strict=True) if rng.random() < chance}
    if drumless:
        roles -= {"kick", "snare", "hats", "percussion"}
    if not roles & {"kick", "snare", "bass", "chord0", "chord1", "lead"}:
        roles.add("chord0")
    return frozenset(roles)
