"""What stands on the deck card, the deck page and the substitute's sheet."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.cues import Cue, CuePhrase
from aquatempo.records.rhythm import PhraseKind

__all__ = ["DeckBook", "DeckLine", "DeckTrack", "MoveNote"]


@dataclass(frozen=True, slots=True)
class DeckLine:
    """One line of a card: what the class does from one change to the next.

    clock_s: when it starts [s]; counts: how long it lasts; details: what to add to the
    name, most important first (tempo option, lead, hands, travel, level);
    spelled: its counts written out, for a day without sound. beat: 0-based index of its
    first beat; steps: pairs of (counts, of which moving) a movement, repeated;
    movements: their names, repeated.
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
    beat: int = 0
    steps: tuple[tuple[int, int], ...] = ()
    movements: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DeckTrack:
    """A track as it is taught.

    tempo_bpm is the tempo played, speed its change (1 = none); times are as played [s].
    file_name: the name of the audio file without its folder, empty where the clock counts.
    """

    title: str
    part: str
    tempo_bpm: float
    speed: float
    duration_s: float
    lines: tuple[DeckLine, ...]
    strip: tuple[CuePhrase, ...]
    beats_s: tuple[float, ...] = ()
    cues: tuple[Cue, ...] = ()
    file_name: str = ""
    rights: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MoveNote:
    """How a move is named, shown and described, for who takes over the class.

    also: its name in the catalogue where the instructor's own differs.
    """

    name: str
    sign: str
    description: str
    easier: str = ""
    cautions: tuple[str, ...] = ()
    also: str = ""


@dataclass(frozen=True, slots=True)
class DeckBook:
    """A whole class for the deck.

    facts: pairs of heading and text (format, group, pool, depth zones). language: of
    the labels and of the one line of cautions that every sheet carries.
    """

    title: str
    tracks: tuple[DeckTrack, ...]
    facts: tuple[tuple[str, str], ...]
    moves: tuple[MoveNote, ...]
    language: str = "en"
