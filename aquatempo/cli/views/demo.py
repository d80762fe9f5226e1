"""What the demo did, for people."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from rich.console import Console

from aquatempo.cli.views.check import show_check
from aquatempo.cli.views.table import show_table
from aquatempo.workflow.demo import DemoReport

__all__ = ["show_demo"]

KINDS = {
    ".toml": "the plan: change it, then export it again",
    ".pdf": "to print: deck cards and a substitute's sheet",
    ".html": "the deck page: open it in a browser",
    ".svg": "pictures: energy, phrases, moves and calls",
    ".vtt": "captions",
    ".json": "every change and call, for other programs",
    ".csv": "tables, for a spreadsheet",
    ".mid": "beats and phrases, for a sequencer",
    ".ogg": "sound: count clicks, rehearsal audio, the class mix",
    ".txt": "the reminder of rights beside what carries a song",
}


def show_demo(console: Console, folder: str, report: DemoReport) -> None:
    """Show the check of the sample tracks, then where the results lie.

    console: the terminal; folder: that holds the results; report: what the demo did.
    """
    show_check(console, report.check)
    for note in report.plan.notes[:1]:
        console.print(f"\n{report.plan.brief.title}: {note}.")
    console.print(f"\nResults are in {Path(folder).resolve()}", soft_wrap=True)
    by_suffix = Counter(Path(file).suffix for file in report.files)
    rows = [
        (f"{count} x {suffix}", KINDS.get(suffix, ""))
        for suffix, count in sorted(by_suffix.items(), key=lambda item: list(KINDS).index(item[0]))
    ]
    show_table(console, ("files", "what for"), rows, free_text="what for")
