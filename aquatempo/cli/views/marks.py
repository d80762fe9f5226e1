"""A sign and a colour for good, with changes and bad: the sign says it without the colour."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from rich.console import Console
from rich.text import Text

from aquatempo.records.plan import PlannedPhrase
from aquatempo.records.rhythm import EnergyLevel, Phrase, PhraseKind
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["Grade", "energy_strip", "graded"]


class Grade(StrEnum):
    """How something fits."""

    GOOD = "good"
    PARTLY = "partly"
    BAD = "bad"


_SIGNS = {Grade.GOOD: "✓", Grade.PARTLY: "~", Grade.BAD: "✗"}
_PLAIN_SIGNS = {Grade.GOOD: "+", Grade.PARTLY: "~", Grade.BAD: "x"}
_STYLES = {Grade.GOOD: "green", Grade.PARTLY: "yellow", Grade.BAD: "red"}
_HEIGHTS = {EnergyLevel.LOW: "▂", EnergyLevel.MEDIUM: "▅", EnergyLevel.HIGH: "█"}
_PLAIN_HEIGHTS = {EnergyLevel.LOW: "_", EnergyLevel.MEDIUM: "=", EnergyLevel.HIGH: "#"}
_ENERGY_STYLES = {EnergyLevel.LOW: "cyan", EnergyLevel.MEDIUM: "", EnergyLevel.HIGH: "bold yellow"}


def graded(console: Console, words: str, grade: Grade) -> Text:
    """Return words with a sign that the terminal can show, in its colour.

    console: the terminal; grade: how it fits.
    """
    sign = (_SIGNS if _shows_all(console) else _PLAIN_SIGNS)[grade]
    return Text(f"{sign} {words}", style=_STYLES[grade])


def energy_strip(console: Console, phrases: Sequence[Phrase | PlannedPhrase]) -> Text:
    """Return a song as a strip: a block an eight, as high as its energy, a space between phrases.

    console: the terminal; phrases: as heard or as planned.
    """
    heights = _HEIGHTS if _shows_all(console) else _PLAIN_HEIGHTS
    strip = Text("Energy, a block an eight: ")
    for number, phrase in enumerate(phrases):
        eights = max(1, round(phrase.counts / COUNTS_PER_EIGHT))
        level = phrase.energy_level
        apart = phrase.kind in (PhraseKind.BRIDGE, PhraseKind.BREAK)
        strip.append(" " if number else "")
        blocks = ("-" if apart else heights[level]) * eights
        strip.append(blocks, style=_ENERGY_STYLES[level])
    return strip


def _shows_all(console: Console) -> bool:
    return console.encoding.lower().replace("-", "").startswith("utf")
