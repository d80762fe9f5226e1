"""The list of music that a person opened: places, rows, and a page of rows."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from aquatempo.records.check import ClassFit
from aquatempo.records.rhythm import TempoAlternative

__all__ = [
    "FitCause",
    "Folder",
    "Folders",
    "MusicPage",
    "MusicPlace",
    "MusicQuery",
    "MusicRow",
    "RowFit",
    "RowState",
    "SortKey",
]


class RowState(StrEnum):
    """How far a track of the list has come."""

    WAITING = "waiting"
    HEARD = "heard"
    FAILED = "failed"


class FitCause(StrEnum):
    """Why a track suits a class, or what has to change."""

    IN_RANGE = "in range"
    BELOW = "below"
    ABOVE = "above"
    LOSES_RANGE = "loses range"
    NO_BEAT = "no beat"
    NOT_IN_FOUR = "not in four"
    TEMPO_MOVES = "tempo moves"
    NO_PHRASE = "no phrase"


class SortKey(StrEnum):
    """What the list can be sorted by."""

    TITLE = "title"
    LENGTH = "length"
    TEMPO = "tempo"
    SURE = "sure"
    SHALLOW = "shallow"
    DEEP = "deep"
    ADDED = "added"


@dataclass(frozen=True, slots=True)
class RowFit:
    """How a track suits the class of one depth, with each cause for itself."""

    fit: ClassFit
    causes: tuple[FitCause, ...]


@dataclass(frozen=True, slots=True)
class MusicRow:
    """One track of the list.

    id names it in this list. place: the folder it lies in, as opened. strip: energy over
    equal spans of the track, 0 to 9, "-" where no phrase lies. odd_counts: counts of its
    bridges and breaks. sure: of tempo and count 1, 0 to 1; is_sure, tempo_is_sure: whether
    nobody has to listen for both, or for the tempo. What a hearing tells is None or empty
    until it is heard; failure says why it cannot be.
    """

    id: str
    file: str
    title: str
    place: str
    state: RowState
    failure: str = ""
    duration_s: float | None = None
    tempo_bpm: float | None = None
    sure: float | None = None
    is_sure: bool = False
    tempo_is_sure: bool = False
    alternatives: tuple[TempoAlternative, ...] = ()
    corrected: bool = False
    strip: str = ""
    phrases: int = 0
    bridges: int = 0
    breaks: int = 0
    odd_counts: tuple[int, ...] = ()
    beats_per_bar: int | None = None
    drift_percent: float = 0.0
    fits: tuple[RowFit, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MusicQuery:
    """Which rows of the list are wanted, and in which order.

    search: words that title, file or place hold. suits: "shallow" or "deep", "" for all;
    with_changes: whether those that suit with changes count. from_bpm, to_bpm [beats/min].
    only: "unsure", "failed", "waiting", "corrected" or "".
    """

    search: str = ""
    suits: str = ""
    with_changes: bool = True
    from_bpm: float | None = None
    to_bpm: float | None = None
    only: str = ""
    sort: SortKey = SortKey.ADDED
    descending: bool = False
    offset: int = 0
    limit: int = 100


@dataclass(frozen=True, slots=True)
class MusicPlace:
    """A folder or file that was opened, and how many tracks lie in it.

    dropped: whether it is the page's own folder of dropped files.
    """

    path: str
    name: str
    tracks: int
    missing: bool = False
    dropped: bool = False


@dataclass(frozen=True, slots=True)
class MusicPage:
    """Some rows of the list, and how it stands.

    matching: rows that the query fits; total: all. version grows with each change.
    left_s: time [s] that hearing the rest will take, None where it is not known yet.
    """

    rows: tuple[MusicRow, ...]
    offset: int
    matching: int
    total: int
    heard: int
    waiting: int
    failed: int
    unsure: int
    hearing: bool
    left_s: float | None
    version: int
    places: tuple[MusicPlace, ...]


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder that can be opened: its path, its name, and songs directly in it."""

    path: str
    name: str
    songs: int


@dataclass(frozen=True, slots=True)
class Folders:
    """The folders in one folder; above is the path one level up.

    At a top above is "", which lists the tops; where there is one top alone, it is that top.
    """

    path: str
    above: str
    songs: int
    folders: tuple[Folder, ...]
