"""What the instructor corrects in the hearing of a track, kept for good."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.errors import InputError
from aquatempo.music.gathering import SHEET_SUFFIXES
from aquatempo.music.hearing import Hearing, open_track
from aquatempo.records.corrections import (
    BridgeMark,
    Corrections,
    CountOneMark,
    NoBeat,
    TempoMark,
)
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.records.track import Track
from aquatempo.units import COUNTS_PER_PHRASE, check_range

__all__ = ["correct", "forget"]


def correct(
    path: str,
    *,
    level: float = 1.0,
    tempo_bpm: float | None = None,
    shift_beats: int = 0,
    count_one_s: float | None = None,
    from_s: float = 0.0,
    phrase_starts_s: Sequence[float] = (),
    not_starts_s: Sequence[float] = (),
    bridges: Sequence[tuple[float, int]] = (),
    no_beat_s: Sequence[tuple[float, float]] = (),
) -> tuple[Track, str]:
    """Store corrections on top of earlier ones; return the track as now heard and the file.

    level: 0.5 or 2 where half or double of the tempo shown is meant; tempo_bpm: the tempo
    itself. shift_beats: count 1 lies so many beats later than shown; count_one_s: it falls on
    this moment [s]. Both hold from from_s [s] on. phrase_starts_s, not_starts_s: where a
    phrase starts, and where neither phrase nor bridge does [s]; bridges: (start [s], counts);
    no_beat_s: (start, end) [s]. What is stored is absolute. Nothing is stored unless the
    corrections fit the track. path: of the audio. Raises InputError, AudioError, OutputError.
    """
    from aquatempo import rhythm
    from aquatempo.store import correction_files as stored

    most = COUNTS_PER_PHRASE - 1
    check_range("shift", shift_beats, "beats", -most, most, "32 are a whole phrase")
    heard = _audio_track(path)
    if heard.analysis.tempo_bpm is None:
        raise InputError(f"no beat was heard in {path!r}: there is nothing to correct")
    with stored.correcting():  # of two at once the second adds to what the first stored
        earlier = stored.load_corrections(heard.content_key) or Corrections()
        shown = rhythm.apply_corrections(heard.analysis, earlier)
        tempo_bpm = tempo_bpm if level == 1.0 else _tempo_at(shown, from_s) * level
        if shift_beats:
            count_one_s = _one_moved(shown, shift_beats, from_s)
        new = Corrections(
            () if tempo_bpm is None else (TempoMark(round(tempo_bpm, 3), from_s),),
            () if count_one_s is None else (CountOneMark(round(count_one_s, 3), from_s),),
            tuple(phrase_starts_s),
            tuple(not_starts_s),
            tuple(BridgeMark(start_s, counts) for start_s, counts in bridges),
            tuple(NoBeat(start_s, end_s) for start_s, end_s in no_beat_s),
        )
        if new.empty:
            raise InputError(
                "nothing to correct: needs half, double, a tempo, a shift, count 1, a phrase, "
                "a bridge or a stretch without a beat"
            )
        together = stored.merge_corrections(earlier, new)
        analysis = rhythm.apply_corrections(heard.analysis, together)
        misfits = analysis.notes[len(heard.analysis.notes) :]
        if new.tempi and misfits:
            raise InputError(misfits[-1])
        file = stored.save_corrections(
            heard.content_key, together, heard.title, heard.analysis.duration_s
        )
    return Track(path, heard.title, analysis, heard.content_key, True), str(file)


def _tempo_at(analysis: RhythmAnalysis, time_s: float) -> float:
    """Return the tempo shown from a time on [beats/min]; of the whole track from 0 on."""
    if time_s <= 0:
        return analysis.tempo_bpm or 0.0
    later = [part for part in analysis.tempo_sections if part.end_s > time_s]
    return (later or analysis.tempo_sections)[0].tempo_bpm


def _one_moved(analysis: RhythmAnalysis, beats: int, from_s: float) -> float:
    """Return where count 1 of the first whole phrase from a time on lies when moved [s]."""
    first = next(
        (
            part.start_beat
            for part in analysis.phrases
            if part.start_s >= from_s - 0.05 and part.counts == COUNTS_PER_PHRASE
        ),
        analysis.phrases[-1].start_beat,
    )
    place = min(max(first + beats, 0), len(analysis.beats_s) - 1)
    return analysis.beats_s[place]


def forget(path: str) -> bool:
    """Delete the corrections of a track; return whether there were any."""
    from aquatempo.store import correction_files as stored

    content_key = _audio_track(path).content_key
    with stored.correcting():
        return stored.forget_corrections(content_key)


def _audio_track(path: str) -> Track:
    if path.lower().endswith(SHEET_SUFFIXES):
        raise InputError(f"{path!r} is a track sheet: edit it instead of correcting it")
    return open_track(path, Hearing(use_corrections=False))
