"""A headless Chromium on the local page, watched: no console error, no request elsewhere."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Literal

import pytest
from deck_browser import CHROMIUM, IN_CI, PATIENCE_MS
from page_making import Client
from playwright.sync_api import Browser, ConsoleMessage, Page, Request

__all__ = ["NEEDS_CHROMIUM", "PHONE", "opened", "serious_faults"]

NEEDS_CHROMIUM = pytest.mark.skipif(
    CHROMIUM is None and not IN_CI, reason="Chromium is not installed: the page is not tried"
)
PHONE: dict[str, Any] = {
    "viewport": {"width": 390, "height": 844},
    "has_touch": True,
    "is_mobile": True,
}
SETTLED_MS = 300  # for colours that fade over
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")
# Dark is the same page in other colours: there the rules about colours are looked at.
COLOURS = ("color-contrast", "link-in-text-block")
FAULTS = """(rules) => axe.run({ resultTypes: ["violations"],
  ...(rules.length ? { runOnly: { type: "rule", values: rules } } : {}),
}).then((r) => r.violations.map((one) => [one.id, one.impact, one.nodes[0].html]))"""


@contextmanager
def opened(
    browser: Browser, client: Client, part: str = "", *, expected: str = "", **how: Any
) -> Iterator[Page]:
    """Give the page in a window of its own; a console error or request elsewhere is a failure.

    expected: part of what the browser reports when a request is refused or goes astray.
    how: as for a browser context, such as viewport, has_touch, color_scheme, locale.
    """
    settings = {"viewport": {"width": 1440, "height": 900}, "locale": "en-GB", **how}
    context = browser.new_context(**settings)
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    faults: list[str] = []
    own = f"http://{client.host}/"

    def asked(request: Request) -> None:
        if not request.url.startswith((own, "data:", "blob:")):
            faults.append(f"a request left the page: {request.url}")

    page.on("pageerror", lambda error: faults.append(str(error)))

    def said(line: ConsoleMessage) -> None:
        if line.type == "error" and not (expected and expected in line.text):
            faults.append(line.text)

    page.on("console", said)
    page.on("request", asked)
    page.goto(client.page.link)
    page.wait_for_selector(".parts a")
    if part:
        page.goto(f"{own}#{part}")
    yield page
    context.close()
    assert not faults


def serious_faults(page: Page) -> list[list[str]]:
    """Return what axe-core (npm) finds serious or critical in the page, by day and in the dark."""
    path = os.environ.get("AXE_CORE", "")
    if not path and not IN_CI:
        pytest.skip("AXE_CORE does not name axe.min.js of the npm package axe-core")
    page.evaluate(Path(path).read_text(encoding="utf-8"))
    found: list[list[str]] = []
    page.emulate_media(reduced_motion="reduce")  # no colour is looked at on its way
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        page.wait_for_timeout(SETTLED_MS)
        rules = [] if scheme == "light" else list(COLOURS)
        found += [[scheme, *one] for one in page.evaluate(FAULTS, rules)]
    page.emulate_media(color_scheme="null", reduced_motion="null")
    return [one for one in found if one[2] in ("serious", "critical")]
