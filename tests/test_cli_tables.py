"""Tables of the command line keep every word at every width."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from aquatempo.cli.views.table import show_table

HEADINGS = ("track", "bpm", "downbeats", "bias ms", "what to change")
ROW = ("first_lengths.ogg", "132.00", "1.000", "-0.5", "a slower song or another move")


@pytest.mark.parametrize("free_text", ["", "what to change"])
def test_no_word_is_cut_at_any_width(free_text: str) -> None:
    """As a table or as entries one below the other, all headings and cells stand in full."""
    for width in range(45, 100):
        shown = io.StringIO()
        console = Console(file=shown, width=width)
        show_table(console, HEADINGS, [ROW], numbers=HEADINGS[1:4], free_text=free_text)
        text = shown.getvalue()
        assert max(len(line.rstrip()) for line in text.splitlines()) <= width
        lost = [word for word in (*HEADINGS[1:4], *ROW[:4]) if word not in text]
        assert (width, lost) == (width, [])
