"""What a side of a card consists of, before it is drawn: texts and shapes with their places.

Places are in points from the upper left corner of the side.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from aquatempo.exports.lettering import Lettering, fit
from aquatempo.exports.sheets import Sheets

__all__ = ["CardBox", "CardSide", "CardPicture", "Rule", "Text"]


@dataclass(frozen=True, slots=True)
class Text:
    """A laid-out text and the width that it has. light: white, on black."""

    x: float
    y: float
    width: float
    lettering: Lettering
    light: bool = False


@dataclass(frozen=True, slots=True)
class CardBox:
    """A rectangle: black, white or hatched (its lines step [pt] apart), with an edge."""

    x: float
    y: float
    width: float
    height: float
    filled: bool = False
    step: float = 0.0


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line of a weight [pt]."""

    x1: float
    y1: float
    x2: float
    y2: float
    weight: float = 0.6


@dataclass(frozen=True, slots=True)
class CardPicture:
    """A picture, SVG without text, and the box that it stands in."""

    x: float
    y: float
    width: float
    height: float
    picture: str


@dataclass
class CardSide:
    """One side: its texts and shapes, in the order in which they are drawn."""

    items: list[Text | CardBox | Rule | CardPicture] = field(default_factory=list)

    @property
    def texts(self) -> list[Text]:
        """All that can be read on the side."""
        return [item for item in self.items if isinstance(item, Text)]

    def write(
        self,
        sheets: Sheets,
        x: float,
        y: float,
        width: float,
        words: str,
        size: float,
        *,
        least: float | None = None,
        style: str = "",
        most_rows: int = 1,
        centred: bool = False,
        light: bool = False,
    ) -> float:
        """Put a text at a place and return its height [pt]; see ``lettering.fit``.

        sheets: the document that measures texts; x: from the left [pt]; y: from the top
        [pt]; width: [pt]; words: the text; size: of letters [pt]; least: smallest size
        [pt], None for size itself; style: "B" for bold; most_rows: rows that it may take;
        centred: in its width; light: white on black.
        """
        laid = fit(sheets, words, width, size, least=least, style=style, most_rows=most_rows)
        if centred:
            row, percent = laid.rows[0]
            x += (width - sheets.width_of(row, laid.size, style) * percent / 100) / 2
        self.items.append(Text(x, y, width, laid, light))
        return laid.height

    def add(self, other: CardSide, x: float, y: float) -> None:
        """Put all of another side here, moved by so much [pt].

        other: what is put here; x: from the left [pt]; y: from the top [pt].
        """
        for item in other.items:
            if isinstance(item, Rule):
                moved = replace(
                    item, x1=item.x1 + x, y1=item.y1 + y, x2=item.x2 + x, y2=item.y2 + y
                )
                self.items.append(moved)
            else:
                self.items.append(replace(item, x=item.x + x, y=item.y + y))

    def draw(self, sheets: Sheets) -> None:
        """Draw everything on the open side of a document."""
        for item in self.items:
            if isinstance(item, Text):
                y = item.y
                laid = item.lettering
                for words, percent in laid.rows:
                    sheets.write_line(
                        item.x, y, words, laid.size,
                        style=laid.style, percent=percent, light=item.light,
                    )  # fmt: skip
                    y += laid.row_height
            elif isinstance(item, Rule):
                sheets.rule(item.x1, item.y1, item.x2, item.y2, item.weight)
            elif isinstance(item, CardPicture):
                sheets.picture(item.x, item.y, item.width, item.height, item.picture)
            elif item.step:
                sheets.hatched(item.x, item.y, item.width, item.height, item.step)
            else:
                sheets.box(item.x, item.y, item.width, item.height, filled=item.filled)
