"""What was heard, for music data tools: JAMS objects, and the shapes that mir_eval scores.

Raffel et al., "mir_eval: A transparent implementation of common MIR metrics", ISMIR 2014, says
what each measure takes: times [s] in order, intervals of shape (n, 2), labels beside them.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from aquatempo.exports.jams import to_jams as jams_text
from aquatempo.interop.missing import optional
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.records.track import Track

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

    Array = NDArray[float64]

__all__ = ["MirEvalShapes", "to_jams", "to_mir_eval"]

OTHER_LEVEL_BPM = 1.0  # nearer ones are the same level, told more finely


@dataclass(frozen=True, slots=True, eq=False)
class MirEvalShapes:
    """What was heard, as mir_eval takes it.

    beats_s, downbeats_s: shape (n,) [s], for ``mir_eval.beat``. tempi_bpm: shape (2,), slower
    first [beats/min], and tempo_weight, the share 0 to 1 of the slower one, for
    ``mir_eval.tempo``; both tempos are the same where one alone is likely. intervals_s: shape
    (n, 2) [s] and labels, for ``mir_eval.segment``.
    """

    beats_s: Array
    downbeats_s: Array
    tempi_bpm: Array
    tempo_weight: float
    intervals_s: Array
    labels: tuple[str, ...]


def to_mir_eval(heard: Track | RhythmAnalysis) -> MirEvalShapes:
    """Return beats, downbeats, tempos and phrases in the shapes that mir_eval scores.

    heard: a track or its analysis. Empty arrays, and tempos of 0, where no beat was heard.
    """
    import numpy as np

    analysis = heard.analysis if isinstance(heard, Track) else heard
    tempi, weight = _tempi(analysis)
    intervals = [(phrase.start_s, phrase.end_s) for phrase in analysis.phrases]
    return MirEvalShapes(
        beats_s=np.array(analysis.beats_s, dtype=float),
        downbeats_s=np.array(analysis.downbeats_s, dtype=float),
        tempi_bpm=np.array(tempi, dtype=float),
        tempo_weight=weight,
        intervals_s=np.array(intervals, dtype=float).reshape(-1, 2),
        labels=tuple(phrase.kind.value for phrase in analysis.phrases),
    )


def to_jams(heard: Track | RhythmAnalysis) -> Any:  # noqa: ANN401  the library publishes no types
    """Return what was heard as ``jams.JAMS`` with beats, tempo and stretches.

    heard: a track or its analysis. Raises MissingExtraError without jams.
    """
    track = heard if isinstance(heard, Track) else Track("", "", heard)
    library = optional("jams", "a JAMS object")
    return library.load(io.StringIO(jams_text(track.analysis, track.title)), fmt="jams")


def _tempi(analysis: RhythmAnalysis) -> tuple[tuple[float, float], float]:
    """Return (slower, faster) [beats/min] of the counted level and its likeliest rival."""
    tempo_bpm = analysis.tempo_bpm
    if tempo_bpm is None:
        return (0.0, 0.0), 1.0
    others = [
        one
        for one in analysis.tempo_alternatives
        if one.odds > 0 and abs(one.tempo_bpm - tempo_bpm) > OTHER_LEVEL_BPM
    ]
    if not others:
        return (tempo_bpm, tempo_bpm), 1.0
    rival = max(others, key=lambda one: one.odds)
    share = rival.odds / (rival.odds + analysis.tempo_confidence)
    if rival.tempo_bpm < tempo_bpm:
        return (rival.tempo_bpm, tempo_bpm), share
    return (tempo_bpm, rival.tempo_bpm), 1.0 - share
