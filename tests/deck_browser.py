"""A headless Chromium, and a deck page of two tracks to open in it."""

from __future__ import annotations

import io
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import soundfile
from deck_making import make_book, make_track
from playwright.sync_api import Browser, Page, expect, sync_playwright

from aquatempo.exports.page import deck_page

__all__ = [
    "CHROMIUM",
    "IN_CI",
    "PATIENCE_MS",
    "click_track",
    "headless",
    "opened_page",
    "write_page",
]

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
IN_CI = os.environ.get("CI") == "true"
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-quic",
    "--no-first-run", "--autoplay-policy=no-user-gesture-required",
]  # fmt: skip
RATE_HZ = 22_050
PATIENCE_MS = 60_000  # what a busy machine may need; a page that works needs a hundredth
expect.set_options(timeout=PATIENCE_MS)


def click_track(beats_s: tuple[float, ...], duration_s: float) -> bytes:
    """Return a wav file with a short tone on each beat."""
    samples = np.zeros(int(duration_s * RATE_HZ), dtype=np.float32)
    time_s = np.arange(int(0.03 * RATE_HZ)) / RATE_HZ
    click = 0.5 * np.sin(2 * np.pi * 1000 * time_s) * np.exp(-time_s / 0.006)
    for beat_s in beats_s:
        start = round(beat_s * RATE_HZ)
        samples[start : start + len(click)] += click[: len(samples) - start]
    out = io.BytesIO()
    soundfile.write(out, samples, RATE_HZ, format="WAV", subtype="PCM_16")
    return out.getvalue()


@contextmanager
def headless() -> Iterator[Browser]:
    """Give a headless Chromium."""
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        chromium.close()


def write_page(folder: Path) -> Path:
    """Write a page of two tracks, the first with its click track inside; return its path."""
    first = make_track()
    second = replace(make_track(title="Evening lanes", tempo_bpm=126.0), file_name="evening.wav")
    fist = replace(second.lines[2], name="knee lift", tempo="water (2)", style=("fist",))
    second = replace(second, lines=(*second.lines[:2], fist, *second.lines[3:]))
    sound = ("audio/wav", click_track(first.beats_s, first.duration_s))
    path = folder / "deck_page.html"
    path.write_text(deck_page(make_book(first, second), {0: sound}), encoding="utf-8")
    return path


@contextmanager
def opened_page(
    browser: Browser, file: Path, sounding: bool = True, own_clock: bool = False
) -> Iterator[Page]:
    """Give the opened page; any console error or request to a network is a failure.

    sounding: a song is inside, and waited for. own_clock: time is the test's, which moves it on.
    """
    context = browser.new_context(
        viewport={"width": 820, "height": 1180}, offline=True, bypass_csp=True
    )
    context.set_default_timeout(PATIENCE_MS)
    opened = context.new_page()
    if own_clock:
        opened.clock.install(time=datetime(2000, 1, 1))
    faults: list[str] = []
    opened.on("pageerror", lambda error: faults.append(str(error)))
    opened.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    opened.on(
        "request", lambda asked: faults.append(asked.url) if "http" in asked.url[:5] else None
    )
    opened.goto(file.as_uri())
    opened.wait_for_function("song.readyState >= 3" if sounding else "book.tracks.length > 0")
    if own_clock:
        opened.clock.pause_at(datetime(2000, 1, 2))  # until then it goes with the machine's
    yield opened
    context.close()
    assert not faults
