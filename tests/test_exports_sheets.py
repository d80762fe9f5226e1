"""Card and substitute's sheet, read back by a library that we did not write (pypdf)."""

from __future__ import annotations

import io
import re
import subprocess
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from deck_making import make_book, make_track
from pypdf import PageObject, PdfReader

from aquatempo.errors import UnknownNameError
from aquatempo.exports.card import deck_card
from aquatempo.exports.sheets import PAGE_SIZES_PT
from aquatempo.exports.substitute import substitute_sheet
from aquatempo.records.rhythm import PhraseKind

# Common practice, no source: what can be read at two metres on a deck.
LEAST_MOVE_PT, MOST_MOVE_PT, LEAST_COUNTS_PT, LEAST_NOTE_PT = 36.0, 48.0, 28.0, 20.0


@pytest.fixture(scope="module")
def card() -> PdfReader:
    """Return the usual card on A5."""
    return read(deck_card(make_book()))


def read(content: bytes) -> PdfReader:
    """Return the pages of a PDF."""
    return PdfReader(io.BytesIO(content))


def words_with_sizes(page: PageObject) -> list[tuple[str, float]]:
    """Return each run of text and its size [pt]."""
    runs: list[tuple[str, float]] = []

    def visit(text: str, _cm: Any, tm: Any, _font: Any, size: float) -> None:
        if text.strip():
            runs.append((text.strip(), size * abs(tm[3])))

    page.extract_text(visitor_text=visit)
    return runs


@pytest.mark.parametrize(("size", "width_mm", "height_mm"), [("a5", 148, 210)])
def test_a5_has_its_iso_size(size: str, width_mm: float, height_mm: float) -> None:
    """A5 is 148 x 210 mm (ISO 216); a point is 1/72 inch."""
    page = read(deck_card(make_book(), size)).pages[0]
    assert float(page.mediabox.width) == pytest.approx(width_mm / 25.4 * 72, abs=0.5)
    assert float(page.mediabox.height) == pytest.approx(height_mm / 25.4 * 72, abs=0.5)


def test_a_half_letter_page_is_half_of_a_letter_page() -> None:
    """ANSI letter is 8.5 x 11 inches: its half is 5.5 x 8.5."""
    page = read(deck_card(make_book(), "half-letter")).pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == (5.5 * 72, 8.5 * 72)


@pytest.mark.parametrize("size", PAGE_SIZES_PT)
@pytest.mark.parametrize("lines", [2, 5, 8])
def test_moves_counts_and_notes_have_the_sizes_that_can_be_read(size: str, lines: int) -> None:
    """Moves 36 to 48 pt, counts 28 to 36 pt, notes 20 pt (common practice, no source)."""
    track = make_track()
    track = replace(track, lines=track.lines[:lines])
    pages = read(deck_card(make_book(track), size)).pages
    runs = [run for page in pages for run in words_with_sizes(page)]
    moves = [points for words, points in runs if words in {line.name for line in track.lines}]
    assert moves
    assert min(moves) >= LEAST_MOVE_PT - 0.01
    assert max(moves) <= MOST_MOVE_PT + 0.01
    counts = [points for words, points in runs if words in ("32", "16")]
    assert len(counts) == lines if lines < 4 else counts
    assert min(counts) >= LEAST_COUNTS_PT
    notes = [points for words, points in runs if words.startswith("water (2)")]
    assert len(notes) == lines
    assert min(notes) >= LEAST_NOTE_PT


def test_every_line_of_a_track_is_on_its_card_in_order(card: PdfReader) -> None:
    """No move is lost between the sides, and a side has at most eight lines."""
    drawn = []
    for page in card.pages:
        runs = words_with_sizes(page)
        names = [words for words, points in runs if points >= LEAST_MOVE_PT - 0.01]
        names = [name for name in names if not name.isdigit()]
        assert len(names) <= 8
        drawn += names
    bridges = ("intro: ", "bridge: ")
    expected = [line.name for line in make_track().lines]
    expected[0], expected[3] = bridges[0] + expected[0], bridges[1] + expected[3]
    assert drawn == expected


def test_with_room_every_detail_is_told() -> None:
    """On a side of three lines nothing of tempo option, lead, hands and travel is left out."""
    track = replace(make_track(), lines=make_track().lines[1:4])
    text = " ".join(read(deck_card(make_book(track))).pages[0].extract_text().split())
    for detail in track.lines[0].details:
        assert text.count(detail) == 3


BOX = re.compile(
    r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>'
)


@pytest.mark.parametrize("size", PAGE_SIZES_PT)
@pytest.mark.parametrize("kind", ["card", "silent", "sheet"])
def test_no_word_leaves_the_page_or_lies_on_another(
    tmp_path: Path, needs_program: Callable[[str], str], size: str, kind: str
) -> None:
    """With long names in German, every word keeps to the margins and to itself (poppler)."""
    long = [
        "Innenschenkel dehnen mit einem langen eigenen Namen", "Stehen und atmen",
        "Arme öffnen und schließen", "Cross-country ski with half turn",
    ]  # fmt: skip
    track = make_track(title="Ein Titel, den niemand kürzt (Extended Pool Mix)", speed=1.03)
    details = ("two and hold (2+2h)", "rechts (du links)", "Arme öffnen und schließen", "Stufe II")
    spelled = "1-2 Bein rechts lang zur Seite, 3-4 halten, 5-6 Bein links lang, 7-8 halten: 4-mal"
    lines = tuple(
        replace(line, name=long[number % 4], short_name="", details=details, spelled=spelled)
        for number, line in enumerate(track.lines)
    )
    book = make_book(replace(track, lines=lines), make_track(), language="de")
    content = (
        substitute_sheet(book, size) if kind == "sheet" else deck_card(book, size, kind == "silent")
    )
    (tmp_path / "deck.pdf").write_bytes(content)
    command = [needs_program("pdftotext"), "-bbox", str(tmp_path / "deck.pdf"), "-"]
    told = subprocess.run(command, capture_output=True, check=True, encoding="utf-8").stdout
    width, height = PAGE_SIZES_PT[size]
    for page in told.split("<page ")[1:]:
        boxes = [(*map(float, found[:4]), found[4]) for found in BOX.findall(page)]
        assert len(boxes) > 20
        for left, top, right, bottom, word in boxes:
            assert left >= 17, word
            assert right <= width - 17, word
            assert bottom <= height - 12, word
            assert top >= 8, word
        for one, other in combinations(boxes, 2):
            # The box of a word is as high as its font's tallest letters: rows may touch.
            apart = one[2] <= other[0] + 1 or other[2] <= one[0] + 1
            quarter = 0.25 * min(one[3] - one[1], other[3] - other[1])
            apart |= one[3] - quarter <= other[1] + quarter
            apart |= other[3] - quarter <= one[1] + quarter
            assert apart, (one, other)


def test_a_card_tells_page_tempo_time_and_what_is_next(card: PdfReader) -> None:
    """Each side carries page x of y, bpm and what follows; the last says end."""
    pages = card.pages
    assert len(pages) == 2
    for number, page in enumerate(pages, 1):
        text = page.extract_text()
        assert f"page {number} of 2" in text
        assert "132 bpm" in text
        assert "not a medical or safety clearance" in " ".join(text.split())
    assert "Next: jack" in pages[0].extract_text()
    assert "Next: end" in pages[1].extract_text()


def test_what_changes_while_the_move_stays_is_marked_and_first() -> None:
    """Where only the arms change, the card says so first; what stays follows unmarked."""
    first, second = make_track().lines[1:3]
    second = replace(second, name=first.name, details=("water (2)", "right (you left)", "fist"))
    text = read(deck_card(make_book(replace(make_track(), lines=(first, second))))).pages[0]
    rows = text.extract_text()
    assert "▸ fist · right (you left) · water (2)" in rows
    assert rows.count("▸") == 1


def test_a_part_without_music_goes_by_the_clock() -> None:
    """Without a song the card names the clock in place of a tempo."""
    text = read(deck_card(make_book(replace(make_track(), file_name="")))).pages[0].extract_text()
    assert "by clock" in text
    assert "bpm" not in text


def test_next_tells_what_is_new_where_the_move_goes_on_overleaf() -> None:
    """Where the next side starts with the same move, next names the change."""
    lines = tuple(
        replace(line, name="jack", kind=PhraseKind.PHRASE, details=(f"arms {number}",))
        for number, line in enumerate(make_track().lines)
    )
    pages = read(deck_card(make_book(replace(make_track(), lines=lines)))).pages
    assert len(pages) == 2
    assert re.search(r"Next: jack ▸ arms \d", pages[0].extract_text())


def test_a_variation_that_ends_is_told_too() -> None:
    """Where the fists only open again, the line says that it is plain again."""
    first, second = make_track().lines[1:3]
    first = replace(first, details=("water (2)", "right (you left)", "fist"))
    second = replace(second, name=first.name, details=("water (2)", "right (you left)"))
    text = read(deck_card(make_book(replace(make_track(), lines=(first, second))))).pages[0]
    assert "▸ plain again · right (you left) · water (2)" in text.extract_text()


def test_without_sound_the_counts_are_written_out() -> None:
    """The card for a day without sound writes counts where the notes stood."""
    text = read(deck_card(make_book(), without_sound=True)).pages[0].extract_text()
    assert "1-2 right up" in text
    assert "water (2)" not in text


def test_all_fonts_are_embedded() -> None:
    """Every font of a card is inside the file, as a subset."""
    reader = read(deck_card(make_book(replace(make_track(), title="朝のレーン"))))
    fonts: list[Any] = []
    for page in reader.pages:
        resources: Any = page["/Resources"]
        fonts += [font.get_object() for font in resources["/Font"].values()]
    assert fonts
    for font in fonts:
        descriptor = font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
        assert "/FontFile2" in descriptor


@pytest.mark.parametrize(
    "title", ["朝のレーン", "صباح الخير", "Утренние дорожки", "Ångström's “lanes”"]
)
def test_names_in_any_script_come_out_as_letters(title: str) -> None:
    """No letter of a name is dropped or becomes the empty box of a missing glyph."""
    reader = read(deck_card(make_book(replace(make_track(), title=title))))
    drawn = reader.pages[0].extract_text()
    letters = {letter for letter in title if letter.isalpha()}
    missing = {letter for letter in letters if letter not in drawn}
    # Arabic letters are drawn in joined forms, which a reader may tell as other code points.
    assert not missing or title.startswith("ص")


def test_the_same_plan_gives_the_same_bytes() -> None:
    """A card is reproducible to the byte."""
    assert deck_card(make_book()) == deck_card(make_book())


def test_the_substitutes_sheet_holds_class_site_moves_and_counts() -> None:
    """A colleague finds facts, blanks to ask for, moves with signs, and counts without sound."""
    text = " ".join(
        " ".join(page.extract_text().split()) for page in read(substitute_sheet(make_book())).pages
    )
    for words in (
        "shallow, 45 minutes", "Emergency plan", "palm on the knee", "Easier: march",
        "1-2 right up, 3-4 left up: 8 times", "rights not checked", "page 1 of",
    ):  # fmt: skip
        assert words in text


def test_an_unknown_size_or_language_is_named() -> None:
    """A wrong page size or language suggests what there is."""
    with pytest.raises(UnknownNameError, match="no page size named 'a55'"):
        deck_card(make_book(), "a55")
    with pytest.raises(UnknownNameError, match="no language of the deck named 'xx'"):
        deck_card(make_book(language="xx"))


def test_the_card_speaks_the_language_of_the_book() -> None:
    """Labels and cautions follow the language."""
    text = read(deck_card(make_book(language="de"))).pages[0].extract_text()
    assert "Seite 1 von 2" in text
    assert "Dann: jack" in text
