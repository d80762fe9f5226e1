"""Where each track lies in one continuous class, and the timeline that matches it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from aquatempo.records.cues import Change, Cue, CuePhrase, CueTimeline
from aquatempo.records.deck import MixPlace

__all__ = ["MixPlace", "merge_timelines", "place_tracks"]

JOIN_COUNTS = 4  # a bar: long enough to hide the join, short enough to stay on the beat
NEAR_TEMPO = 0.02  # beats of two songs this near part by 8 % of a beat over a bar
GAP_S = 2.0  # where songs do not match: time to say what comes
RING_S = 1.5  # a song that is left rings out for as long, within the gap
LAST_RING_S = 3.0
INTRO_COUNTS = 8  # of the first song, before its first planned phrase
PRE_ROLL_S = 0.05  # a beat may be heard a little before it was placed: its attack stays whole


def place_tracks(timelines: Sequence[CueTimeline]) -> tuple[MixPlace, ...]:
    """Join tracks where their planned part ends; near tempos overlap by a bar, others get a gap.

    The overlap is beat-matched: both songs have a beat where the new one starts.
    """
    placed: list[MixPlace] = []
    at_s, joined = 0.0, False
    for number, timeline in enumerate(timelines):
        first_s = timeline.phrases[0].start_s if timeline.phrases else 0.0
        last_s = _last_s(timeline)
        pre_roll_s = 0.0 if joined else min(PRE_ROLL_S, first_s)
        if number == 0:
            pre_roll_s = min(INTRO_COUNTS * 60.0 / timeline.tempo_bpm, first_s)
        start_s = first_s - pre_roll_s
        fade_in_s = min(pre_roll_s, PRE_ROLL_S) / 2
        following = timelines[number + 1 : number + 2]
        joined = bool(following) and _meet(timeline, last_s, following[0])
        if joined:
            end_s = last_s + _bar_s(timeline)
            next_s = at_s + last_s - start_s
            fade_out_s = 0.0
        else:
            ring_s = RING_S if following else LAST_RING_S
            end_s = min(last_s + ring_s, timeline.duration_s)
            fade_out_s = end_s - last_s
            next_s = at_s + (last_s + GAP_S if following else end_s) - start_s
        placed.append(MixPlace(start_s, end_s, at_s, next_s, fade_in_s, fade_out_s))
        at_s = next_s
    return tuple(placed)


def _last_s(timeline: CueTimeline) -> float:
    """Return when what is planned in a track ends [s]; the song's end without changes."""
    ends = [one[-1].end_s for one in (timeline.phrases, timeline.changes) if one]
    return min(ends, default=timeline.duration_s)


def _bar_s(timeline: CueTimeline) -> float:
    return JOIN_COUNTS * 60.0 / timeline.tempo_bpm


def _meet(timeline: CueTimeline, last_s: float, following: CueTimeline) -> bool:
    """Tell whether a track can be crossfaded into the next: same tempo, and enough music."""
    near = abs(following.tempo_bpm / timeline.tempo_bpm - 1.0) <= NEAR_TEMPO
    return near and last_s + _bar_s(timeline) <= timeline.duration_s


def merge_timelines(
    title: str, timelines: Sequence[CueTimeline], placed: Sequence[MixPlace]
) -> CueTimeline:
    """Return one timeline of the whole class; tempo_bpm is that of the first track.

    title: of the class; timelines: one a track; placed: where each track lies.
    """
    beats: list[float] = []
    inferred: list[bool] = []
    changes: list[Change] = []
    calls: list[Cue] = []
    phrases: list[CuePhrase] = []
    for timeline, place in zip(timelines, placed, strict=True):
        shift_s = place.shift_s
        stop_s = min(place.next_s - shift_s, place.end_s)
        kept = [
            index
            for index, time_s in enumerate(timeline.beats_s)
            if place.start_s - 1e-6 <= time_s < stop_s - 1e-6
        ]
        skipped = kept[0] if kept else 0
        beat_shift, phrase_shift, change_shift = len(beats) - skipped, len(phrases), len(changes)
        beats += [timeline.beats_s[index] + shift_s for index in kept]
        inferred += [timeline.beats_inferred[index] for index in kept]
        changes += [
            replace(
                change,
                time_s=change.time_s + shift_s,
                end_s=change.end_s + shift_s,
                beat=change.beat + beat_shift,
                phrase=change.phrase + phrase_shift,
            )
            for change in timeline.changes
        ]
        calls += [
            replace(
                cue,
                time_s=cue.time_s + shift_s,
                end_s=cue.end_s + shift_s,
                beat=cue.beat + beat_shift,
                phrase=cue.phrase + phrase_shift if cue.phrase >= 0 else -1,
                change=cue.change + change_shift,
            )
            for cue in timeline.cues
        ]
        last_beat = kept[-1] + 1 if kept else 0
        phrases += [
            replace(
                phrase,
                start_s=phrase.start_s + shift_s,
                end_s=min(phrase.end_s, stop_s) + shift_s,
                start_beat=phrase.start_beat + beat_shift,
                counts=min(phrase.counts, last_beat - phrase.start_beat),
            )
            for phrase in timeline.phrases
            if phrase.start_beat < last_beat
        ]
    return replace(
        timelines[0],
        title=title,
        file="",
        beats_s=tuple(beats),
        beats_inferred=tuple(inferred),
        changes=tuple(changes),
        cues=tuple(calls),
        phrases=tuple(phrases),
        notes=tuple(note for timeline in timelines for note in timeline.notes),
        speed=1.0,
        duration_s=placed[-1].next_s,
    )
