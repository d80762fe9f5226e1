"""Files that were written, by kind, for people."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from aquatempo.cli.views.table import show_table

__all__ = ["kinds_of_files"]

KINDS = {
    ".toml": "the plan: change it, then export it again",
    ".pdf": "to print: cards and sheets",
    ".html": "the deck page: open it in a browser",
    ".svg": "pictures: energy, phrases, moves and calls",
    ".vtt": "captions",
    ".json": "every change and call, for other programs",
    ".csv": "tables, for a spreadsheet",
    ".mid": "beats and phrases, for a sequencer",
    ".ogg": "sound: count clicks, rehearsal audio, the class mix",
    ".wav": "sound: count clicks, rehearsal audio, the class mix",
    ".flac": "sound: count clicks, rehearsal audio, the class mix",
    ".txt": "the reminder of rights beside what carries a song",
}


def kinds_of_files(console: Console, files: Sequence[str]) -> None:
    """Show how many files of each kind there are, and what they are for.

    console: the terminal.
    """
    by_suffix = Counter(Path(file).suffix for file in files)
    order = list(KINDS)
    rows = [
        (f"{count} x {suffix}", KINDS.get(suffix, ""))
        for suffix, count in sorted(
            by_suffix.items(), key=lambda item: order.index(item[0]) if item[0] in KINDS else 99
        )
    ]
    show_table(console, ("files", "what for"), rows, free_text="what for")
