"""What an instructor corrected in the hearing of a track."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["BridgeMark", "Corrections"]


@dataclass(frozen=True, slots=True)
class BridgeMark:
    """A bridge starts at start_s [s] and lasts some counts; the next phrase follows it."""

    start_s: float
    counts: int = 8


@dataclass(frozen=True, slots=True)
class Corrections:
    """Corrections of one track; they hold for any later analysis of the same audio.

    tempo_factor: 0.5 where half the tempo heard is meant, 2 where the double is.
    shift_beats: count 1 lies so many beats later (negative: earlier) than heard, counted
    after tempo_factor. phrase_starts_s: times [s] at which a phrase starts; bridges: where
    a bridge does. Times need only be nearer to the beat meant than to any other.
    """

    tempo_factor: float = 1.0
    shift_beats: int = 0
    phrase_starts_s: tuple[float, ...] = ()
    bridges: tuple[BridgeMark, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether there is nothing to apply."""
        return self == Corrections()
