"""Start the page: a free port of this machine, a key, the browser, until it is ended."""

from __future__ import annotations

import logging
import secrets
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import uvicorn

from aquatempo.errors import OutputError
from aquatempo.web.app import make_app
from aquatempo.web.guard import KEY_NAME

if TYPE_CHECKING:
    from starlette.types import ASGIApp

    from aquatempo.web.desk import Desk

__all__ = ["OpenPage", "serve"]

HERE = "127.0.0.1"
USUAL_PORT = 8427  # fixed, so that a window that is still open goes on after a restart
KEY_BYTES = 32
PATIENCE_S = 2
HEARING_AFTER_S = 2.0  # without a window: the first page goes first


class OpenPage:
    """A page that is bound to a port of this machine; run serves it until it is told to leave.

    link: what opens it, once for each browser. Raises OutputError for a port that is taken.
    """

    def __init__(self, port: int | None = None) -> None:
        self._making = threading.RLock()
        self._desk: Desk | None = None
        self._api: ASGIApp | None = None
        self._listening = _listen(port)
        self.port = int(self._listening.getsockname()[1])
        key = secrets.token_urlsafe(KEY_BYTES)
        self.link = f"http://{HERE}:{self.port}/?{KEY_NAME}={key}"
        config = uvicorn.Config(
            make_app(self._opened, key, self.port),
            log_config=None,
            access_log=False,
            server_header=False,
            proxy_headers=False,
            ws="none",
            lifespan="off",
            timeout_graceful_shutdown=PATIENCE_S,
        )
        self._server = _EndingServer(config, self._stop)

    @property
    def desk(self) -> Desk:
        """What the page works with; made when it is first needed, after the first page."""
        with self._making:
            if self._desk is None:
                from aquatempo.web.desk import Desk

                self._desk = Desk()
            return self._desk

    def run(self) -> None:
        """Serve until told to leave, or interrupted."""
        later = threading.Timer(HEARING_AFTER_S, self._opened)
        later.daemon = True
        later.start()
        try:
            self._server.run(sockets=[self._listening])
        finally:
            later.cancel()
            self.close()

    def close(self) -> None:
        """Give the port back and stop what works; for a page that is not run, too."""
        self._stop()
        self._listening.close()

    def leave(self) -> None:
        """Tell the page to end; run returns soon after."""
        self._server.should_exit = True

    def _opened(self) -> ASGIApp:
        """Return what answers the windows, with the desk at work behind it."""
        with self._making:
            if self._api is None:
                from aquatempo.web.api import make_api

                self._api = make_api(self.desk, self.leave)
                self.desk.start()
            return self._api

    def _stop(self) -> None:
        with self._making:
            if self._desk is not None:
                self._desk.end()


class _EndingServer(uvicorn.Server):
    """A server whose streams of news end first: it waits for every answer that is under way."""

    def __init__(self, config: uvicorn.Config, ending: Callable[[], None]) -> None:
        super().__init__(config)
        self._ending = ending

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._ending()
        await super().shutdown(sockets)


def serve(
    music: Sequence[str] = (),
    *,
    port: int | None = None,
    browse: bool = True,
    told: Callable[[str], None] = print,
) -> None:
    """Serve the page until it is ended from within or interrupted.

    music: folders and songs to open. port: None for the usual one, or any free one where
    that is taken. browse: open the browser. told: gets the link. Raises InputError, OutputError.
    """
    _log_to_stderr()
    page = OpenPage(port)
    try:
        if music:
            page.desk.music.open(music)
        told(page.link)
        if browse:
            threading.Thread(target=webbrowser.open, args=(page.link,), daemon=True).start()
        page.run()
    finally:
        page.close()


def _listen(port: int | None) -> socket.socket:
    failure: OSError | None = None
    for number in (USUAL_PORT, 0) if port is None else (port,):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if sys.platform != "win32":  # there it would let two programs share a port
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((HERE, number))
            listening.listen()
        except OSError as exc:
            listening.close()
            failure = exc
        else:
            return listening
    reason = failure.strerror if failure else "no port is free"
    raise OutputError(f"port {port}", f"{reason} (is a page open on it already?)")


def _log_to_stderr() -> None:
    log = logging.getLogger("aquatempo.web")
    if not log.handlers:
        handler = logging.StreamHandler()
        handler.setFormatter(logging.Formatter("aquatempo page: %(message)s"))
        log.addHandler(handler)
        log.setLevel(logging.WARNING)
        log.propagate = False
