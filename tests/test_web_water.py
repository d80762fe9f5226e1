"""The part Water: a form that is kept, moves as judged, figures, and all of it in a browser."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from page_browser import NEEDS_CHROMIUM, PHONE, opened, serious_faults
from page_making import Client, own_store, served
from playwright.sync_api import Browser, expect

from aquatempo.records.people import Pool
from aquatempo.workflow.judging import judge
from aquatempo.workflow.water import read_form, read_water


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Client]:
    """Return a client of a page with a store of its own."""
    with own_store(tmp_path, monkeypatch), served() as entered:
        yield entered


def put(client: Client, **fields: str) -> Any:
    """Keep a form; return the answer."""
    return client.ask("PUT", "/api/water", {"kind": "shallow", **fields})


def test_a_form_is_read_as_typed_and_kept(client: Client) -> None:
    """Feet and ranges are read as people type them; the next start finds the form again."""
    shown = put(client, depth="3ft6in-4ft6in", ages="60-80", size="12", notes="key at the desk")
    assert shown.status == 200, shown.body
    # 1 ft = 0.3048 m (international foot, 1959)
    assert shown.data["depth_m"] == pytest.approx(3.5 * 0.3048)
    assert shown.data["far_depth_m"] == pytest.approx(4.5 * 0.3048)
    assert len(shown.data["people"]) == 6  # short, middle, tall at both ends
    assert read_water().notes == "key at the desk"
    pool, group = read_form(read_water())
    assert (pool.far_depth_m, group.size) == (shown.data["far_depth_m"], 12)
    assert client.get("/api/water")["form"]["ages"] == "60-80"


@pytest.mark.parametrize(
    ("field", "value", "seen"),
    [("depth", "120", "centimetres"), ("women", "50", "women"), ("ages", "80-60", "smaller end"),
     ("temperature", "84", "Fahrenheit"), ("intensity", "mad", "mad")],
)  # fmt: skip
def test_what_no_pool_has_is_refused_with_the_likely_slip(
    client: Client, field: str, value: str, seen: str
) -> None:
    """A slip is told in one line and nothing of the form is kept."""
    answer = put(client, notes="new", **{field: value})
    assert answer.status == 400
    assert seen in answer.data["error"]
    assert read_water().notes == ""


def test_moves_are_judged_as_the_command_judges_them(client: Client) -> None:
    """The list holds the verdicts of the same function, named in the language asked for."""
    rows = client.get("/api/moves?tempo_bpm=150&pattern=2&language=de")["moves"]
    by_key = {row["key"]: row for row in rows}
    (verdict,) = judge(150.0, *read_form(read_water()), moves=["jack"], patterns=("2",))
    assert by_key["jack"]["name"] == "Hampelmann"
    assert by_key["jack"]["range_kept"][1] == pytest.approx(verdict.range_kept.median)
    assert by_key["jack"]["rating"] == verdict.rating.value
    assert "bicycle" not in by_key  # deep only
    put(client, kind="deep")
    deep = client.get("/api/moves?tempo_bpm=130")["moves"]
    assert "bicycle" in {row["key"] for row in deep}


def test_figures_and_the_group_come_as_pictures(client: Client) -> None:
    """A moving figure keeps the tempo, a variation differs, the group stands in its own depth."""
    first = client.ask("GET", "/api/figure.svg?move=jack&tempo_bpm=120")
    assert first.headers["content-type"] == "image/svg+xml"
    assert b'dur="2.000s"' in first.body  # four counts at 120 a minute
    other = client.ask("GET", "/api/figure.svg?move=jack%2Barms%3Dfly&tempo_bpm=120")
    assert other.body != first.body
    assert b"animate" not in client.ask("GET", "/api/figure.svg?move=jack").body
    group = client.ask("GET", "/api/water/group.svg?title=%3Cb%3Eus")
    texts = [one.text for one in ET.fromstring(group.body).iter() if one.tag.endswith("text")]
    assert {"1.50 m", "1.70 m", "1.90 m", f"{Pool().depth_m:.2f} m"} == set(texts)
    for query in ("move=jack&tempo_bpm=9999", "move=nothing", "move=jack&view=above", "move=a,b"):
        assert client.ask("GET", f"/api/figure.svg?{query}").status == 400


@pytest.mark.long
@NEEDS_CHROMIUM
def test_water_by_keyboard(browser: Browser, client: Client) -> None:
    """Depth typed, a move chosen and a variation looked at without a mouse; axe finds nothing."""
    with opened(browser, client, "water") as page:
        expect(page.locator(".move-row").first).to_be_visible()
        before = page.locator(".group-picture").get_attribute("src")
        page.get_by_label("Depth", exact=True).focus()
        page.keyboard.type("4ft")
        with page.expect_response("**/api/moves?**"):
            page.keyboard.press("Tab")
        expect(page.locator(".class-form summary")).to_contain_text("1.22 m")
        page.wait_for_timeout(500)  # the moves are drawn anew for that depth
        assert page.locator(".group-picture").get_attribute("src") != before
        jack = page.locator('.move-row[data-move="jack"]')
        assert jack.evaluate("it => it.offsetHeight") < 130  # four lines, and no empty half
        jack.focus()
        page.keyboard.press("Enter")
        about = page.locator(".move-about")
        expect(about.get_by_role("heading", name="Jack", exact=True)).to_be_visible()
        expect(about.locator(".curve")).to_be_visible()
        figure = about.locator(".figure-picture")
        src = figure.get_attribute("src") or ""
        assert "tempo_bpm=130" in src
        about.locator(".variation").nth(1).focus()
        page.keyboard.press("Space")
        expect(figure).not_to_have_attribute("src", src)
        page.get_by_role("button", name="End positions").press("Enter")
        assert "tempo_bpm" not in (figure.get_attribute("src") or "")
        assert serious_faults(page) == []


@NEEDS_CHROMIUM
def test_water_on_a_phone(browser: Browser, client: Client) -> None:
    """By touch at 390 px a move opens in a sheet; nothing is wider than the screen."""
    with opened(browser, client, "water/140", **PHONE) as page:
        expect(page.locator("#water-bpm")).to_have_value("140")
        page.locator('.move-row[data-move="knee-lift"]').tap()
        sheet = page.get_by_role("dialog")
        expect(sheet.get_by_role("heading", name="Knee lift", exact=True)).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        sheet.get_by_role("button", name="Close").tap()
        expect(sheet).to_be_hidden()
