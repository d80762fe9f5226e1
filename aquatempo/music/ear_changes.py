"""What a change by ear means for the corrections of a track, and how they are told."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from aquatempo.errors import InputError
from aquatempo.records.corrections import BridgeMark, Corrections
from aquatempo.records.ear import EarChange, EarKind, EarStep
from aquatempo.records.rhythm import Phrase, RhythmAnalysis
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["changed", "steps_of"]

Value = TypeVar("Value")
USUAL_BRIDGE = 8  # counts
TAP_SLACK = 0.08  # taps are off by less; levels lie a factor of two apart


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
    if kind is EarKind.TAPPED:
        more = Corrections(_tapped_factor(shown, _needed(change.tempo_bpm, "tempo_bpm")))
    elif kind in (EarKind.HALF, EarKind.DOUBLE):
        more = Corrections(0.5 if kind is EarKind.HALF else 2.0)
    elif kind is EarKind.COUNT_ONE:
        return _shifted(now, shown, _needed(change.beats, "beats"))
    else:
        more = _marks(shown, change)
    if more.empty:
        return now
    return merge_corrections(now, more)


def steps_of(corrections: Corrections) -> tuple[EarStep, ...]:
    """Return each correction in force, in the order in which TAKE_BACK counts them."""
    steps = []
    if corrections.tempo_factor != 1.0:
        kind = EarKind.HALF if corrections.tempo_factor < 1.0 else EarKind.DOUBLE
        steps.append(EarStep(kind))
    if corrections.shift_beats:
        steps.append(EarStep(EarKind.COUNT_ONE, beats=corrections.shift_beats))
    steps += [EarStep(EarKind.PHRASE_START, start_s) for start_s in corrections.phrase_starts_s]
    steps += [
        EarStep(EarKind.BRIDGE, mark.start_s, counts=mark.counts) for mark in corrections.bridges
    ]
    return tuple(steps)


def _without(now: Corrections, step: int) -> Corrections:
    steps = steps_of(now)
    if not 0 <= step < len(steps):
        raise InputError(f"step {step}: {len(steps)} are in force")
    gone = steps[step]
    if gone.kind in (EarKind.HALF, EarKind.DOUBLE):
        return replace(now, tempo_factor=1.0)
    if gone.kind is EarKind.COUNT_ONE:
        return replace(now, shift_beats=0)
    if gone.kind is EarKind.PHRASE_START:
        kept = tuple(start_s for start_s in now.phrase_starts_s if start_s != gone.time_s)
        return replace(now, phrase_starts_s=kept)
    return replace(now, bridges=tuple(m for m in now.bridges if m.start_s != gone.time_s))


def _shifted(now: Corrections, shown: RhythmAnalysis, beats: int) -> Corrections:
    """Move count 1, and the marks with it: they say where a phrase starts, not which sound."""
    most = COUNTS_PER_PHRASE - 1
    if not -most <= beats <= most:
        raise InputError(f"count 1 moved by {beats} beats: needs {-most} to {most}")
    shift = (now.shift_beats + beats) % COUNTS_PER_PHRASE
    shift -= COUNTS_PER_PHRASE if shift > COUNTS_PER_PHRASE // 2 else 0

    def moved(time_s: float) -> float:
        beat = min(max(_beat_at(shown, time_s) + beats, 0), len(shown.beats_s) - 1)
        return shown.beats_s[beat]

    return replace(
        now,
        shift_beats=shift,
        phrase_starts_s=tuple(moved(time_s) for time_s in now.phrase_starts_s),
        bridges=tuple(BridgeMark(moved(m.start_s), m.counts) for m in now.bridges),
    )


def _tapped_factor(shown: RhythmAnalysis, tempo_bpm: float) -> float:
    """Return the factor from the tempo shown to the level that was tapped."""
    if not 20.0 <= tempo_bpm <= 400.0:
        raise InputError(f"tapped {tempo_bpm:g} bpm: needs 20 to 400")
    now_bpm = shown.tempo_bpm or 0.0
    for factor in (1.0, 0.5, 2.0):
        if abs(tempo_bpm / (now_bpm * factor) - 1.0) <= TAP_SLACK:
            return factor
    raise InputError(
        f"tapped {tempo_bpm:.0f} bpm: the song has beats at {now_bpm / 2:.0f}, {now_bpm:.0f} and "
        f"{now_bpm * 2:.0f} (tap along for longer, on every beat)"
    )


def _marks(shown: RhythmAnalysis, change: EarChange) -> Corrections:
    """Return the marks that make a border move, appear or go."""
    beat = _beat_at(shown, _needed(change.time_s, "time_s"))
    if change.kind is EarKind.PHRASE_START:
        return _start(shown, beat)
    if change.kind is EarKind.BRIDGE:
        counts = USUAL_BRIDGE if change.counts is None else change.counts
        if not 1 <= counts < 2 * COUNTS_PER_PHRASE:
            raise InputError(f"a bridge of {counts} counts: needs 1 to {2 * COUNTS_PER_PHRASE - 1}")
        return Corrections(bridges=(BridgeMark(shown.beats_s[beat], counts),))
    number = _segment_at(shown, beat)
    if number == 0:
        raise InputError("the first start of a song: move count 1 instead")
    before, here = shown.phrases[number - 1], shown.phrases[number]
    if change.kind is EarKind.REMOVE_START:
        if before.counts >= COUNTS_PER_PHRASE:
            raise InputError("a phrase of 32 counts ends here: move this start instead")
        return _start(shown, before.start_beat)
    target = _beat_at(shown, _needed(change.to_s, "to_s"))
    length = target - before.start_beat
    if not 0 < length <= before.counts + here.counts:
        raise InputError("a start can move between the one before it and the one after it")
    return _lane(shown, before, length)


def _lane(shown: RhythmAnalysis, before: Phrase, length: int) -> Corrections:
    """Return marks for a stretch of some counts from a start on, and a phrase after it."""
    if length == COUNTS_PER_PHRASE:
        first = _start(shown, before.start_beat)
        then = _start(shown, before.start_beat + length)
        return replace(first, phrase_starts_s=first.phrase_starts_s + then.phrase_starts_s)
    if length < COUNTS_PER_PHRASE:
        mark = BridgeMark(shown.beats_s[before.start_beat], length)
        return Corrections(bridges=(mark,))
    first = _start(shown, before.start_beat)
    rest = before.start_beat + COUNTS_PER_PHRASE
    mark = BridgeMark(shown.beats_s[rest], length - COUNTS_PER_PHRASE)
    return replace(first, bridges=(mark,))


def _start(shown: RhythmAnalysis, beat: int) -> Corrections:
    if beat >= len(shown.beats_s):
        raise InputError("a phrase cannot start after the last beat")
    return Corrections(phrase_starts_s=(shown.beats_s[beat],))


def _segment_at(shown: RhythmAnalysis, beat: int) -> int:
    starts = [phrase.start_beat for phrase in shown.phrases]
    return min(range(len(starts)), key=lambda number: abs(starts[number] - beat), default=0)


def _beat_at(shown: RhythmAnalysis, time_s: float) -> int:
    beats_s = shown.beats_s
    if not beats_s:
        raise InputError("no beat was heard")
    return min(range(len(beats_s)), key=lambda beat: abs(beats_s[beat] - time_s))


def _needed(value: Value | None, name: str) -> Value:
    if value is None:
        raise InputError(f"{name} is missing")
    return value
