"""The deck card: a PDF to lean against a bottle and read from two metres, one side a song.

``card_sets`` lays a move out, this module puts moves on sides, and ``card_frame`` what stands
around them. docs/design/deck.md says why.
"""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.exports.card_compact import compact_sides
from aquatempo.exports.card_frame import frame, head_height, next_height, strip_height
from aquatempo.exports.card_items import CardSide
from aquatempo.exports.card_sets import (
    LARGE,
    SIZES,
    TINY,
    SetBlock,
    TypeSizes,
    set_block,
    split_set,
)
from aquatempo.exports.sheets import MARGIN, Sheets, sides_in_order
from aquatempo.records.deck import DeckBook, DeckSet

__all__ = ["CARD_FORMS", "card_sides", "deck_card", "draw_sides"]

CARD_FORMS = ("song", "large", "compact")
MOST_SPREAD = 16.0  # between two sets of a side that has room [pt]
FOOT = 24.0


def deck_card(
    book: DeckBook,
    size: str = "a5",
    without_sound: bool = False,
    form: str = "song",
    two_sided: bool = False,
) -> bytes:
    """Return the PDF of a card; see ``card_sides``.

    two_sided: on paper of two sides, in the order for a printer that prints both faces.
    book: the class; size: of the paper; without_sound: counts are written out; form: song,
    large or compact.
    """
    sheets = Sheets(book, size)
    return draw_sides(sheets, card_sides(sheets, book, without_sound, form), two_sided)


def draw_sides(sheets: Sheets, sides: Sequence[CardSide], two_sided: bool = False) -> bytes:
    """Return the PDF of some sides, in the order in which its paper is cut.

    sheets: the document that measures texts; two_sided: for a printer that prints both faces.
    """
    for page in sides_in_order(sheets.paper, len(sides), two_sided):
        for place, number in enumerate(page):
            sheets.open_side(place)
            if number >= 0:
                sides[number].draw(sheets)
    return bytes(sheets.output())


def card_sides(
    sheets: Sheets, book: DeckBook, without_sound: bool = False, form: str = "song"
) -> list[CardSide]:
    """Return the sides of a card.

    form: ``song`` puts a song on a side where it goes there, ``large`` on as many as large
    type needs, ``compact`` the class on two. without_sound: counts are written out.
    sheets: the document that measures texts; book: the class.
    """
    if form == "compact":
        return compact_sides(sheets, book)
    filled = [
        (number, arranged)
        for number in range(len(book.tracks))
        for arranged in [_arranged(sheets, book, number, without_sound, form == "large")]
    ]
    count = sum(len(arranged) for _, arranged in filled)
    sides: list[CardSide] = []
    for number, arranged in filled:
        for place, blocks in enumerate(arranged):
            after = _coming(sheets, book, number, blocks, arranged[place + 1 : place + 2])
            side = CardSide()
            here = {block.set_.number for block in blocks} if len(arranged) > 1 else set()
            frame(sheets, side, book, number, here, after, (len(sides) + 1, count))
            _fill(sheets, side, book, number, blocks)
            sides.append(side)
    return sides


def _room(sheets: Sheets, book: DeckBook, number: int) -> tuple[float, float]:
    """Return where the sets of a song's sides start and how much height they have [pt]."""
    track = book.tracks[number]
    top = MARGIN + head_height(sheets, number, track) + strip_height(sheets, track)
    after = [_set_words(one) for one in track.sets[1:]] + [_after_song(sheets, book, number)]
    end = sheets.paper.height - MARGIN - FOOT - max(next_height(sheets, one) for one in after)
    if track.ending:
        end -= SIZES[-1].row_height + 4
    return top, end - top


def _arranged(
    sheets: Sheets, book: DeckBook, number: int, without_sound: bool, large: bool
) -> list[list[SetBlock]]:
    """Return the sets of a track side by side: on one where any size allows it."""
    track = book.tracks[number]
    _, room = _room(sheets, book, number)
    if not track.sets:
        return [[]]

    def blocks_at(sizes: TypeSizes) -> list[SetBlock]:
        return [
            block
            for one in track.sets
            for block in _blocks(sheets, one, sizes, room, without_sound)
        ]

    if large:
        return _balanced(blocks_at(LARGE), room)
    best: list[SetBlock] = []
    for sizes in SIZES:
        blocks = blocks_at(sizes)
        if not best or len(_packed(blocks, room)) < len(_packed(best, room)):
            best = blocks
        if len(_packed(best, room)) == 1:
            break
    return _balanced(best, room)


def _blocks(
    sheets: Sheets, set_: DeckSet, sizes: TypeSizes, room: float, without_sound: bool
) -> list[SetBlock]:
    block = set_block(sheets, set_, sizes, sheets.inner_width, without_sound)
    if block.height <= room:
        return [block]
    parts = split_set(set_)
    if parts is None:
        return [set_block(sheets, set_, TINY, sheets.inner_width, without_sound)]
    return [one for part in parts for one in _blocks(sheets, part, sizes, room, without_sound)]


def _packed(blocks: Sequence[SetBlock], room: float) -> list[list[SetBlock]]:
    """Fill side after side."""
    sides: list[list[SetBlock]] = []
    left = 0.0
    for block in blocks:
        if not sides or block.height > left:
            sides.append([])
            left = room
        sides[-1].append(block)
        left -= block.height
    return sides


def _balanced(blocks: Sequence[SetBlock], room: float) -> list[list[SetBlock]]:
    """Fill as few sides as can be, as evenly as can be."""
    fewest = len(_packed(blocks, room))
    low, high = 0.0, room
    while high - low > 1.0:
        middle = (low + high) / 2
        if len(_packed(blocks, middle)) <= fewest:
            high = middle
        else:
            low = middle
    return _packed(blocks, high)


def _coming(
    sheets: Sheets,
    book: DeckBook,
    number: int,
    before: Sequence[SetBlock],
    later: Sequence[list[SetBlock]],
) -> str:
    """Return what the next side starts with: a set of this song, the next song, or the end."""
    if not later:
        return _after_song(sheets, book, number)
    first = later[0][0].set_
    begun = first not in book.tracks[number].sets and first.number in {
        block.set_.number for block in before
    }
    return first.name if begun else _set_words(first)


def _set_words(set_: DeckSet) -> str:
    told = [set_.name, *(row.text for row in set_.rows[:1] if not row.joint)]
    return " ".join(part for part in told if part)


def _after_song(sheets: Sheets, book: DeckBook, number: int) -> str:
    if number + 1 < len(book.tracks):
        return f"{number + 2}  {book.tracks[number + 1].title}"
    return sheets.words["end"]


def _fill(
    sheets: Sheets,
    side: CardSide,
    book: DeckBook,
    number: int,
    blocks: Sequence[SetBlock],
) -> None:
    """Put the sets of a side below each other, apart as far as there is room."""
    y, room = _room(sheets, book, number)
    spare = max(room - sum(block.height for block in blocks), 0.0)
    more = min(spare / max(len(blocks), 1), MOST_SPREAD)
    for block in blocks:
        side.add(block.side, MARGIN, y)
        y += block.height + more
