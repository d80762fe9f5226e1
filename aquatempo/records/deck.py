"""What stands on the deck card, the deck page and the substitute's sheet."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.cues import CuePhrase
from aquatempo.records.rhythm import PhraseKind

__all__ = ["DeckBook", "DeckLine", "DeckTrack", "MoveNote"]


@dataclass(frozen=True, slots=True)
class DeckLine:
    """One line of a card: what the class does from one change to the next.

    clock_s: when it starts [s]; counts: how long it lasts; details: what to add to the
    name, most important first (tempo option, lead, hands, travel, level);
    spelled: its counts written out, for a day without sound.
    """

    clock_s: float
    counts: int
    phrase: int
    kind: PhraseKind
    name: str
    short_name: str
    details: tuple[str, ...]
    spelled: str
    sign: str
    call: str = ""


@dataclass(frozen=True, slots=True)
class DeckTrack:
    """A track as it is taught. tempo_bpm is the tempo played, speed its change (1 = none)."""

    title: str
    part: str
    tempo_bpm: float
    speed: float
    duration_s: float
    lines: tuple[DeckLine, ...]
    strip: tuple[CuePhrase, ...]
    rights: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MoveNote:
    """How a move is named, shown and described, for who takes over the class."""

    name: str
    sign: str
    description: str
    easier: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DeckBook:
    """A whole class for the deck.

    facts: pairs of heading and text (format, group, pool, depth zones). caution: the one
    line that every sheet carries.
    """

    title: str
    tracks: tuple[DeckTrack, ...]
    facts: tuple[tuple[str, str], ...]
    moves: tuple[MoveNote, ...]
    caution: str
