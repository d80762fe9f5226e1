"""A heard track as a row of the music list: how it suits each class, and each cause."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.music.rows import energy_strip, row_id
from aquatempo.records.check import ClassFit
from aquatempo.records.doubt import SURE, is_sure
from aquatempo.records.music import FitCause, MusicRow, RowFit, RowState
from aquatempo.records.people import Group, Pool
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.records.track import Track

__all__ = ["heard_row"]

ODD = (PhraseKind.BRIDGE, PhraseKind.BREAK)


def heard_row(track: Track, place: str, pools: Sequence[Pool], group: Group) -> MusicRow:
    """Return the row of a track in an opened place, judged for the classes of pools and a group.

    No pools: the usual two.
    """
    from aquatempo.workflow.checking import USUAL_POOLS, check_track

    analysis = track.analysis
    checked = check_track(track, pools or USUAL_POOLS, group)
    kinds = [phrase.kind for phrase in analysis.phrases]
    return MusicRow(
        id=row_id(track.file),
        file=track.file,
        title=track.title,
        place=place,
        state=RowState.HEARD,
        duration_s=analysis.duration_s,
        tempo_bpm=analysis.tempo_bpm,
        sure=analysis.confidence,
        is_sure=analysis.tempo_bpm is not None and is_sure(analysis),
        tempo_is_sure=analysis.tempo_confidence >= SURE,
        alternatives=analysis.tempo_alternatives,
        corrected=track.corrected,
        strip=energy_strip(analysis),
        phrases=kinds.count(PhraseKind.PHRASE),
        bridges=kinds.count(PhraseKind.BRIDGE),
        breaks=kinds.count(PhraseKind.BREAK),
        odd_counts=tuple(one.counts for one in analysis.phrases if one.kind in ODD),
        beats_per_bar=analysis.beats_per_bar,
        drift_percent=analysis.tempo_drift_percent,
        fits=tuple(RowFit(fit, _causes(fit, analysis)) for fit in checked.fits),
        notes=analysis.notes,
    )


def _causes(fit: ClassFit, analysis: RhythmAnalysis) -> tuple[FitCause, ...]:
    """Return each cause of a verdict, its tempo first."""
    if analysis.tempo_bpm is None:
        return (FitCause.NO_BEAT,)
    low_bpm, high_bpm = fit.range_bpm
    causes = [FitCause.IN_RANGE]
    if analysis.tempo_bpm < low_bpm:
        causes = [FitCause.BELOW]
    elif analysis.tempo_bpm > high_bpm:
        causes = [FitCause.ABOVE]
    if analysis.beats_per_bar not in (None, 4):
        causes.append(FitCause.NOT_IN_FOUR)
    elif not analysis.steady:
        causes.append(FitCause.TEMPO_MOVES)
    elif all(phrase.kind is not PhraseKind.PHRASE for phrase in analysis.phrases):
        causes.append(FitCause.NO_PHRASE)
    if fit.losing_moves:
        causes.append(FitCause.LOSES_RANGE)
    return tuple(causes)
