"""The styles that the song generator knows, read from the table ``styles.toml``.

The backbeat (2 and 4) or the kick on every beat tells a listener which pulse is counted,
so every style has a tempo range in which its patterns mean what the truth says.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib import resources
from typing import Any

__all__ = ["STYLES", "Style"]


@dataclass(frozen=True)
class Style:
    """What a style may use; each choice is drawn at random, once a section.

    tempo_bpm: range drawn from [beats/min]. kick, snare, hats, percussion: patterns.
    bass, chords: kinds of part. weight: how often the style is drawn. swing: range of
    the share of a beat that its first half takes (0.5 is straight), with the chance
    that the song swings. synthetic, live, fills, crash, drumless, push: chances of own
    synthesis, human timing, a fill before a phrase, a crash on its count 1, no drums at
    all, chords an eighth early. vary: chance that every other bar strays from the
    pattern. half_bar_chords: chance of a second chord in a bar. kits: General MIDI drum
    kits. programs: General MIDI programs of chords, where not those usual for the kind of
    part. sung: chance that a melody is sung. quiet: chance that drums lie far behind.
    groove: kind of drawn drum patterns, used in place of those listed by the chance drawn.
    looped: chance that one bar-exact loop fills the song. off: chance that melodies lie
    between the counts. thirds: chance that some parts move in thirds of the count. feel:
    chance that some sections have drums in half-time.
    """

    tempo_bpm: tuple[float, float]
    kick: tuple[str, ...]
    snare: tuple[str, ...]
    hats: tuple[str, ...]
    bass: tuple[str, ...]
    chords: tuple[str, ...]
    weight: float = 1.0
    percussion: tuple[str, ...] = ()
    swing: tuple[float, float] = (0.5, 0.5)
    swing_chance: float = 0.0
    synthetic: float = 0.3
    live: float = 0.4
    fills: float = 0.6
    crash: float = 0.6
    beats_per_bar: int = 4
    drumless: float = 0.05
    vary: float = 0.3
    half_bar_chords: float = 0.2
    push: float = 0.15
    kits: tuple[int, ...] = (0, 8, 16)
    programs: tuple[int, ...] = ()
    sung: float = 0.4
    quiet: float = 0.25
    groove: str = ""
    drawn: float = 0.0
    looped: float = 0.0
    off: float = 0.08
    thirds: float = 0.04
    feel: float = 0.06


def _read() -> dict[str, Style]:
    text = resources.files("aquatempo.training").joinpath("styles.toml").read_text("utf-8")
    return {name: Style(**_frozen(row)) for name, row in tomllib.loads(text).items()}


def _frozen(row: dict[str, Any]) -> dict[str, Any]:
    return {key: tuple(value) if isinstance(value, list) else value for key, value in row.items()}


STYLES: dict[str, Style] = _read()
