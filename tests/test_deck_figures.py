"""Figures of moves on card, sheet and deck page: the same body as the model's, when asked for."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from conftest import Command
from deck_browser import CHROMIUM, IN_CI, opened_page
from deck_making import make_book, make_track
from playwright.sync_api import Browser, Page, expect

from aquatempo.exports.card import card_sides
from aquatempo.exports.card_items import CardPicture
from aquatempo.exports.figure_picture import end_positions, still_figure
from aquatempo.exports.page import deck_page
from aquatempo.exports.page_figures import figure_numbers
from aquatempo.exports.sheets import Sheets
from aquatempo.exports.substitute import substitute_sheet
from aquatempo.exports.svg_shapes import outlines
from aquatempo.figures import figure_of
from aquatempo.moves import catalogue, resolve
from aquatempo.records.deck import DeckBook
from aquatempo.records.people import Pool

JACK = figure_of(resolve(catalogue().move("jack")), Pool(depth_m=1.2), mirrored=True)
SHEET = 'title = "Morning lanes"\nlength = "1:10"\ntempo_bpm = 132.0\nfirst_count_1_s = 1.25\n'
browsed = pytest.mark.skipif(CHROMIUM is None and not IN_CI, reason="Chromium is not installed")


@pytest.fixture(scope="module")
def book() -> DeckBook:
    """Return a class of one track in which every line is a jack to look at."""
    track = make_track()
    lines = tuple(replace(line, figure="jack", steps=((2, 2),)) for line in track.lines)
    sets = tuple(replace(one, figure="jack") for one in track.sets)
    book = make_book(replace(track, lines=lines, sets=sets))
    moves = tuple(replace(move, figure="jack") for move in book.moves)
    return replace(book, moves=moves, figures=(("jack", JACK),))


@pytest.fixture
def sheets(book: DeckBook) -> Iterator[Sheets]:
    """Return a document that measures the texts of the class."""
    opened = Sheets(book, "a5")
    yield opened
    opened.release()


def test_each_set_of_a_card_has_its_figure(book: DeckBook, sheets: Sheets) -> None:
    """A picture 16 mm high or more beside each set, inside the side, and beside no words."""
    sides = card_sides(sheets, book)
    pictures = [(side, one) for side in sides for one in side.items if isinstance(one, CardPicture)]
    assert len(pictures) == sum(len(track.sets) for track in book.tracks)
    for side, one in pictures:
        assert one.height >= 45
        assert 0 < one.x < one.x + one.width < sheets.side_width
        for text in side.texts:
            laid = text.lettering
            beside = text.y + laid.height > one.y + 1 and text.y < one.y + one.height - 1
            measured = (
                sheets.width_of(row, laid.size, laid.style) * share / 100
                for row, share in laid.rows
            )
            assert not beside or text.x + max(measured) <= one.x + 1


def test_a_picture_is_clipped_to_its_box(sheets: Sheets) -> None:
    """Tiles that go by a travelling body reach beyond its picture: none is seen beside it."""
    step = figure_of(resolve(catalogue().move("side-step")), Pool(depth_m=1.2), mirrored=True)
    picture = still_figure(step, step.stages[0], "Side step", tight=True)
    (_, _, wide, _), shapes = outlines(picture)
    assert any(x < 0 or x > wide for one in shapes for x, _ in one.points)
    sheets.add_page()
    sheets.picture(100.0, 50.0, 66.0, 70.0, picture)
    sheets.set_compression(False)
    drawn = bytes(sheets.output())
    (box,) = re.findall(rb"([\d.]+) ([\d.]+) (-?[\d.]+) (-?[\d.]+) re W n", drawn)
    assert float(box[2]) <= 66.1
    assert abs(float(box[3])) <= 70.1


def test_without_them_nothing_is_drawn(book: DeckBook, sheets: Sheets) -> None:
    """A book without figures has none on its card, nor on its sheet."""
    plain = replace(book, figures=())
    sheets.figures = {}
    sides = card_sides(sheets, plain)
    assert not [one for side in sides for one in side.items if isinstance(one, CardPicture)]
    smaller, larger = (len(substitute_sheet(one)) for one in (plain, book))
    assert smaller < larger - 1000  # a figure of some forty lines


def test_what_is_printed_is_what_the_picture_shows() -> None:
    """Each line on paper is a line of the SVG: as many, with their colours, in the frame."""
    for picture in (still_figure(JACK, JACK.stages[0], "Jack"), end_positions(JACK, "Jack")):
        (left, top, width, height), lines = outlines(picture)
        drawn = len(re.findall(r"<(?:path|rect|line|polyline)\b", picture))
        assert len(lines) == drawn
        assert {one.fill for one in lines} >= {"#d3e9ee", "#0f2c35"}
        assert any(one.dots for one in lines)
        for x, y in (point for one in lines for point in one.points):
            assert left - 60 <= x <= left + width + 60  # tiles of the floor go on beyond it
            assert top - 1 <= y <= top + height + 1


def test_curves_end_where_they_should() -> None:
    """A wave of the surface ends at its own end; the arrow of a turn keeps its radius."""
    wave = '<svg viewBox="0 0 9 9"><path d="M0 4q1 -3 2 0t2 0" fill="none" stroke="#000000"/></svg>'
    points = outlines(wave)[1][0].points
    assert points[-1] == pytest.approx((4.0, 4.0))
    # A quadratic curve is half-way between its chord and its control point in its middle.
    assert points[2] == pytest.approx((1.0, 2.5))
    assert points[6] == pytest.approx((3.0, 5.5))
    arc = '<svg viewBox="0 0 9 9"><path d="M-8 3A8 8 0 1 1 7 5" fill="none"/></svg>'
    found = outlines(arc)[1][0].points
    assert found[-1] == pytest.approx((7.0, 5.0))
    middle = found[8]
    assert middle[1] < 0  # the longer way, over the top
    radii = [math.dist(one, (0, 0)) for one in found]
    assert max(radii) - min(radii) < 2.5  # about its middle, which is near 0, 0


def test_an_export_shows_figures_when_told(aquatempo: Command, tmp_path: Path) -> None:
    """``--figures`` makes another card and sheet; the deck page has them with and without."""
    (tmp_path / "lanes.toml").write_text(SHEET + "phrases = [16, 32, 32, 8, 32]\n", "utf-8")
    arguments = ("--move", "side kick", "--only", "card,sheet,page")
    for folder, more in (("plain", ()), ("drawn", ("--figures",))):
        run = aquatempo("export", "lanes.toml", *arguments, "--to", folder, *more)
        assert run.returncode == 0, run.stderr
    for name, same in (("deck_card.pdf", False), ("substitute_sheet.pdf", False)):
        plain, drawn = ((tmp_path / one / name).read_bytes() for one in ("plain", "drawn"))
        assert (plain == drawn) is same
    page = (tmp_path / "plain" / "deck_page.html").read_text("utf-8")
    assert page == (tmp_path / "drawn" / "deck_page.html").read_text("utf-8")
    assert '"side-kick' in page


@pytest.fixture
def page(browser: Browser, book: DeckBook, tmp_path: Path) -> Iterator[Page]:
    """Return the opened page of the book."""
    path = tmp_path / "deck_page.html"
    path.write_text(deck_page(book), "utf-8")
    with opened_page(browser, path, sounding=False) as opened:
        yield opened


@browsed
def test_the_figure_of_the_page_keeps_the_beat(page: Page) -> None:
    """At a count the figure has the posture of that count, in between it is in between."""
    numbers = figure_numbers(JACK)
    arm = next(n for n, one in enumerate(numbers["parts"]) if len(one["frames"]) > 1)
    frames, counts = numbers["parts"][arm]["frames"], numbers["counts"]
    change = "book.tracks[0].changes[1].beat"
    for count in (0, 1, 2, 3, 4 + 2):
        at = count % counts[-1]
        page.evaluate(f"seek(book.tracks[0].beats_s[{change} + {count}])")
        page.evaluate("draw()")
        d = page.evaluate(f"view.figure.lines[{arm}][1].getAttribute('d')")
        here = [float(one) for one in re.findall(r"-?[\d.]+", d)]
        assert here == pytest.approx(frames[counts.index(at)], abs=0.6)
    page.evaluate(f"seek(book.tracks[0].beats_s[{change} + 1] + 0.03); draw()")
    assert page.evaluate("view.figure.key") != int(page.evaluate("view.figure.key"))


@browsed
def test_the_figure_can_be_put_away(page: Page) -> None:
    """One press in the panel hides it for good; the next one brings it back."""
    figure = page.locator("#figure")
    expect(figure).to_be_visible()
    page.locator("#more").click()
    page.get_by_role("button", name="Figure of the move").click()
    expect(figure).to_be_hidden()
    page.reload()
    expect(page.locator("#move")).not_to_be_empty()
    expect(figure).to_be_hidden()
    page.evaluate("showFigure(true)")
    expect(figure).to_be_visible()


@browsed
def test_less_motion_stands_still(page: Page) -> None:
    """Where the device asks for less motion the figure shows one end position."""
    page.emulate_media(reduced_motion="reduce")
    told = set()
    for second in (5.0, 5.3, 5.7):
        page.evaluate(f"seek({second}); draw()")
        told.add(page.evaluate("view.figure.key"))
    assert told == {figure_numbers(JACK)["still"]}
