"""A table that becomes a list of entries where the terminal is too narrow for it."""

from __future__ import annotations

from collections.abc import Sequence

from rich import box
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table
from rich.text import Text

from aquatempo.cli.failures import one_line

__all__ = ["show_table"]

_PADDING = 2  # cells after a column
_BORDER = 1  # cells that the frame takes before each column, and after the last
_READABLE = 24  # a free text column below this many cells is no longer a pleasure


def show_table(
    console: Console,
    headings: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    numbers: Sequence[str] = (),
    free_text: str = "",
) -> None:
    """Print rows under headings; where they do not fit the width, one entry below the other.

    numbers: headings of columns set flush right; free_text: the column that may wrap. console:
    the terminal.
    """
    rows = [[one_line(cell) for cell in row] for row in rows]
    if _needed_width(headings, rows, free_text) > console.width:
        _show_entries(console, headings, rows)
        return
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, _PADDING, 0, 0))
    for heading in headings:
        table.add_column(
            Text(heading),
            justify="right" if heading in numbers else "left",
            no_wrap=heading != free_text,
            overflow="fold",
        )
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console.print(table)


def _needed_width(headings: Sequence[str], rows: Sequence[Sequence[str]], free_text: str) -> int:
    needed = _BORDER
    for column, heading in enumerate(headings):
        widest = max(cell_len(text) for text in (heading, *(row[column] for row in rows)))
        needed += _BORDER + _PADDING + (min(widest, _READABLE) if heading == free_text else widest)
    return needed


def _show_entries(console: Console, headings: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    for row in rows:
        console.print(Text(row[0], style="bold"))
        entry = Table.grid(padding=(0, _PADDING, 0, 0))
        entry.add_column(no_wrap=True)
        entry.add_column(overflow="fold")
        for heading, cell in zip(headings[1:], row[1:], strict=True):
            if cell:
                entry.add_row(Text(f"  {heading}"), Text(cell))
        console.print(entry)
        console.print()
