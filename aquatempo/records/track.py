"""A track as a file or a sheet, and what was heard in it or why it was not."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.rhythm import RhythmAnalysis

__all__ = ["Failure", "Track"]


@dataclass(frozen=True, slots=True)
class Track:
    """A track and its analysis. file: as the user gave it; content_key: of the audio, or ""."""

    file: str
    title: str
    analysis: RhythmAnalysis
    content_key: str = ""
    corrected: bool = False


@dataclass(frozen=True, slots=True)
class Failure:
    """A file that gave no result, and the one line that says why."""

    file: str
    reason: str
