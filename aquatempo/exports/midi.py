"""Cue timelines as a Standard MIDI File: tempo map, markers, a click, the calls as lyrics."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from itertools import pairwise

import mido

from aquatempo.errors import InputError
from aquatempo.records.cues import CueKind, CueTimeline
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["TICKS_PER_BEAT", "midi_file"]

TICKS_PER_BEAT = 480
_PERCUSSION = 9  # General MIDI: channel 10 on a panel, 9 in the file
_ACCENT, _CLICK = (76, 118), (77, 84)  # General MIDI high and low wood block; velocity
FIRST_BEATS = 9
_TOLERANCE_US = 100  # about a tenth of a tick at any tempo of music
_Event = tuple[int, "mido.Message"]


def midi_file(timeline: CueTimeline, beats_per_bar: int = 4) -> bytes:
    """Return a type 1 file in which each beat of the timeline lies within a tick.

    Music before the first beat is a lead-in at the song's own tempo, its first bar as short as
    it has to be, so that a program opens the file at a tempo that makes sense. A new
    tempo is written only where the last one would stray by 0.1 ms, so a steady song has few and
    a live one has one a beat. Raises InputError without beats. beats_per_bar: of the time
    signature.
    """
    if len(timeline.beats_s) < 2:
        raise InputError("no beats to write: MIDI needs a timeline with at least two")
    beats_us = [round(time * 1e6) for time in timeline.beats_s]
    lead_in = _lead_in_ticks(beats_us)
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS_PER_BEAT, charset="utf-8")
    markers = (
        (_tick(lead_in, phrase.start_beat), mido.MetaMessage("marker", text=text))
        for phrase, text in zip(timeline.phrases, _phrase_texts(timeline), strict=True)
    )
    conductor = [*_tempos(beats_us, lead_in), *_bars(timeline, lead_in, beats_per_bar), *markers]
    lyrics = [
        (_tick(lead_in, cue.beat), mido.MetaMessage("lyrics", text=f"{text} "))
        for cue, text in zip(timeline.cues, _call_texts(timeline), strict=True)
    ]
    file.tracks.append(_track(timeline.title or "beats", conductor))
    file.tracks.append(_track("click", _clicks(timeline, lead_in)))
    file.tracks.append(_track("calls", lyrics))
    written = io.BytesIO()
    file.save(file=written)
    return written.getvalue()


def _tick(lead_in: int, beat: int) -> int:
    return lead_in + beat * TICKS_PER_BEAT


def _lead_in_ticks(beats_us: list[int]) -> int:
    """Return the ticks before the first beat, at the median tempo of the first beats."""
    if beats_us[0] <= 0:
        return 0
    gaps = sorted(second - first for first, second in pairwise(beats_us[:FIRST_BEATS]))
    return max(1, round(beats_us[0] / gaps[len(gaps) // 2] * TICKS_PER_BEAT))


def _tempos(beats_us: list[int], lead_in: int) -> Iterator[_Event]:
    """Yield tempo events; reached is where the file's clock is [us], which never drifts."""
    reached, tempo = 0, 0
    if lead_in:
        tempo = round(beats_us[0] * TICKS_PER_BEAT / lead_in)
        reached = round(tempo * lead_in / TICKS_PER_BEAT)
        yield 0, mido.MetaMessage("set_tempo", tempo=tempo)
    for beat, following in enumerate(beats_us[1:]):
        if abs(reached + tempo - following) > _TOLERANCE_US:
            tempo = following - reached
            yield _tick(lead_in, beat), mido.MetaMessage("set_tempo", tempo=tempo)
        reached += tempo


def _bars(timeline: CueTimeline, lead_in: int, beats_per_bar: int) -> Iterator[_Event]:
    """Yield time signatures so that each phrase starts a bar; odd beats get a short bar."""
    spans = [(phrase.start_beat, phrase.counts) for phrase in timeline.phrases]
    whole, part = divmod(lead_in, TICKS_PER_BEAT)
    if part:  # of a beat: it gets a bar that the next signature cuts off
        yield 0, mido.MetaMessage("time_signature", numerator=1, denominator=4)
    before = whole + (spans[0][0] if spans else 0)
    odd = before % beats_per_bar  # a short first bar takes what a whole bar would not
    pieces = [(-whole, odd, odd), (odd - whole, before - odd, beats_per_bar)]
    for start, counts in spans:
        odd = counts % beats_per_bar
        pieces.append((start, counts - odd, beats_per_bar))
        pieces.append((start + counts - odd, odd, odd))
    last = 0
    for beat, length, numerator in pieces:
        if length and numerator != last:
            last = numerator
            event = mido.MetaMessage("time_signature", numerator=numerator, denominator=4)
            yield _tick(lead_in, beat), event


def _phrase_texts(timeline: CueTimeline) -> Iterator[str]:
    names = {change.beat: change.name for change in timeline.changes}
    for number, phrase in enumerate(timeline.phrases):
        move = names.get(phrase.start_beat)
        yield f"{number + 1} {phrase.kind}, {phrase.counts} counts" + (f": {move}" if move else "")


def _call_texts(timeline: CueTimeline) -> Iterator[str]:
    for cue in timeline.cues:
        here = cue.kind is CueKind.COUNT_ONE
        yield timeline.changes[cue.change].name if here else cue.words or f"[{cue.sign}]"


def _clicks(timeline: CueTimeline, lead_in: int) -> Iterator[_Event]:
    ones = {
        beat
        for phrase in timeline.phrases
        for beat in range(phrase.start_beat, phrase.start_beat + phrase.counts, COUNTS_PER_EIGHT)
    }
    for beat in range(len(timeline.beats_s)):
        note, velocity = _ACCENT if beat in ones else _CLICK
        at = _tick(lead_in, beat)
        for tick, kind in ((at, "note_on"), (at + TICKS_PER_BEAT // 4, "note_off")):
            yield tick, mido.Message(kind, channel=_PERCUSSION, note=note, velocity=velocity)


def _track(name: str, events: Iterable[_Event]) -> mido.MidiTrack:
    """Return a track of events, their absolute ticks turned into steps."""
    track = mido.MidiTrack([mido.MetaMessage("track_name", name=name)])
    last = 0
    for tick, message in sorted(events, key=lambda event: event[0]):
        track.append(message.copy(time=tick - last))
        last = tick
    return track
