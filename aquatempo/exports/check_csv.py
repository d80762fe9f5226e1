"""The check of a playlist as CSV (RFC 4180), a row a track and class."""

from __future__ import annotations

from aquatempo.exports.csv_cells import csv_text
from aquatempo.records.check import CheckReport

__all__ = ["check_csv"]

COLUMNS = (
    "file", "title", "tempo_bpm", "confidence", "phrases", "bridges", "breaks", "phrase_health",
    "class", "fit", "reason", "speed", "losing_moves",
)  # fmt: skip


def check_csv(report: CheckReport) -> str:
    """Return CSV text with a header; tempo_bpm is empty where no beat was heard."""
    rows: list[tuple[object, ...]] = []
    for track in report.tracks:
        tempo = "" if track.tempo_bpm is None else f"{track.tempo_bpm:.2f}"
        for fit in track.fits:
            rows.append(
                (
                    track.file, track.title, tempo, f"{track.confidence:.2f}", track.phrases,
                    track.bridges, track.breaks, track.phrase_health, fit.depth, fit.fit,
                    fit.reason, f"{fit.speed:g}", "; ".join(fit.losing_moves),
                )
            )  # fmt: skip
    return csv_text(COLUMNS, rows)
