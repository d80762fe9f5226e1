"""The compact card: a class on two sides, a line a move, for who knows it."""

from __future__ import annotations

from collections.abc import Iterator

from aquatempo.exports.card_frame import foot
from aquatempo.exports.card_items import CardSide, Rule
from aquatempo.exports.card_sets import ARROW
from aquatempo.exports.deck_details import NEW_MARK, heard_to
from aquatempo.exports.sheets import MARGIN, Sheets
from aquatempo.records.deck import DeckBook, DeckSet, DeckTrack

__all__ = ["compact_sides"]

SIDES = 2
LARGEST_PT, SMALLEST_PT, STEP_PT = 17.0, 6.0, 0.5
MOST_COLUMNS = 2  # of a long class: a line a move leaves half a row empty
GAP, COLUMN_GAP = 2.0, 14.0
MOST_ROWS_BESIDE = 2  # more go below the name, over the whole width
ROOM_FOR_ROWS = 0.4  # of a line: beside a name that leaves less only what fits one row
FOOT = 24.0


def compact_sides(sheets: Sheets, book: DeckBook) -> list[CardSide]:
    """Return the sides of a class in the largest type that puts it on two, with all it says.

    Where the smallest type that can be read in the hand does not do it, there are more.
    sheets: the document that measures texts; book: the class.
    """
    sides: list[CardSide] = []
    size = LARGEST_PT
    while size >= SMALLEST_PT:
        tried = (_packed(sheets, book, size, columns) for columns in range(1, MOST_COLUMNS + 1))
        sides = min(tried, key=len)
        if len(sides) <= SIDES:
            break
        size -= STEP_PT
    for number, side in enumerate(sides, 1):
        foot(sheets, side, book.title, (number, len(sides)))
    return sides


def _packed(sheets: Sheets, book: DeckBook, size: float, columns: int) -> list[CardSide]:
    room = sheets.paper.height - 2 * MARGIN - FOOT
    width = (sheets.inner_width - (columns - 1) * COLUMN_GAP) / columns
    sides: list[CardSide] = []
    y, column = room, columns - 1
    for block, height in _blocks(sheets, book, size, width):
        if y + height > room:
            y, column = 0.0, column + 1
            if column == columns:
                sides.append(CardSide())
                column = 0
        sides[-1].add(block, MARGIN + column * (width + COLUMN_GAP), MARGIN + y)
        y += height
    return sides


def _blocks(
    sheets: Sheets, book: DeckBook, size: float, width: float
) -> Iterator[tuple[CardSide, float]]:
    """Yield what stays together, and its height [pt]: a title with the first move, a move."""
    for number, track in enumerate(book.tracks, 1):
        side, y = CardSide([Rule(0, 0, width, 0)]), 1.0
        y += _title(sheets, side, number, track, size, width)
        for one in track.sets:
            y += _set(sheets, side, one, y, size, width)
            yield side, y + (GAP if one is track.sets[-1] else 0.0)
            side, y = CardSide(), 0.0
        if not track.sets:
            yield side, y + GAP


def _title(
    sheets: Sheets, side: CardSide, number: int, track: DeckTrack, size: float, width: float
) -> float:
    """Put a song's title and, beside it, how it starts and ends and how fast it is."""
    tempo = f"{track.tempo_bpm:.0f} bpm" if track.file_name else sheets.words["by_clock"]
    told = (track.start, heard_to(track, sheets.words), track.ending, tempo)
    facts = " · ".join(part for part in told if part)
    title, taken = f"{number}  {track.title}", sheets.width_of(facts, size)
    if sheets.width_of(title, size, "B") + 8 + taken <= width:
        side.write(sheets, width - taken, 1, taken + 1, facts, size)
        return side.write(sheets, 0, 1, width - taken - 8, title, size, style="B")
    used = side.write(sheets, 0, 1, width, title, size, style="B", most_rows=3)
    return used + side.write(sheets, 0, 1 + used, width, facts, size, most_rows=3)


def _set(
    sheets: Sheets, side: CardSide, one: DeckSet, y: float, size: float, width: float
) -> float:
    """Put a move and what is done with it on a line; return the height that it takes [pt]."""
    told = [f"[{row.text}]" if row.joint else row.text for row in one.rows if row.text]
    words = ARROW.join(told).replace(f"{ARROW}{NEW_MARK} ", ARROW)
    start = sheets.width_of("00:0", size)
    side.write(sheets, 0, y, start, f"{one.number}", size)
    room = width - start
    name = f"{one.name}  {one.total}"
    width = sheets.width_of(name, size, "B") + size * 0.7
    left = room - width
    rows = MOST_ROWS_BESIDE if left > room * ROOM_FOR_ROWS else 1
    if not words or sheets.width_of(words, size) > rows * max(left, 0.0):
        used = side.write(sheets, start, y, room, name, size, style="B", most_rows=3)
        below = side.write(sheets, start, y + used, room, words, size, most_rows=99) if words else 0
        return used + below
    used = side.write(sheets, start, y, width, name, size, style="B")
    beside = side.write(sheets, start + width, y, left, words, size, most_rows=99)
    return max(used, beside)
