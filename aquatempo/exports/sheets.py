"""What our printed sheets share: page sizes, fonts, drawing within a side, the foot of a page.

Made with fpdf2 (docs/design/deck.md argues the choice). Lengths are in points. A side is A5 or
half a letter page; on A4 and letter two of them stand side by side, and whatever is drawn goes to
the side that is open.
"""

from __future__ import annotations

import logging
import unicodedata
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property
from importlib import resources

from fpdf import FPDF
from fpdf.enums import XPos, YPos
from fpdf.fonts import TTFFont

from aquatempo.errors import UnknownNameError
from aquatempo.exports.labels import labels
from aquatempo.exports.svg_shapes import outlines
from aquatempo.records.deck import DeckBook

__all__ = [
    "FOOT_HEIGHT",
    "MARGIN",
    "NARROWEST_PERCENT",
    "PAPERS",
    "Paper",
    "Sheets",
    "sides_in_order",
]


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper [pt], and of the sides on it: one that fills it, or two."""

    width: float
    height: float
    sides: int = 1

    @property
    def side_width(self) -> float:
        """Width of a side [pt]."""
        return self.width / self.sides


PAPERS = {
    "a5": Paper(419.53, 595.28),  # ISO 216: 148 x 210 mm
    "half-letter": Paper(396.0, 612.0),  # 5.5 x 8.5 in, half of ANSI letter
    "a4": Paper(841.89, 595.28, 2),  # ISO 216: 297 x 210 mm, lying
    "letter": Paper(792.0, 612.0, 2),  # ANSI: 11 x 8.5 in, lying
}
MARGIN = 18.0
NARROWEST_PERCENT = 68.0  # letters set narrower than this are hard to read at 2 m
FOOT_HEIGHT = 40.0
PAGE_NUMBER_WIDTH = 78.0  # left-aligned: the number of pages is put in last
MEASURED_PT = 100.0
MARK_LENGTH = 14.0  # of fold and cut marks
# One fixed date in the file's data: the same plan gives the same bytes.
EPOCH = datetime(2000, 1, 1, tzinfo=UTC)


def _stands_alone(letter: str) -> bool:
    """Return whether a letter is drawn as it is whatever stands beside it."""
    western = letter < "\u0300" or "\u0370" <= letter < "\u0530" or "\u1e00" <= letter < "\u2c00"
    return western and not unicodedata.category(letter).startswith("M")


class Sheets(FPDF):
    """A document of sides; running: its pages end in the caution and ``page x of y``."""

    def __init__(self, book: DeckBook, size: str, running: bool = False) -> None:
        """Open an empty document. Raises UnknownNameError for a size or language."""
        if size not in PAPERS:
            raise UnknownNameError("page size", size, PAPERS)
        self.paper = PAPERS[size]
        upright = running and self.paper.sides == 2  # a text to read takes the page as it stands
        width, height = self.paper.width, self.paper.height
        super().__init__(unit="pt", format=(height, width) if upright else (width, height))
        self.running = running
        self.side_width = height if upright else self.paper.side_width
        self._widths: dict[tuple[str, str], float] = {}  # at a point of size
        self.left = 0.0  # where the open side starts on its page
        self.words = labels(book.language)
        self.set_lang(book.language)
        self.set_title(book.title)
        self.set_creator("aquatempo")
        self.set_creation_date(EPOCH)
        self.set_margins(MARGIN, MARGIN, MARGIN)
        self.c_margin = 0.0  # text starts where it is put
        self.set_auto_page_break(False, margin=MARGIN + FOOT_HEIGHT)
        self.alias_nb_pages("{pages}")
        logging.getLogger("fontTools").setLevel(logging.ERROR)  # it tells of each subset
        self._add_font("text", "", "DejaVuSansCondensed.ttf")
        self._add_font("text", "B", "DejaVuSansCondensed-Bold.ttf")
        self.figures = dict(book.figures)
        letters = set(
            repr(replace(book, figures=()))
        )  # a record's text shows every string that it holds
        usual = self.fonts["text"]
        known = usual.cmap if isinstance(usual, TTFFont) else {}
        if any(ord(letter) not in known for letter in letters if letter.isprintable()):
            # The large font takes half a second to open: only where a name needs it.
            self._add_font("more", "", "DroidSansFallbackFull.ttf")
            self._add_font("more", "B", "DroidSansFallbackFull.ttf")
            self.set_fallback_fonts(["more"], exact_match=False)
        # Shaping takes half the time of a sheet, and the letters that stand alone gain nothing.
        self.set_text_shaping(not all(_stands_alone(letter) for letter in letters))

    def _add_font(self, family: str, style: str, file: str) -> None:
        with resources.as_file(resources.files("aquatempo.exports") / "fonts" / file) as path:
            self.add_font(family, style, path)

    @cached_property
    def inner_width(self) -> float:
        """Width of a side between its margins [pt]."""
        return self.side_width - 2 * MARGIN

    def footer(self) -> None:
        """Write title, page number and caution; called by fpdf2 at the end of a page."""
        if not self.running:
            return
        y = self.h - MARGIN - FOOT_HEIGHT + 5
        number_x = self.w - MARGIN - PAGE_NUMBER_WIDTH
        title_width = number_x - MARGIN - 6
        title = self.title or ""
        natural = self.width_of(title, 10, "B")
        self.set_font("text", "B", 10 * min(1.0, title_width / max(natural, 1.0)))
        self.set_xy(MARGIN, y)
        self.cell(title_width, 11, title)
        self.set_font("text", "", 11)
        self.set_xy(number_x, y)
        number = self.words["page"].format(page=self.page_no(), pages="{pages}")
        self.cell(PAGE_NUMBER_WIDTH, 11, number, align="L")
        self.set_font("text", "", 8)
        self.set_xy(MARGIN, y + 13)
        self.multi_cell(self.inner_width, 8.8, self.words["caution"], align="L")

    def open_side(self, place: int) -> None:
        """Draw on a side from now on; place 0 turns the page."""
        if place == 0:
            self.add_page()
            self._marks()
        self.left = place * self.side_width

    def _marks(self) -> None:
        """Mark where two sides part: a dashed fold above and below, to cut along."""
        if self.paper.sides == 1:
            return
        middle = self.side_width
        self.set_line_width(0.6)
        self.set_dash_pattern(dash=3, gap=2)
        for start in (0.0, self.h - MARK_LENGTH):
            self.line(middle, start, middle, start + MARK_LENGTH)
        self.set_dash_pattern()

    def width_of(self, words: str, size: float, style: str = "") -> float:
        """Return how wide a line of text is at a size [pt].

        words: the text; style: "B" for bold.
        """
        if (words, style) not in self._widths:
            self.set_font("text", style, MEASURED_PT)
            self.set_stretching(100)
            self._widths[words, style] = float(self.get_string_width(words)) / MEASURED_PT
        return self._widths[words, style] * size

    def write_line(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        style: str = "",
        percent: float = 100.0,
        light: bool = False,
    ) -> None:
        """Write one line of text, its letters as wide as percent of the usual.

        words: the text; size: of letters [pt]; style: "B" for bold; light: white on black.
        """
        self.set_font("text", style, size)
        self.set_stretching(percent)
        self.set_text_color(255 if light else 0)
        self.set_xy(self.left + x, y)
        width = float(self.get_string_width(words)) + 1
        self.cell(width, size * 1.05, words, new_x=XPos.LEFT, new_y=YPos.TOP)
        self.set_stretching(100)
        self.set_text_color(0)

    def rule(self, x1: float, y1: float, x2: float, y2: float, weight: float) -> None:
        """Draw a line on the side.

        x1: start; y1: start; x2: end; y2: end [pt]; weight: of the line [pt].
        """
        self.set_line_width(weight)
        self.line(self.left + x1, y1, self.left + x2, y2)

    def box(
        self, x: float, y: float, width: float, height: float, *, filled: bool, weight: float = 1.0
    ) -> None:
        """Draw a box on the side, black where filled, with an edge.

        width: [pt]; height: [pt]; weight: of the line [pt].
        """
        self.set_line_width(weight)
        self.set_fill_color(0 if filled else 255)
        self.rect(self.left + x, y, width, height, style="DF")
        self.set_fill_color(0)

    def hatched(self, x: float, y: float, width: float, height: float, step: float) -> None:
        """Draw a box filled with slanted lines a step apart [pt].

        width: [pt]; height: [pt].
        """
        x += self.left
        self.set_line_width(1.0)
        with self.rect_clip(x, y, width, height):
            offset = -height
            while offset < width:
                self.line(x + offset, y + height, x + offset + height, y)
                offset += step
        self.rect(x, y, width, height, style="D")

    def picture(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        picture: str,
        left: bool = False,
    ) -> None:
        """Draw a picture in the middle of a box, as large as goes there.

        x, y: corner of the box; width, height: of it [pt]; picture: SVG without text;
        left: at its left edge.
        """
        (start, top, wide, high), shapes = outlines(picture)
        scale = min(width / wide, height / high)
        x += self.left + (0.0 if left else (width - wide * scale) / 2)
        y += (height - high * scale) / 2
        with (
            self.rect_clip(x, y, wide * scale, high * scale),  # tiles that go by reach beyond it
            self.local_context(stroke_cap_style="round", stroke_join_style="round"),
        ):
            for one in shapes:
                if one.fill:
                    self.set_fill_color(one.fill)
                if one.stroke:
                    self.set_draw_color(one.stroke)
                    self.set_line_width(one.width * scale)
                    self.set_dash_pattern(dash=0.1 if one.dots else 0, gap=one.dots * scale)
                self.polyline(
                    [(x + (px - start) * scale, y + (py - top) * scale) for px, py in one.points],
                    polygon=one.closed,
                    style=("F" if one.fill else "") + ("D" if one.stroke else ""),
                )
            self.set_dash_pattern()

    def release(self) -> None:
        """Close the fonts of a document that was only measured with and is not written."""
        for font in self.fonts.values():
            if isinstance(font, TTFFont):
                font.close()


def sides_in_order(
    paper: Paper, count: int, two_sided: bool = False
) -> tuple[tuple[int, ...], ...]:
    """Return which sides stand on each page, so that a stack cut in the middle is in order.

    Sides are counted from 0, -1 is empty. The left half of the cut stack goes on top of the
    right one. two_sided: pages are printed on both faces, turned at the short edge.

    paper: the sheets; count: sides in all.

    >>> sides_in_order(PAPERS["a4"], 5)
    ((0, 3), (1, 4), (2, -1))
    >>> sides_in_order(PAPERS["a4"], 6, two_sided=True)
    ((0, 4), (5, 1), (2, -1), (-1, 3))
    """
    if paper.sides == 1:
        return tuple((number,) for number in range(count))
    faces = 2 if two_sided else 1
    leaves = -(-count // faces)
    left = -(-leaves // 2)  # the left half takes the first leaves of the stack
    pages = []
    for leaf in range(left):
        for face in range(faces):
            pair = [faces * leaf + face, faces * (leaf + left) + face]
            ordered = pair[::-1] if face else pair
            pages.append(tuple(side if side < count else -1 for side in ordered))
    return tuple(pages)
