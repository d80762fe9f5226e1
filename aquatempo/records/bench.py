"""How well tracks with known beats were heard."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["BenchReport", "MeanScore", "TrackScore"]


@dataclass(frozen=True, slots=True)
class TrackScore:
    """One track against its truth.

    Shares are 0 to 1, times in milliseconds; None where the track or the answer has
    nothing to score. beat_f, downbeat_f: share of hits within 70 ms, the first 5 s left
    out; cmlt: beats in stretches at the right level and phase; amlt: half, double and
    off-beat forgiven. phrase_f: starts of phrases within half a beat. bridge_precision and
    bridge_recall: starts of bridges within 8 counts. tempo_near: within 4 %; tempo_exact:
    within 0.1 beats/min as reported. bias_ms, error_ms: median distance of the hits, signed
    (late is positive) and absolute. early_beats: beats more than 0.3 s before the first.
    trouble: what went wrong, in words, or "".
    """

    file: str
    tempo_bpm: float
    heard_bpm: float | None
    tempo_near: bool
    tempo_exact: bool
    beat_f: float
    cmlt: float
    amlt: float
    downbeat_f: float | None
    phrase_f: float | None
    bridge_precision: float | None
    bridge_recall: float | None
    bias_ms: float | None
    error_ms: float | None
    early_beats: int
    confidence: float | None
    trouble: str


@dataclass(frozen=True, slots=True)
class MeanScore:
    """Means over tracks that have the figure; a failed track counts 0.

    bridge_precision and bridge_recall are over all bridges of all tracks together.
    """

    tracks: int
    failed: int
    tempo_near: float
    tempo_exact: float
    beat_f: float
    cmlt: float
    amlt: float
    downbeat_f: float | None
    phrase_f: float | None
    bridge_precision: float | None
    bridge_recall: float | None
    bias_ms: float | None
    error_ms: float | None
    early_beats: int


@dataclass(frozen=True, slots=True)
class BenchReport:
    """All tracks in order, and their means."""

    tracks: tuple[TrackScore, ...]
    mean: MeanScore
