"""What was exported, for people."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console

from aquatempo.cli.failures import one_line
from aquatempo.workflow.exporting import ExportReport

__all__ = ["show_files"]


def show_files(console: Console, folder: str, report: ExportReport) -> None:
    """Show the files by name below their folder, and what the calls had no room for.

    console: the terminal; report: what was written.
    """
    console.print(f"{one_line(report.title)}: in {Path(folder).resolve()}", soft_wrap=True)
    for file in report.files:
        console.print(f"  {Path(file).relative_to(folder)}", soft_wrap=True)
    for note in report.notes:
        console.print(f"Note: {one_line(note)}", soft_wrap=True)
