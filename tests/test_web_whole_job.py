"""The whole job in a headless Chromium: from a folder of music to a folder for the pool."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from deck_browser import headless
from page_browser import NEEDS_CHROMIUM, opened
from page_making import Client, own_store, served
from playwright.sync_api import Browser, Locator, Page, expect

from aquatempo.documents.plan import any_plan_from_text

pytestmark = NEEDS_CHROMIUM
SAMPLES = Path(__file__).parent.parent / "sample_audio"
SONGS = ("odd_lane.ogg", "first_lengths.ogg", "tuesday_evening_light.ogg")
WAYS: dict[str, dict[str, Any]] = {
    "mouse": {},
    "keyboard": {},
    "touch": {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True},
}
LONG_MS = 600_000  # planning, where other work fills the machine


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return a headless Chromium."""
    with headless() as chromium:
        yield chromium


def act(way: str, target: Locator) -> None:
    """Press something by mouse, by keyboard alone, or by a finger."""
    if way == "keyboard":
        target.press("Space" if target.get_attribute("type") == "checkbox" else "Enter")
    elif way == "touch":
        target.tap()
    else:
        target.click()


def go(way: str, page: Page, part: str) -> None:
    """Go to a part of the page."""
    act(way, page.locator(".parts").get_by_role("link", name=part, exact=True))


@pytest.mark.parametrize("way", WAYS)
def test_from_music_to_a_folder_for_the_pool(
    browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    """Songs opened, one put right, a class planned, a move swapped: found again in the folder."""
    monkeypatch.setenv("XDG_DOCUMENTS_DIR", str(tmp_path / "Documents"))
    with own_store(tmp_path, monkeypatch), served() as client:
        music = tmp_path / "Songs"
        music.mkdir()
        for name in SONGS:
            shutil.copy(SAMPLES / name, music / name)
        with opened(browser, client, **WAYS[way]) as page:
            act(way, page.locator(".nothing").get_by_role("button", name="Open a folder"))
            dialog = page.get_by_role("dialog")
            act(way, dialog.locator(".folders button").first)
            act(way, dialog.locator(".folders").get_by_role("button", name="Songs"))
            act(way, page.get_by_role("button", name="Open this folder"))
            rows = {Path(row["file"]).name: row for row in client.until_heard()}
            song = rows["first_lengths.ogg"]["id"]
            page.goto(f"http://{client.host}/#ear/{song}")
            act(way, page.get_by_role("button", name="count at half"))
            expect(page.get_by_text("As you settled it").first).to_be_visible()
            act(way, page.get_by_role("button", name="count at double"))
            before = starts(client, song)
            act(way, page.get_by_role("button", name="One count on"))
            expect(page.get_by_text("Count 1 at").first).to_be_visible()
            moved = starts(client, song)
            assert moved != before
            go(way, page, "Class")
            act(way, page.get_by_label("Each song whole, once"))
            act(way, page.get_by_role("button", name="Plan the class"))
            page.wait_for_selector(".song-block", timeout=LONG_MS)
            key = page.evaluate("location.hash.split('/')[1]")
            planned = any_plan_from_text(
                "plan", client.ask("GET", f"/api/plans/{key}/plan.toml").body.decode()
            )
            track = next(
                one for one in planned.tracks if Path(one.file).name == "first_lengths.ogg"
            )
            assert track.tempo_bpm == pytest.approx(
                rows["first_lengths.ogg"]["tempo_bpm"], rel=0.01
            )
            assert {one.start_beat for one in track.phrases} <= moved
            name = swapped(page, client.get(f"/api/plans/{key}"), way)
            act(way, page.get_by_role("button", name="To the pool"))
            expect(page.locator(".made-file").first).to_be_visible(timeout=LONG_MS)
            act(way, page.get_by_role("button", name="Make the folder"))
            expect(page.locator(".made")).to_contain_text("files are in", timeout=LONG_MS)
        (folder,) = (tmp_path / "Documents" / "aquatempo").iterdir()
        assert name in (folder / "deck_page.html").read_text(encoding="utf-8")
        assert (folder / "deck_card.pdf").read_bytes().startswith(b"%PDF")


def starts(client: Client, song: str) -> set[int]:
    """Return the beats at which the phrases of a song start, as it is heard and corrected now."""
    analysis = client.get(f"/api/tracks/{song}")["analysis"]
    return {phrase["start_beat"] for phrase in analysis["phrases"]}


def swapped(page: Page, shown: Any, way: str) -> str:
    """Use another move, new to the class, in the first block of work; return its name."""
    blocks = [b for t in shown["tracks"] for p in t["phrases"] for b in p["blocks"]]
    names = {block["name"] for block in blocks}
    block = next(
        b
        for t in shown["tracks"]
        if t["part"] == "main"
        for p in t["phrases"]
        if p["kind"] == "phrase"
        for b in p["blocks"]
    )
    act(way, page.locator(".song-block").nth(int(block["place"].split(".")[0]) - 1))
    act(way, page.locator(f"#place-{block['place'].replace('.', '-')}"))
    choices = page.locator(".choice-row")
    expect(choices.first).to_be_visible(timeout=LONG_MS)
    at = next(
        (n for n in range(choices.count()) if not any(
            name in choices.nth(n).locator(".block-name").inner_text() for name in names
        )), 0,
    )  # fmt: skip
    name = choices.nth(at).locator(".block-name").inner_text().split(",")[0]
    act(way, choices.nth(at).get_by_role("button", name="Use"))
    expect(page.locator(f"#place-{block['place'].replace('.', '-')}")).to_contain_text(name)
    return name
