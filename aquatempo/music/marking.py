"""Where corrections of a track lie: what a person means by "here", in tempo and in seconds."""

from __future__ import annotations

from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["beat_at", "one_moved", "tempo_at"]

SAME_MOMENT_S = 0.05


def tempo_at(analysis: RhythmAnalysis, time_s: float) -> float:
    """Return the tempo of an analysis from time_s [s] on [beats/min]; of the whole from 0 on."""
    if time_s <= 0:
        return analysis.tempo_bpm or 0.0
    later = [part for part in analysis.tempo_sections if part.end_s > time_s]
    return (later or analysis.tempo_sections)[0].tempo_bpm


def one_moved(analysis: RhythmAnalysis, beats: int, from_s: float) -> float:
    """Return where count 1 of the first whole phrase lies when moved by some beats [s].

    analysis: as shown; from_s: the phrase is looked for from this time on [s].
    """
    first = next(
        (
            part.start_beat
            for part in analysis.phrases
            if part.start_s >= from_s - SAME_MOMENT_S and part.counts == COUNTS_PER_PHRASE
        ),
        analysis.phrases[-1].start_beat,
    )
    place = min(max(first + beats, 0), len(analysis.beats_s) - 1)
    return analysis.beats_s[place]


def beat_at(analysis: RhythmAnalysis, time_s: float) -> int:
    """Return the beat of an analysis nearest to time_s [s]; it has to have one."""
    beats_s = analysis.beats_s
    return min(range(len(beats_s)), key=lambda beat: abs(beats_s[beat] - time_s))
