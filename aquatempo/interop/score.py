"""Timelines as a partitura score: a stroke a beat, calls as words, from there to MusicXML."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from aquatempo.errors import InputError
from aquatempo.interop.missing import optional
from aquatempo.records.cues import CueTimeline

__all__ = ["to_partitura"]

BEATS_PER_BAR = 4
SECONDS_PER_MINUTE = 60.0
SAME_TEMPO = 0.01  # a tempo is written where it leaves the last one by more than this share


def to_partitura(timeline: CueTimeline) -> Any:  # noqa: ANN401  the library publishes no types
    """Return a timeline as ``partitura.score.Score``, its unit of time one beat.

    Each phrase starts a bar, odd counts get a short bar; calls and moves stand as words, the
    tempo [beats/min] at each phrase that changes it. ``partitura.save_musicxml`` writes it for
    notation programs. timeline: of one track. Raises MissingExtraError without partitura,
    InputError without beats.
    """
    if len(timeline.beats_s) < 2:
        raise InputError("no beats to write: a score needs a timeline with at least two")
    score = optional("partitura.score", "a partitura score")
    part = score.Part("calls", timeline.title or "calls", quarter_duration=1)
    part.add(score.TimeSignature(BEATS_PER_BAR, 4), 0)
    part.add(score.Clef(1, "percussion", 2, 0), 0)
    for beat in range(len(timeline.beats_s)):
        stroke = score.UnpitchedNote("E", 4, notehead="x", id=f"b{beat}", voice=1, staff=1)
        stroke.symbolic_duration = {"type": "quarter", "dots": 0}
        part.add(stroke, beat, beat + 1)
    for number, (start, end) in enumerate(_bars(timeline), 1):
        part.add(score.Measure(number, str(number)), start, end)
    for beat, tempo_bpm in _tempos(timeline):
        part.add(score.Tempo(round(tempo_bpm), unit="q"), beat)
    for beat, text in _words(timeline):
        part.add(score.Direction(text, text, staff=1), beat)
    return score.Score([part], title=timeline.title)


def _bars(timeline: CueTimeline) -> Iterator[tuple[int, int]]:
    """Yield (first beat, beat after the last) of each bar; phrases start bars."""
    spans = [(phrase.start_beat, phrase.start_beat + phrase.counts) for phrase in timeline.phrases]
    first, last = (spans[0][0], spans[-1][1]) if spans else (0, 0)
    pickup = first % BEATS_PER_BAR
    pieces = [(0, pickup), (pickup, first), *spans, (last, len(timeline.beats_s))]
    for start, end in pieces:
        for bar in range(start, end, BEATS_PER_BAR):
            yield bar, min(bar + BEATS_PER_BAR, end)


def _tempos(timeline: CueTimeline) -> Iterator[tuple[int, float]]:
    """Yield (beat, tempo) at the start and where a phrase is played at another tempo."""
    beats, written = timeline.beats_s, 0.0
    starts = sorted({0, *(phrase.start_beat for phrase in timeline.phrases)})
    ends = [*starts[1:], len(beats) - 1]
    for start, end in zip(starts, ends, strict=True):
        if end <= start:
            continue
        tempo_bpm = SECONDS_PER_MINUTE * (end - start) / (beats[end] - beats[start])
        if abs(tempo_bpm - written) > SAME_TEMPO * written:
            written = tempo_bpm
            yield start, tempo_bpm


def _words(timeline: CueTimeline) -> Iterator[tuple[int, str]]:
    for change in timeline.changes:
        yield change.beat, change.name
    for cue in timeline.cues:
        if cue.words:
            yield cue.beat, cue.words
