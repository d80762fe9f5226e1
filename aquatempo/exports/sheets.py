"""What our printed sheets share: page sizes, fonts, fitting text, the foot of a page.

Made with fpdf2 (docs/design/deck.md argues the choice). Lengths are in points.
"""

from __future__ import annotations

import logging
from datetime import UTC, datetime
from functools import cached_property
from importlib import resources

from fpdf import FPDF
from fpdf.enums import XPos, YPos
from fpdf.fonts import TTFFont

from aquatempo.errors import UnknownNameError
from aquatempo.exports.labels import labels
from aquatempo.records.deck import DeckBook

__all__ = [
    "FOOT_HEIGHT",
    "MARGIN",
    "NARROWEST_PERCENT",
    "PAGE_SIZES_PT",
    "Sheets",
]

PAGE_SIZES_PT = {
    "a5": (419.53, 595.28),  # ISO 216: 148 x 210 mm
    "half-letter": (396.0, 612.0),  # 5.5 x 8.5 in, half of ANSI letter
}
MARGIN = 18.0
NARROWEST_PERCENT = 68.0  # letters set narrower than this are hard to read at 2 m
FOOT_HEIGHT = 40.0
PAGE_NUMBER_WIDTH = 78.0  # left-aligned: the number of pages is put in last
# One fixed date in the file's data: the same plan gives the same bytes.
EPOCH = datetime(2000, 1, 1, tzinfo=UTC)


class Sheets(FPDF):
    """A document of equal pages that end in the caution and ``page x of y``."""

    def __init__(self, book: DeckBook, size: str) -> None:
        """Open an empty document. Raises UnknownNameError for a size or language."""
        if size not in PAGE_SIZES_PT:
            raise UnknownNameError("page size", size, PAGE_SIZES_PT)
        super().__init__(unit="pt", format=PAGE_SIZES_PT[size])
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
        letters = set(repr(book))  # a record's text shows every string that it holds
        usual = self.fonts["text"]
        known = usual.cmap if isinstance(usual, TTFFont) else {}
        if any(ord(letter) not in known for letter in letters if letter.isprintable()):
            # The large font takes half a second to open: only where a name needs it.
            self._add_font("more", "", "DroidSansFallbackFull.ttf")
            self._add_font("more", "B", "DroidSansFallbackFull.ttf")
            self.set_fallback_fonts(["more"], exact_match=False)
        self.set_text_shaping(True)

    def _add_font(self, family: str, style: str, file: str) -> None:
        with resources.as_file(resources.files("aquatempo.exports") / "fonts" / file) as path:
            self.add_font(family, style, path)

    @cached_property
    def inner_width(self) -> float:
        """Width between the margins [pt]."""
        return float(self.w) - 2 * MARGIN

    def footer(self) -> None:
        """Write title, page number and caution; called by fpdf2 at the end of a page."""
        y = self.h - MARGIN - FOOT_HEIGHT + 5
        number_x = self.w - MARGIN - PAGE_NUMBER_WIDTH
        self.fitted(MARGIN, y, number_x - MARGIN - 6, self.title or "", 10, "B")
        self.set_font("text", "", 11)
        self.set_xy(number_x, y)
        number = self.words["page"].format(page=self.page_no(), pages="{pages}")
        self.cell(PAGE_NUMBER_WIDTH, 11, number, align="L")
        self.set_font("text", "", 8)
        self.set_xy(MARGIN, y + 13)
        self.multi_cell(self.inner_width, 8.8, self.words["caution"], align="L")

    def width_of(self, words: str, size: float, style: str = "") -> float:
        """Return how wide a line of text is at a size [pt].

        words: the line; style: "" or "B" for bold.
        """
        self.set_font("text", style, size)
        self.set_stretching(100)
        return float(self.get_string_width(words))

    def centred(
        self, x: float, y: float, width: float, words: str, size: float, style: str = ""
    ) -> None:
        """Write one line in the middle of a width.

        x: left edge [pt]; y: baseline [pt]; words: the line; size: of letters [pt]; style: ""
        or "B" for bold.
        """
        natural = min(self.width_of(words, size, style), width)
        self.fitted(x + (width - natural) / 2, y, natural + 0.5, words, size, style)

    def hatched(self, x: float, y: float, width: float, height: float, step: float) -> None:
        """Draw a box filled with slanted lines a step apart [pt].

        x: left edge; y: top; width: of the box; height: of it [pt].
        """
        self.set_line_width(1.0)
        with self.rect_clip(x, y, width, height):
            offset = -height
            while offset < width:
                self.line(x + offset, y + height, x + offset + height, y)
                offset += step
        self.rect(x, y, width, height, style="D")

    def fitted(
        self, x: float, y: float, width: float, words: str, size: float, style: str = ""
    ) -> None:
        """Write one line within a width: narrow the letters first, then cut with an ellipsis.

        x: left edge [pt]; y: baseline [pt]; words: the line; size: of letters [pt]; style: ""
        or "B" for bold.
        """
        natural = self.width_of(words, size, style)
        if natural > width:
            percent = max(100.0 * width / natural * 0.995, NARROWEST_PERCENT)
            while len(words) > 1 and self.get_string_width(words) * percent / 100 > width:
                words = words.rstrip("…")[:-1].rstrip() + "…"
            self.set_stretching(percent)
        self.set_xy(x, y)
        self.cell(width, size * 1.05, words, new_x=XPos.LEFT, new_y=YPos.TOP)
        self.set_stretching(100)
