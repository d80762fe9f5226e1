"""The deck page through a whole class at many times its speed, and as an app without its server."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from class_running import ENDED, SEEN, WATCH, faults_of, short_class, shown_of
from deck_browser import CHROMIUM, IN_CI, click_track, opened_page
from playwright.sync_api import Browser

from aquatempo.exports.page import deck_page
from aquatempo.exports.page_app import page_app

pytestmark = pytest.mark.skipif(
    CHROMIUM is None and not IN_CI, reason="Chromium is not installed: the page is not tried"
)
CLASS = short_class(2)


def test_a_class_runs_on_with_its_songs(browser: Browser, tmp_path: Path) -> None:
    """At ten times its speed each song, move and what is next comes in its order, by itself."""
    sounds = {
        number: ("audio/wav", click_track(track.beats_s, track.duration_s))
        for number, track in enumerate(CLASS.tracks)
    }
    file = tmp_path / "deck_page.html"
    file.write_text(deck_page(CLASS, sounds), encoding="utf-8")
    with opened_page(browser, file) as page:
        page.evaluate(WATCH)
        page.evaluate("watch(10, false)")
        page.click("#play")
        page.wait_for_function(ENDED)
        assert faults_of(CLASS, shown_of(page.evaluate(SEEN)), least_counts=16) == []
        assert not page.evaluate("clock.alone")


def test_a_class_runs_through_with_taps_alone(browser: Browser, tmp_path: Path) -> None:
    """At 20 times its speed, without sound, a tap on count 1 starts each song; no line is lost."""
    file = tmp_path / "deck_page.html"
    file.write_text(deck_page(CLASS), encoding="utf-8")
    with opened_page(browser, file, sounding=False, own_clock=True) as page:
        page.evaluate(WATCH)
        page.evaluate("watch(20, true)")
        whole_s = sum(track.duration_s for track in CLASS.tracks) / 20
        page.clock.run_for(1000 * round(whole_s + 2))
        assert page.evaluate(ENDED)
        assert faults_of(CLASS, shown_of(page.evaluate(SEEN))) == []


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Give the address of a folder served on this machine; it is gone afterwards."""

    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()
    server.server_close()


def test_an_installed_page_opens_with_its_server_gone(browser: Browser, tmp_path: Path) -> None:
    """The service worker keeps page, manifest and icons: without a server the class is there."""
    for name, content in page_app(CLASS).items():
        (tmp_path / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    context = browser.new_context()
    page = context.new_page()
    with served(tmp_path) as address:
        page.goto(address)
        page.evaluate("navigator.serviceWorker.ready")
        page.wait_for_function("navigator.serviceWorker.controller !== null")
    with pytest.raises(Exception, match="ECONNREFUSED"):
        context.request.get(address)
    page.goto(address)
    page.wait_for_function("book.tracks.length === 2")
    assert page.inner_text("#next") != ""
    page.evaluate("seek(track().beats_s[8] + 0.01)")
    page.wait_for_timeout(60)
    assert page.inner_text("#count") == "1"
    manifest = page.evaluate("fetch('manifest.webmanifest').then((r) => r.json())")
    assert manifest["name"] == CLASS.title
    context.close()
