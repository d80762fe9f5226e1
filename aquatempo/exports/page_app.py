"""The deck page as an app that a tablet installs: a page, a manifest, a service worker, icons.

Browsers install from a secure address only: https, or the machine's own. The manifest follows
the W3C's Web Application Manifest; the worker keeps the page for days without a network.
"""

from __future__ import annotations

import hashlib
import json
from html import escape
from importlib import resources

from aquatempo.exports.page import SongFacts, deck_page
from aquatempo.records.deck import DeckBook

__all__ = ["APP_FILES", "page_app"]

_PARTS = resources.files("aquatempo.exports") / "page_parts"
ICON_SIZES = (180, 192, 512)
ICONS = tuple(f"icon-{size}.png" for size in ICON_SIZES)
APP_FILES = ("index.html", "manifest.webmanifest", "sw.js", *ICONS)
SHORT_NAME = 12  # letters that fit below an icon


def page_app(book: DeckBook, facts: SongFacts = SongFacts()) -> dict[str, str | bytes]:  # noqa: B008
    """Return the files of APP_FILES; they work from any folder of a web space.

    book: the class; facts: how the page knows its songs.
    """
    links = "\n".join(
        (
            '<link rel="manifest" href="manifest.webmanifest">',
            f'<link rel="apple-touch-icon" href="{ICONS[0]}">',
            f'<link rel="icon" href="{ICONS[1]}">',
            '<meta name="apple-mobile-web-app-capable" content="yes">',
            '<meta name="mobile-web-app-capable" content="yes">',
            f'<meta name="apple-mobile-web-app-title" content="{escape(book.title[:SHORT_NAME])}">',
        )
    )
    page = deck_page(book, facts=facts, links=links)
    version = hashlib.sha256(page.encode()).hexdigest()[:12]
    worker = (_PARTS / "worker.js").read_text(encoding="utf-8")
    icons = {name: (_PARTS / name).read_bytes() for name in ICONS}
    return {
        "index.html": page,
        "manifest.webmanifest": _manifest(book),
        "sw.js": worker.replace("{{version}}", version).replace(
            "{{files}}", json.dumps(["./", *APP_FILES])
        ),
        **icons,
    }


def _manifest(book: DeckBook) -> str:
    told = {
        "name": book.title,
        "short_name": book.title[:SHORT_NAME],
        "lang": book.language,
        "start_url": "./index.html",
        "scope": "./",
        "display": "standalone",
        "orientation": "any",
        "background_color": "#ffffff",
        "theme_color": "#000000",
        "icons": [
            {"src": name, "sizes": f"{size}x{size}", "type": "image/png", "purpose": "any maskable"}
            for name, size in zip(ICONS, ICON_SIZES, strict=True)
        ],
    }
    return json.dumps(told, ensure_ascii=False, indent=1) + "\n"
