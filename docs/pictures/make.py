"""Make the pictures of README.md from the sample audio.

Needs the development dependencies, Chromium and pdftoppm (poppler)::

    python docs/pictures/make.py
"""

from __future__ import annotations

import base64
import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser, sync_playwright

from aquatempo.moves import catalogue
from aquatempo.records.plan import Brief, ClassPlan
from aquatempo.workflow.demo import sample_folder
from aquatempo.workflow.exporting import ExportOptions, export_class
from aquatempo.workflow.planning import plan, with_analyses

HERE = Path(__file__).parent
SHOWN = "under the linden roof"  # has an introduction, a break and a bridge
DOTS_PER_INCH = 130
BEATS_BEFORE = 3.4  # the moment shown lies so many beats before a change

LAYOUT = """<!doctype html><style>
  body { margin: 0; padding: 28px; display: flex; gap: 28px; align-items: flex-start;
         background: #dfe3e6; width: max-content; }
  img { display: block; height: 720px; background: #fff; box-shadow: 0 2px 10px #0006; }
  .screen { border: 10px solid #222; border-radius: 18px; height: 740px; }
</style>"""


def main() -> None:
    """Write track.svg and deck.png beside this file."""
    brief = Brief(title="Tuesday group at the Lindenbad")
    planned = with_analyses(plan([sample_folder()], brief, all_once=True).plan)
    number = next(n for n, track in enumerate(planned.tracks) if track.title == SHOWN)
    shown = ClassPlan(brief=planned.brief, tracks=planned.tracks[number : number + 1])
    with TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        options = ExportOptions(only=("card", "silent", "picture"), songs=("song-page",))
        report = export_class(shown, str(folder), catalogue(), options)
        (picture,) = (file for file in report.files if file.endswith(".svg"))
        (HERE / "track.svg").write_bytes(Path(picture).read_bytes())
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        page = folder / "with_song" / "deck_page_with_songs.html"
        parts = [
            (rendered(folder / "deck_card.pdf", folder), ""),
            (screenshot(browser, page, 820, 1180, "day", 3), "screen"),
            (screenshot(browser, page, 400, 820, "dark", 2), "screen"),
            (rendered(folder / "deck_card_without_sound.pdf", folder), ""),
        ]
        compose(browser, parts, HERE / "deck.png")
        browser.close()


def rendered(document: Path, folder: Path) -> bytes:
    """Return the first page of a PDF as PNG."""
    target = folder / document.stem
    command = ["pdftoppm", "-r", str(DOTS_PER_INCH), "-f", "1", "-singlefile", "-png"]
    subprocess.run([*command, str(document), str(target)], check=True)
    return target.with_suffix(".png").read_bytes()


def screenshot(
    browser: Browser, page: Path, width: int, height: int, theme: str, change: int
) -> bytes:
    """Return the deck page shortly before a change as PNG."""
    context = browser.new_context(viewport={"width": width, "height": height}, offline=True)
    opened = context.new_page()
    opened.goto(page.as_uri())
    opened.wait_for_function("song.readyState >= 3")
    opened.evaluate(f"setTheme('{theme}')")
    beat = f"track().beats_s[track().changes[{change}].beat] - {BEATS_BEFORE} * track().period_s"
    opened.evaluate(f"seek({beat})")
    opened.wait_for_timeout(300)
    image = opened.screenshot()
    context.close()
    return image


def compose(browser: Browser, parts: list[tuple[bytes, str]], target: Path) -> None:
    """Write pictures side by side as one."""
    images = "".join(
        f'<img class="{kind}" src="data:image/png;base64,{base64.b64encode(image).decode()}">'
        for image, kind in parts
    )
    page = browser.new_page(viewport={"width": 2400, "height": 800})
    page.set_content(LAYOUT + images)
    page.locator("body").screenshot(path=target)
    page.close()


if __name__ == "__main__":
    main()
