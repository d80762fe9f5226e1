"""What was exported, for people."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console

from aquatempo.cli.failures import one_line
from aquatempo.cli.views.files import kinds_of_files
from aquatempo.workflow.exporting import ExportReport

__all__ = ["show_files"]


def show_files(console: Console, folder: str, report: ExportReport, verbose: bool = False) -> None:
    """Show what lies where, a line a kind of file; verbose: every file and every note.

    console: the terminal; folder: where the files lie; report: what was written.
    """
    place = Path(folder).resolve()
    console.print(
        f"{one_line(report.title)}: {_many(len(report.files), 'file')} in {place}", soft_wrap=True
    )
    if verbose:
        for file in report.files:
            console.print(f"  {Path(file).relative_to(folder)}", soft_wrap=True)
        for note in report.notes:
            console.print(f"Note: {one_line(note)}", soft_wrap=True)
        return
    kinds_of_files(console, report.files)
    if report.notes:
        songs = len({one_line(note).partition(": ")[0] for note in report.notes})
        told = f"{_many(len(report.notes), 'call')} in {_many(songs, 'song')} had no room"
        console.print(f"Note: {told} (--verbose names them).")


def _many(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
