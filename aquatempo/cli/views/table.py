"""A table that gives up columns, then wraps words, before it becomes a list of entries."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from rich import box
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table
from rich.text import Text

from aquatempo.cli.failures import one_line

__all__ = ["show_table"]

_PADDING = 2  # cells after a column
_BORDER = 1  # cells that the frame takes before each column, and after the last
_PLEASANT, _READABLE = 20, 12  # least widths of a column that wraps: of free text alone, of all


@dataclass(frozen=True, slots=True)
class _Column:
    """A column: the least width in which its words are whole, and the one that it likes [cells]."""

    heading: str
    cells: tuple[Text, ...]
    least: int
    likes: int
    wraps: bool


def show_table(
    console: Console,
    headings: Sequence[str],
    rows: Sequence[Sequence[str | Text]],
    *,
    numbers: Sequence[str] = (),
    free_text: str = "",
    spare: Sequence[str] = (),
    whole: Sequence[str] = (),
) -> None:
    """Print rows under headings; where they do not fit the width, one entry below the other.

    numbers: headings of columns set flush right; free_text: the column that may wrap. console:
    the terminal. spare: columns that a narrow terminal does without, the first first; a line
    below says which. Before one is left out, headings and all words but those of numbers and of
    columns that stay whole wrap. A column in which nothing stands is no column.
    """
    told = [[_plain(cell) for cell in row] for row in rows]
    cells = {name: tuple(row[column] for row in told) for column, name in enumerate(headings)}
    kept = {*numbers, *whole}
    left_out: list[str] = []
    words = {name for name in headings if name not in kept}
    tries = [
        (number, wrapping, readable)
        for number in range(len(spare) + 1)
        for wrapping, readable in (({free_text}, _PLEASANT), (words, _READABLE))
    ]
    for number, wrapping, readable in (*tries, (len(spare), words, 0)):
        left_out = list(spare[:number])
        columns = [
            _column(name, cells[name], name in wrapping, readable)
            for name in headings
            if name not in left_out and any(cells[name])
        ]
        if _needed(columns) <= console.width:
            break
    else:
        _show_entries(console, headings, told)
        return
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, _PADDING, 0, 0))
    for column, width in zip(columns, _widths(columns, console.width), strict=True):
        table.add_column(
            Text(textwrap.fill(column.heading, width, break_on_hyphens=False)),
            justify="right" if column.heading in numbers else "left",
            no_wrap=not column.wraps,
            width=width,
            overflow="fold",
        )
    for row in zip(*(column.cells for column in columns), strict=True):
        table.add_row(*row)
    console.print(table)
    if left_out:
        console.print(f"Not shown for want of width: {', '.join(left_out)}.")


def _column(heading: str, cells: tuple[Text, ...], wraps: bool, readable: int) -> _Column:
    named = [Text(heading)]
    widest = max(cell.cell_len for cell in (*cells, *named))
    least = max(_longest_word([*cells, *named] if wraps else named), 1)
    if wraps:
        return _Column(heading, cells, min(max(least, readable), widest), widest, wraps)
    most = max((cell.cell_len for cell in cells), default=0)
    return _Column(heading, cells, max(least, most), widest, wraps)


def _needed(columns: Sequence[_Column]) -> int:
    return _BORDER + sum(column.least + _BORDER + _PADDING for column in columns)


def _widths(columns: Sequence[_Column], width: int) -> list[int]:
    """Return the width of each column [cells]: what is over goes where it saves most rows."""
    widths = [column.least for column in columns]
    for _ in range(width - _needed(columns)):
        rows = [
            column.likes / given if given < column.likes else 0.0
            for column, given in zip(columns, widths, strict=True)
        ]
        tallest = max(range(len(columns)), key=rows.__getitem__)
        if not rows[tallest]:
            break
        widths[tallest] += 1
    return widths


def _plain(cell: str | Text) -> Text:
    return cell if isinstance(cell, Text) else Text(one_line(cell))


def _longest_word(cells: Sequence[Text]) -> int:
    return max((cell_len(word) for cell in cells for word in cell.plain.split()), default=0)


def _show_entries(
    console: Console, headings: Sequence[str], rows: Sequence[Sequence[Text]]
) -> None:
    for row in rows:
        console.print(Text(row[0].plain, style="bold"))
        entry = Table.grid(padding=(0, _PADDING, 0, 0))
        entry.add_column(no_wrap=True)
        entry.add_column(overflow="fold")
        for heading, cell in zip(headings[1:], row[1:], strict=True):
            if cell:
                entry.add_row(Text(f"  {heading}"), cell)
        console.print(entry)
        console.print()
