"""How tracks suit a shallow and a deep class, for people."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from aquatempo.cli.failures import one_line
from aquatempo.cli.views.judge import ESTIMATE
from aquatempo.cli.views.marks import Grade, graded
from aquatempo.cli.views.table import show_table
from aquatempo.records.check import CheckReport, ClassFit, TrackCheck
from aquatempo.units import percent

__all__ = ["show_check"]

_SHORT_FITS = {
    "suits": ("suits", Grade.GOOD),
    "suits with changes": ("changes", Grade.PARTLY),
    "does not suit": ("no", Grade.BAD),
}


def show_check(console: Console, report: CheckReport) -> None:
    """Show one row a track, then the reasons for what does not simply suit.

    console: the terminal; report: the verdicts on tracks.
    """
    depths = [fit.depth.value for fit in report.tracks[0].fits]
    rows: list[tuple[str | Text, ...]] = [
        (
            track.title,
            "none" if track.tempo_bpm is None else f"{track.tempo_bpm:.1f}",
            percent(track.confidence),
            *(_fit(console, fit) for fit in track.fits),
            track.phrase_health,
        )
        for track in report.tracks
    ]
    headings = ("track", "bpm", "sure", *depths, "phrases in counts")
    show_table(
        console,
        headings,
        rows,
        numbers=("bpm", "sure"),
        free_text="phrases in counts",
        spare=("sure", "phrases in counts"),
        whole=depths,
    )
    console.print("suits: as it is; changes: suits with changes, see below; no: does not suit.\n")
    for track in report.tracks:
        for line in _reasons(track):
            console.print(line)
    console.print(ESTIMATE)


def _fit(console: Console, fit: ClassFit) -> Text:
    words, grade = _SHORT_FITS.get(fit.fit, (fit.fit, Grade.PARTLY))
    return graded(console, words, grade)


def _reasons(track: TrackCheck) -> list[str]:
    by_reason: dict[str, list[ClassFit]] = {}
    for fit in track.fits:
        if fit.fit == "suits":
            continue
        by_reason.setdefault(fit.reason, []).append(fit)
    lines = [
        f"{one_line(track.title)}, {' and '.join(fit.depth.value for fit in some)}: {reason}."
        for reason, some in by_reason.items()
    ]
    losing = dict.fromkeys(
        f"{' and '.join(fit.losing_moves)} ({fit.depth.value})"
        for fit in track.fits
        if fit.losing_moves
    )
    if losing:
        lines.append(f"{one_line(track.title)}: loses range in water tempo: {'; '.join(losing)}.")
    lines += [f"{one_line(track.title)}: {one_line(note)}." for note in track.notes]
    return lines
