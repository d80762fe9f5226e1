"""What stands on which side of a deck card, and how large.

Sizes follow common practice, no source: moves 36 to 48 pt, counts 28 to 36 pt, notes 20 pt,
at most eight lines a side. As few sides as the smallest sizes need; then every detail,
then the largest type that still fits; then lines spread over the side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from aquatempo.exports.deck_details import newest_first
from aquatempo.exports.sheets import NARROWEST_PERCENT, Sheets
from aquatempo.records.deck import DeckLine, DeckTrack
from aquatempo.records.rhythm import PhraseKind

__all__ = [
    "CLOCK_GAP",
    "CardRow",
    "LEFT_WIDTH",
    "NOTE_PT",
    "NOTE_ROW",
    "arrange",
    "counts_pt",
    "name_height",
]

SMALLEST_MOVE_PT, LARGEST_MOVE_PT = 36, 48
LARGEST_COUNTS_PT = 36.0
NOTE_PT = 20.0
NOTE_ROW = NOTE_PT * 1.12
MOST_LINES = 8
NOTE_ROWS, COUNT_ROWS = 2, 3  # at most, with and without sound
LEFT_WIDTH = 74.0  # counts above the line's number and the clock
CLOCK_GAP = 5.0
PADDING = 5.0
MOST_SPREAD = 18.0
SQUEEZE = 0.85  # words are set as narrow as this before they get smaller or take another row
LONG_NAME_PT = 28.0


@dataclass(frozen=True, slots=True)
class CardRow:
    """A line of the card, laid out. number: its place in the track, from 1; sizes in pt."""

    number: int
    line: DeckLine
    name: str
    name_pt: float
    notes: tuple[str, ...]
    height: float


def name_height(move_pt: float) -> float:
    """Return the height of a row of a name [pt]."""
    return move_pt * 1.08 + 2.0


def counts_pt(move_pt: float) -> float:
    """Return the size of the counts beside a name [pt].

    >>> counts_pt(36), counts_pt(48)
    (30.0, 36.0)
    """
    return min(move_pt * 30 / 36, LARGEST_COUNTS_PT)


def arrange(
    sheets: Sheets, track: DeckTrack, room: float, without_sound: bool
) -> tuple[float, list[list[CardRow]]]:
    """Return the size of the moves [pt] and the rows of each side, room [pt] high.

    sheets: the paper; track: its lines; without_sound: counts written out.
    """
    row_choices = (COUNT_ROWS,) if without_sound else (NOTE_ROWS, 1)

    def rows_at(move_pt: float, most: int) -> list[CardRow]:
        return [*_rows(sheets, track, move_pt, most, without_sound)]

    fewest = len(_packed(rows_at(SMALLEST_MOVE_PT, row_choices[-1]), room))
    for most in row_choices:
        for move_pt in range(LARGEST_MOVE_PT, SMALLEST_MOVE_PT - 1, -2):
            rows = rows_at(move_pt, most)
            if len(_packed(rows, room)) <= fewest:
                return move_pt, [_spread(side, room) for side in _balanced(rows, room, fewest)]
    raise AssertionError("the smallest sizes fit as many sides as they need")


def _rows(
    sheets: Sheets, track: DeckTrack, move_pt: float, most: int, without_sound: bool
) -> Iterator[CardRow]:
    width = sheets.inner_width - LEFT_WIDTH
    before: DeckLine | None = None
    for number, line in enumerate(track.lines, 1):
        details = newest_first(line, before, sheets.words)
        before = line
        if without_sound:
            parts = line.spelled.split(", ")
            notes = _wrapped(sheets, parts, ", ", width, most, to_the_end=True)
        else:
            notes = _wrapped(sheets, details, " · ", width, most, to_the_end=False)
        height = name_height(move_pt) + max(len(notes), 1) * NOTE_ROW + PADDING
        yield CardRow(number, line, *_name(sheets, line, width, move_pt), notes, height)


def _name(sheets: Sheets, line: DeckLine, width: float, move_pt: float) -> tuple[str, float]:
    """Return the longest of a move's names that fits, and its size [pt].

    A name is set a little narrower first, then smaller, then narrower still; then the short
    name is tried; one that never fits is set below the usual sizes, and cut at last.
    """
    names = [name for name in (line.name, line.short_name) if name]
    if line.kind is not PhraseKind.PHRASE:
        names = [f"{sheets.words[line.kind]}: {name}" for name in names]
    for name in names:
        natural = sheets.width_of(name, 1.0, "B")
        size = min(move_pt, width / SQUEEZE / natural)
        if size >= SMALLEST_MOVE_PT:
            return name, size
        if natural * SMALLEST_MOVE_PT * NARROWEST_PERCENT / 100 <= width:
            return name, SMALLEST_MOVE_PT
    return names[-1], LONG_NAME_PT


def _wrapped(
    sheets: Sheets, parts: Sequence[str], joint: str, width: float, most: int, to_the_end: bool
) -> tuple[str, ...]:
    """Return parts joined in rows; to_the_end: the last row takes all that is left.

    Otherwise parts that find no room are left out, from the end.
    """
    rows = [""]
    room = width / SQUEEZE
    for number, part in enumerate(parts):
        joined = f"{rows[-1]}{joint}{part}" if rows[-1] else part
        if not rows[-1] or sheets.width_of(joined, NOTE_PT) <= room:
            rows[-1] = joined
        elif len(rows) < most:
            rows[-1] += joint.rstrip() if to_the_end else ""
            rows.append(part)
        elif to_the_end:
            rows[-1] = joint.join((rows[-1], *parts[number:]))
            break
        else:
            break
    return tuple(row for row in rows if row)


def _packed(rows: Sequence[CardRow], room: float) -> list[list[CardRow]]:
    """Fill side after side."""
    sides: list[list[CardRow]] = []
    left = 0.0
    for row in rows:
        if not sides or row.height > left or len(sides[-1]) == MOST_LINES:
            sides.append([])
            left = room
        sides[-1].append(row)
        left -= row.height
    return sides


def _balanced(rows: Sequence[CardRow], room: float, sides: int) -> list[list[CardRow]]:
    """Fill no more sides than given, as evenly as can be."""
    low, high = 0.0, room
    while high - low > 1.0:
        middle = (low + high) / 2
        if len(_packed(rows, middle)) <= sides:
            high = middle
        else:
            low = middle
    return _packed(rows, high)


def _spread(side: Sequence[CardRow], room: float) -> list[CardRow]:
    spare = room - sum(row.height for row in side)
    more = min(max(spare, 0.0) / len(side), MOST_SPREAD)
    return [replace(row, height=row.height + more) for row in side]
