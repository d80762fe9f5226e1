"""What a change by ear means for the corrections of a track, and how they are told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TypeVar

from aquatempo.errors import InputError
from aquatempo.music.marking import beat_at, one_moved, tempo_at
from aquatempo.records.corrections import (
    BridgeMark,
    Corrections,
    CountOneMark,
    NoBeat,
    TempoMark,
)
from aquatempo.records.ear import EarChange, EarKind, EarStep
from aquatempo.records.rhythm import Phrase, RhythmAnalysis
from aquatempo.units import COUNTS_PER_PHRASE, check_range

__all__ = ["changed", "steps_of"]

Value = TypeVar("Value")
USUAL_BRIDGE = 8  # counts
TAPPED_BPM = (20.0, 400.0)
LONGEST_BRIDGE = 2 * COUNTS_PER_PHRASE - 1
EDGE_S = 0.001  # so that a span without a beat takes in the beats at its ends
LEVELS = {EarKind.HALF: 0.5, EarKind.DOUBLE: 2.0}


def changed(heard: RhythmAnalysis, now: Corrections, change: EarChange) -> Corrections:
    """Return the corrections after a change to what those in force now make of what was heard.

    Raises InputError where the change lacks something or does not fit the track.
    """
    from aquatempo import rhythm
    from aquatempo.store.correction_files import merge_corrections

    kind = change.kind
    if kind is EarKind.FORGET:
        return Corrections()
    if kind is EarKind.TAKE_BACK:
        return _without(now, _needed(change.step, "step"))
    shown = rhythm.apply_corrections(heard, now)
    if kind is EarKind.COUNT_ONE and change.time_s is None:
        beats = int(_needed(change.beats, "beats"))
        return merge_corrections(_marks_moved(now, shown, beats), _one(shown, beats))
    if kind in (EarKind.HALF, EarKind.DOUBLE, EarKind.TAPPED):
        then = merge_corrections(now, _level(shown, change))
        _refuse_misfit(heard, now, then)
        return then
    return merge_corrections(now, _marks(shown, change))


def steps_of(corrections: Corrections) -> tuple[EarStep, ...]:
    """Return each of the corrections in force, in the order in which TAKE_BACK counts them."""
    return tuple(step for step, _ in _steps(corrections))


def _steps(now: Corrections) -> Iterator[tuple[EarStep, Corrections]]:
    """Yield each correction in force, and what is left without it."""

    def rest(values: tuple[Value, ...], index: int) -> tuple[Value, ...]:
        return values[:index] + values[index + 1 :]

    for i, tempo in enumerate(now.tempi):
        step = EarStep(EarKind.TEMPO, from_s=tempo.from_s, tempo_bpm=tempo.tempo_bpm)
        yield step, replace(now, tempi=rest(now.tempi, i))
    for i, one in enumerate(now.count_ones):
        step = EarStep(EarKind.COUNT_ONE, one.time_s, from_s=one.from_s)
        yield step, replace(now, count_ones=rest(now.count_ones, i))
    for i, time_s in enumerate(now.phrase_starts_s):
        kept = rest(now.phrase_starts_s, i)
        yield EarStep(EarKind.PHRASE_START, time_s), replace(now, phrase_starts_s=kept)
    for i, time_s in enumerate(now.not_starts_s):
        kept = rest(now.not_starts_s, i)
        yield EarStep(EarKind.NO_START, time_s), replace(now, not_starts_s=kept)
    for i, bridge in enumerate(now.bridges):
        step = EarStep(EarKind.BRIDGE, bridge.start_s, counts=bridge.counts)
        yield step, replace(now, bridges=rest(now.bridges, i))
    for i, span in enumerate(now.no_beat):
        step = EarStep(EarKind.NO_BEAT, span.start_s, span.end_s)
        yield step, replace(now, no_beat=rest(now.no_beat, i))


def _without(now: Corrections, step: int) -> Corrections:
    known = list(_steps(now))
    if not 0 <= step < len(known):
        raise InputError(f"step {step}: {len(known)} are in force")
    return known[step][1]


def _level(shown: RhythmAnalysis, change: EarChange) -> Corrections:
    if change.kind is EarKind.TAPPED:
        tempo_bpm = check_range(
            "tempo", _needed(change.tempo_bpm, "tempo_bpm"), "bpm", *TAPPED_BPM, "tap every beat"
        )
    else:
        tempo_bpm = tempo_at(shown, change.from_s) * LEVELS[change.kind]
    return Corrections(tempi=(TempoMark(round(tempo_bpm, 3), change.from_s),))


def _refuse_misfit(heard: RhythmAnalysis, now: Corrections, then: Corrections) -> None:
    """Raise InputError where a level is none that the song has, with those that it has."""
    from aquatempo import rhythm

    before = rhythm.apply_corrections(heard, now).notes
    after = rhythm.apply_corrections(heard, then).notes
    if len(after) > len(before):
        raise InputError(after[-1])


def _one(shown: RhythmAnalysis, beats: int) -> Corrections:
    most = COUNTS_PER_PHRASE - 1
    check_range("count 1 moved by", beats, "beats", -most, most, "32 are a whole phrase")
    return Corrections(count_ones=(CountOneMark(round(one_moved(shown, beats, 0.0), 3)),))


def _marks_moved(now: Corrections, shown: RhythmAnalysis, beats: int) -> Corrections:
    """Return the marks moved with count 1: they say where a phrase starts, not at which sound."""

    def moved(time_s: float) -> float:
        beat = min(max(beat_at(shown, time_s) + beats, 0), len(shown.beats_s) - 1)
        return shown.beats_s[beat]

    return replace(
        now,
        phrase_starts_s=tuple(map(moved, now.phrase_starts_s)),
        not_starts_s=tuple(map(moved, now.not_starts_s)),
        bridges=tuple(BridgeMark(moved(m.start_s), m.counts) for m in now.bridges),
    )


def _marks(shown: RhythmAnalysis, change: EarChange) -> Corrections:
    """Return the marks of a border set, moved or taken away, of silence, of a yes."""
    if change.kind is EarKind.CONFIRM:
        one_s = round(one_moved(shown, 0, 0.0), 3)
        tempo = TempoMark(round(shown.tempo_bpm or 0.0, 3))
        return Corrections(tempi=(tempo,), count_ones=(CountOneMark(one_s),))
    beat = beat_at(shown, _needed(change.time_s, "time_s"))
    if change.kind is EarKind.COUNT_ONE:
        one_s = round(shown.beats_s[beat], 3)
        return Corrections(count_ones=(CountOneMark(one_s, min(change.from_s, one_s)),))
    if change.kind is EarKind.PHRASE_START:
        return _start(shown, beat)
    if change.kind is EarKind.BRIDGE:
        counts = USUAL_BRIDGE if change.counts is None else change.counts
        check_range("bridge", counts, "counts", 1, LONGEST_BRIDGE, "a phrase starts after it")
        return Corrections(bridges=(BridgeMark(shown.beats_s[beat], int(counts)),))
    end_s = change.to_s
    if change.kind is EarKind.NO_BEAT:
        last = beat_at(shown, _needed(end_s, "to_s"))
        first, last = min(beat, last), max(beat, last)
        span = NoBeat(shown.beats_s[first] - EDGE_S, shown.beats_s[last] + EDGE_S)
        return Corrections(no_beat=(span,))
    number = _segment_at(shown, beat)
    if number == 0:
        raise InputError("the first start of a song: move count 1 instead")
    before, here = shown.phrases[number - 1], shown.phrases[number]
    here_s = shown.beats_s[here.start_beat]
    if change.kind is EarKind.NO_START:
        return Corrections(not_starts_s=(here_s,))
    length = beat_at(shown, _needed(end_s, "to_s")) - before.start_beat
    if not 0 < length < before.counts + here.counts:
        raise InputError("a start can move between the one before it and the one after it")
    return _lane(shown, before, length, here_s)


def _lane(shown: RhythmAnalysis, before: Phrase, length: int, old_s: float) -> Corrections:
    """Return marks for a stretch of some counts from a start on, and a phrase after it."""
    first = before.start_beat
    inside = first < beat_at(shown, old_s) < first + length
    gone = Corrections(not_starts_s=(old_s,) if inside else ())
    if length < COUNTS_PER_PHRASE:
        return replace(gone, bridges=(BridgeMark(shown.beats_s[first], length),))
    starts_s = (shown.beats_s[first], shown.beats_s[first + length])
    if length == COUNTS_PER_PHRASE:
        return replace(gone, phrase_starts_s=starts_s)
    rest = first + COUNTS_PER_PHRASE
    mark = BridgeMark(shown.beats_s[rest], length - COUNTS_PER_PHRASE)
    return Corrections(
        phrase_starts_s=starts_s[:1],
        bridges=(mark,),
        not_starts_s=() if shown.beats_s[rest] == old_s else gone.not_starts_s,
    )


def _start(shown: RhythmAnalysis, beat: int) -> Corrections:
    return Corrections(phrase_starts_s=(shown.beats_s[beat],))


def _segment_at(shown: RhythmAnalysis, beat: int) -> int:
    starts = [phrase.start_beat for phrase in shown.phrases]
    return min(range(len(starts)), key=lambda number: abs(starts[number] - beat))


def _needed(value: Value | None, name: str) -> Value:
    if value is None:
        raise InputError(f"{name} is missing")
    return value
