"""What an instructor corrected in the hearing of a track.

All of it is absolute: a tempo in beats a minute, a moment in seconds. So it keeps its meaning
when a later version hears the track anew, or hears it at another level.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["MOST_COUNTS", "BridgeMark", "Corrections", "CountOneMark", "NoBeat", "TempoMark"]

MOST_COUNTS = 4096  # of a bridge: half an hour of them


@dataclass(frozen=True, slots=True)
class TempoMark:
    """From from_s [s] on, up to the next such mark, the beat is the level near tempo_bpm."""

    tempo_bpm: float
    from_s: float = 0.0


@dataclass(frozen=True, slots=True)
class CountOneMark:
    """From from_s [s] on, up to the next such mark, count 1 of a phrase falls on time_s [s].

    Phrases run on as they were heard; all of them are moved by as much as the nearest start is.
    """

    time_s: float
    from_s: float = 0.0


@dataclass(frozen=True, slots=True)
class BridgeMark:
    """A bridge starts at start_s [s] and lasts some counts; the next phrase follows it."""

    start_s: float
    counts: int = 8


@dataclass(frozen=True, slots=True)
class NoBeat:
    """There is nothing to count from start_s to end_s [s]; a phrase may start after it."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Corrections:
    """Corrections of one track; they hold for any later analysis of the same audio.

    tempi: levels, count_ones: where count 1 is, each from a time on, in order of it.
    phrase_starts_s: times [s] at which a phrase starts; not_starts_s: at which none does,
    nor a bridge; bridges: where one does; no_beat: stretches without a count. Times need
    only be nearer to the beat meant than to any other.
    """

    tempi: tuple[TempoMark, ...] = ()
    count_ones: tuple[CountOneMark, ...] = ()
    phrase_starts_s: tuple[float, ...] = ()
    not_starts_s: tuple[float, ...] = ()
    bridges: tuple[BridgeMark, ...] = ()
    no_beat: tuple[NoBeat, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether there is nothing to apply."""
        return self == Corrections()
