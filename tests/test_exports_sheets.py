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
from deck_making import make_book, make_track, refolded
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PageObject, PdfReader

from aquatempo.errors import UnknownNameError
from aquatempo.exports.card import deck_card
from aquatempo.exports.sheets import PAPERS, Sheets, sides_in_order
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


@pytest.mark.parametrize("size", ["a5", "half-letter"])
@pytest.mark.parametrize("form", ["song", "large"])
def test_moves_counts_and_rows_have_the_sizes_that_can_be_read(size: str, form: str) -> None:
    """Moves 36 to 48 pt, counts 28 to 36 pt, rows 20 pt (common practice, no source)."""
    track = make_track()
    pages = read(deck_card(make_book(track), size, form=form)).pages
    runs = [run for page in pages for run in words_with_sizes(page)]
    moves = [points for words, points in runs if words in {one.name for one in track.sets}]
    assert len(moves) == len(track.sets)
    assert min(moves) >= LEAST_MOVE_PT - 0.01
    assert max(moves) <= MOST_MOVE_PT + 0.01
    counts = [points for words, points in runs if words == "32"]
    assert len(counts) == len(track.sets)
    assert min(counts) >= LEAST_COUNTS_PT
    rows = [points for words, points in runs if words == "R"]
    assert len(rows) == len(track.sets)
    assert min(rows) >= LEAST_NOTE_PT


def test_a_song_is_one_side_and_all_its_moves_are_on_it_in_order(card: PdfReader) -> None:
    """Six moves of a song stand on one side, no move is lost, each with its counts."""
    (page,) = card.pages
    runs = words_with_sizes(page)
    large = [words for words, points in runs if points >= LEAST_MOVE_PT - 0.01]
    names = [words for words in large if not words.isdigit()]
    assert names == [one.name for one in make_track().sets]


def test_with_room_every_detail_is_told() -> None:
    """On a side of two sets nothing of side, hands and travel is left out."""
    track = refolded(make_track(), *make_track().lines[1:3])
    text = " ".join(read(deck_card(make_book(track))).pages[0].extract_text().split())
    assert text.count("open hands · forward · R") == 2


@pytest.mark.parametrize(("size", "width_mm", "height_mm"), [("a4", 297, 210)])
def test_two_sides_lie_on_a4_in_the_order_for_cutting(
    size: str, width_mm: float, height_mm: float
) -> None:
    """Of three sides the first sheet has 1 and 3, the second 2: cut, the right pile goes below."""
    tracks = [make_track(title=title) for title in ("One", "Two", "Three")]
    pages = read(deck_card(make_book(*tracks), size)).pages
    assert float(pages[0].mediabox.width) == pytest.approx(width_mm / 25.4 * 72, abs=0.5)
    assert float(pages[0].mediabox.height) == pytest.approx(height_mm / 25.4 * 72, abs=0.5)
    titles = [
        re.findall(r"^\d  (\w+) 132 bpm", page.extract_text(), re.MULTILINE) for page in pages
    ]
    assert titles == [["One", "Three"], ["Two"]]


@given(st.integers(1, 60), st.booleans())
def test_a_cut_stack_is_in_order(count: int, two_sided: bool) -> None:
    """Cut in the middle, left pile on the right one, a stack runs from the first side to the last.

    Printed on both faces, turned at the short edge, a leaf's back is what lies behind its front:
    the left half of a page is behind the right half of the one before.
    """
    pages = sides_in_order(PAPERS["a4"], count, two_sided)
    if two_sided:
        fronts, backs = pages[::2], pages[1::2]
        leaves = [(front[0], back[1]) for front, back in zip(fronts, backs, strict=True)]
        leaves += [(front[1], back[0]) for front, back in zip(fronts, backs, strict=True)]
        order = [side for leaf in leaves for side in leaf]
    else:
        order = [page[0] for page in pages] + [page[1] for page in pages]
    assert [side for side in order if side >= 0] == list(range(count))
    assert len(order) - count < (4 if two_sided else 2)


def test_the_compact_card_is_two_sides(card: PdfReader) -> None:
    """A class of twelve songs stands on two sides with every move and its counts."""
    tracks = [make_track(title=f"Lane {number}") for number in range(12)]
    pages = read(deck_card(make_book(*tracks), form="compact")).pages
    assert len(pages) == 2
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert text.count("cross-country ski 32") == 12


BOX = re.compile(
    r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>'
)


@pytest.mark.parametrize("size", PAPERS)
@pytest.mark.parametrize("kind", ["card", "silent", "compact", "sheet"])
def test_no_word_leaves_the_page_or_lies_on_another(
    tmp_path: Path, needs_program: Callable[[str], str], size: str, kind: str
) -> None:
    """With long names in German, every word keeps to the margins and to itself (poppler)."""
    long = [
        "Innenschenkel dehnen mit einem langen eigenen Namen", "Stehen und atmen",
        "Arme öffnen und schließen", "Cross-country ski with half turn",
    ]  # fmt: skip
    track = make_track(title="Ein Titel, den niemand kürzt (Extended Pool Mix)", speed=1.03)
    spelled = "1-2 Bein rechts lang zur Seite, 3-4 halten, 5-6 Bein links lang, 7-8 halten"
    lines = [
        replace(
            line, name=long[number % 4], short_name="", tempo="2, halten 2", spelled=spelled,
            style=("Arme öffnen und schließen", "Stufe II", "vorwärts"),
        )
        for number, line in enumerate(track.lines)
    ]  # fmt: skip
    book = make_book(refolded(track, *lines), make_track(), language="de")
    if kind == "sheet":
        content = substitute_sheet(book, size)
    else:
        content = deck_card(
            book, size, kind == "silent", "compact" if kind == "compact" else "song"
        )
    (tmp_path / "deck.pdf").write_bytes(content)
    command = [needs_program("pdftotext"), "-bbox", str(tmp_path / "deck.pdf"), "-"]
    told = subprocess.run(command, capture_output=True, check=True, encoding="utf-8").stdout
    paper = PAPERS[size]
    upright = kind == "sheet" and paper.sides == 2
    width, height = (paper.height, paper.width) if upright else (paper.width, paper.height)
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


def test_a_card_tells_side_tempo_and_what_is_next() -> None:
    """Each side carries side x of y, bpm, what follows and the caution; the last says end."""
    pages = read(deck_card(make_book(make_track(), make_track(title="Evening lanes")))).pages
    assert len(pages) == 2
    for number, page in enumerate(pages, 1):
        text = page.extract_text()
        assert f"side {number} of 2" in text
        assert "132 bpm" in text
        assert "site rules, lifeguards, health advice come first" in " ".join(text.split())
    assert "Next: 2  Evening lanes" in pages[0].extract_text()
    assert "Next: end" in pages[1].extract_text()


def test_what_changes_while_the_move_stays_is_marked() -> None:
    """Where only the arms change, the card says just that, behind the mark."""
    first, second = make_track().lines[1:3]
    second = replace(second, name=first.name, style=("fist",))
    text = read(deck_card(make_book(refolded(make_track(), first, second)))).pages[0]
    assert "▸ fist" in text.extract_text().splitlines()


def test_a_part_without_music_goes_by_the_clock() -> None:
    """Without a song the card names the clock in place of a tempo."""
    text = read(deck_card(make_book(replace(make_track(), file_name="")))).pages[0].extract_text()
    assert "by clock" in text
    assert "bpm" not in text


def test_next_tells_what_comes_overleaf() -> None:
    """Where a song takes two sides, the first says which move the second starts with."""
    track = make_track()
    styles = ("open hands", "fist", "arms out", "sliced hands")
    lines = (replace(one, style=(styles[n % 4], "forward")) for n, one in enumerate(track.lines))
    pages = read(deck_card(make_book(refolded(track, *lines)), form="large")).pages
    assert len(pages) == 2
    overleaf = next(
        words for words, points in words_with_sizes(pages[1]) if points > 36 and not words.isdigit()
    )
    assert f"Next: {overleaf}" in pages[0].extract_text()


def test_a_stray_count_is_an_ending_not_a_line() -> None:
    """A song with one count after its last phrase shows the final bar line and that count."""
    track = make_track()
    last = track.strip[-1]
    outro = replace(last, start_beat=last.start_beat + 31, counts=1, kind=PhraseKind.OUTRO)
    track = replace(track, strip=(*track.strip[:-1], replace(last, counts=31), outro))
    pages = read(deck_card(make_book(refolded(track, *track.lines)))).pages
    assert "ends on 1" in pages[-1].extract_text()


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


@pytest.mark.parametrize(
    ("title", "shaped"),
    [("Größe, čas, Σάμος, Волна \u2192 8", False), ("e\u0301", True), ("\u0433\u0483", True),
     ("سباحة", True), ("पानी", True)],
)  # fmt: skip
def test_letters_are_shaped_only_where_their_neighbours_matter(title: str, shaped: bool) -> None:
    """Scripts whose letters join, and marks that sit on others, are shaped; Western ones not."""
    sheets = Sheets(replace(make_book(make_track()), title=title), "a5")
    shapes = sheets.text_shaping is not None
    sheets.release()
    assert shapes == shaped


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
    assert "Seite 1 von 1" in text
    assert "Dann: Ende" in text
