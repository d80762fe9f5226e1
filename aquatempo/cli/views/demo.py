"""What the demo did, for people."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console

from aquatempo.cli.views.check import show_check
from aquatempo.cli.views.files import kinds_of_files
from aquatempo.workflow.demo import DemoReport

__all__ = ["show_demo"]


def show_demo(console: Console, folder: str, report: DemoReport) -> None:
    """Show the check of the sample tracks, then where the results lie.

    console: the terminal; folder: that holds the results; report: what the demo did.
    """
    show_check(console, report.check)
    for note in report.plan.notes[:1]:
        console.print(f"\n{report.plan.brief.title}: {note}.")
    console.print(f"\nResults are in {Path(folder).resolve()}", soft_wrap=True)
    kinds_of_files(console, report.files)
