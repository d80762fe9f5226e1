"""Comma-separated values (RFC 4180) whose texts no spreadsheet takes for formulas."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

__all__ = ["csv_text"]

# What makes spreadsheets calculate, or take a cell apart, where a text starts with it.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    r"""Return the text of a table with a header, lines ending in CR LF.

    A text that a spreadsheet would calculate (a song named "=1+1") follows an apostrophe,
    which spreadsheets hide; numbers, negative ones too, stay as they are. columns: names in
    the header; rows: cells in the order of the columns.

    >>> csv_text(["title", "shift"], [["=1+1", -3]])
    "title,shift\r\n'=1+1,-3\r\n"
    """
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(columns)
    table.writerows([_cell(value) for value in row] for row in rows)
    return out.getvalue()


def _cell(value: object) -> object:
    if not isinstance(value, str) or not value.startswith(_FORMULA) or _is_number(value):
        return value
    return f"'{value}"


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
