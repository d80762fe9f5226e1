"""What the instructor corrects in the hearing of a track, kept for good."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.errors import InputError
from aquatempo.music.gathering import SHEET_SUFFIXES
from aquatempo.music.hearing import Hearing, open_track
from aquatempo.records.corrections import BridgeMark, Corrections
from aquatempo.records.track import Track
from aquatempo.units import COUNTS_PER_PHRASE, check_range

__all__ = ["correct", "forget"]


def correct(
    path: str,
    *,
    tempo_factor: float = 1.0,
    shift_beats: int = 0,
    phrase_starts_s: Sequence[float] = (),
    bridges: Sequence[tuple[float, int]] = (),
) -> tuple[Track, str]:
    """Store corrections on top of earlier ones; return the track as now heard and the file.

    tempo_factor: 0.5 or 2 where half or double is meant. shift_beats: count 1 lies so many
    beats later. phrase_starts_s [s]; bridges: (start [s], counts). Nothing is stored unless the
    corrections fit the track. Raises InputError, AudioError, OutputError. path: of the audio.
    """
    from aquatempo import rhythm
    from aquatempo.store import correction_files as stored

    most = COUNTS_PER_PHRASE - 1
    check_range("shift", shift_beats, "beats", -most, most, "32 are a whole phrase")
    new = Corrections(
        tempo_factor,
        shift_beats,
        tuple(phrase_starts_s),
        tuple(BridgeMark(start_s, counts) for start_s, counts in bridges),
    )
    if new.empty:
        raise InputError("nothing to correct: needs half, double, a shift, a phrase or a bridge")
    heard = _audio_track(path)
    if heard.analysis.tempo_bpm is None:
        raise InputError(f"no beat was heard in {path!r}: there is nothing to correct")
    earlier = stored.load_corrections(heard.content_key) or Corrections()
    together = stored.merge_corrections(earlier, new)
    analysis = rhythm.apply_corrections(heard.analysis, together)
    file = stored.save_corrections(
        heard.content_key, together, heard.title, heard.analysis.duration_s
    )
    corrected = not together.empty
    return Track(path, heard.title, analysis, heard.content_key, corrected), str(file)


def forget(path: str) -> bool:
    """Delete the corrections of a track; return whether there were any."""
    from aquatempo.store import correction_files as stored

    return stored.forget_corrections(_audio_track(path).content_key)


def _audio_track(path: str) -> Track:
    if path.lower().endswith(SHEET_SUFFIXES):
        raise InputError(f"{path!r} is a track sheet: edit it instead of correcting it")
    return open_track(path, Hearing(use_corrections=False))
