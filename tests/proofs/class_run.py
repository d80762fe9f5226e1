"""Runs the deck page through a whole planned class at 20 times its speed, and watches it.

    python -m proofs.class_run [--engine chromium|webkit] [--speed 20] [CLASS | short]

Songs are counted alone: a tap on count 1 starts each, as with another player. In ``chromium`` the
browser is driven by playwright; in ``webkit`` by WebKitWebDriver of the Debian package
webkit2gtk-driver, which needs a screen (``xvfb-run -a`` gives one). Real tablets: none were tried.
"""

from __future__ import annotations

import argparse
import json
import shutil
import subprocess
import tempfile
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from class_running import ENDED, SEEN, WATCH, faults_of, short_class, shown_of
from deck_classes import CLASSES, planned_class

from aquatempo.deck.book import deck_book
from aquatempo.exports.page import deck_page
from aquatempo.moves import catalogue
from aquatempo.records.cues import CueOptions
from aquatempo.records.deck import DeckBook
from aquatempo.units import COUNTS_PER_EIGHT
from aquatempo.workflow.exporting import timelines_of

PORT = 4797
Evaluate = Callable[[str], Any]


def book_of(name: str) -> DeckBook:
    """Return a class of ``deck_classes`` as it stands on the deck, or a short one made by hand."""
    if name == "short":
        return short_class()
    plan = planned_class(name)
    options = CueOptions(language=plan.brief.language)
    return deck_book(plan, timelines_of(plan, catalogue(), options), catalogue(), options)


@contextmanager
def in_chromium(file: Path) -> Iterator[Evaluate]:
    """Give what evaluates JavaScript in the page, opened in Chromium."""
    from deck_browser import headless, opened_page

    with headless() as browser, opened_page(browser, file, sounding=False) as page:
        yield page.evaluate


@contextmanager
def in_webkit(file: Path) -> Iterator[Evaluate]:
    """Give what evaluates JavaScript in the page, opened in WebKitGTK (W3C WebDriver)."""
    driver = shutil.which("WebKitWebDriver")
    if driver is None:
        raise SystemExit("WebKitWebDriver is not here: apt-get install webkit2gtk-driver")
    address = f"http://127.0.0.1:{PORT}/session"

    def ask(path: str, body: dict[str, Any] | None, method: str = "POST") -> Any:
        content = None if body is None else json.dumps(body).encode()
        asked = urllib.request.Request(f"{address}{path}", content, method=method)
        with urllib.request.urlopen(asked, timeout=60) as answer:
            return json.load(answer)["value"]

    with subprocess.Popen([driver, f"--port={PORT}"]) as process:
        try:
            time.sleep(1.0)
            session = f"/{ask('', {'capabilities': {}})['sessionId']}"
            ask(f"{session}/url", {"url": file.as_uri()})

            def evaluate(expression: str) -> Any:
                told = {"script": f"return ({expression});", "args": []}
                return ask(f"{session}/execute/sync", told)

            yield evaluate
            ask(session, None, "DELETE")
        finally:
            process.terminate()


def main() -> None:
    """Run one class and say what was seen."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("name", nargs="?", default="seniors", choices=[*CLASSES, "short"])
    parser.add_argument("--engine", default="chromium", choices=["chromium", "webkit"])
    parser.add_argument("--speed", type=float, default=20.0)
    asked = parser.parse_args()
    book = book_of(asked.name)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "deck_page.html"
        file.write_text(deck_page(book), encoding="utf-8")
        opened = in_chromium if asked.engine == "chromium" else in_webkit
        with opened(file) as evaluate:
            time.sleep(3.0)  # until the window is drawn: a fast class does not wait for it
            started = time.monotonic()
            evaluate(WATCH)
            evaluate(f"watch({asked.speed}, true)")
            most_s = 60 + sum(track.duration_s for track in book.tracks) / asked.speed * 2
            while not evaluate(ENDED) and time.monotonic() - started < most_s:
                time.sleep(0.5)
            shown = shown_of(evaluate(SEEN))
            agent = evaluate("navigator.userAgent")
        faults = faults_of(book, shown, COUNTS_PER_EIGHT)
    lines = sum(len(track.lines) for track in book.tracks)
    print(f"{agent}: {asked.name}, {len(book.tracks)} songs, {lines} changes, {len(shown)} states")
    print(f"in {time.monotonic() - started:.0f} s; faults: {len(faults)}")
    for fault in faults[:20]:
        print(f"  {fault}")
    raise SystemExit(bool(faults))


if __name__ == "__main__":
    main()
