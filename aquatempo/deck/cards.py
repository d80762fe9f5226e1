"""The cards of a class, laid out before anything is written: how many sides each takes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from aquatempo.deck.export_options import ExportOptions
from aquatempo.records.deck import DeckBook, SheetCount

if TYPE_CHECKING:
    from aquatempo.exports.card_items import CardSide

__all__ = ["CARDS", "CardFile", "card_files"]

# format: file, form, without sound
CARDS = {
    "card": ("deck_card.pdf", "song", False),
    "compact": ("deck_card_compact.pdf", "compact", False),
    "large": ("deck_card_large.pdf", "large", False),
    "silent": ("deck_card_without_sound.pdf", "song", True),
}


@dataclass(frozen=True)
class CardFile:
    """A card to be written to a file."""

    file: str
    book: DeckBook
    paper: str
    form: str = "song"
    without_sound: bool = False
    two_sided: bool = False

    @cached_property
    def sides(self) -> list[CardSide]:
        """Its sides, laid out."""
        from aquatempo.exports.card import card_sides
        from aquatempo.exports.sheets import Sheets

        measure = Sheets(self.book, self.paper)
        sides = card_sides(measure, self.book, self.without_sound, self.form)
        measure.release()
        return sides

    @property
    def count(self) -> SheetCount:
        """How many sides it has, and on how many sheets of paper."""
        from aquatempo.exports.sheets import PAPERS, sides_in_order

        sides, faces = len(self.sides), 2 if self.two_sided else 1
        pages = len(sides_in_order(PAPERS[self.paper], sides, self.two_sided))
        return SheetCount(self.file, self.paper, sides, -(-pages // faces))

    def pdf(self) -> bytes:
        """Return the PDF."""
        from aquatempo.exports.card import draw_sides
        from aquatempo.exports.sheets import Sheets

        return draw_sides(Sheets(self.book, self.paper), self.sides, self.two_sided)


def card_files(book: DeckBook, options: ExportOptions) -> list[CardFile]:
    """Return the cards of the class as a whole that are asked for.

    book: the class; options: what is asked for.
    """
    return [
        CardFile(file, book, options.paper, form, silent, options.two_sided)
        for name, (file, form, silent) in CARDS.items()
        if name in options.only
    ]
