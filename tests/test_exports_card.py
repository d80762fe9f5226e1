"""The deck card laid out: every text keeps to its box, is whole, and songs keep to a side."""

from __future__ import annotations

import io
import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pytest
from deck_making import make_book, make_track
from pypdf import PdfReader

from aquatempo.deck.cards import CardFile
from aquatempo.exports.card import card_sides, draw_sides
from aquatempo.exports.card_items import CardSide, Text
from aquatempo.exports.lettering import fit
from aquatempo.exports.sheets import NARROWEST_PERCENT, PAPERS, Sheets
from aquatempo.records.cues import CuePhrase
from aquatempo.records.deck import DeckBook, DeckRow, DeckSet, DeckTrack
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

PLAIN = (
    "Jog", "Cross-country ski", "Innenschenkel dehnen", "Arme öffnen und schließen", "R / L",
    "Donaudampfschifffahrtsgesellschaftskapitän", "صباح الخير", "Утренние дорожки",
    "x" * 90, "a b c", "16 R / 16 L → same fists", "»—·…«", "fi fl ffi",
)  # fmt: skip


def name(draw: random.Random) -> str:
    """Return a name: one that somebody could give, or some of them in a row."""
    return " ".join(draw.choice(PLAIN) for _ in range(draw.choice((1, 1, 1, 2, 3))))


def row(draw: random.Random) -> DeckRow:
    """Return a row of a set."""
    mark = draw.choice(("", "▸ "))
    spelled = draw.choice(("", name(draw)))
    return DeckRow(f"{mark}{name(draw)}", joint=draw.random() < 0.3, spelled=spelled)


def track(draw: random.Random) -> DeckTrack:
    """Return a song with any names, of one to twelve sets and as many phrases or more."""
    count = draw.randint(1, 12)
    sets = tuple(
        DeckSet(
            number=number + 1,
            name=name(draw),
            short_name="",
            total=draw.choice(("32", "3 × 32", "16 + 2 × 32 + 8", "12 × 32")),
            clock_s=draw.uniform(0, 5999),
            beat=32 * number,
            counts=32,
            rows=tuple(row(draw) for _ in range(draw.randint(0, 6))),
        )
        for number in range(count)
    )
    strip = tuple(
        CuePhrase(
            15.0 * number, 15.0 * (number + 1), 32 * number, 32, draw.choice([*PhraseKind]),
            draw.choice([*EnergyLevel]),
        )
        for number in range(draw.randint(count, 40))
    )  # fmt: skip
    return replace(
        make_track(),
        title=name(draw),
        tempo_bpm=draw.uniform(60, 200),
        sets=sets,
        strip=strip,
        start=draw.choice(("", "intro 16: easy jog")),
        ending=draw.choice(("", "ends on 1")),
    )


def random_book(seed: int) -> DeckBook:
    """Return a class of one or two songs from a seed."""
    draw = random.Random(seed)
    songs = [track(draw) for _ in range(draw.randint(1, 2))]
    if seed % 8 == 1:  # seldom: the font that has these letters takes long to open
        songs[0] = replace(songs[0], title="朝のレーン")
    return make_book(*songs)


def laid_out(book: DeckBook, paper: str, form: str, silent: bool) -> tuple[Sheets, list[CardSide]]:
    """Return the sides of a card and the document that they were measured with."""
    sheets = Sheets(book, paper)
    return sheets, card_sides(sheets, book, silent, form)


def boxes(sheets: Sheets, side: CardSide) -> Iterator[tuple[float, float, float, float, Text]]:
    """Yield the box in which each text's letters stand: left, top, right, bottom [pt]."""
    for text in side.texts:
        laid = text.lettering
        widest = max(
            sheets.width_of(row, laid.size, laid.style) * percent / 100
            for row, percent in laid.rows
        )
        yield text.x, text.y, text.x + widest, text.y + laid.height, text


@pytest.mark.parametrize("width", [-40.0, 0.0, 1.0])
def test_words_without_room_are_parted_and_whole(width: float) -> None:
    """What stands beside may leave no room, or less: letters go below each other, none is lost."""
    sheets = Sheets(make_book(make_track()), "a5")
    laid = fit(sheets, "Front kick", width, 40.0)
    assert "".join(row for row, _ in laid.rows) == "Frontkick"
    sheets.release()


@pytest.mark.parametrize(
    ("seed", "paper", "form", "silent"),
    [
        pytest.param(1, "a5", "song", False, marks=pytest.mark.long),  # opens the large font
        (2, "half-letter", "song", True), (3, "a5", "large", False),
        (4, "half-letter", "compact", False), (6, "a5", "song", True),
        (7, "half-letter", "song", False),
    ],
)  # fmt: skip
def test_every_text_keeps_to_its_box_and_is_whole(
    seed: int, paper: str, form: str, silent: bool
) -> None:
    """For any names and any number of phrases no text leaves its box, its side, or is cut.

    Letters are never set narrower than can be read, and no two texts lie on each other.
    """
    check_class(seed, paper, form, silent)


def check_class(seed: int, paper: str, form: str, silent: bool) -> None:
    """Assert it for the class of one seed; ``proofs.sides --random`` does so for many."""
    book = random_book(seed)
    sheets, sides = laid_out(book, paper, form, silent)
    check_boxes(sheets, sides, paper)
    check_words(book, sides)
    sheets.release()


def check_boxes(sheets: Sheets, sides: list[CardSide], paper: str) -> None:
    """Assert that every text is in its box and that none lies on another."""
    size = PAPERS[paper]
    for side in sides:
        placed = [*boxes(sheets, side)]
        for left, top, right, bottom, text in placed:
            assert right <= text.x + text.width + 1.0, text
            assert left >= 17, text
            assert right <= size.side_width - 17, text
            assert top >= 14, text
            assert bottom <= size.height - 12, text
            assert all(percent >= NARROWEST_PERCENT - 1 for _, percent in text.lettering.rows)
        for one, other in combinations(placed, 2):
            apart = one[2] <= other[0] + 1 or other[2] <= one[0] + 1
            quarter = 0.25 * min(one[4].lettering.size, other[4].lettering.size)
            apart |= one[3] - quarter <= other[1] + quarter
            apart |= other[3] - quarter <= one[1] + quarter
            assert apart, (one, other)


def check_words(book: DeckBook, sides: list[CardSide]) -> None:
    """Assert that every letter of every title, move and row stands on the card, in its order."""
    drawn = "".join(
        row.replace(" ", "")
        for side in sides
        for text in side.texts
        for row, _ in text.lettering.rows
    )
    for song in book.tracks:
        for words in (song.title, *(one.name for one in song.sets)):
            assert words.replace(" ", "") in drawn
        for told in (told for one in song.sets for told in one.rows):
            letters = told.text.removeprefix("▸ ").replace(" ", "").replace("▸", "")
            assert letters in drawn.replace("▸", "")


def test_moves_are_never_below_the_size_that_can_be_read() -> None:
    """A name of two long words takes two rows of 36 pt and gets no smaller (common practice)."""
    song = make_track()
    long = replace(song.sets[0], name="Oberschenkelvorderseite abwechselnd dehnen")
    sheets, (side,) = laid_out(make_book(replace(song, sets=(long,))), "a5", "song", silent=False)
    (large,) = [text for text in side.texts if text.lettering.rows[0][0].startswith("Oberschenkel")]
    assert large.lettering.size >= 36
    assert len(large.lettering.rows) >= 2
    sheets.release()


@pytest.mark.parametrize("paper", ["a5", "half-letter"])
def test_a_song_of_fifteen_phrases_and_four_moves_is_one_side(paper: str) -> None:
    """The usual song, four moves with two variations each over fifteen phrases, takes one side."""
    rows_of = (DeckRow("16 R / 16 L"), DeckRow("same ▸ arms pump"), DeckRow("same ▸ plain again"))
    joint = DeckRow("bridge 4: easy jog", joint=True)
    song = make_track()
    sets = tuple(
        replace(song.sets[0], number=number, name=move, total="3 × 32", rows=(*rows_of, joint))
        for number, move in enumerate(("Rocking horse", "Knee lift", "Front kick", "Leg curl"), 1)
    )
    sheets, sides = laid_out(make_book(replace(song, sets=sets)), paper, "song", silent=False)
    assert len(sides) == 1
    sheets.release()


def test_ten_moves_go_on_one_side_with_their_names_at_full_size() -> None:
    """What stands around the names gets smaller and closer, the names keep 36 pt (our aim)."""
    song = make_track()
    names = ("Cross-country ski",) * 10
    sets = tuple(
        replace(song.sets[0], number=number, name=move, total="2 × 32", rows=(DeckRow("R"),))
        for number, move in enumerate(names, 1)
    )
    sheets, sides = laid_out(make_book(replace(song, sets=sets)), "a5", "song", silent=False)
    assert len(sides) == 1
    sizes = [one.lettering.size for one in sides[0].texts if one.lettering.rows[0][0] in names]
    assert len(sizes) == 10
    assert min(sizes) >= 36
    check_boxes(sheets, sides, "a5")
    sheets.release()


def test_counts_stay_with_their_side_where_a_row_breaks() -> None:
    """No row ends between a count and its side, or within a round in brackets that fits a row.

    None starts with what parts two things: a stroke, a dot, an arrow.
    """
    sheets = Sheets(make_book(make_track()), "a5")
    words = "one side · 16 R / 16 L → 8 R / 8 L, 2 × (4 R / 4 L) → ▸ fists · R / L · 2 × 32"
    for width in range(90, 600, 3):
        rows = [told for told, _ in fit(sheets, words, width, 18.0, most_rows=9).rows]
        assert " ".join(rows) == words
        assert not [told for told in rows[:-1] if told[-1] in "123456789▸(/"]
        assert not [told for told in rows if told[0] in "/·→×"]
    sheets.release()


def test_the_strip_of_a_long_song_takes_rows() -> None:
    """Thirty phrases are drawn in two rows, boxes wide enough for a number (12 pt)."""
    from aquatempo.exports.card_items import CardBox

    strip = tuple(
        CuePhrase(15.0 * n, 15.0 * n + 15, 32 * n, 32, PhraseKind.PHRASE, EnergyLevel.HIGH)
        for n in range(30)
    )
    song = replace(make_track(), strip=strip, sets=make_track().sets[:1])
    sheets, (side,) = laid_out(make_book(song), "a5", "song", silent=False)
    cells = [box for box in side.items if isinstance(box, CardBox) and box.height == 22.0]
    assert len(cells) == 30
    assert len({box.y for box in cells}) == 2
    assert min(box.width for box in cells) >= 12
    sheets.release()


def test_sides_are_told_before_they_are_drawn_and_are_those_of_the_file() -> None:
    """The number of sides and sheets that a card tells is what its PDF has."""
    book = make_book(*(make_track(title=f"Lane {number}") for number in range(5)))
    for paper, two_sided in (("a5", False), ("a4", False), ("letter", True)):
        card = CardFile("deck_card.pdf", book, paper, two_sided=two_sided)
        count = card.count
        pages = len(PdfReader(io.BytesIO(card.pdf())).pages)
        assert count.sides == len(card.sides)
        assert pages == count.sheets * (2 if two_sided else 1)


def test_what_is_laid_out_is_drawn() -> None:
    """Each text of the layout is in the PDF."""
    sheets, sides = laid_out(make_book(), "a5", "song", silent=True)
    texts = {row for side in sides for text in side.texts for row, _ in text.lettering.rows}
    drawn = "".join(
        page.extract_text() for page in PdfReader(io.BytesIO(draw_sides(sheets, sides))).pages
    )
    letters = "".join(drawn.split())
    assert [text for text in texts if "".join(text.split()) not in letters] == []
