"""A heard track as a row of the music list: energy strip, how it suits, and each cause."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path

from aquatempo.records.check import ClassFit
from aquatempo.records.music import FitCause, MusicRow, RowFit, RowState
from aquatempo.records.people import Group, Pool
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.records.track import Track
from aquatempo.workflow.checking import DOUBTFUL, check_track

__all__ = ["energy_strip", "heard_row", "is_sure", "row_id", "waiting_row"]

STRIP_SPANS = 48  # as many as a thumb's width can show
NOTHING = "-"
ODD = (PhraseKind.BRIDGE, PhraseKind.BREAK)


def row_id(path: str) -> str:
    """Return what names a file in the list: a digest, so that no path comes from a browser."""
    return hashlib.blake2b(path.encode("utf-8", "surrogateescape"), digest_size=8).hexdigest()


def waiting_row(path: str, place: str) -> MusicRow:
    """Return the row of a file that nobody has heard yet."""
    title = Path(path).stem.replace("_", " ")
    return MusicRow(row_id(path), path, title, place, RowState.WAITING)


def heard_row(track: Track, place: str, pools: Sequence[Pool], group: Group) -> MusicRow:
    """Return the row of a track, judged for the class of each pool."""
    analysis = track.analysis
    checked = check_track(track, pools, group)
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
        is_sure=is_sure(analysis),
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


def is_sure(analysis: RhythmAnalysis) -> bool:
    """Return whether nobody has to confirm tempo and count 1 by ear."""
    return analysis.tempo_bpm is not None and analysis.confidence >= DOUBTFUL


def energy_strip(analysis: RhythmAnalysis, spans: int = STRIP_SPANS) -> str:
    """Return the energy of a track over equal spans, a digit each, "-" outside phrases.

    >>> from aquatempo.records.rhythm import EnergyLevel, Phrase
    >>> high = Phrase(2.0, 4.0, 0, 32, PhraseKind.PHRASE, 0.75, EnergyLevel.HIGH)
    >>> heard = RhythmAnalysis(4.0, 120.0, 1, 1, (), (), True, 0.0, 4, (), (), (), (high,))
    >>> energy_strip(heard, spans=4)
    '--77'
    """
    step_s = analysis.duration_s / spans
    signs = []
    phrases = iter(analysis.phrases)
    phrase = next(phrases, None)
    for span in range(spans):
        middle_s = (span + 0.5) * step_s
        while phrase is not None and phrase.end_s <= middle_s:
            phrase = next(phrases, None)
        inside = phrase is not None and phrase.start_s <= middle_s
        energy = phrase.energy if phrase is not None and inside else None
        signs.append(NOTHING if energy is None else str(min(9, max(0, round(9 * energy)))))
    return "".join(signs)


def _causes(fit: ClassFit, analysis: RhythmAnalysis) -> tuple[FitCause, ...]:
    """Return each cause of a verdict, the one that weighs most first."""
    if analysis.tempo_bpm is None:
        return (FitCause.NO_BEAT,)
    causes = []
    low_bpm, high_bpm = fit.range_bpm
    if analysis.tempo_bpm < low_bpm:
        causes.append(FitCause.BELOW)
    elif analysis.tempo_bpm > high_bpm:
        causes.append(FitCause.ABOVE)
    if analysis.beats_per_bar not in (None, 4):
        causes.append(FitCause.NOT_IN_FOUR)
    elif not analysis.steady:
        causes.append(FitCause.TEMPO_MOVES)
    elif all(phrase.kind is not PhraseKind.PHRASE for phrase in analysis.phrases):
        causes.append(FitCause.NO_PHRASE)
    if fit.losing_moves:
        causes.append(FitCause.LOSES_RANGE)
    return tuple(causes) or (FitCause.IN_RANGE,)
