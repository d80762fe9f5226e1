"""A table that gives up columns, then wraps words, before it becomes a list of entries."""

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
_READABLE = 20  # a free text column below this many cells is no longer a pleasure


def show_table(
    console: Console,
    headings: Sequence[str],
    rows: Sequence[Sequence[str | Text]],
    *,
    numbers: Sequence[str] = (),
    free_text: str = "",
    spare: Sequence[str] = (),
) -> None:
    """Print rows under headings; where they do not fit the width, one entry below the other.

    numbers: headings of columns set flush right; free_text: the column that may wrap. console:
    the terminal. spare: columns that a narrow terminal does without, the first first; a line
    below says which. Where that does not do it, all words but those of numbers wrap.
    """
    told = [[_plain(cell) for cell in row] for row in rows]
    left_out: list[str] = []
    wrapped = {free_text}
    while _needed_width(headings, told, wrapped) > console.width:
        if len(left_out) < len(spare):
            left_out.append(spare[len(left_out)])
            kept = [number for number, name in enumerate(headings) if name != left_out[-1]]
            headings = [headings[number] for number in kept]
            told = [[row[number] for number in kept] for row in told]
        elif len(wrapped) == 1:
            wrapped |= {heading for heading in headings if heading not in numbers}
        else:
            _show_entries(console, headings, told)
            return
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, _PADDING, 0, 0))
    for column, heading in enumerate(headings):
        least = _longest_word([row[column] for row in told]) if heading in wrapped else 0
        table.add_column(
            Text(heading),
            justify="right" if heading in numbers else "left",
            no_wrap=heading not in wrapped,
            min_width=max(least, _longest_word([Text(heading)])) if least else None,
            overflow="fold",
        )
    for row in told:
        table.add_row(*row)
    console.print(table)
    if left_out:
        console.print(f"Not shown for want of width: {', '.join(left_out)}.")


def _plain(cell: str | Text) -> Text:
    return cell if isinstance(cell, Text) else Text(one_line(cell))


def _longest_word(cells: Sequence[Text]) -> int:
    return max((cell_len(word) for cell in cells for word in cell.plain.split()), default=0)


def _needed_width(
    headings: Sequence[str], rows: Sequence[Sequence[Text]], wrapped: set[str]
) -> int:
    needed = _BORDER
    for column, heading in enumerate(headings):
        cells = [Text(heading), *(row[column] for row in rows)]
        widest = max(cell.cell_len for cell in cells)
        if heading in wrapped:
            readable = _READABLE if len(wrapped) == 1 else 0
            widest = min(widest, max(_longest_word(cells), readable))
        needed += _BORDER + _PADDING + widest
    return needed


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
