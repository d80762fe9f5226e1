"""The part Ear in a headless Chromium: count and click, dragging, keys, touch, two windows."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from deck_browser import PATIENCE_MS
from page_browser import NEEDS_CHROMIUM, PHONE, opened, serious_faults
from page_making import Client, own_store, served
from playwright.sync_api import Browser, Page, expect

pytestmark = NEEDS_CHROMIUM
SAMPLES = Path(__file__).parent.parent / "sample_audio"
RATE_HZ = 44_100
SONG_HZ = 400.0  # the song's own ticks; the page's clicks are 1,000 to 2,000 Hz

# Lets a test hear what the page plays: the samples that leave the player's node, as text, because
# a browser hands over a quarter of a million numbers one by one.
LISTEN = """async (seconds) => {
  const { here } = await import("/static/js/ear/view.js");
  const { context, node } = here.player;
  const size = 4096, heard = [], tap = context.createScriptProcessor(size, 2, 1);
  return await new Promise((done) => {
    tap.onaudioprocess = (event) => {
      heard.push(Array.from(event.inputBuffer.getChannelData(0), (one) => Math.round(32767 * one)));
      if (heard.length * size >= seconds * context.sampleRate) {
        node.disconnect(tap); tap.disconnect(); done(JSON.stringify(heard.flat()));
      }
    };
    node.connect(tap); tap.connect(context.destination);
  });
}"""
# The count shown, and where the sound is by the context's own clock, in each of many frames.
COUNTS = """async (frames) => {
  const { here } = await import("/static/js/ear/view.js");
  const seen = [];
  for (let n = 0; n < frames; n++) {
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
    seen.push([document.querySelector(".count").textContent, here.player.place()]);
  }
  return seen;
}"""
PLACE = "import('/static/js/ear/view.js').then(({ here }) => here.player.place())"
REDRAWN = """async () => {
  const { here } = await import("/static/js/ear/view.js");
  here.lanes.redraw();
  for (let n = 0; n < 2; n++) await new Promise((done) => requestAnimationFrame(done));
}"""
STATE = "import('/static/js/ear/view.js').then(({ here }) => here.model.track)"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Return a home folder with a sample song of 126 bpm in it."""
    with own_store(tmp_path, monkeypatch) as home:
        shutil.copy(SAMPLES / "odd_lane.ogg", home / "lane.ogg")
        yield home


@pytest.fixture
def client(home: Path) -> Iterator[Client]:
    """Return a client of a page on which that song is open."""
    with served(home / "lane.ogg") as entered:
        entered.until_heard()
        yield entered


def ear(client: Client) -> str:
    """Return the address of the ear with the first song."""
    return f"ear/{client.rows()[0]['id']}"


def ready(page: Page) -> None:
    """Wait until the lanes are drawn."""
    page.wait_for_selector(".lane canvas")
    page.wait_for_timeout(300)


def lanes(page: Page) -> list[tuple[int, int, str]]:
    """Return first beat, counts and kind of each stretch that the page shows."""
    phrases = page.evaluate(STATE)["analysis"]["phrases"]
    return [(one["start_beat"], one["counts"], one["kind"]) for one in phrases]


def until(page: Page, done: Any) -> None:
    """Wait until something is true."""
    for _ in range(PATIENCE_MS // 50):
        if done():
            return
        page.wait_for_timeout(50)
    raise AssertionError("it did not come to that in a minute")


def onsets_s(samples: np.ndarray, hertz: float) -> np.ndarray:
    """Return when tones of a pitch begin: where their amplitude rises fastest."""
    time_s = np.arange(len(samples)) / RATE_HZ
    turning = np.exp(-2j * np.pi * hertz * time_s)
    width = RATE_HZ // 100
    window = np.ones(width) / width
    level = np.abs(np.convolve(samples * turning, window, mode="full")[: len(samples)])
    loud = level > 0.4 * level.max()
    edges = np.flatnonzero(np.diff(loud.astype(int)) == 1) + 1
    kept = [edge for edge in edges if not loud[max(0, edge - RATE_HZ // 6) : edge].any()]
    return np.array(kept) / RATE_HZ


def ticking(path: Path, tempo_bpm: float, seconds: float) -> None:
    """Write a song of low ticks on each beat, so that clicks on top can be told from them."""
    samples = np.zeros(round(seconds * RATE_HZ), dtype=np.float32)
    tone = np.sin(2 * np.pi * SONG_HZ * np.arange(4000) / RATE_HZ)
    tone *= np.exp(-np.arange(4000) / 900)
    for beat in range(int(seconds * tempo_bpm / 60) - 1):
        start = round((0.5 + beat * 60.0 / tempo_bpm) * RATE_HZ)
        level = 0.9 if beat % 4 == 0 else 0.5
        samples[start : start + len(tone)] += (level * tone)[: len(samples) - start]
    soundfile.write(path, samples, RATE_HZ)


@pytest.mark.parametrize("suffix", ["mp3", pytest.param("wav", marks=pytest.mark.long)])
def test_the_click_falls_on_the_beat_of_the_song(browser: Browser, home: Path, suffix: str) -> None:
    """What the page plays has its clicks within 20 ms of the song's own ticks, coded or not."""
    ticking(home / f"ticks.{suffix}", 150.0, 26.0)
    with served(home / f"ticks.{suffix}") as client:
        client.until_heard()
        with opened(browser, client, ear(client)) as page:
            ready(page)
            page.locator(".play").click()
            until(page, lambda: page.evaluate(PLACE) > 1)
            heard = np.array(json.loads(page.evaluate(LISTEN, 5.2))) / 32767
    song = onsets_s(heard, SONG_HZ)
    clicks = np.concatenate([onsets_s(heard, hertz) for hertz in (1000.0, 1500.0, 2000.0)])
    assert len(song) >= 12
    errors_ms = [1000 * np.abs(clicks - tick).min() for tick in song[1:-1]]
    print(json.dumps({"click_error_ms": max(errors_ms)}))
    assert max(errors_ms) < 20.0


def test_the_count_shown_is_the_count_heard(browser: Browser, client: Client) -> None:
    """In each frame the digit is that of the place in the sound, at full and at half speed."""
    with opened(browser, client, ear(client)) as page:
        ready(page)
        track = page.evaluate(STATE)["analysis"]
        page.locator(".play").click()
        wrong = []
        for slow in (False, True):
            if slow:
                page.get_by_role("button", name="Half speed").click()
            page.wait_for_timeout(1500)
            for digit, place_s in page.evaluate(COUNTS, 60):
                near = {count_at(track, place_s + shift_s) for shift_s in (-0.02, 0.0, 0.02)}
                if digit not in near:
                    wrong.append((digit, place_s, slow))
        assert wrong == []


def count_at(track: dict[str, Any], time_s: float) -> str:
    """Return the count that holds at a time."""
    beat = int(np.searchsorted(track["beats_s"], time_s + 1e-9)) - 1
    starts = [one["start_beat"] for one in track["phrases"]]
    if beat < 0:
        return "–"
    start = starts[int(np.searchsorted(starts, beat, side="right")) - 1]
    return str((beat - start) % 8 + 1)


def test_a_loop_goes_round_a_phrase(browser: Browser, client: Client) -> None:
    """Round and round the bridge: the place never leaves it, and its length is that of 8 counts."""
    with opened(browser, client, ear(client)) as page:
        ready(page)
        page.locator(".lane.bridge .lane-label").click()
        page.get_by_role("button", name="Round and round").click()
        page.locator(".play").click()
        page.wait_for_timeout(1200)
        places = [place for _, place in page.evaluate(COUNTS, 250)]
        (bridge,) = [
            one for one in page.evaluate(STATE)["analysis"]["phrases"] if one["kind"] == "bridge"
        ]
    assert min(places) > bridge["start_s"] - 0.05
    assert max(places) < bridge["end_s"] + 0.05
    assert any(after < before for before, after in pairwise(places))


def drag(page: Page, selector: str, by_px: float) -> None:
    """Drag a handle sideways with the mouse, while the lanes fall due to be drawn anew."""
    page.evaluate(REDRAWN)
    box = page.locator(selector).first.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.evaluate(REDRAWN)
    page.mouse.move(x + by_px / 2, y, steps=4)
    page.mouse.move(x + by_px, y, steps=4)
    page.mouse.up()


def test_by_mouse_everything_is_put_right_and_undone(browser: Browser, client: Client) -> None:
    """Half, double, count 1 and a start dragged; each is shown, taken back, undone and redone."""
    with opened(browser, client, ear(client)) as page:
        ready(page)
        before = lanes(page)
        width = page.evaluate("document.querySelector('.lane-track').clientWidth / 32")
        page.get_by_role("button", name="count at half").click()
        expect(page.locator(".bpm-now")).to_have_text("63")
        page.get_by_role("button", name="count at double").click()
        expect(page.locator(".bpm-now")).to_have_text("126")
        drag(page, ".count-one", 2 * width)
        expect(page.locator(".steps")).to_contain_text("Count 1 at 0:01.3")
        until(page, lambda: lanes(page) != before)
        page.get_by_role("button", name="Take back").last.click()
        until(page, lambda: lanes(page) == before)
        number = next(at for at, lane in enumerate(before) if lane[2] == "bridge")
        drag(page, ".lane.bridge .lane-label", -4 * width)
        moved = before[number][0] - 4
        until(page, lambda: moved in [first for first, _, _ in lanes(page)])
        for _ in range(5):
            page.get_by_role("button", name="Undo").click()
            page.wait_for_timeout(250)
        expect(page.get_by_role("button", name="Undo")).to_be_disabled()
        assert lanes(page) == before
        page.get_by_role("button", name="Redo").click()
        expect(page.locator(".bpm-now")).to_have_text("63")


def test_by_keyboard_alone(browser: Browser, client: Client) -> None:
    """Arrows move by count, eight and phrase; keys set starts and bridges, play, undo and redo."""
    with opened(browser, client, ear(client)) as page:
        ready(page)
        place = page.get_by_role("slider", name="Place in the song")
        place.focus()
        page.keyboard.press("PageDown")
        page.keyboard.press("Shift+ArrowRight")
        page.keyboard.press("ArrowRight")
        expect(place).to_have_attribute("aria-valuetext", "Phrase 2, count 10 (2), 0:19.8")
        page.keyboard.press("b")
        until(page, lambda: (41, 8, "bridge") in lanes(page))
        page.keyboard.press("Control+z")
        until(page, lambda: (41, 8, "bridge") not in lanes(page))
        page.keyboard.press("Control+Shift+z")
        until(page, lambda: (41, 8, "bridge") in lanes(page))
        page.keyboard.press("Control+z")
        page.keyboard.press("1")
        expect(page.locator(".steps")).to_contain_text("Count 1 at")
        page.keyboard.press("Control+z")
        page.keyboard.press("h")
        expect(page.locator(".bpm-now")).to_have_text("63")
        place.focus()
        page.keyboard.press(" ")
        until(page, lambda: page.evaluate(PLACE) > 1)
        page.keyboard.press(" ")


def test_from_the_marked_count_on(browser: Browser, client: Client) -> None:
    """From the marked count on the song counts at double; a stretch without a beat is marked."""
    with opened(browser, client, ear(client)) as page:
        ready(page)
        beats = len(page.evaluate(STATE)["analysis"]["beats_s"])
        page.locator(".lane-label").nth(1).click()
        page.locator(".tools-more > summary").click()
        page.locator(".more-row").get_by_role("button", name="×2").click()
        expect(page.locator(".bpm-now")).to_have_text("126 → 252")
        expect(page.locator(".steps")).to_contain_text("Counted at 252 bpm, from 0:15.5")
        page.get_by_role("button", name="Undo").click()
        expect(page.locator(".bpm-now")).to_have_text("126")
        page.locator(".tools-more > summary").click()
        page.get_by_role("button", name="From here").click()
        place = page.get_by_role("slider", name="Place in the song")
        place.focus()
        for _ in range(7):
            page.keyboard.press("ArrowRight")
        page.get_by_role("button", name="To here").click()
        until(page, lambda: len(page.evaluate(STATE)["analysis"]["beats_s"]) == beats - 8)
        expect(page.locator(".steps")).to_contain_text("No beat from 0:15.5 to 0:18.9")


def test_tapping_along_sets_the_level(browser: Browser, client: Client) -> None:
    """Eight taps at half the pace offer that tempo; taken, the song counts at its own half."""
    with opened(browser, client, ear(client)) as page:
        ready(page)
        page.evaluate(
            """() => {
              const tap = document.querySelector(".tap"), each = 60000 / 62;
              for (let n = 0; n < 8; n++) {
                const event = new PointerEvent("pointerdown", { bubbles: true, cancelable: true });
                Object.defineProperty(event, "timeStamp", { value: 5000 + n * each });
                tap.dispatchEvent(event);
              }
            }"""
        )
        expect(page.locator(".tapped")).to_contain_text("You tap 62 bpm")
        page.get_by_role("button", name="Use it").click()
        expect(page.locator(".bpm-now")).to_have_text("63")


@pytest.mark.long
def test_by_touch_on_a_phone(browser: Browser, client: Client) -> None:
    """On 390 x 844 a tap chooses a count, and a phrase and a bridge are set from there."""
    with opened(browser, client, ear(client), **PHONE) as page:
        ready(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        track = page.locator(".lane-track").nth(2).bounding_box()
        assert track is not None
        page.touchscreen.tap(track["x"] + track["width"] * 5.5 / 16, track["y"] + 20)
        expect(page.locator(".tools-place")).to_contain_text("Phrase 2, count 6 (6)")
        page.get_by_role("button", name="One count back").tap()
        page.locator("#bridge-counts").fill("4")
        page.get_by_role("button", name="A bridge starts here").tap()
        until(page, lambda: (36, 4, "bridge") in lanes(page))
        page.get_by_role("button", name="Undo").tap()
        until(page, lambda: (36, 4, "bridge") not in lanes(page))


def test_two_windows_on_one_song(browser: Browser, client: Client) -> None:
    """A change in one window is seen in the other; a late one on old ground is told, not lost."""
    with (
        opened(browser, client, ear(client)) as page,
        opened(browser, client, ear(client), expected="409") as other,
    ):
        ready(page)
        ready(other)
        page.get_by_role("button", name="count at half").click()
        expect(other.locator(".bpm-now")).to_have_text("63")
        other.evaluate(
            "import('/static/js/ear/view.js')"
            ".then(({ here }) => { here.model.track = { ...here.model.track, revision: 'old' }; })"
        )
        other.get_by_role("button", name="count at half").click()
        expect(other.locator(".said")).to_contain_text("changed in another window")
        expect(other.locator(".bpm-now")).to_have_text("63")


WIDER = [pytest.param(width, marks=pytest.mark.long) for width in (820, 1440)]


@pytest.mark.parametrize("width", [390, *WIDER])
def test_nothing_serious_for_axe(browser: Browser, client: Client, width: int) -> None:
    """axe-core finds nothing serious in the ear, fresh and with corrections shown."""
    with opened(browser, client, ear(client), viewport={"width": width, "height": 900}) as page:
        ready(page)
        assert serious_faults(page) == []
        page.get_by_role("button", name="count at half").click()
        expect(page.locator(".steps")).to_contain_text("Counted at 63 bpm")
        assert serious_faults(page) == []
