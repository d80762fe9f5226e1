"""Comma-separated values (RFC 4180) that no spreadsheet calculates and no terminal obeys."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

__all__ = ["csv_text"]

# What makes spreadsheets calculate, or take a cell apart, where a text starts with it.
# An apostrophe that stands before one is doubled, so that ours can be told from it.
_FORMULA = re.compile(r"'*[-=+@\t\r\n＝＋－＠]")
_NUMBER = re.compile(r"[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?")
# Control characters but tab and line feed, halves of characters that UTF-8 cannot hold, and
# the backslash of what looks like one of these written out.
_UNSAFE = re.compile(r"[\0-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]|\\(?=u[0-9a-f]{4})")


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    r"""Return the text of a table with a header, lines ending in CR LF.

    A text that a spreadsheet would calculate (a song named "=1+1") follows an apostrophe,
    which spreadsheets hide; numbers, negative ones too, stay as they are. A control character
    (a terminal obeys some) is written out as in JSON. Nothing is lost: docs/data_format.md says
    how to read the text back. columns: names in the header; rows: cells in the order of the
    columns.

    >>> csv_text(["title", "shift"], [["=1+1", -3]])
    "title,shift\r\n'=1+1,-3\r\n"
    """
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(columns)
    table.writerows([_cell(value) for value in row] for row in rows)
    return out.getvalue()


def _cell(value: object) -> object:
    if not isinstance(value, str):
        return value
    text = _UNSAFE.sub(lambda found: f"\\u{ord(found[0]):04x}", value)
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text
