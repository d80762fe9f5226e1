"""The files of the page itself: a fixed table, read from the package, nothing else."""

from __future__ import annotations

import hashlib
import json
import tomllib
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable

from starlette.requests import Request
from starlette.responses import Response

__all__ = ["LANGUAGES", "front", "page_files", "static", "words", "words_of"]

LANGUAGES = ("en", "de")
_ROOT = resources.files("aquatempo.web") / "static"
_WORDS = resources.files("aquatempo.web") / "words"
_TYPES = {
    "css": "text/css; charset=utf-8",
    "html": "text/html; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
    "txt": "text/plain; charset=utf-8",
    "webmanifest": "application/manifest+json",
    "woff2": "font/woff2",
}


@cache
def page_files() -> dict[str, Traversable]:
    """Return every file of the page by its name, such as ``js/main.js``."""
    return dict(_below(_ROOT, ""))


def front(request: Request) -> Response:
    """Answer with the page."""
    return _answer(request, *_content("index.html"))


def static(request: Request) -> Response:
    """Answer with a file of the page; 404 for any name that is not in the table."""
    name = request.path_params["name"]
    if name not in page_files():
        return Response(status_code=404)
    return _answer(request, *_content(name))


def words(request: Request) -> Response:
    """Answer with all words of the page in one language."""
    language = request.path_params["language"]
    if language not in LANGUAGES:
        return Response(status_code=404)
    text = json.dumps(words_of(language), ensure_ascii=False)
    return _answer(request, text.encode(), "application/json")


def words_of(language: str) -> dict[str, dict[str, str]]:
    """Return the words of the page in a language, by part and key."""
    return tomllib.loads((_WORDS / f"{language}.toml").read_text(encoding="utf-8"))


def _content(name: str) -> tuple[bytes, str]:
    return page_files()[name].read_bytes(), _TYPES[name.rpartition(".")[2]]


def _answer(request: Request, content: bytes, media_type: str) -> Response:
    digest = hashlib.blake2b(content, digest_size=8).hexdigest()
    headers = {"etag": f'"{digest}"', "cache-control": "no-cache"}
    if request.headers.get("if-none-match") == headers["etag"]:
        return Response(status_code=304, headers=headers)
    return Response(content, media_type=media_type, headers=headers)


def _below(folder: Traversable, before: str) -> list[tuple[str, Traversable]]:
    found = []
    for item in folder.iterdir():
        name = f"{before}{item.name}"
        if item.is_dir():
            found += _below(item, f"{name}/")
        elif item.name.rpartition(".")[2] in _TYPES:
            found.append((name, item))
    return found
