"""The beats of a track as played, and the stretches they fall in."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from aquatempo.errors import InputError
from aquatempo.records.cues import CuePhrase
from aquatempo.records.plan import PlannedTrack
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.units import COUNTS_PER_EIGHT, check_range

__all__ = ["Grid", "make_grid"]


@dataclass(frozen=True)
class Grid:
    """Times of the beats [s] at the speed played, and the phrases on them."""

    beats_s: tuple[float, ...]
    phrases: tuple[CuePhrase, ...]

    def time_s(self, beat: int) -> float:
        """Return the time of a beat [s]; the beat after the last one is extrapolated."""
        if beat < len(self.beats_s):
            return self.beats_s[beat]
        last = self.beats_s[-1]
        return last + (last - self.beats_s[-2]) * (beat - len(self.beats_s) + 1)

    def phrase(self, beat: int) -> int:
        """Return the index of the phrase that holds a beat, -1 before the first."""
        return bisect_right([phrase.start_beat for phrase in self.phrases], beat) - 1

    def count(self, beat: int) -> int:
        """Return the count of a beat in its eight, 1 to 8, from its phrase's count 1."""
        if not self.phrases:
            return beat % COUNTS_PER_EIGHT + 1
        start = self.phrases[max(0, self.phrase(beat))].start_beat
        return (beat - start) % COUNTS_PER_EIGHT + 1

    def after_closed(self, low: int, high: int, open_breaks: Sequence[int]) -> int:
        """Return the first beat from low to high after which no closed breakdown lies.

        open_breaks: start beats of breakdowns in which calls are planned.
        """
        for phrase in self.phrases:
            end = phrase.start_beat + phrase.counts
            closed = phrase.kind is PhraseKind.BREAK and phrase.start_beat not in open_breaks
            if closed and phrase.start_beat < high and end > low:
                low = min(end, high)
        return low


def make_grid(analysis: RhythmAnalysis, track: PlannedTrack) -> Grid:
    """Return the grid of a track at its planned speed; raise InputError without beats.

    analysis: what was heard in the track.
    """
    if len(analysis.beats_s) < 2:
        raise InputError(
            f"{track.title or track.file}: no beat was found to place calls on; give the tempo and "
            "first count 1 in a track sheet (is it speech, or free time?)"
        )
    speed = check_range("speed", track.speed, "times the tempo", 0.5, 2.0)
    beats = tuple(time / speed for time in analysis.beats_s)
    plain = Grid(beats, ())
    taken = [(p.start_beat, p.start_beat + p.counts) for p in track.phrases]
    heard = [
        phrase
        for phrase in analysis.phrases
        if not any(
            phrase.start_beat < end and phrase.start_beat + phrase.counts > start
            for start, end in taken
        )
    ]
    spans = [(p.start_beat, p.counts, p.kind, p.energy_level) for p in track.phrases]
    spans += [(p.start_beat, p.counts, p.kind, p.energy_level) for p in heard]
    spans.sort(key=lambda span: span[0])
    return Grid(
        beats,
        tuple(
            CuePhrase(
                start_s=plain.time_s(start),
                end_s=plain.time_s(start + counts),
                start_beat=start,
                counts=counts,
                kind=kind,
                energy_level=energy_level,
            )
            for start, counts, kind, energy_level in spans
        ),
    )
