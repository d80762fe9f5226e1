"""Share one deck page with a phone in the same room: off until it is switched on.

A server of its own, on an address that a person chose, that knows one page, only reads, and
ends by itself. Whoever has the link sees the page; the link holds a code of 128
random bits that dies with the sharing. Nothing else of this machine answers there.
"""

from __future__ import annotations

import hmac
import logging
import secrets
import socket
import threading
import time
from collections.abc import Callable

import uvicorn
from starlette.datastructures import Headers
from starlette.responses import HTMLResponse, PlainTextResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from aquatempo.errors import InputError, OutputError
from aquatempo.records.pool_page import Shared
from aquatempo.units import check_range

__all__ = ["PAGE_POLICY", "Sharing", "own_addresses"]

log = logging.getLogger("aquatempo.web")
CODE_BYTES = 16
PAGE_POLICY = (
    "default-src 'none'; script-src 'unsafe-inline' blob:; style-src 'unsafe-inline'; "
    "img-src data:; font-src data:; media-src data: blob:; worker-src blob:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'self'; sandbox allow-scripts"
)
_HEADERS = {
    "content-security-policy": PAGE_POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
}


def own_addresses() -> tuple[str, ...]:
    """Return the addresses of this machine (IPv4), those in a local network first."""
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # a documentation address; nothing is sent
            found.append(str(probe.getsockname()[0]))
        except OSError:
            pass
    try:
        known = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        found += [str(entry[4][0]) for entry in known]
    except OSError:
        pass
    outside = [one for one in dict.fromkeys(found) if not one.startswith("127.")]
    return (*outside, "127.0.0.1")


class Sharing:
    """One page at a time, until it ends."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._server: uvicorn.Server | None = None
        self._state = Shared(False, ())
        self._ends = 0.0
        self._gate: _Gate | None = None

    def start(self, plan: str, title: str, page: str, address: str, minutes: float) -> Shared:
        """Share a page on an address of this machine for some minutes.

        plan, title: what it is of; page: HTML text. Raises InputError, OutputError.
        """
        check_range("how long it is shared", minutes, "minutes", 1.0, 720.0)
        if address not in own_addresses():
            raise InputError(f"{address!r} is no address of this machine")
        self.stop()
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            listening.bind((address, 0))
            listening.listen()
        except OSError as exc:
            listening.close()
            raise OutputError(address, exc.strerror or str(exc)) from exc
        port, code = int(listening.getsockname()[1]), secrets.token_urlsafe(CODE_BYTES)
        ends = time.monotonic() + 60.0 * minutes
        gate = _Gate(page, code, f"{address}:{port}", lambda: time.monotonic() < ends)
        config = uvicorn.Config(
            gate, log_config=None, access_log=False, server_header=False, proxy_headers=False,
            ws="none", lifespan="off", timeout_graceful_shutdown=1,
        )  # fmt: skip
        server = uvicorn.Server(config)
        with self._lock:
            self._server, self._gate, self._ends = server, gate, ends
            link = f"http://{address}:{port}/{code}"
            self._state = Shared(True, (), plan, title, address, link)
        threading.Thread(target=self._run, args=(server, listening), daemon=True).start()
        timer = threading.Timer(60.0 * minutes, self._end, args=(server,))
        timer.daemon = True
        timer.start()
        log.warning("a deck page is shared on %s for %g minutes", address, minutes)
        return self.shown()

    def shown(self) -> Shared:
        """Return whether something is shared, where, and for how long."""
        with self._lock:
            state, gate, left = self._state, self._gate, self._ends - time.monotonic()
        on = state.on and left > 0
        base = state if on else Shared(False, ())
        return Shared(
            on, own_addresses(), base.plan, base.title, base.address, base.link,
            max(left, 0.0) if on else 0.0, gate.fetched if on and gate is not None else 0,
        )  # fmt: skip

    def stop(self) -> Shared:
        """End the sharing, if any."""
        with self._lock:
            server = self._server
        if server is not None:
            self._end(server)
        return self.shown()

    def _end(self, server: uvicorn.Server) -> None:
        server.should_exit = True
        with self._lock:
            if self._server is server:
                self._server, self._gate, self._state = None, None, Shared(False, ())
                log.warning("sharing has ended")

    @staticmethod
    def _run(server: uvicorn.Server, listening: socket.socket) -> None:
        try:
            server.run(sockets=[listening])
        finally:
            listening.close()


class _Gate:
    """An ASGI application: one page to whoever knows the code, nothing to anybody else."""

    def __init__(self, page: str, code: str, host: str, open_now: Callable[[], bool]) -> None:
        self._page, self._path, self._host, self._open = page, f"/{code}", host, open_now
        self.fetched = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return
        await self._answer(scope)(scope, receive, send)

    def _answer(self, scope: Scope) -> ASGIApp:
        if scope["method"] not in ("GET", "HEAD"):
            return PlainTextResponse("read only\n", 405, _HEADERS)
        if Headers(scope=scope).get("host") != self._host:
            return PlainTextResponse("wrong host\n", 421, _HEADERS)
        same = hmac.compare_digest(scope["path"].encode("utf-8", "replace"), self._path.encode())
        if not same or not self._open():
            log.warning("refused a request to the shared page")
            return PlainTextResponse("nothing here\n", 404, _HEADERS)
        self.fetched += 1
        return HTMLResponse(self._page, headers=_HEADERS)
