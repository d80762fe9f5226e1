"""The likely slip in a line of TOML that a person wrote by hand."""

from __future__ import annotations

import re

__all__ = ["likely_slip"]

LONGEST, LONGEST_ROW = 200_000, 1_000  # characters
_CURLY = "“”„‟″‘’‚«»"
_PAIR = re.compile(r"\s*(?P<key>[^=#\s][^=#]*?)\s*=\s*(?P<value>.*?)\s*$")
_COMMENT = re.compile(r"\s#.*$")
_DECIMAL_COMMA = re.compile(r"[-+]?\d+,\d+")
_WITH_UNIT = re.compile(r"([-+]?\d+(?:[.,]\d+)?)\s*([A-Za-z%°²]+[\w/²]*)")
_CLOCK = re.compile(r"\d+:\d\d(:\d\d)?")
_WORDS = re.compile(r"[^\W\d_][^\"'\[\]{}]*")
_USUAL = {"true", "false", "inf", "nan"}


def likely_slip(text: str, line: int | None) -> tuple[int | None, str]:
    """Return the line of the slip and what it is, "" where none is recognised.

    text: the whole file; line: where reading it stopped, None at its end.

    >>> likely_slip('length = 3:20', 1)
    (1, 'a time needs quotes: length = "3:20"')
    >>> likely_slip('minutes = 45 min', 1)
    (1, 'a number is written without its unit: minutes = 45')
    """
    if len(text) > LONGEST:
        return line, ""
    rows = text.splitlines()
    if line is None or line > len(rows):
        opened = _left_open(rows)
        return (opened, "the bracket [ opened here is never closed") if opened else (line, "")
    if any(len(row) > LONGEST_ROW for row in rows[:line]):  # nobody writes such by hand
        return line, ""
    row = _COMMENT.sub("", rows[line - 1])
    curly = next((letter for letter in row if letter in _CURLY), "")
    if curly:
        straight = re.sub(f"[{_CURLY}]", '"', row).strip()
        return line, f"curly quotes ({curly}): needs straight ones: {straight}"
    found = _PAIR.match(row)
    if found is None:
        opened = _left_open(rows[:line])
        return (opened, "the bracket [ opened here is never closed") if opened else (line, "")
    key, value = found["key"], found["value"]
    slip = _slip_in(key, value)
    opened = None if slip else _left_open(rows[: line - 1])
    return (opened, "the bracket [ opened here is never closed") if opened else (line, slip)


def _slip_in(key: str, value: str) -> str:
    if not value:
        return f"nothing stands after {key} ="
    if value.count('"') % 2:
        return f'a quote is missing: {key} = "{value.strip(chr(34))}"'
    if _DECIMAL_COMMA.fullmatch(value):
        return f"a decimal point, not a comma: {key} = {value.replace(',', '.')}"
    if _CLOCK.fullmatch(value):
        return f'a time needs quotes: {key} = "{value}"'
    unit = _WITH_UNIT.fullmatch(value)
    if unit:
        return f"a number is written without its unit: {key} = {unit[1].replace(',', '.')}"
    if value.count("[") > value.count("]"):
        return "the bracket [ opened here is never closed"
    if _WORDS.fullmatch(value) and value not in _USUAL:
        return f'text needs quotes: {key} = "{value}"'
    return ""


def _left_open(rows: list[str]) -> int | None:
    """Return the line of the first bracket of a value that the rows do not close."""
    open_rows: list[int] = []
    for number, row in enumerate(rows, 1):
        bare = re.sub(r'"[^"]*"|\'[^\']*\'', "", _COMMENT.sub("", row))
        if not open_rows and "=" not in bare:  # a heading has brackets of its own
            continue
        value = bare if open_rows else bare.partition("=")[2]
        for letter in value:
            if letter == "[":
                open_rows.append(number)
            elif letter == "]" and open_rows:
                open_rows.pop()
    return open_rows[0] if open_rows else None
