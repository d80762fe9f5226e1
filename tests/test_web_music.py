"""The part Music in a headless Chromium: mouse, keyboard, touch, thousands of rows."""

from __future__ import annotations

import json
import re
import shutil
import threading
from base64 import b64encode
from collections.abc import Iterator
from pathlib import Path

import pytest
from page_browser import NEEDS_CHROMIUM, PHONE, opened, serious_faults
from page_making import Client, own_store, served
from playwright.sync_api import Browser, expect

from aquatempo.music import places
from aquatempo.music.rows import row_id
from aquatempo.records.check import ClassFit
from aquatempo.records.music import FitCause, MusicRow, RowFit, RowState
from aquatempo.records.people import ClassDepth
from aquatempo.records.track import Failure, Track
from aquatempo.workflow import music_list
from aquatempo.workflow.listening import listen

pytestmark = NEEDS_CHROMIUM
SAMPLES = Path(__file__).parent.parent / "sample_audio"
SONGS = ("odd_lane.ogg", "tuesday_evening_light.ogg", "last_lane_slowly.ogg")
HOSTILE = "<img src=x onerror=alert(1)>\u202e\u0000</script><b>bold"
MANY = 5_000
SCROLLING = """() => new Promise((done) => {
  const list = document.querySelector(".song-list"), begun = performance.now();
  let frames = 0;
  const step = (now) => {
    frames += 1;
    list.scrollTop += 240;
    if (now - begun < 4000) requestAnimationFrame(step); else done([frames, (now - begun) / 1000]);
  };
  requestAnimationFrame(step);
})"""


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Return a home folder with a folder of three songs."""
    monkeypatch.setattr(places, "_REMOVABLE", (str(tmp_path / "no drive"),))
    with own_store(tmp_path, monkeypatch) as home:
        (home / "Songs for Tuesday").mkdir()
        for name in SONGS:
            shutil.copy(SAMPLES / name, home / "Songs for Tuesday" / name)
        yield home


@pytest.fixture
def client(home: Path) -> Iterator[Client]:
    """Return a client of a page on which nothing is open."""
    with served() as entered:
        yield entered


def test_from_nothing_to_a_heard_list_by_mouse(browser: Browser, client: Client) -> None:
    """An empty page offers to open a folder; its songs are heard and judged without a reload."""
    with opened(browser, client) as page:
        expect(page.get_by_role("heading", name="Which music do you teach to?")).to_be_visible()
        page.locator(".nothing").get_by_role("button", name="Open a folder").click()
        page.get_by_role("dialog").get_by_role("button", name="Songs for Tuesday").click()
        page.get_by_role("button", name="Open this folder").click()
        expect(page.locator(".song.heard")).to_have_count(3)
        row = page.locator(".song.heard", has_text="tuesday evening light")
        expect(row.locator(".tempo")).to_contain_text("120 bpm")
        row.click()
        about = page.locator(".about")
        expect(about).to_contain_text("120 bpm lies within 114")
        about.get_by_role("button", name="Listen and put right").click()
        expect(page.locator("h1")).to_have_text("tuesday evening light")


def test_an_empty_folder_says_so_and_can_be_opened(
    browser: Browser, client: Client, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of two places one is chosen; a folder in which nothing lies says so, and can be opened."""
    drive = tmp_path / "drive"
    drive.mkdir()
    monkeypatch.setattr(places, "_REMOVABLE", (str(drive),))
    with opened(browser, client) as page:
        page.locator(".nothing").get_by_role("button", name="Open a folder").click()
        dialog = page.get_by_role("dialog")
        expect(dialog.locator(".folders button")).to_have_count(2)
        dialog.get_by_role("button", name=str(drive)).click()
        expect(dialog).to_contain_text("This folder is empty")
        dialog.get_by_role("button", name="Up").click()
        dialog.get_by_role("button", name=str(drive)).click()
        dialog.get_by_role("button", name="Open this folder").click()
        expect(page.locator(".said")).to_contain_text("0 songs found")
        shutil.copy(SAMPLES / SONGS[0], drive)
        page.locator(".places summary").click()
        page.get_by_role("button", name="Look for new songs").click()
        expect(page.locator(".song.heard")).to_have_count(1)


def test_a_button_outlives_news(browser: Browser, client: Client) -> None:
    """News of an empty list leave a button alone on which a finger lies, or the focus."""
    with opened(browser, client) as page:
        button = page.locator(".nothing").get_by_role("button", name="Open a folder")
        button.focus()
        before = button.element_handle()
        with page.expect_response("**/api/music?**"):
            client.page.desk.music._changed()
        page.wait_for_timeout(100)
        assert before.evaluate("it => it.isConnected && it === document.activeElement")


def test_by_keyboard_alone(browser: Browser, client: Client) -> None:
    """Tab, arrows and Enter lead from the empty page into the ear of the second song."""
    with opened(browser, client) as page:
        page.wait_for_selector(".nothing button")

        def tab_to(name: str) -> None:
            for _ in range(40):
                page.keyboard.press("Tab")
                focused = page.locator("button:focus")
                if focused.count() and name in (focused.text_content() or ""):
                    return
            raise AssertionError(f"no way to {name!r}")

        tab_to("Open a folder")
        page.keyboard.press("Enter")
        page.wait_for_selector("text=Songs for Tuesday")
        tab_to("Songs for Tuesday")
        page.keyboard.press("Enter")
        expect(page.locator(".where")).to_contain_text("Songs for Tuesday")
        tab_to("Open this folder")
        page.keyboard.press("Enter")
        expect(page.locator(".song.heard")).to_have_count(3)
        for _ in range(30):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.getAttribute('role')") == "listbox":
                break
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowDown")
        chosen = page.locator("[role=option][aria-selected=true]")
        words = chosen.text_content() or ""
        assert re.search(r", \d:\d\d, [\d.]+ bpm, \d+ %, Shallow.*, Deep", words), words
        page.keyboard.press("Enter")
        expect(page.locator("h1")).to_have_text(words.partition(",")[0])


@pytest.mark.long
def test_by_touch_on_a_phone(browser: Browser, client: Client, home: Path) -> None:
    """On 390 x 844 a tap on a song opens it at length; nothing is wider than the screen."""
    client.page.desk.music.open([str(home / "Songs for Tuesday")])
    client.page.desk.hear()
    client.until_heard()
    with opened(browser, client, **PHONE) as page:
        page.locator(".song.heard").nth(1).tap()
        sheet = page.get_by_role("dialog")
        expect(sheet).to_contain_text("Listen and put right")
        width = page.evaluate("document.documentElement.scrollWidth")
        assert width <= 390
        small = page.evaluate(
            """[...document.querySelectorAll('dialog button, .parts a, .sieve input')]
            .filter((one) => one.offsetParent && one.offsetHeight < 44).length"""
        )
        assert small == 0, "what is tapped is at least 44 px high (WCAG 2.5.5)"
        sheet.get_by_role("button", name="Listen and put right").tap()
        page.wait_for_selector(".lane canvas")
        assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_songs_are_dropped(browser: Browser, client: Client) -> None:
    """Songs dropped on the page arrive, are heard, and what is no song is left out."""
    data = [b64encode(SAMPLES.joinpath(name).read_bytes()).decode() for name in SONGS[:2]]
    with opened(browser, client) as page:
        page.wait_for_selector(".nothing")
        page.evaluate(
            """(songs) => {
              const transfer = new DataTransfer();
              const bytes = (song) => Uint8Array.from(atob(song), (one) => one.charCodeAt(0));
              songs.forEach((song, n) =>
                transfer.items.add(new File([bytes(song)], `dropped ${n}.ogg`)));
              transfer.items.add(new File(["no song"], "notes.txt"));
              document.querySelector(".music").dispatchEvent(
                new DragEvent("drop", { dataTransfer: transfer, bubbles: true, cancelable: true }));
            }""",
            data,
        )
        expect(page.locator(".song.heard")).to_have_count(2)
        expect(page.locator(".song .title").first).to_have_text("dropped 0")


@pytest.mark.long
def test_stopping_and_a_restart_in_the_middle(
    browser: Browser, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped, ended and started again, the page goes on with the rest and loses nothing."""
    pressed = threading.Event()

    def unhurried(files: list[str], jobs: int) -> Iterator[Track | Failure]:
        """Hear a song, and the next one once a person has pressed a button."""
        for item in listen(files, jobs=jobs):
            yield item
            pressed.wait(60)

    monkeypatch.setattr(music_list, "listen", unhurried)
    for name in SONGS:
        shutil.copy(SAMPLES / name, home / "Songs for Tuesday" / f"again_{name}")
    with served() as client:
        client.page.desk.music.open([str(home / "Songs for Tuesday")])
        with opened(browser, client, expected="net::ERR_") as page:
            client.page.desk.hear()
            page.get_by_role("button", name="Stop").click()
            pressed.set()
            expect(page.get_by_role("button", name="Go on")).to_be_visible()
            client.page.leave()
            expect(page.locator("#notice")).to_contain_text("does not answer")
    with served() as client, opened(browser, client) as page:
        page.get_by_role("button", name="Go on").click()
        expect(page.locator(".song.heard")).to_have_count(6)


def test_hostile_titles_stay_text(browser: Browser, client: Client) -> None:
    """A title full of markup is shown letter for letter, in the list, at length and spoken."""
    put_rows(client, [made_row(0, HOSTILE)])
    with opened(browser, client) as page:
        expect(page.locator(".song .title").first).to_have_text(HOSTILE)
        page.locator(".rows .song").first.click()
        expect(page.locator(".about-title")).to_have_text(HOSTILE)
        assert page.locator("img[src=x]").count() == 0
        assert HOSTILE in (page.locator("[role=option]").first.text_content() or "")


@pytest.mark.parametrize("width", [390, pytest.param(1440, marks=pytest.mark.long)])
def test_nothing_serious_for_axe(browser: Browser, client: Client, home: Path, width: int) -> None:
    """axe-core finds nothing serious: empty, filled, with the song at length, settings open."""
    with opened(browser, client, viewport={"width": width, "height": 900}) as page:
        page.wait_for_selector(".nothing h2")
        assert serious_faults(page) == []
        client.page.desk.music.open([str(home / "Songs for Tuesday")])
        client.page.desk.hear()
        expect(page.locator(".song.heard")).to_have_count(3)
        assert serious_faults(page) == []
        page.locator(".rows .song").first.click()
        page.wait_for_timeout(300)
        assert serious_faults(page) == []
        page.keyboard.press("Escape")
        page.get_by_role("button", name="Settings").locator("visible=true").click()
        page.wait_for_selector("dialog.settings")
        assert serious_faults(page) == []


def test_settings_hold_in_every_window(browser: Browser, client: Client) -> None:
    """German, dark, large type: at once, in another window too, and after a reload."""
    with opened(browser, client) as page, opened(browser, client) as other:
        page.get_by_role("button", name="Settings").click()
        page.get_by_role("radio", name="Deutsch").click()
        page.get_by_role("radio", name="Sehr groß").click()
        page.get_by_role("radio", name="Dunkel").click()
        expect(other.locator("h1")).to_have_text("Musik")
        assert other.evaluate("document.documentElement.lang") == "de"
        expect(other.locator("html")).to_have_attribute("data-theme", "dark")
        page.reload()
        expect(page.locator("h1")).to_have_text("Musik")
        expect(page.locator("html")).to_have_css("font-size", "22.4px")


@pytest.mark.long
def test_five_thousand_rows_scroll_smoothly(browser: Browser, client: Client) -> None:
    """With 5,000 songs, few rows exist, and a frame of scrolling takes 20 ms of work at most.

    20 ms are 50 frames a second. What counts is the work of the page's own thread: how many
    frames come about on a machine that is busy with other things says little.
    """
    put_rows(client, [made_row(number, f"song {number:05d}") for number in range(MANY)])
    with opened(browser, client) as page:
        expect(page.locator(".figures")).to_contain_text("5,000 songs")
        page.wait_for_selector(".song.heard")
        tools = page.context.new_cdp_session(page)
        tools.send("Performance.enable", {"timeDomain": "threadTicks"})

        def worked_s() -> float:
            found = tools.send("Performance.getMetrics")["metrics"]
            return float(next(one["value"] for one in found if one["name"] == "TaskDuration"))

        before_s = worked_s()
        frames, seconds = page.evaluate(SCROLLING)
        work_ms = 1000 * (worked_s() - before_s) / frames
        print(json.dumps({"frames_a_second": frames / seconds, "work_ms_a_frame": work_ms}))
        assert page.locator(".rows .song").count() < 80
        page.locator(".song-list").focus()
        page.keyboard.press("End")
        last = page.locator("[role=option][aria-selected=true]")
        expect(last).to_contain_text("song 04999")
        page.get_by_role("searchbox").fill("song 0123")
        expect(page.locator("[role=option]:visible")).to_have_count(11)  # 00123, 01230 to 01239
        assert work_ms < 20


def put_rows(client: Client, rows: list[MusicRow]) -> None:
    """Put rows into the list as if they had been heard."""
    music = client.page.desk.music
    music._rows = {row.id: row for row in rows}
    music._changed()


def made_row(number: int, title: str) -> MusicRow:
    """Return a row that was never heard, as a heard one looks."""
    file = f"/music/{number}.ogg"
    tempo_bpm = 100.0 + number % 60
    fits = tuple(
        RowFit(ClassFit(depth, "suits", "", (100, 150), "published", 1.0, ()), (FitCause.IN_RANGE,))
        for depth in ClassDepth
    )
    strip = "".join(str((number + at) % 10) for at in range(48))
    return MusicRow(
        row_id(file), file, title, "/music", RowState.HEARD, duration_s=200.0 + number % 90,
        tempo_bpm=tempo_bpm, sure=0.9, is_sure=True, strip=strip, phrases=12, fits=fits,
    )  # fmt: skip
