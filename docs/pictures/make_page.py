"""Make the pictures of the page from the sample audio: page.png for README.md, and all tabs.

The tabs are ``tabs_390.png``, ``tabs_820.png`` and ``tabs_1440.png``, by the width of the window.

Needs the development dependencies and Chromium; takes minutes, because it plans a class::

    python docs/pictures/make_page.py
"""

from __future__ import annotations

import base64
import os
import shutil
import sys
import threading
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser, Page, sync_playwright

from aquatempo.workflow.demo import sample_folder

HERE = Path(__file__).parent
PATIENCE_MS = 600_000
MINUTES = "8"
HEIGHTS = {390: 844, 820: 1180, 1440: 900}  # of a phone, a tablet and a desk, by width [px]
SONG = "fetch('/api/music?search=linden').then((it) => it.json()).then((it) => it.rows[0].id)"
LAYOUT = """<!doctype html><style>
  body { margin: 0; padding: 28px; display: flex; gap: 28px; background: #cdd5d6; }
  body { width: max-content; }
  img { display: block; height: 720px; border: 8px solid #222; border-radius: 16px; }
</style>"""


def main() -> None:
    """Write page.png beside this file."""
    with TemporaryDirectory() as home:
        os.environ["XDG_DATA_HOME"] = home  # before the page opens its store
        from aquatempo.web.serving import OpenPage

        served = OpenPage()
        served.desk.music.open([sample_folder()])
        running = threading.Thread(target=served.run, daemon=True)
        running.start()
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path=shutil.which("chromium"), args=["--no-sandbox"]
                )
                images = pictures(browser, served.link)
                compose(browser, images, HERE / "page.png")
                for width in HEIGHTS:
                    compose(browser, tabs(browser, served.link, width), HERE / f"tabs_{width}.png")
                browser.close()
        finally:
            served.leave()
            running.join(30)


def pictures(browser: Browser, link: str) -> list[bytes]:
    """Return a class on a desk, the water on a tablet, a song on a phone."""
    own = link.partition("?")[0]
    context = browser.new_context(viewport={"width": 1440, "height": 900}, locale="en-GB")
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    page.goto(link)
    page.wait_for_selector(".song")
    page.locator(".hearing").wait_for(state="hidden")
    page.goto(f"{own}#class")
    page.get_by_label("Minutes").fill(MINUTES)
    page.get_by_label("Name", exact=True).fill("Tuesday group at the Lindenbad")
    page.get_by_role("button", name="Plan the class").click()
    page.wait_for_selector(".song-block")
    page.locator(".song-block").nth(2).click()
    found = [shot(page)]
    page.set_viewport_size({"width": 820, "height": 1180})
    page.goto(f"{own}#water/132")
    page.locator('.move-row[data-move="cross-country-ski"]').click()
    page.wait_for_selector(".sheet .curve-key")
    found.append(shot(page))
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{own}#ear/{page.evaluate(SONG)}")
    page.get_by_role("button", name="count at half").wait_for()
    found.append(shot(page))
    context.close()
    return found


def tabs(browser: Browser, link: str, width: int) -> list[bytes]:
    """Return the five tabs at a width, with the class that was planned last."""
    own = link.partition("?")[0]
    size = {"width": width, "height": HEIGHTS[width]}
    context = browser.new_context(viewport=size, locale="en-GB", is_mobile=width < 800)  # type: ignore[arg-type]
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    page.goto(link)
    page.wait_for_selector(".song.heard")
    song = page.evaluate(SONG)
    plan = page.evaluate("fetch('/api/plans').then((it) => it.json())")["plans"][0]["id"]
    found = [shot(page)]
    for part, ready in (
        (f"ear/{song}", ".lane canvas"),
        ("water/132", ".move-row"),
        (f"class/{plan}", ".song-block"),
        (f"pool/{plan}", ".made-file"),
    ):
        page.goto(f"{own}#{part}")
        page.wait_for_selector(ready)
        found.append(shot(page))
    context.close()
    return found


def shot(page: Page) -> bytes:
    """Return the page as PNG once it has come to rest."""
    page.wait_for_timeout(2500)
    return page.screenshot()


def compose(browser: Browser, images: list[bytes], target: Path) -> None:
    """Write pictures side by side as one."""
    parts = "".join(
        f'<img src="data:image/png;base64,{base64.b64encode(one).decode()}">' for one in images
    )
    page = browser.new_page(viewport={"width": 2600, "height": 800})
    page.set_content(LAYOUT + parts)
    page.locator("body").screenshot(path=target)
    page.close()


if __name__ == "__main__":
    started = time.monotonic()
    main()
    sys.stderr.write(f"made the pictures in {time.monotonic() - started:.0f} s\n")
