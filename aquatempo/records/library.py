"""What a library of tracks holds and answers."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["LibraryPage", "LibraryProgress", "LibraryTrack", "Mark", "StoredVerdict"]


@dataclass(frozen=True, slots=True)
class Mark:
    """A word of the user's on a track. kind: "tag", "rights" or "approval".

    value: the tag; the licence or whatever grants the rights; who approves. until: the last
    day on which it holds, as 2027-12-31, or "".
    """

    kind: str
    value: str
    until: str = ""


@dataclass(frozen=True, slots=True)
class StoredVerdict:
    """How a track suits a stated pool. fit: as in ClassFit; speed: change that would help."""

    pool: str
    fit: str
    speed: float
    reason: str


@dataclass(frozen=True, slots=True)
class LibraryTrack:
    """A row of the library. files: where the sound lies, the one heard first.

    duration_s [s]; tempo_bpm [beats/min] or None where no beat was heard; confidence 0 to 1
    that tempo and count 1 are right; energy: mean over the phrases, 0 to 1. outdated: heard
    by an earlier version.
    """

    number: int
    content_key: str
    files: tuple[str, ...]
    title: str
    artist: str
    duration_s: float
    tempo_bpm: float | None
    confidence: float
    beats_per_bar: int | None
    steady: bool
    phrases: int
    bridges: int
    breaks: int
    energy: float
    corrected: bool
    marks: tuple[Mark, ...] = ()
    verdicts: tuple[StoredVerdict, ...] = ()


@dataclass(frozen=True, slots=True)
class LibraryPage:
    """Some rows of an answer, in order. total: how many there are in all; first: from 0.

    hint: at a likely slip in the question, where there is no row.
    """

    tracks: tuple[LibraryTrack, ...]
    total: int
    first: int
    hint: str = ""


@dataclass(frozen=True, slots=True)
class LibraryProgress:
    """How far the hearing of a library is, in files. failures: (file, reason), some of them."""

    waiting: int
    heard: int
    failed: int
    failures: tuple[tuple[str, str], ...] = ()

    @property
    def files(self) -> int:
        """All files that were ever added."""
        return self.waiting + self.heard + self.failed
