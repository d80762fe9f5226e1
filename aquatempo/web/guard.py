"""Who may speak to the page: the browser of this machine that holds the key, and nobody else.

An ASGI application round another one. It refuses before anything of a request is used,
writes a line for each refusal, and sets the headers that bind the browser.
"""

from __future__ import annotations

import hmac
import logging
from collections.abc import Callable, Mapping
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["KEY_NAME", "Guard", "cookie_name"]

KEY_NAME = "key"
READING = ("GET", "HEAD")
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "media-src 'self' blob:",
        "connect-src 'self'",
        "worker-src 'self'",
        "frame-src 'self'",
        "manifest-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
        "require-trusted-types-for 'script'",
        "trusted-types 'none'",
    )
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "x-frame-options": "DENY",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
log = logging.getLogger("aquatempo.web")


class _TooLargeError(Exception):
    """More bytes came than the place takes."""


def cookie_name(port: int) -> str:
    """Return the name of the cookie: browsers share cookies between ports of one machine."""
    return f"aquatempo-{port}"


class Guard:
    """Lets in what carries the key, comes from this page and is not too large."""

    def __init__(self, app: ASGIApp, key: str, port: int, most_bytes: Callable[[str], int]) -> None:
        self._app, self._key, self._port = app, key, port
        self._most_bytes = most_bytes
        self._hosts = {f"{name}:{port}" for name in ("127.0.0.1", "localhost")}
        self._origins = {f"http://{host}" for host in self._hosts}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, refuse, or pass on."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":  # no other protocol is spoken here
            await send({"type": "websocket.close", "code": 1008})
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope, headers)
        if refusal is not None:
            status, words = refusal
            self._note(scope, words)
            await self._sent(PlainTextResponse(f"{words}\n", status), scope, receive, send)
            return
        if (given := self._key_in_link(scope)) is not None:
            await self._sent(self._enter(scope, given), scope, receive, send)
            return
        if not self._has_cookie(headers):
            self._note(scope, "no key")
            words = "This page opens with the link that 'aquatempo page' shows when it starts.\n"
            await self._sent(PlainTextResponse(words, 401), scope, receive, send)
            return
        await self._pass_on(scope, receive, send)

    def _refusal(self, scope: Scope, headers: Mapping[str, str]) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if host not in self._hosts:
            return 421, f"wrong host {_short(host)}"
        origin = headers.get("origin")
        if origin is not None and origin not in self._origins:
            return 403, f"wrong origin {_short(origin)}"
        site = headers.get("sec-fetch-site", "none")
        if site not in ("same-origin", "none"):
            return 403, f"asked from {_short(site)}"
        if scope["method"] not in READING and origin is None:
            return 403, "no origin"
        length = headers.get("content-length", "0")
        most = self._most_bytes(scope["path"])
        if not length.isascii() or not length.isdigit() or int(length) > most:
            return 413, f"{_short(length)} bytes, at most {most} are taken here"
        return None

    def _key_in_link(self, scope: Scope) -> str | None:
        if scope["path"] != "/" or scope["method"] not in READING:
            return None
        values = parse_qs(scope["query_string"].decode("latin-1")).get(KEY_NAME)
        return values[0] if values else None

    def _enter(self, scope: Scope, given: str) -> Response:
        if not hmac.compare_digest(given.encode("utf-8", "replace"), self._key.encode()):
            self._note(scope, "wrong key")
            words = "This link is of an earlier start. Use the one that the last start shows.\n"
            return PlainTextResponse(words, 403)
        response = RedirectResponse("/", 303)
        response.set_cookie(
            cookie_name(self._port), self._key, path="/", httponly=True, samesite="strict"
        )
        return response

    def _has_cookie(self, headers: Mapping[str, str]) -> bool:
        cookies = SimpleCookie()
        try:
            cookies.load(headers.get("cookie", ""))
        except CookieError:
            return False
        held = cookies.get(cookie_name(self._port))
        return held is not None and hmac.compare_digest(
            held.value.encode("utf-8", "replace"), self._key.encode()
        )

    async def _pass_on(self, scope: Scope, receive: Receive, send: Send) -> None:
        most = self._most_bytes(scope["path"])
        come = 0
        started = False

        async def counted() -> Message:
            nonlocal come
            message = await receive()
            if message["type"] == "http.request":
                come += len(message.get("body", b""))
                if come > most:
                    raise _TooLargeError
            return message

        async def with_headers(message: Message) -> None:
            nonlocal started
            if come > most and not started:
                return  # what is inside answers to the break-off; our own answer follows
            if message["type"] == "http.response.start":
                started = True
                _add_headers(message)
            await send(message)

        try:
            await self._app(scope, counted, with_headers)
        except _TooLargeError:
            words = f"more than {most} bytes"
            self._note(scope, words)
            if not started:
                await self._sent(PlainTextResponse(f"{words}\n", 413), scope, receive, send)

    async def _sent(self, response: Response, scope: Scope, receive: Receive, send: Send) -> None:
        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                _add_headers(message)
            await send(message)

        await response(scope, receive, with_headers)

    def _note(self, scope: Scope, why: str) -> None:
        log.warning("refused %s %s: %s", scope["method"], _short(scope["path"]), why)


def _add_headers(message: Message) -> None:
    headers = MutableHeaders(scope=message)
    for name, value in HEADERS.items():
        headers.setdefault(name, value)
    headers.setdefault("cache-control", "no-store")


def _short(text: str) -> str:
    r"""Return what a stranger sent, fit for one line of a log.

    >>> _short("evil\n")
    "'evil\\n'"
    """
    return repr(text if len(text) <= 80 else f"{text[:77]}...")
