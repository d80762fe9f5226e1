"""What stands on the deck card, the deck page and the substitute's sheet."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.cues import Cue, CuePhrase
from aquatempo.records.figure import MoveFigure
from aquatempo.records.plan import Stint
from aquatempo.records.rhythm import PhraseKind

__all__ = [
    "DeckBook",
    "DeckLine",
    "DeckRow",
    "DeckSet",
    "DeckTrack",
    "MixPlace",
    "MoveNote",
    "SheetCount",
]


@dataclass(frozen=True, slots=True)
class DeckLine:
    """What the class does from one change to the next.

    clock_s: when it starts [s]; counts: how long it lasts. tempo: its tempo option in few
    letters; lead: the class's side, ``right``, ``left`` or empty; style: what else varies,
    the most important first (arms, hands, travel, level). spelled: one repetition in counts
    of repetition_counts, for a day without sound. holding: a move to wait in, which
    is not taught. beat: 0-based index of its first beat; steps: pairs of (counts, of which
    moving) a movement, repeated; movements: their names, repeated.
    stint: the turn of work or rest that it is part of, which ends at stint_end_s [s].
    figure: how the book's figures name what it looks like.
    """

    clock_s: float
    counts: int
    phrase: int
    kind: PhraseKind
    name: str
    short_name: str
    tempo: str
    sign: str
    lead: str = ""
    style: tuple[str, ...] = ()
    spelled: str = ""
    repetition_counts: int = 8
    holding: bool = False
    beat: int = 0
    steps: tuple[tuple[int, int], ...] = ()
    movements: tuple[str, ...] = ()
    stint: Stint | None = None
    stint_end_s: float = 0.0
    figure: str = ""


@dataclass(frozen=True, slots=True)
class DeckRow:
    """What a set says of a phrase, or of some that are alike.

    joint: a bridge, a break or a few counts of a holding move, between what is taught.
    spelled: its counts written out, empty where they are those of the row before. again: sets
    that come again by their numbers, at clock_s [s].
    """

    text: str
    joint: bool = False
    spelled: str = ""
    again: bool = False
    clock_s: float | None = None


@dataclass(frozen=True, slots=True)
class DeckSet:
    """One move for as long as it stays, over one phrase or many.

    total: its counts in phrases, ``3 × 32``. clock_s: when it starts [s]; beat, counts: the
    beats that it takes, joints within it too. figure: what it looks like at first.
    """

    number: int
    name: str
    short_name: str
    total: str
    clock_s: float
    beat: int
    counts: int
    rows: tuple[DeckRow, ...] = ()
    sign: str = ""
    figure: str = ""


@dataclass(frozen=True, slots=True)
class DeckTrack:
    """A track as it is taught.

    tempo_bpm is the tempo played, speed its change (1 = none); times are as played [s].
    file_name: the name of the audio file without its folder, empty where the clock counts.
    sets: the lines folded for a card; start: what goes before the first set, in words, and
    ending: on which count the song ends, empty where that is with its last eight; strip_sets:
    the number of the set that is done in each phrase of the strip, 0 for none.
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
    sets: tuple[DeckSet, ...] = ()
    start: str = ""
    ending: str = ""
    strip_sets: tuple[int, ...] = ()

    @property
    def planned_end_s(self) -> float:
        """When what is planned ends [s, as played]; the song's end where nothing is."""
        if not self.lines:
            return self.duration_s
        last = self.lines[-1]
        end = last.beat + last.counts
        if end < len(self.beats_s):
            return self.beats_s[end]
        return min(last.clock_s + last.counts * 60.0 / self.tempo_bpm, self.duration_s)


@dataclass(frozen=True, slots=True)
class MoveNote:
    """How a move is named, shown and described, for who takes over the class.

    also: its name in the catalogue where the instructor's own differs. figure: what it looks
    like without any variation.
    """

    name: str
    sign: str
    description: str
    easier: str = ""
    cautions: tuple[str, ...] = ()
    also: str = ""
    figure: str = ""


@dataclass(frozen=True, slots=True)
class DeckBook:
    """A whole class for the deck.

    facts: pairs of heading and text (format, group, pool, depth zones). language: of
    the labels and of the one line of cautions that every sheet carries. figures: of its moves
    by their names, where they are asked for.
    """

    title: str
    tracks: tuple[DeckTrack, ...]
    facts: tuple[tuple[str, str], ...]
    moves: tuple[MoveNote, ...]
    language: str = "en"
    figures: tuple[tuple[str, MoveFigure], ...] = ()


@dataclass(frozen=True, slots=True)
class SheetCount:
    """How much paper a card takes: sides, and sheets of a size of paper."""

    file: str
    paper: str
    sides: int
    sheets: int


@dataclass(frozen=True, slots=True)
class MixPlace:
    """A track in the class mix: from start_s to end_s of itself (as played), put at at_s [s].

    next_s: where the track after it starts, or where the last one ends; what lies beyond
    is crossfaded. fade_in_s, fade_out_s: of its own, where it meets silence.
    """

    start_s: float
    end_s: float
    at_s: float
    next_s: float
    fade_in_s: float = 0.0
    fade_out_s: float = 0.0

    @property
    def shift_s(self) -> float:
        """What to add to a time of the track to have that of the class."""
        return self.at_s - self.start_s
