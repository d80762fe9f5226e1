"""The whole job in a browser, by mouse, by keyboard alone, by touch: from music to the pool."""

from __future__ import annotations

import json
import shutil
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest
from page_browser import NEEDS_CHROMIUM, PHONE, opened
from page_making import Client, own_store, served
from playwright.sync_api import Browser, Locator, Page, expect

from aquatempo.documents.plan import any_plan_from_text
from aquatempo.music import places
from aquatempo.records.plan import ClassPlan
from aquatempo.workflow.plan_jobs import MadePlan, PlanTask, PlanWork

pytestmark = [NEEDS_CHROMIUM, pytest.mark.long]
SAMPLES = Path(__file__).parent.parent / "sample_audio"
HALVED, MOVED = "tuesday evening light", "first lengths"
SONGS = ("odd_lane.ogg", "first_lengths.ogg", "tuesday_evening_light.ogg")
MOST_TABS = 150


@dataclass
class Hand:
    """Does what a person does, in one of three ways."""

    page: Page
    way: str

    def press(self, target: Locator) -> None:
        """Press something that can be seen: a click, a tap, or Tab to it and Enter or Space."""
        if self.way == "mouse":
            target.click()
        elif self.way == "touch":
            target.tap()
        else:
            self.tab_to(target)
            ticked = target.get_attribute("type") == "checkbox"
            self.page.keyboard.press("Space" if ticked else "Enter")

    def tab_to(self, target: Locator) -> None:
        """Go on by Tab until something has the focus."""
        expect(target).to_be_visible()
        for _ in range(MOST_TABS):
            if target.evaluate("it => it === document.activeElement"):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"no way by Tab to {target}")

    def part(self, name: str) -> None:
        """Go to a part of the page."""
        self.press(self.page.locator(".parts").get_by_role("link", name=name, exact=True))

    def button(self, name: str, inside: str = "body") -> None:
        """Press a button by what it says."""
        self.press(self.page.locator(inside).get_by_role("button", name=name).first)

    def ear_of(self, title: str) -> None:
        """Open a song of the list in the ear."""
        if self.way == "keyboard":
            self.tab_to(self.page.get_by_role("listbox"))
            self.page.keyboard.press("Home")
            chosen = self.page.locator("[role=option][aria-selected=true]")
            for _ in SONGS:
                if (chosen.text_content() or "").startswith(title):
                    break
                self.page.keyboard.press("ArrowDown")
            self.page.keyboard.press("Enter")
        else:
            self.press(self.page.locator(".song.heard", has_text=title))
            self.button("Listen and put right")
        expect(self.page.locator("h1")).to_have_text(title)
        self.page.wait_for_selector(".lane canvas")

    def move_count_one(self) -> None:
        """Say that count 1 lies one count later: by a drag, or on the marked count."""
        if self.way != "mouse":
            self.button("One count on")
            self.button("Count 1 is here")
            return
        grip = self.page.locator(".count-one")
        expect(self.page.locator(".count-one")).to_be_visible()
        self.page.wait_for_timeout(500)  # as long as a hand takes to find it: the lanes are drawn
        grip.hover()
        wide = self.page.evaluate("document.querySelector('.ruler-counts span').clientWidth")
        box = grip.bounding_box()
        assert box is not None
        self.page.mouse.down()
        self.page.mouse.move(box["x"] + box["width"] / 2 + wide, box["y"] + 8, steps=4)
        self.page.mouse.up()


@dataclass
class Planned:
    """What was planned so far, by what was asked: the same wish is planned once in this file."""

    made: dict[str, tuple[MadePlan, ...]] = field(default_factory=dict)

    def start(self, work: PlanWork, task: PlanTask, start: Any, **told: Any) -> bool:
        """Start a task as ever, or give back what came of the very same one."""
        wish = repr(replace(task, files=tuple(sorted(task.files))))
        if wish in self.made:
            threading.Timer(0.1, told["done"], [self.made[wish]]).start()
            return True

        def done(made: tuple[MadePlan, ...]) -> None:
            self.made[wish] = made
            ready(made)

        ready = told["done"]
        return bool(start(work, task, **{**told, "done": done}))


@pytest.fixture(scope="module")
def planned() -> Planned:
    """Return what the ways share: plans."""
    return Planned()


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a home folder with an empty folder of music in it."""
    home = tmp_path_factory.mktemp("home")
    (home / "Songs").mkdir()
    return home


@pytest.fixture
def client(
    home: Path, tmp_path: Path, planned: Planned, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Client]:
    """Return a client of a page on which nothing was ever done; its songs are not there yet."""
    for song in (home / "Songs").iterdir():
        song.unlink()
    start = PlanWork.start

    def shared(work: PlanWork, task: PlanTask, **told: Any) -> bool:
        return planned.start(work, task, start, **told)

    monkeypatch.setattr(PlanWork, "start", shared)
    monkeypatch.setattr(places, "_REMOVABLE", ())
    monkeypatch.setenv("XDG_DOCUMENTS_DIR", str(tmp_path / "Documents"))
    with own_store(home, monkeypatch):
        monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
        with served() as entered:
            yield entered


@pytest.mark.parametrize("way", ["mouse", "keyboard", "touch"])
def test_from_an_empty_folder_to_the_pool(
    browser: Browser, client: Client, home: Path, tmp_path: Path, way: str
) -> None:
    """Half, a moved count 1 and a swapped move, from an empty folder on, lie in the deck page."""
    with opened(browser, client, **(PHONE if way == "touch" else {})) as page:
        hand = Hand(page, way)
        hand.button("Open a folder", ".nothing")
        hand.press(page.get_by_role("dialog").get_by_role("button", name="Songs"))
        expect(page.get_by_role("dialog")).to_contain_text("This folder is empty")
        hand.button("Open this folder")
        for name in SONGS:
            shutil.copy(SAMPLES / name, home / "Songs" / name)
        hand.press(page.locator(".places summary"))
        hand.button("Look for new songs")
        expect(page.locator(".song.heard")).to_have_count(len(SONGS), timeout=60_000)
        before = corrected(client)
        hand.ear_of(HALVED)
        hand.button("count at half")
        expect(page.get_by_text("Counted at 60 bpm").first).to_be_visible()
        hand.part("Music")
        hand.ear_of(MOVED)
        hand.move_count_one()
        expect(page.get_by_text("Count 1 at").first).to_be_attached()
        heard = corrected(client)
        assert heard[HALVED]["tempo_bpm"] == pytest.approx(before[HALVED]["tempo_bpm"] / 2, 0.01)
        assert starts(heard[MOVED]).isdisjoint(starts(before[MOVED]) - {0})
        hand.part("Class")
        hand.press(page.get_by_label("Each song whole, once"))
        hand.button("Plan the class")
        page.wait_for_selector(".song-block", timeout=60_000)
        swapped = swap(hand)
        plan = saved(client, page.evaluate("location.hash.split('/')[1]"))
        hand.button("To the pool")
        expect(page.locator(".made-file").first).to_be_visible(timeout=60_000)
        hand.button("Make the folder")
        expect(page.locator(".made")).to_contain_text("files are in", timeout=60_000)
        if way == "touch":
            assert page.evaluate("document.documentElement.scrollWidth") <= 390
    (folder,) = (tmp_path / "Documents" / "aquatempo").iterdir()
    assert (folder / "deck_card.pdf").read_bytes().startswith(b"%PDF")
    deck = browser.new_page()
    deck.goto((folder / "deck_page.html").as_uri())
    book = json.loads(deck.locator("#data").text_content() or "")
    deck.close()
    for title, told in {track["title"]: track for track in book["tracks"]}.items():
        track = next(one for one in plan.tracks if one.title == title)
        assert told["tempo_bpm"] == pytest.approx(heard[title]["tempo_bpm"], abs=0.01)
        assert track.tempo_bpm == pytest.approx(heard[title]["tempo_bpm"], abs=0.01)
        assert {one.start_beat for one in track.phrases} <= starts(heard[title])
        assert {one["start_beat"] for one in told["phrases"]} <= starts(heard[title])
        assert told["beats_s"] == pytest.approx(heard[title]["beats_s"], abs=0.001)
    (told,) = (track for track in book["tracks"] if track["title"] == MOVED)
    start = next(one["start_beat"] for one in told["phrases"] if one["counts"] == 32)
    assert swapped in [one["name"] for one in told["changes"] if one["beat"] == start]


def corrected(client: Client) -> dict[str, Any]:
    """Return what is heard of each song, with what was put right, by title."""
    rows = {row["title"]: row["id"] for row in client.rows()}
    return {title: client.get(f"/api/tracks/{key}")["analysis"] for title, key in rows.items()}


def starts(analysis: Any) -> set[int]:
    """Return the beats at which the phrases of a song start."""
    return {phrase["start_beat"] for phrase in analysis["phrases"]}


def saved(client: Client, key: str) -> ClassPlan:
    """Return a plan as it is saved."""
    text = client.ask("GET", f"/api/plans/{key}/plan.toml").body.decode()
    return any_plan_from_text("saved", text)


def swap(hand: Hand) -> str:
    """Use another move in the first whole phrase of the song whose count 1 was moved."""
    page = hand.page
    hand.press(page.locator(".song-block", has_text=MOVED))
    expect(page.locator(".plan-song h2")).to_contain_text(MOVED)
    block = page.locator(".phrase", has_text="32 counts").locator(".block").first
    place = block.get_attribute("id")
    here = (block.locator(".block-name").text_content() or "").split(",")[0]
    hand.press(block)
    names = page.locator(".choice-row .block-name")
    expect(names.first).to_be_visible(timeout=60_000)
    found = [one.split(",")[0] for one in names.all_text_contents()]
    at = next(n for n, name in enumerate(found) if name != here)
    hand.press(page.locator(".choice-row").nth(at).get_by_role("button", name="Use"))
    expect(page.locator(f"#{place}")).to_contain_text(found[at])
    return found[at]
