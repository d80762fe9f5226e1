"""Text within a width: set narrower, then smaller, then in rows; never cut."""

from __future__ import annotations

import re
from dataclasses import dataclass

from aquatempo.exports.deck_details import NEW_MARK
from aquatempo.exports.sheets import NARROWEST_PERCENT, Sheets

__all__ = ["LEADING", "SQUEEZED_PERCENT", "Lettering", "fit"]

SQUEEZED_PERCENT = 85.0  # as narrow as this nobody minds
LEADING = 1.06  # of large letters, one row below the other
# ``2 × (4 R / 4 L)``, ``16 R / 16 L``, ``R / L``, ``2 × 32``, ``8 R``, ``▸ fists``, ``fists ·``
TOGETHER = (
    *(r"\d+ × \([^()]*\)", r"\d+ \w / \d+ \w\b", r"\b\w / \w\b", r"\d+ ×(?: \w+)?", r"\d+ \w\b"),
    *(rf"{NEW_MARK} ", r"\S+ [·→](?= )"),
)


@dataclass(frozen=True, slots=True)
class Lettering:
    """A text laid out: its rows, each with how wide its letters are set [%]; size in pt."""

    rows: tuple[tuple[str, float], ...]
    size: float
    style: str = ""

    @property
    def row_height(self) -> float:
        """Height of a row [pt]."""
        return self.size * LEADING

    @property
    def height(self) -> float:
        """Height of all rows [pt]."""
        return len(self.rows) * self.row_height


def fit(
    sheets: Sheets,
    words: str,
    width: float,
    size: float,
    *,
    least: float | None = None,
    style: str = "",
    most_rows: int = 2,
    narrowest: float = NARROWEST_PERCENT,
) -> Lettering:
    """Return words laid out in a width [pt] at a size [pt], no smaller than least.

    One row, a little narrower, is tried first, then a smaller one, then as narrow as narrowest
    [%]; then rows, broken between words, or within a word that is wider than a row. Where
    most_rows do not hold it at the least size, it takes more. All of the text is always there.
    sheets: the document that measures texts; style: "B" for bold.
    """
    least = size if least is None else least
    natural = sheets.width_of(words, 1.0, style)
    if not natural:
        return Lettering(((words, 100.0),), size, style)
    for percent in (SQUEEZED_PERCENT, narrowest):
        largest = width / natural / percent * 100
        if largest >= least:
            taken = min(size, largest)
            return Lettering(((words, _percent(width, natural * taken)),), taken, style)
    for taken in _sizes(size, least):
        rows = _broken(sheets, words, width, taken, style)
        if len(rows) <= most_rows:
            break
    told = tuple((row, _percent(width, sheets.width_of(row, taken, style))) for row in rows)
    return Lettering(told, taken, style)


def _percent(width: float, natural: float) -> float:
    return min(100.0, 99.5 * width / natural) if natural else 100.0


def _sizes(size: float, least: float) -> list[float]:
    steps = max(1, round(size - least))
    return [size - (size - least) * step / steps for step in range(steps + 1)]


def _broken(sheets: Sheets, words: str, width: float, size: float, style: str) -> list[str]:
    """Return words in rows that fit when squeezed; a word too wide for a row is parted.

    Where not even a letter has room, each stands in a row of its own.
    Counts stay with their side, a round in brackets stays whole where a row holds it, the mark
    of what is new stays with the word after it; no row starts with a dot or an arrow.
    """
    room = width / SQUEEZED_PERCENT * 100

    def held(found: re.Match[str]) -> str:
        fits = sheets.width_of(found[0], size, style) <= room
        return found[0].replace(" ", "\xa0") if fits else found[0]

    for pattern in TOGETHER:
        words = re.sub(pattern, held, words)
    rows: list[str] = []
    for kept in words.split(" "):
        word = kept.replace("\xa0", " ")
        joined = f"{rows[-1]} {word}" if rows else word
        if rows and sheets.width_of(joined, size, style) <= room:
            rows[-1] = joined
            continue
        narrowest = width / NARROWEST_PERCENT * 100
        while len(word) > 1 and sheets.width_of(word, size, style) > narrowest:
            length = _letters_that_fit(sheets, word, narrowest, size, style)
            rows.append(word[:length])
            word = word[length:]
        rows.append(word)
    return rows


def _letters_that_fit(sheets: Sheets, word: str, room: float, size: float, style: str) -> int:
    low, high = 1, len(word)
    while low < high:
        middle = (low + high + 1) // 2
        if sheets.width_of(word[:middle], size, style) <= room:
            low = middle
        else:
            high = middle - 1
    return low
