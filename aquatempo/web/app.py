"""The page as an ASGI application: its files, its endpoints, and the guard round them."""

from __future__ import annotations

from collections.abc import Callable

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse
from starlette.routing import Route
from starlette.types import ASGIApp

from aquatempo.web import files
from aquatempo.web.description import description
from aquatempo.web.desk import Desk
from aquatempo.web.endpoints import Endpoint, routes
from aquatempo.web.guard import Guard
from aquatempo.web.tabs import ear, frame, music, plans, pool, water

__all__ = ["all_endpoints", "make_app", "most_bytes"]

MEBIBYTE = 1 << 20
MOST_JSON = 1 * MEBIBYTE
MOST_SONG = 1024 * MEBIBYTE  # 100 minutes of uncompressed stereo
SONGS = "/api/music/dropped"


def all_endpoints(desk: Desk, leave: Callable[[], None]) -> tuple[Endpoint, ...]:
    """Return everything that the page can ask a desk for; leave: ends the program."""
    tabs = (music, ear, water, plans, pool)
    return (*frame.endpoints(desk, leave), *(one for tab in tabs for one in tab.endpoints(desk)))


def make_app(desk: Desk, key: str, port: int, leave: Callable[[], None]) -> ASGIApp:
    """Return the application on a desk, at a port.

    key: what the first link carries. leave: ends the program.
    """
    endpoints = all_endpoints(desk, leave)

    def describe(_: Request) -> JSONResponse:
        return JSONResponse(description(endpoints))

    app = Starlette(
        routes=[
            Route("/", files.front),
            Route("/static/{name:path}", files.static),
            Route("/words/{language}.json", files.words),
            Route("/api/openapi.json", describe),
            pool.file_route(desk),
            *routes(endpoints),
        ]
    )
    return Guard(app, key, port, most_bytes)


def most_bytes(path: str) -> int:
    """Return how long a body may be [bytes] at a path.

    >>> most_bytes("/api/music/dropped") > most_bytes("/api/settings")
    True
    """
    return MOST_SONG if path == SONGS else MOST_JSON
