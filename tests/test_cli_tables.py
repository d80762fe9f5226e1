"""Tables of the command line keep every word at every width."""

from __future__ import annotations

import io
from typing import Any

import pytest
from rich.console import Console

from aquatempo.cli.views.table import show_table

HEADINGS = ("track", "bpm", "downbeats", "bias ms", "what to change")
ROW = ("first_lengths.ogg", "132.00", "1.000", "-0.5", "a slower song or another move")


@pytest.mark.parametrize("free_text", ["", "what to change"])
def test_no_word_is_cut_at_any_width(free_text: str) -> None:
    """As a table or as entries one below the other, all words of headings and cells are whole."""
    for width in range(30, 100):
        text = shown(width, numbers=HEADINGS[1:4], free_text=free_text)
        words = [word for cell in (*HEADINGS[1:4], *ROW) for word in cell.split()]
        lost = [word for word in words if word not in text]
        assert (width, lost) == (width, [])


def test_a_table_stays_one_as_long_as_its_words_have_room() -> None:
    """The sum of the longest words, three cells a column and one is enough (counted by hand)."""
    needed = 1 + sum(3 + width for width in (17, 6, 9, 4, 7))
    assert "first_lengths.ogg" in heading_row(shown(needed, numbers=HEADINGS[1:4]), after=1)
    assert "downbeats" in heading_row(shown(needed, numbers=HEADINGS[1:4]))
    assert "downbeats" not in heading_row(shown(needed - 1, numbers=HEADINGS[1:4]))


def test_columns_that_a_narrow_terminal_can_spare_are_named() -> None:
    """What is left out is said, the first named first, and no more than must be."""
    text = shown(62, numbers=HEADINGS[1:4], free_text="what to change", spare=("bias ms", "bpm"))
    assert "Not shown for want of width: bias ms." in text
    assert "bpm" in text
    wide = shown(99, numbers=HEADINGS[1:4], free_text="what to change", spare=("bias ms", "bpm"))
    assert "Not shown" not in wide


def shown(width: int, **options: Any) -> str:
    """Return the table in a terminal of so many columns, none of whose lines is wider."""
    text = io.StringIO()
    show_table(Console(file=text, width=width), HEADINGS, [ROW], **options)
    assert max(len(line.rstrip()) for line in text.getvalue().splitlines()) <= width
    return text.getvalue()


def heading_row(text: str, after: int = 0) -> str:
    """Return the last row of headings, or the row so many after the rule below them."""
    lines = text.splitlines()
    rule = next((n for n, line in enumerate(lines) if "\u2500" in line), 0)
    return lines[rule + after] if after else " ".join(lines[:rule])
