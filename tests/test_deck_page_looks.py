"""The deck page in a headless Chromium: anybody can read and use it, on any screen."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from deck_browser import CHROMIUM, IN_CI, opened_page, write_page
from deck_making import make_book, make_track
from playwright.sync_api import Browser, Page, expect

from aquatempo.exports.page import deck_page

pytestmark = pytest.mark.skipif(
    CHROMIUM is None and not IN_CI, reason="Chromium is not installed: the page is not tried"
)
SIZES = [(360, 740), (820, 1180), (1280, 800), (320, 568), (740, 360)]  # phones, tablet, laptop


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a page of two tracks, the first with its click track inside."""
    return write_page(tmp_path_factory.mktemp("page"))


@pytest.fixture
def page(browser: Browser, page_file: Path) -> Iterator[Page]:
    """Return the opened page; any console error or request to a network fails the test."""
    with opened_page(browser, page_file) as opened:
        yield opened


def test_less_motion_where_it_is_asked_for(browser: Browser, page_file: Path) -> None:
    """With reduced motion set on the device nothing glides or grows."""
    context = browser.new_context(offline=True, reduced_motion="reduce")
    page = context.new_page()
    page.goto(page_file.as_uri())
    moving = "getComputedStyle(document.querySelector('.beat')).transitionDuration"
    assert page.evaluate(moving) == "0s"
    page.emulate_media(reduced_motion="no-preference")
    assert page.evaluate(moving) == "0.05s"
    context.close()


def test_a_long_name_takes_two_lines_and_breaks_no_word(browser: Browser, tmp_path: Path) -> None:
    """The longest names of the German pack fit a phone; the count stays large."""
    track = make_track()
    names = ["Oberschenkel vorn dehnen", "Langsame Rumpfdrehung", "Arme öffnen und schließen"]
    lines = tuple(
        replace(line, name=names[number % 3], kind=track.lines[1].kind)
        for number, line in enumerate(track.lines)
    )
    path = tmp_path / "deck_page.html"
    path.write_text(deck_page(make_book(replace(track, lines=lines), language="de")), "utf-8")
    context = browser.new_context(viewport={"width": 360, "height": 740}, offline=True)
    page = context.new_page()
    page.goto(path.as_uri())
    for line in lines[:3]:
        page.evaluate(f"seek({line.clock_s + 0.1})")
        page.wait_for_timeout(60)
        size, height, wide, counted = page.evaluate(
            """[parseFloat(getComputedStyle(move).fontSize), move.offsetHeight,
                move.scrollWidth <= move.clientWidth, count.getBoundingClientRect().height]"""
        )
        assert size >= 24
        assert height < 2.3 * size
        assert wide
        assert counted >= 60
    context.close()


CALL = "next work two of eight, leg curl, 29 seconds, right leg, land tempo"
SIGNS = (
    "palms together in front of the chest, then apart",
    "forearm upright, fist curls back to it",
)


@pytest.mark.parametrize(("width", "height"), [(390, 844), (820, 1180), (1180, 820)])
def test_what_is_called_and_shown_is_whole(
    browser: Browser, tmp_path: Path, width: int, height: int
) -> None:
    """A long call and a long sign stand whole under next, and the sign is that of next."""
    track = make_track()
    lines = tuple(replace(line, sign=SIGNS[number % 2]) for number, line in enumerate(track.lines))
    calls = tuple(replace(one, words=CALL) for one in track.cues)
    path = tmp_path / "deck_page.html"
    path.write_text(deck_page(make_book(replace(track, lines=lines, cues=calls))), "utf-8")
    context = browser.new_context(viewport={"width": width, "height": height}, offline=True)
    page = context.new_page()
    page.goto(path.as_uri())
    page.click("#play")
    for number in (1, 2):
        page.evaluate(f"seek({calls[number].time_s + 0.2})")
        page.wait_for_timeout(80)
        assert page.inner_text("#call") == CALL
        assert page.inner_text("#sign") == f"Sign: {SIGNS[calls[number].change % 2]}"
        cut = page.evaluate(
            """["next", "news", "sign", "call"].map((id) => document.getElementById(id)).filter(
                (part) => part.scrollWidth > part.clientWidth + 1 && part.clientWidth
                  || part.getBoundingClientRect().bottom > document.getElementById("strip")
                    .getBoundingClientRect().top + 1
                  || getComputedStyle(part).textOverflow === "ellipsis").map((part) => part.id)"""
        )
        assert cut == []
    context.close()


def test_buttons_say_what_a_touch_does(page: Page) -> None:
    """The button for count 1 says tap, so that it is no count; play says pause while it plays."""
    assert page.inner_text("#one").split("\n") == ["TAP", "on count 1"]
    assert page.inner_text("#play small") == "play"
    page.click("#play")
    expect(page.locator("#play small")).to_have_text("pause")
    page.click("#play")
    expect(page.locator("#play small")).to_have_text("play")


def test_a_title_is_text_and_nothing_else(browser: Browser, tmp_path: Path) -> None:
    """Markup, quotes and emoji in titles and names are shown as they are, and run nothing."""
    odd = "</script><img src=x onerror=\"document.title='taken'\"> & 'quoted' 🏊\u2028"
    track = replace(make_track(title=odd), part=odd)
    lines = tuple(replace(line, name=odd, style=(odd,)) for line in track.lines)
    path = tmp_path / "deck_page.html"
    book = replace(make_book(replace(track, lines=lines)), title=odd)
    path.write_text(deck_page(book), encoding="utf-8")
    context = browser.new_context(offline=True)
    page = context.new_page()
    page.goto(path.as_uri())
    page.wait_for_timeout(100)
    assert page.inner_text("#move").strip().endswith("🏊")
    assert page.evaluate("document.images.length") == 0
    assert page.title() != "taken"
    context.close()


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_nothing_runs_over_the_edge_or_into_another(page: Page, width: int, height: int) -> None:
    """On phones, a tablet and a laptop all parts are inside the window and apart."""
    page.set_viewport_size({"width": width, "height": height})
    page.evaluate("seek(40.0)")
    page.wait_for_timeout(80)
    boxes: list[dict[str, Any]] = page.evaluate(
        """["header", "main h1", "#counting", "#coming", "#strip", "nav"].map((name) => {
          const box = document.querySelector(name).getBoundingClientRect();
          return { name, top: box.top, bottom: box.bottom, left: box.left, right: box.right };
        })"""
    )
    for box in boxes:
        assert box["left"] >= -0.5, box
        assert box["right"] <= width + 0.5, box
        assert box["bottom"] <= height + 0.5, box
    for above, below in pairwise(boxes):
        assert above["bottom"] <= below["top"] + 0.5, (above, below)


def test_buttons_are_large_enough_for_wet_hands(page: Page) -> None:
    """Targets are at least 44 x 44 CSS pixels (WCAG 2.2, 2.5.5 level AAA)."""
    page.set_viewport_size({"width": 360, "height": 740})
    sizes: list[list[float]] = page.evaluate(
        """[...document.querySelectorAll("nav button, #track")].map((one) => {
          const box = one.getBoundingClientRect(); return [box.width, box.height]; })"""
    )
    assert all(width >= 44 and height >= 44 for width, height in sizes)


@pytest.mark.parametrize("theme", ["day", "dark"])
def test_axe_finds_no_serious_fault(page: Page, theme: str) -> None:
    """axe-core (npm) finds nothing serious or critical, panel closed and open, in both modes."""
    axe = os.environ.get("AXE_CORE", "")
    if not axe and not IN_CI:
        pytest.skip("AXE_CORE does not name axe.min.js of the npm package axe-core")
    page.evaluate(f"setTheme('{theme}')")
    page.add_script_tag(path=axe)
    for _ in range(2):
        found = page.evaluate("axe.run().then((result) => result.violations)")
        serious = [one["id"] for one in found if one["impact"] in ("serious", "critical")]
        assert serious == []
        page.click("#more")
