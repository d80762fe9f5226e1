"""Start the page: a free port of this machine, a key, the browser, until it is ended."""

from __future__ import annotations

import logging
import secrets
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable, Sequence

import uvicorn

from aquatempo.errors import OutputError
from aquatempo.web.app import make_app
from aquatempo.web.desk import Desk
from aquatempo.web.guard import KEY_NAME

__all__ = ["serve"]

HERE = "127.0.0.1"
USUAL_PORT = 8427  # registered for nothing; fixed, so that a window that is open goes on
KEY_BYTES = 32
PATIENCE_S = 2


def serve(
    music: Sequence[str] = (),
    *,
    port: int | None = None,
    browse: bool = True,
    told: Callable[[str], None] = print,
) -> None:
    """Serve the page until it is ended from within or interrupted.

    music: folders and songs to open. port: None for the usual one, or any free one where
    that is taken. told: gets the link. Raises OutputError for a port that is taken.
    """
    _log_to_stderr()
    listening = _listen(port)
    number = listening.getsockname()[1]
    key = secrets.token_urlsafe(KEY_BYTES)
    desk = Desk()
    config = uvicorn.Config(
        make_app(desk, key, number, lambda: leave()),
        log_config=None,
        access_log=False,
        server_header=False,
        ws="none",
        lifespan="off",
        timeout_graceful_shutdown=PATIENCE_S,
    )
    server = uvicorn.Server(config)

    def leave() -> None:
        server.should_exit = True
        desk.end()

    if music:
        desk.music.open(music)
    desk.start()
    link = f"http://{HERE}:{number}/?{KEY_NAME}={key}"
    told(link)
    if browse:
        threading.Thread(target=webbrowser.open, args=(link,), daemon=True).start()
    try:
        _run(server, listening, desk)
    finally:
        desk.end()
        listening.close()


def _run(server: uvicorn.Server, listening: socket.socket, desk: Desk) -> None:
    """Run until told to stop. A stream of news would keep the server from leaving."""
    stopping = threading.Thread(target=_end_news, args=(server, desk), daemon=True)
    stopping.start()
    server.run(sockets=[listening])


def _end_news(server: uvicorn.Server, desk: Desk) -> None:
    pause = threading.Event()
    while not server.should_exit:
        pause.wait(0.2)
    desk.end()


def _listen(port: int | None) -> socket.socket:
    for number in (USUAL_PORT, 0) if port is None else (port,):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if sys.platform != "win32":
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((HERE, number))
        except OSError as exc:
            listening.close()
            failure = exc
            continue
        return listening
    raise OutputError(
        f"port {port}", f"{failure.strerror} (is a page open on it already? try without --port)"
    )


def _log_to_stderr() -> None:
    log = logging.getLogger("aquatempo.web")
    if not log.handlers:
        handler = logging.StreamHandler()
        handler.setFormatter(logging.Formatter("aquatempo page: %(message)s"))
        log.addHandler(handler)
        log.setLevel(logging.WARNING)
        log.propagate = False
