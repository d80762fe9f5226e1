"""A page that is served by this process, and a plain client that can say anything to it."""

from __future__ import annotations

import http.client
import json
import socket
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from aquatempo.web.serving import OpenPage

__all__ = ["Answer", "Client", "own_store", "served"]

WAIT_S = 120.0


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def data(self) -> Any:
        """The body read as JSON."""
        return json.loads(self.body)


@dataclass
class Client:
    """Speaks to a page as its own browser would, unless it is told otherwise."""

    page: OpenPage
    cookie: str = ""
    sent: list[str] = field(default_factory=list)

    @property
    def host(self) -> str:
        """The host and port of the page."""
        return f"127.0.0.1:{self.page.port}"

    def enter(self) -> Client:
        """Follow the first link and keep the cookie."""
        path = self.page.link.partition(self.host)[2]
        answer = self.ask("GET", path)
        assert answer.status == 303
        self.cookie = answer.headers["set-cookie"].partition(";")[0]
        return self

    def ask(
        self,
        method: str,
        path: str,
        body: object = None,
        headers: Mapping[str, str | None] | None = None,
    ) -> Answer:
        """Send one request; a header given as None is left out."""
        given: dict[str, str | None] = {"host": self.host, "cookie": self.cookie or None}
        data = body if isinstance(body, bytes) else None
        if method != "GET":
            given["origin"] = f"http://{self.host}"
            if data is None:
                data = json.dumps({} if body is None else body).encode()
                given["content-type"] = "application/json"
            given["content-length"] = str(len(data))
        given |= {name.lower(): value for name, value in (headers or {}).items()}
        connection = http.client.HTTPConnection("127.0.0.1", self.page.port, timeout=WAIT_S)
        try:
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in given.items():
                if value is not None:
                    connection.putheader(name, value)
            connection.endheaders(data or None)
            answer = connection.getresponse()
            found = {name.lower(): value for name, value in answer.getheaders()}
            return Answer(answer.status, found, answer.read())
        finally:
            connection.close()

    def get(self, path: str) -> Any:
        """Return the JSON of an answer that has to be a success."""
        answer = self.ask("GET", path)
        assert answer.status == 200, answer.body
        return answer.data

    def post(self, path: str, body: object = None) -> Any:
        """Return the JSON of an answer that has to be a success."""
        answer = self.ask("POST", path, body)
        assert answer.status == 200, answer.body
        return answer.data

    def rows(self, **query: object) -> list[dict[str, Any]]:
        """Return rows of the music list."""
        text = "&".join(f"{name}={value}" for name, value in {"limit": 1000, **query}.items())
        rows: list[dict[str, Any]] = self.get(f"/api/music?{text}")["rows"]
        return rows

    def until_heard(self) -> list[dict[str, Any]]:
        """Wait until nothing waits in the list; return its rows."""
        pause = threading.Event()
        for _ in range(600):
            state = self.get("/api/music?limit=1000")
            if state["total"] and not state["waiting"]:
                rows: list[dict[str, Any]] = state["rows"]
                return rows
            pause.wait(0.1)
        raise AssertionError("the list was not heard in a minute")


@contextmanager
def own_store(home: Path, patch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Give a home folder of its own, with data of its own; the cache is that of all tests."""
    (home / "data").mkdir(exist_ok=True)
    patch.setenv("XDG_DATA_HOME", str(home / "data"))
    patch.setenv("HOME", str(home))
    patch.setenv("USERPROFILE", str(home))
    yield home


@contextmanager
def served(*music: Path) -> Iterator[Client]:
    """Give a client that has entered a page on which music is open."""
    page = OpenPage(_any_port())
    if music:
        page.desk.music.open([str(one) for one in music])
    running = threading.Thread(target=page.run, daemon=True)
    running.start()
    try:
        yield Client(page).enter()
    finally:
        page.leave()
        running.join(WAIT_S)
        assert not running.is_alive(), "the page did not end"


def _any_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
