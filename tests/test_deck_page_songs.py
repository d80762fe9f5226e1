"""The deck page in a headless Chromium: the right song, one after the other, safe from water."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from deck_browser import CHROMIUM, IN_CI, click_track, opened_page
from deck_making import make_book, make_track
from playwright.sync_api import Browser, Page

from aquatempo.deck.song_outline import outline, to_text
from aquatempo.exports.page import SongFacts, deck_page
from aquatempo.records.deck import DeckTrack, MixPlace

pytestmark = pytest.mark.skipif(
    CHROMIUM is None and not IN_CI, reason="Chromium is not installed: the page is not tried"
)
RATE_HZ = 22_050


def noise_song(seed: int, duration_s: float, rate_hz: int = RATE_HZ) -> bytes:
    """Return a wav file of noise whose level changes at random: no two are alike."""
    import io

    import soundfile

    rng = np.random.default_rng(seed)
    out = io.BytesIO()
    samples = level_noise(rng, duration_s)
    if rate_hz != RATE_HZ:
        from scipy.signal import resample_poly

        samples = resample_poly(samples, rate_hz, RATE_HZ).astype(np.float32)
    soundfile.write(out, samples, rate_hz, format="WAV", subtype="PCM_16")
    return out.getvalue()


def level_noise(rng: np.random.Generator, duration_s: float) -> np.ndarray:
    """Return noise in which strokes come at random times, as samples in [-1, 1]."""
    count = int(duration_s * RATE_HZ)
    levels = np.repeat(10 ** rng.uniform(-2.5, -0.7, int(duration_s * 5) + 1), RATE_HZ // 5)[:count]
    low = np.cumsum(rng.normal(0, 0.03, count))
    low -= np.convolve(low, np.ones(401) / 401, "same")
    return np.clip(levels * (rng.normal(0, 1, count) + low), -1, 1).astype(np.float32)


def song(title: str, file_name: str, tempo_bpm: float) -> DeckTrack:
    """Return a track that has this name and tempo."""
    return replace(make_track(title, tempo_bpm), file_name=file_name)


TRACKS = (
    song("Morning lanes", "morning_lanes.wav", 132.0),
    song("Evening lanes", "evening.wav", 131.9),
    song("Rain on the roof", "rain.wav", 120.0),
)


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a page of three songs without sound inside, which knows what they sound like."""
    lengths = [track.duration_s for track in TRACKS]
    outlines = {
        seed: to_text(outline(level_noise(np.random.default_rng(seed), length), RATE_HZ))
        for seed, length in enumerate(lengths)
    }
    mixed, at_s = [], 0.0
    for track in TRACKS:
        mixed.append(MixPlace(0.0, track.duration_s, at_s, at_s + track.duration_s - 4.0))
        at_s += track.duration_s - 4.0
    path = tmp_path_factory.mktemp("page") / "deck_page.html"
    facts = SongFacts(outlines, mixed=tuple(mixed))
    path.write_text(deck_page(make_book(*TRACKS), facts=facts), encoding="utf-8")
    return path


@pytest.fixture
def page(browser: Browser, page_file: Path) -> Iterator[Page]:
    """Return the opened page; any console error or request to a network fails the test."""
    with opened_page(browser, page_file, sounding=False) as opened:
        yield opened


def choose(page: Page, folder: Path, name: str, content: bytes) -> str:
    """Choose a file in the page; return what the page says of it."""
    file = folder / name
    file.write_bytes(content)
    page.click("#more")
    page.set_input_files("#files", str(file))
    page.wait_for_function("!byId('found').firstChild.textContent.endsWith(words.looking)")
    return page.inner_text("#found li >> nth=0")


@pytest.mark.parametrize("rate_hz", [22_050, 48_000])
def test_a_song_is_known_by_its_sound(page: Page, tmp_path: Path, rate_hz: int) -> None:
    """A file under another name and at another rate goes to its own song, not the open one."""
    said = choose(page, tmp_path, "track 07.wav", noise_song(1, TRACKS[1].duration_s, rate_hz))
    assert said.startswith("✓")
    assert "Evening lanes" in said
    assert page.evaluate("Object.keys(sources)") == ["1"]


def test_a_wrong_song_of_the_same_name_is_not_taken(page: Page, tmp_path: Path) -> None:
    """A file whose name fits and whose length does not is said to be another, and offered."""
    said = choose(page, tmp_path, "rain.wav", noise_song(7, 60.0))
    assert said.startswith("?")
    assert "1:00" in said
    assert page.evaluate("Object.keys(sources)") == []
    page.click("#found button")
    assert page.evaluate("Object.keys(sources)") == ["2"]


def test_another_recording_of_the_same_length_is_not_taken(page: Page, tmp_path: Path) -> None:
    """Name and length fit, the sound does not: the page says so and waits for a yes."""
    said = choose(page, tmp_path, "rain.wav", noise_song(8, TRACKS[2].duration_s))
    assert said.startswith("?")
    assert page.evaluate("Object.keys(sources)") == []


def test_a_file_that_matches_nothing_is_named(page: Page, tmp_path: Path) -> None:
    """A file that is no song of the class is named as such and goes nowhere by itself."""
    said = choose(page, tmp_path, "holiday.wav", noise_song(9, 33.0))
    assert said.startswith("?")
    assert "holiday.wav" in said
    assert page.evaluate("Object.keys(sources)") == []


def test_the_mix_is_played_as_one_song(page: Page, tmp_path: Path) -> None:
    """A file as long as the mix plays the class: the place runs on from song to song in it."""
    total_s = sum(track.duration_s - 4.0 for track in TRACKS)
    beats = tuple(np.arange(0.5, total_s - 1, 0.5))
    said = choose(page, tmp_path, "class.wav", click_track(beats, total_s))
    assert said.startswith("✓")
    second_s = TRACKS[0].duration_s - 4.0
    page.wait_for_function("song.readyState >= 3")
    page.click("#more")
    page.click("#play")
    page.wait_for_function("song.currentTime > 0.1")
    page.evaluate(f"song.currentTime = {second_s - 0.4}")
    page.wait_for_function("current === 1")
    page.wait_for_timeout(300)
    heard_s, played_s = page.evaluate("[clock.place(performance.now()), song.currentTime]")
    assert heard_s == pytest.approx(played_s - second_s, abs=0.05)


def test_a_class_runs_on_after_the_gap_that_is_set(page: Page, tmp_path: Path) -> None:
    """At the end of what is planned the next song starts after the gap; with "wait" it does not."""
    for seed, name in ((0, "a.wav"), (1, "b.wav")):
        choose(page, tmp_path, name, noise_song(seed, TRACKS[seed].duration_s))
        page.click("#more")
    page.wait_for_function("song.readyState >= 3")
    for gap, follows in ((2, True), (-1, False)):
        page.evaluate(f"setGap({gap}); openTrack(0)")
        page.wait_for_function("song.readyState >= 3")
        page.click("#play")
        page.wait_for_function("clock.running && !clock.alone")
        page.evaluate("song.currentTime = song.duration - 0.3")
        if follows:
            page.wait_for_function("current === 1 && clock.running")
        else:
            page.wait_for_function("!clock.running")
            page.wait_for_timeout(2600)
            assert page.evaluate("[current, clock.running]") == [1, False]
        page.evaluate("pause()")


def test_the_lock_takes_touches_until_it_is_drawn_open(page: Page) -> None:
    """Under the lock no button is reached; a bar drawn from its left end to its right opens it."""
    page.click("#lock")
    for name in ("#play", "#one", "#forward", "#more"):
        box = page.locator(name).bounding_box()
        assert box is not None
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    assert page.evaluate("[clock.running, byId('panel').hidden, byId('shield').hidden]") == [
        False,
        True,
        False,
    ]
    bar = page.locator("#unlock").bounding_box()
    assert bar is not None
    middle = bar["y"] + bar["height"] / 2
    page.mouse.move(bar["x"] + 10, middle)
    page.mouse.down()
    page.mouse.move(bar["x"] + bar["width"] - 2, middle, steps=12)
    page.mouse.up()
    assert page.evaluate("byId('shield').hidden")


def test_counting_alone_goes_on_over_a_sleep(page: Page) -> None:
    """Where the page's clock stood still for a minute, the wall clock brings it to the place."""
    page.click("#play")
    page.wait_for_function("clock.running && clock.alone")
    moved_s = page.evaluate(
        """() => {
          const now = performance.now();
          const before = clock.place(now);
          clock.slept(now, Date.now() + 60000);
          return clock.place(now) - before;
        }"""
    )
    assert moved_s == pytest.approx(60.0, abs=0.5)


def test_a_place_is_found_again_after_the_page_was_thrown_away(page: Page) -> None:
    """A page that the tablet dropped opens where the class was."""
    page.evaluate("openTrack(1); seek(20.0)")
    page.click("#play")
    page.wait_for_function("clock.running")
    page.evaluate("keepPlace()")
    page.reload()
    page.wait_for_function("current === 1")
    assert page.evaluate("clock.place(performance.now())") == pytest.approx(20.0, abs=1.5)


def test_a_place_is_found_again_where_the_store_of_songs_does_not_answer(page: Page) -> None:
    """The place waits for nothing: where the store of files hangs the page opens there too."""
    page.evaluate("openTrack(2); seek(30.0)")
    page.click("#play")
    page.wait_for_function("clock.running")
    page.add_init_script("IDBFactory.prototype.open = () => ({})")
    page.reload()
    page.wait_for_function("current === 2")
    assert page.evaluate("clock.place(performance.now())") == pytest.approx(30.0, abs=1.5)


def test_a_song_that_was_kept_comes_in_at_the_place(page: Page, tmp_path: Path) -> None:
    """After the page was thrown away its song is back too, and stands where the class was."""
    choose(page, tmp_path, "evening.wav", noise_song(1, TRACKS[1].duration_s))
    page.click("#more")
    page.evaluate("openTrack(1); seek(20.0)")
    page.click("#play")
    page.wait_for_function("clock.running && !clock.alone")
    page.evaluate("keepPlace()")
    page.reload()
    page.wait_for_function("current === 1 && sources[1] && !clock.alone && song.readyState >= 3")
    assert page.evaluate("clock.place(performance.now())") == pytest.approx(20.0, abs=1.5)
    assert "0:2" in page.inner_text("#message")
