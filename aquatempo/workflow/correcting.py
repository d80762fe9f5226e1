"""What the instructor corrects in the hearing of a track, kept for good."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.errors import InputError
from aquatempo.music.gathering import SHEET_SUFFIXES
from aquatempo.music.hearing import Hearing, open_track
from aquatempo.music.marking import one_moved, tempo_at
from aquatempo.records.corrections import (
    MOST_COUNTS,
    BridgeMark,
    Corrections,
    CountOneMark,
    NoBeat,
    TempoMark,
)
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
    if tempo_bpm is not None:
        check_range("tempo", tempo_bpm, "bpm", *stored.BPM)
    for _, counts in bridges:
        check_range("bridge", counts, "counts", 1, MOST_COUNTS)
    heard = _audio_track(path)
    if heard.analysis.tempo_bpm is None:
        raise InputError(f"no beat was heard in {path!r}: there is nothing to correct")
    with stored.correcting():  # of two at once the second adds to what the first stored
        earlier = stored.load_corrections(heard.content_key) or Corrections()
        shown = rhythm.apply_corrections(heard.analysis, earlier)
        tempo_bpm = tempo_bpm if level == 1.0 else tempo_at(shown, from_s) * level
        if shift_beats:
            count_one_s = one_moved(shown, shift_beats, from_s)
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
