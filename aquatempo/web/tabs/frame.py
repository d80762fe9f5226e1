"""What every tab shares: settings, news, ending the program."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass

import aquatempo
from aquatempo.records.page import PageSettings
from aquatempo.web.desk import Desk
from aquatempo.web.endpoints import Done, Endpoint
from aquatempo.web.files import LANGUAGES

__all__ = ["PageFrame", "endpoints"]


@dataclass(frozen=True, slots=True)
class PageFrame:
    """What a window needs first."""

    version: str
    languages: tuple[str, ...]
    settings: PageSettings


def endpoints(desk: Desk, leave: Callable[[], None]) -> tuple[Endpoint, ...]:
    """Return what the frame asks a desk for. leave: ends the program."""

    def frame() -> PageFrame:
        return PageFrame(aquatempo.__version__, LANGUAGES, desk.settings())

    def news() -> AsyncIterator[bytes]:
        return desk.news.stream()

    def ending() -> Done:
        leave()
        return Done()

    return (
        Endpoint("GET", "/api/frame", "What a window needs first", frame, PageFrame),
        Endpoint("GET", "/api/news", "What changed, as a stream of events", news, str),
        Endpoint(
            "PUT",
            "/api/settings",
            "Keep how a person likes the page",
            desk.change_settings,
            PageSettings,
            PageSettings,
        ),
        Endpoint("POST", "/api/end", "End the program", ending, Done),
    )
