"""The deck page in a headless Chromium: it counts with the sound and does what it is told."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from pathlib import Path

import pytest
from deck_browser import CHROMIUM, IN_CI, click_track, opened_page, write_page
from deck_making import make_book, make_track
from playwright.sync_api import Browser, Page, expect

from aquatempo.exports.page import deck_page

pytestmark = pytest.mark.skipif(
    CHROMIUM is None and not IN_CI, reason="Chromium is not installed: the page is not tried"
)
TOLERANCE_S = 0.05  # what a class does not see: a tenth of a beat at 120 bpm
# The count shown and the song's clock, read in one frame of the page.
READING = """new Promise((done) => requestAnimationFrame(() => {
  view.draw(track(), clock.heard(performance.now()));
  done([document.getElementById("count").textContent, song.currentTime, clock.delay]);
}))"""


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a page of two tracks, the first with its click track inside."""
    return write_page(tmp_path_factory.mktemp("page"))


@pytest.fixture
def page(browser: Browser, page_file: Path) -> Iterator[Page]:
    """Return the opened page; any console error or request to a network fails the test."""
    with opened_page(browser, page_file) as opened:
        yield opened


def wrong_counts(page: Page, moments: int, delay_s: float = 0.0) -> list[tuple[str, float]]:
    """Return the readings whose count is none that holds within the tolerance."""
    track = make_track()
    starts = [phrase.start_beat for phrase in track.strip]

    def count_at(time_s: float) -> str:
        beat = bisect_right(track.beats_s, time_s) - 1
        if beat < 0:
            return "–"
        return str((beat - starts[bisect_right(starts, beat) - 1]) % 8 + 1)

    wrong = []
    for _ in range(moments):
        page.wait_for_timeout(113)
        shown, time_s, delay = page.evaluate(READING)
        assert delay == pytest.approx(delay_s)
        heard_s = time_s - delay_s
        nearby = {count_at(heard_s + shift) for shift in (-TOLERANCE_S, 0.0, TOLERANCE_S)}
        if shown not in nearby:
            wrong.append((shown, heard_s))
    return wrong


def test_the_count_shown_is_that_of_the_sound(page: Page) -> None:
    """At 20 moments from the start to the end of a song the count is right to 50 ms."""
    page.click("#play")
    page.wait_for_function("song.currentTime > 0.2")
    assert wrong_counts(page, 8) == []
    for place_s in (23.1, 36.9, 61.3, 96.2):
        page.evaluate(f"seek({place_s})")
        assert wrong_counts(page, 3) == []


def test_the_count_holds_after_a_nudge_and_at_another_speed(page: Page) -> None:
    """Three nudges delay the display by 30 ms; at 105 % the count still follows the sound."""
    page.click("#play")
    page.wait_for_function("song.currentTime > 0.2")
    page.click("#more")
    for _ in range(3):
        page.click("#later")
    assert page.inner_text("#delay") == "30 ms"
    assert wrong_counts(page, 10, 0.03) == []
    page.evaluate("setSpeed(1.05)")
    assert page.evaluate("song.playbackRate") == 1.05
    assert wrong_counts(page, 10, 0.03) == []


def test_the_tempo_that_was_planned_is_played_with_its_pitch_kept(
    browser: Browser, tmp_path: Path
) -> None:
    """A song planned at 104 % plays at 1.04 of its speed, and the browser keeps its pitch."""
    faster = make_track(speed=1.04)
    sound = ("audio/wav", click_track(faster.beats_s, faster.duration_s))
    path = tmp_path / "deck_page.html"
    path.write_text(deck_page(make_book(faster), {0: sound}), encoding="utf-8")
    with opened_page(browser, path) as page:
        page.click("#play")
        page.wait_for_function("clock.running")
        assert page.evaluate("[song.playbackRate, song.preservesPitch]") == [1.04, True]
        assert page.inner_text("#percent") == "104 %"


def test_phrases_forward_and_back_start_on_their_count_one(page: Page) -> None:
    """Forward goes to the next phrase, back to the start of this one, then to the one before."""
    starts = [phrase.start_s for phrase in make_track().strip]
    page.evaluate("seek(10.0)")
    page.click("#forward")
    assert page.evaluate("song.currentTime") == pytest.approx(starts[2], abs=0.01)
    page.evaluate(f"seek({starts[2] + 5})")
    page.click("#back")
    assert page.evaluate("song.currentTime") == pytest.approx(starts[2], abs=0.01)
    page.click("#back")
    assert page.evaluate("song.currentTime") == pytest.approx(starts[1], abs=0.01)


def test_move_next_and_counts_left_are_shown(page: Page) -> None:
    """Four counts before a change the page shows the move, what is next and 4."""
    track = make_track()
    change = track.lines[2]
    page.evaluate(f"seek({track.beats_s[change.beat - 4] + 0.01})")
    page.wait_for_timeout(60)
    assert page.inner_text("#move") == "knee lift"
    assert page.inner_text("#next") == "cross-country ski"
    assert page.inner_text("#left") == "4"
    assert page.inner_text("#details").startswith("water\u00a0(2)")


def test_a_pattern_groups_its_counts_by_movement(page: Page) -> None:
    """2-2-4 shows groups of two, two and four counts; held counts are dashed."""
    track = make_track()
    page.evaluate(f"seek({track.lines[2].clock_s + 0.1})")
    page.wait_for_timeout(60)
    groups = "[...document.querySelectorAll('.group')].map(g => g.children.length)"
    assert page.evaluate(groups) == [2, 2, 4]
    page.evaluate(f"seek({track.lines[4].clock_s + 0.1})")
    page.wait_for_timeout(60)
    held = "[...document.querySelectorAll('.beat.held')].map(b => b.textContent)"
    assert page.evaluate(held) == ["3", "4", "7", "8"]


def test_a_tap_on_count_one_lines_up_with_another_player(page: Page) -> None:
    """Without sound here, a tap makes now the nearest count 1 and the page counts on."""
    page.select_option("#track", "1")
    page.click("#play")
    page.wait_for_timeout(700)
    page.click("#one")
    page.wait_for_timeout(30)
    assert page.inner_text("#count") == "1"
    assert page.evaluate("clock.alone && clock.running")


def test_a_drop_out_of_the_sound_keeps_the_place(page: Page) -> None:
    """Where the sound stops by itself, the page says so and counts on from there."""
    page.click("#play")
    page.wait_for_function("song.currentTime > 1.0")
    before = page.evaluate("[song.currentTime, performance.now()]")
    page.evaluate("song.pause()")  # as a phone call or a lost speaker does, not the button
    page.wait_for_timeout(900)
    after = page.evaluate("[clock.heard(performance.now()), performance.now()]")
    assert after[0] - before[0] == pytest.approx((after[1] - before[1]) / 1000, abs=0.1)
    expect(page.locator("#message")).to_contain_text("counting on")


def test_a_sound_that_comes_back_is_followed_again(page: Page) -> None:
    """After a drop-out the page takes the sound's clock as soon as it plays again."""
    page.click("#play")
    page.wait_for_function("song.currentTime > 0.5")
    page.evaluate("song.pause()")
    page.wait_for_function("clock.alone")
    page.evaluate("song.play()")
    page.wait_for_function("!clock.alone")
    page.wait_for_timeout(300)
    assert wrong_counts(page, 3) == []
    assert page.inner_text("#message") == ""


def test_a_song_from_the_device_finds_its_track(page: Page, tmp_path: Path) -> None:
    """A chosen file goes to the track of its name, plays, and is counted."""
    track = make_track(tempo_bpm=126.0)
    file = tmp_path / "EVENING.wav"
    file.write_bytes(click_track(track.beats_s, track.duration_s))
    page.select_option("#track", "1")
    assert page.inner_text("#source") == "counting alone"
    page.set_input_files("#files", str(file))
    page.wait_for_function("sources[1] && song.readyState >= 3")
    assert page.inner_text("#source") == "song here"
    page.click("#play")
    page.wait_for_function("song.currentTime > 0.6")
    assert page.evaluate("!clock.alone && clock.running")


def test_what_comes_next_names_the_change_or_the_next_track(page: Page) -> None:
    """Where the move stays, next tells what is new in it; at the last move, the next track."""
    beats_s = make_track().beats_s
    page.evaluate(f"seek({beats_s[20]})")
    page.wait_for_timeout(60)
    assert page.inner_text("#news").startswith("water (2)")
    page.evaluate("seek(95.0)")
    page.wait_for_timeout(60)
    assert page.inner_text("#next") == "2. Evening lanes"
    page.select_option("#track", "1")
    page.evaluate(f"seek({make_track(tempo_bpm=126.0).beats_s[20]})")
    page.wait_for_timeout(60)
    assert page.inner_text("#next") == page.inner_text("#move") == "knee lift"
    assert page.inner_text("#news") == "▸ fist"


def test_the_screen_is_kept_awake_or_the_page_says_so(browser: Browser, page_file: Path) -> None:
    """Play asks for a wake lock of the screen; without one the page tells what to set."""
    lock = "{ request: async (kind) => { asked.push(kind); return new EventTarget(); } }"
    for answer, asked, said in (
        (lock, ["screen"], ""),
        ("undefined", [], "cannot keep the screen"),
    ):
        context = browser.new_context(offline=True, bypass_csp=True)
        context.add_init_script(
            "window.asked = [];"
            f"Object.defineProperty(Navigator.prototype, 'wakeLock', {{ get: () => ({answer}) }});"
        )
        page = context.new_page()
        page.goto(page_file.as_uri())
        page.wait_for_function("song.readyState >= 3")
        page.click("#play")
        expect(page.locator("#message")).to_contain_text(said)
        page.wait_for_function(f"clock.running && asked.length >= {len(asked)}")
        assert page.evaluate("asked") == asked
        context.close()


def test_the_test_tone_flashes_as_late_as_the_delay(page: Page) -> None:
    """With a delay of 120 ms each flash falls due that long after its click (20 ms), and comes."""
    page.evaluate(
        """() => {
          setDelay(0.12);
          window.sent = []; window.due = []; window.seen = 0;
          const start = OscillatorNode.prototype.start, later = window.setTimeout;
          OscillatorNode.prototype.start = function (when) {
            sent.push(performance.now() + (when - this.context.currentTime) * 1000);
            return start.call(this, when);
          };
          window.setTimeout = (act, wait) => {
            if (String(act).includes('add("flash")')) due.push(performance.now() + wait);
            return later(act, wait);
          };
          new MutationObserver(() => {
            if (document.body.classList.contains("flash")) seen += 1;
          }).observe(document.body, { attributes: true, attributeFilter: ["class"] });
        }"""
    )
    page.click("#more")
    page.click("#tone")
    page.wait_for_function("seen >= 2")
    sent, due = page.evaluate("[sent, due]")
    assert len(due) == len(sent) >= 2
    for sent_ms, due_ms in zip(sent, due, strict=True):
        assert due_ms - sent_ms == pytest.approx(120.0, abs=20.0)
    page.click("#tone")
    assert page.get_attribute("#tone", "aria-pressed") == "false"


def test_keys_do_what_the_buttons_do(page: Page) -> None:
    """Space plays, arrows go by phrases, d changes day to dark."""
    page.evaluate("document.activeElement.blur(); seek(10.0)")
    page.keyboard.press("ArrowRight")
    assert page.evaluate("song.currentTime") == pytest.approx(
        make_track().strip[2].start_s, abs=0.01
    )
    page.keyboard.press(" ")
    page.wait_for_function("clock.running")
    theme = page.evaluate("document.documentElement.dataset.theme")
    page.keyboard.press("d")
    assert page.evaluate("document.documentElement.dataset.theme") != theme
