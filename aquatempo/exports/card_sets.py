"""One set on a card: the move's name, its counts, and a row for each phrase that adds something.

Sizes follow common practice, no source: moves 36 to 48 pt, counts 28 to 36 pt, rows 20 pt and more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from aquatempo.exports.card_items import CardBox, CardPicture, CardSide, Rule, Text
from aquatempo.exports.deck_details import NEW_MARK
from aquatempo.exports.figure_picture import still_figure
from aquatempo.exports.lettering import LEADING, SQUEEZED_PERCENT, Lettering, fit
from aquatempo.exports.sheets import NARROWEST_PERCENT, Sheets
from aquatempo.records.deck import DeckRow, DeckSet
from aquatempo.units import clock

__all__ = [
    "ARROW",
    "LARGE",
    "SIZES",
    "SMALLEST_MOVE_PT",
    "TINY",
    "SetBlock",
    "TypeSizes",
    "set_block",
    "split_set",
]

SMALLEST_MOVE_PT = 36.0
LEAST_COUNTS_PT, MOST_COUNTS_PT = 28.0, 36.0
LEFT_WIDTH, LEFT_DENSE = 48.0, 38.0  # the set's number above its clock
BADGE = 20.0  # the black square behind a number
GAP, GAP_DENSE = 10.0, 7.0
PADDING, PADDING_DENSE = 4.0, 1.5
HATCH_WIDTH, HATCH_GAP = 16.0, 6.0
NARROWEST_BESIDE = 75.0  # narrower than this, a text takes another row
SHORT_ROW = 70.0  # a first row as short as this makes room for itself beside the name
FIGURE_WIDTH, FIGURE_HEIGHT = 66.0, 70.0  # 25 mm high: limbs tell apart at 2 m
FIGURE_DENSE_HEIGHT = 50.0
MOST_NAME_ROWS = 3  # of a name longer than anybody says
ARROW = " → "  # from one phrase to the next where they share a row


@dataclass(frozen=True, slots=True)
class TypeSizes:
    """Sizes of a side [pt].

    flows: rows of a set stand one behind the other. dense: for a side with many sets; names keep
    their size, what stands around them gets smaller and closer.
    """

    move_pt: float
    row_pt: float
    flows: bool = False
    dense: bool = False

    @property
    def least_move_pt(self) -> float:
        """Smallest size of a name that takes one row [pt]."""
        return min(self.move_pt, SMALLEST_MOVE_PT)

    @property
    def counts_pt(self) -> float:
        """Size of the counts of a set [pt]."""
        if self.dense:
            return self.row_pt
        return min(max(self.move_pt * 0.75, LEAST_COUNTS_PT), MOST_COUNTS_PT)

    @property
    def left(self) -> float:
        """Width of the column of numbers and clocks [pt]."""
        return LEFT_DENSE if self.dense else LEFT_WIDTH

    @property
    def gap(self) -> float:
        """Between a name and what stands beside it [pt]."""
        return GAP_DENSE if self.dense else GAP

    @property
    def padding(self) -> float:
        """Below a set [pt]."""
        return PADDING_DENSE if self.dense else PADDING

    @property
    def narrowest(self) -> float:
        """How narrow a name is set before its counts go below it [%]."""
        return NARROWEST_PERCENT if self.dense else NARROWEST_BESIDE

    @property
    def figure_height(self) -> float:
        """Height of a figure [pt]."""
        return FIGURE_DENSE_HEIGHT if self.dense else FIGURE_HEIGHT

    @property
    def clock_pt(self) -> float:
        """Size of a clock [pt]."""
        return 12.0 if self.dense else 14.0

    @property
    def row_height(self) -> float:
        """Height of a row [pt]."""
        return self.row_pt * 1.13


SIZES = tuple(
    TypeSizes(move_pt, row_pt, flows)
    for flows in (False, True)
    for move_pt, row_pt in ((48, 26), (44, 24), (40, 22), (36, 22), (36, 20))
) + tuple(TypeSizes(36, row_pt, flows=True, dense=True) for row_pt in (20, 18, 16))
LARGE = TypeSizes(48, 26)
TINY = TypeSizes(20, 9, flows=True)  # for a set of more words than a side holds otherwise


@dataclass(frozen=True)
class SetBlock:
    """A set laid out from its upper edge; height in pt."""

    set_: DeckSet
    side: CardSide
    height: float


def set_block(
    sheets: Sheets, set_: DeckSet, sizes: TypeSizes, width: float, without_sound: bool
) -> SetBlock:
    """Return a set laid out in a width [pt]. without_sound: its counts are written out.

    sheets: the document that measures texts; set_: the set; sizes: of its letters.
    """
    side = CardSide([Rule(0, 0, width, 0)])
    high = _figure(sheets, side, set_, sizes, width)
    x, room = sizes.left, width - sizes.left - (FIGURE_WIDTH if high else 0.0)
    rows = [row if without_sound else replace(row, spelled="") for row in set_.rows]
    rows = [row for row in rows if row.text or row.spelled]
    total = sheets.width_of(set_.total, sizes.counts_pt, "B") + 1
    name = _beside(sheets, set_, sizes, room - total - sizes.gap, rows)
    low = y = 1.0
    if name is not None:
        used = _width(sheets, name) + sizes.gap
        low += (sizes.move_pt - sizes.counts_pt) * 0.8
        side.write(sheets, x + room - total, low, total, set_.total, sizes.counts_pt, style="B")
        y += _put_name(side, name, sizes, x, room)
        base = 1.0 + (sizes.move_pt - sizes.row_pt) * 0.8
        rows = _first_row(
            sheets, side, rows, sizes, x + used, base, room - used - total - sizes.gap
        )
    else:
        y += _put_name(side, _alone(sheets, set_, sizes, room), sizes, x, room)
        low = y + (sizes.counts_pt - sizes.row_pt) * 0.8
        height = side.write(sheets, x, y, total, set_.total, sizes.counts_pt, style="B")
        rows = _first_row(
            sheets, side, rows, sizes, x + total + sizes.gap, low, room - total - sizes.gap
        )
        y += height
    for line in _lines(sheets, rows, sizes, room):
        if line[0].clock_s is not None:
            time = clock(line[0].clock_s)
            lower = (sizes.row_pt - sizes.clock_pt) * 0.8
            side.write(sheets, 0, y + lower, sizes.left - 6, time, sizes.clock_pt, least=9)
        y += _line(sheets, side, line, sizes, x, y, room)
    least = _left(sheets, side, set_, sizes)
    return SetBlock(set_, side, max(y, least, high) + sizes.padding)


def _figure(sheets: Sheets, side: CardSide, set_: DeckSet, sizes: TypeSizes, width: float) -> float:
    """Put what a set looks like at the right, where the book has it; return its height [pt]."""
    figure = sheets.figures.get(set_.figure)
    if figure is None or not figure.stages:
        return 0.0
    picture = still_figure(figure, figure.stages[0], set_.name, tight=True)
    x, high = width - FIGURE_WIDTH + 4, sizes.figure_height
    side.items.append(CardPicture(x, 3, FIGURE_WIDTH - 4, high - 2, picture))
    return high + 2


def split_set(set_: DeckSet) -> tuple[DeckSet, DeckSet] | None:
    """Return a set in two, for where it is too high for a side; None where it has one row."""
    middle = len(set_.rows) // 2
    if not middle:
        return None
    return replace(set_, rows=set_.rows[:middle]), replace(set_, rows=set_.rows[middle:])


def _beside(
    sheets: Sheets, set_: DeckSet, sizes: TypeSizes, room: float, rows: Sequence[DeckRow]
) -> Lettering | None:
    """Return the name laid out where its counts go beside it, and a short first row if it can."""
    short = 0.0
    if rows and _goes_beside(rows[0]):
        short = sheets.width_of(rows[0].text, sizes.row_pt) + 1 + sizes.gap
    for taken in (short, 0.0) if 0 < short < SHORT_ROW else (0.0,):
        laid = fit(
            sheets, set_.name, room - taken, sizes.move_pt, least=SMALLEST_MOVE_PT, style="B",
            narrowest=sizes.narrowest,
        )  # fmt: skip
        if len(laid.rows) == 1:
            return laid
    return None


def _goes_beside(row: DeckRow) -> bool:
    return bool(row.text) and not (row.joint or row.again)


def _alone(sheets: Sheets, set_: DeckSet, sizes: TypeSizes, room: float) -> Lettering:
    laid = fit(sheets, set_.name, room, sizes.move_pt, least=sizes.least_move_pt, style="B")
    if len(laid.rows) <= MOST_NAME_ROWS:
        return laid
    return fit(
        sheets, set_.name, room, sizes.least_move_pt, least=sizes.row_pt, style="B",
        most_rows=MOST_NAME_ROWS,
    )  # fmt: skip


def _put_name(side: CardSide, name: Lettering, sizes: TypeSizes, x: float, room: float) -> float:
    """Put a name so that its last row stands on the line of the counts; return the height."""
    lowered = (sizes.move_pt - name.size) * 0.8 if len(name.rows) == 1 else 0.0
    side.items.append(Text(x, 1.0 + lowered, room, name))
    return max(name.height, sizes.move_pt * LEADING)


def _width(sheets: Sheets, laid: Lettering) -> float:
    return max(
        sheets.width_of(row, laid.size, laid.style) * percent / 100 for row, percent in laid.rows
    )


def _first_row(
    sheets: Sheets,
    side: CardSide,
    rows: list[DeckRow],
    sizes: TypeSizes,
    x: float,
    y: float,
    room: float,
) -> list[DeckRow]:
    """Put the first row beside name or counts if it goes there; return the rows that are left."""
    if not rows or not _goes_beside(rows[0]):
        return rows
    width = sheets.width_of(rows[0].text, sizes.row_pt) + 1
    if width > room:
        return rows
    side.write(sheets, x, y, width, rows[0].text, sizes.row_pt)
    spelled = [DeckRow("", spelled=rows[0].spelled)] if rows[0].spelled else []
    return [*spelled, *rows[1:]]


def _lines(
    sheets: Sheets, rows: Sequence[DeckRow], sizes: TypeSizes, room: float
) -> list[list[DeckRow]]:
    """Return the rows of a set, each on a line of its own.

    Where rows flow, those between two joints share a text, and a joint stands behind it.
    """
    lines: list[list[DeckRow]] = []
    for row in rows:
        last = lines[-1][-1] if lines else None
        apart = row.again or (last is not None and last.again and not row.joint)
        if not sizes.flows or last is None or last.joint or row.spelled or last.spelled or apart:
            lines.append([row])
        elif row.joint:
            width = (sheets.width_of(last.text, sizes.row_pt) + GAP) * SQUEEZED_PERCENT / 100
            goes = width + _joint_width(sheets, row, sizes) <= room
            lines[-1:] = [[last, row]] if goes else [[last], [row]]
        else:
            text = row.text.removeprefix(f"{NEW_MARK} ").replace(f" {NEW_MARK} ", " ")
            lines[-1] = [replace(last, text=f"{last.text}{ARROW}{text}")]
    return lines


def _joint_width(sheets: Sheets, row: DeckRow, sizes: TypeSizes) -> float:
    return HATCH_WIDTH + HATCH_GAP + sheets.width_of(row.text, sizes.row_pt) + 1


def _line(
    sheets: Sheets,
    side: CardSide,
    line: Sequence[DeckRow],
    sizes: TypeSizes,
    x: float,
    y: float,
    room: float,
) -> float:
    """Put the rows of a line at a place and return its height [pt]."""
    height = 0.0
    for row in line:
        if row.joint:
            width = min(_joint_width(sheets, row, sizes), room)
            start = x + room - width if len(line) > 1 else x
            side.items.append(CardBox(start, y + 3, HATCH_WIDTH, sizes.row_height - 6, step=4.0))
            used = HATCH_WIDTH + HATCH_GAP
            told = side.write(
                sheets, start + used, y, width - used, row.text, sizes.row_pt, most_rows=2
            )
            height = max(height, sizes.row_height, told)
        elif row.text:
            taken = _joint_width(sheets, line[1], sizes) + GAP if len(line) > 1 else 0.0
            new = NEW_MARK in row.text and ARROW not in row.text and not taken
            style = "B" if new or row.again else ""
            laid = fit(
                sheets, row.text, room - taken, sizes.row_pt, style=style,
                narrowest=NARROWEST_BESIDE,
            )  # fmt: skip
            side.items.append(Text(x, y, room - taken, laid))
            height = max(height, sizes.row_height, laid.height)
        if row.spelled:
            height += side.write(
                sheets, x, y + height, room, row.spelled, sizes.row_pt, most_rows=9
            )
    return height


def _left(sheets: Sheets, side: CardSide, set_: DeckSet, sizes: TypeSizes) -> float:
    """Put the set's number beside the name and its clock below; return the height [pt]."""
    top = 3.0 if sizes.dense else 5.0
    side.items.append(CardBox(0, top, BADGE, BADGE, filled=True))
    side.write(
        sheets, 1, top + 1.5, BADGE - 2, f"{set_.number}", 15, style="B", centred=True, light=True
    )
    time, y = clock(set_.clock_s), top + BADGE + 2.0
    return y + side.write(sheets, 0, y, sizes.left - 6, time, sizes.clock_pt, least=9)
