"""How the tracks of a playlist suit a shallow and a deep class."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.people import ClassDepth
from aquatempo.records.track import Failure

__all__ = ["CheckReport", "ClassFit", "TrackCheck"]


@dataclass(frozen=True, slots=True)
class ClassFit:
    """How a track suits one class.

    fit: "suits", "suits with changes" or "does not suit". range_bpm: the tempo range
    held against [beats/min] and its origin in origin. speed: change that would help, 1.0
    for none. losing_moves: base moves that lose range in water tempo here.
    """

    depth: ClassDepth
    fit: str
    reason: str
    range_bpm: tuple[float, float]
    origin: str
    speed: float
    losing_moves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TrackCheck:
    """One track: what was heard, how whole its phrases are, and how it suits each class."""

    file: str
    title: str
    duration_s: float
    tempo_bpm: float | None
    confidence: float
    phrases: int
    bridges: int
    breaks: int
    phrase_health: str
    fits: tuple[ClassFit, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckReport:
    """All tracks that could be heard, in order, and those that could not."""

    tracks: tuple[TrackCheck, ...]
    failures: tuple[Failure, ...]
