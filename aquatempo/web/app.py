"""The page as an ASGI application: its files at once, what it can ask for when it first asks."""

from __future__ import annotations

from collections.abc import Callable

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from aquatempo.web import files
from aquatempo.web.guard import Guard

__all__ = ["make_app", "most_bytes"]

MEBIBYTE = 1 << 20
MOST_JSON = 1 * MEBIBYTE
MOST_SONG = 1024 * MEBIBYTE  # 100 minutes of uncompressed stereo
SONGS = "/api/music/dropped"


def make_app(api: Callable[[], ASGIApp], key: str, port: int) -> ASGIApp:
    """Return the application at a port.

    api: returns what answers all but the files of the page, the same each time; the first call
    may take long. key: what the first link carries.
    """
    app = Starlette(
        routes=[
            Route("/", files.front),
            Route("/static/{name:path}", files.static),
            Route("/words/{language}.json", files.words),
        ]
    )

    async def asked(scope: Scope, receive: Receive, send: Send) -> None:
        answering = await run_in_threadpool(api)
        await answering(scope, receive, send)

    app.router.default = asked
    return Guard(app, key, port, most_bytes)


def most_bytes(path: str) -> int:
    """Return how long a body may be [bytes] at a path.

    >>> most_bytes("/api/music/dropped") > most_bytes("/api/settings")
    True
    """
    return MOST_SONG if path == SONGS else MOST_JSON
