"""Scores against known beats, for people."""

from __future__ import annotations

from rich.console import Console

from aquatempo.cli.views.table import show_table
from aquatempo.records.bench import BenchReport, MeanScore, TrackScore

__all__ = ["show_bench"]

HEADINGS = (
    *("track", "bpm", "heard", "beats", "level", "downbeats", "phrases", "bridges"),
    *("bias ms", "error ms"),
)


def show_bench(console: Console, report: BenchReport) -> None:
    """Show one row a track, then the means.

    console: the terminal; report: the scores.
    """
    rows = [_row(track) for track in report.tracks]
    rows.append(_mean_row(report.mean))
    show_table(console, HEADINGS, rows, numbers=HEADINGS[1:])
    mean = report.mean
    console.print(
        f"Tempo within 4 %: {mean.tempo_near:.3f}; within 0.1 bpm: {mean.tempo_exact:.3f}; "
        f"half, double and off-beat forgiven (AMLt): {mean.amlt:.3f}."
    )
    console.print(
        "beats, downbeats: F within 70 ms; level: CMLt; phrases: F of starts within half a beat; "
        "bridges: precision and recall within 8 counts."
    )


def _row(track: TrackScore) -> tuple[str, ...]:
    return (
        track.file,
        f"{track.tempo_bpm:.2f}",
        _figure(track.heard_bpm, 2),
        *_shares(track),
    )


def _mean_row(mean: MeanScore) -> tuple[str, ...]:
    return (f"mean of {mean.tracks}", "", "", *_shares(mean))


def _shares(score: TrackScore | MeanScore) -> tuple[str, ...]:
    precision, recall = _figure(score.bridge_precision, 2), _figure(score.bridge_recall, 2)
    return (
        _figure(score.beat_f, 3),
        _figure(score.cmlt, 3),
        _figure(score.downbeat_f, 3),
        _figure(score.phrase_f, 3),
        f"{precision} {recall}",
        _figure(score.bias_ms, 1),
        _figure(score.error_ms, 1),
    )


def _figure(value: float | None, places: int) -> str:
    return "-" if value is None else f"{value:.{places}f}"
