"""News for open windows, as server-sent events: what changed, never the change itself."""

from __future__ import annotations

import asyncio
import json
import threading
from collections.abc import AsyncIterator

__all__ = ["News"]

HEARTBEAT_S = 15.0
SPACING_S = 0.2  # news of one kind come at most so often; the newest of each is sent


class News:
    """Told by any thread, heard by each open window."""

    def __init__(self) -> None:
        self._windows: set[_Window] = set()
        self._lock = threading.Lock()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._ending = False

    def tell(self, kind: str, about: str = "", **facts: str | int | float | None) -> None:
        """Tell all windows that something changed; about: which one of its kind."""
        with self._lock:
            loop, windows = self._loop, list(self._windows)
        if loop is None or loop.is_closed():
            return
        for window in windows:
            loop.call_soon_threadsafe(window.put, kind, about, facts)

    def end(self) -> None:
        """End all streams, so that the server can stop."""
        self._ending = True
        self.tell("end")

    async def stream(self) -> AsyncIterator[bytes]:
        """Yield the news of one window until it goes or the server ends."""
        window = _Window()
        with self._lock:
            self._loop = asyncio.get_running_loop()
            self._windows.add(window)
        try:
            yield b"retry: 1000\n\n" + _event("hello", {})
            while not self._ending:
                for kind, about, facts in await window.take():
                    yield _event(kind, {"about": about, **facts})
                if not window.waiting:
                    yield b": still here\n\n"
                await asyncio.sleep(SPACING_S)
        finally:
            with self._lock:
                self._windows.discard(window)


class _Window:
    """What one window has not been told yet: the newest of each kind."""

    def __init__(self) -> None:
        self.waiting = True  # whether the last wait ended with news
        self._pending: dict[tuple[str, str], dict[str, str | int | float | None]] = {}
        self._come = asyncio.Event()

    def put(self, kind: str, about: str, facts: dict[str, str | int | float | None]) -> None:
        self._pending[kind, about] = facts
        self._come.set()

    async def take(self) -> list[tuple[str, str, dict[str, str | int | float | None]]]:
        try:
            await asyncio.wait_for(self._come.wait(), HEARTBEAT_S)
            self.waiting = True
        except TimeoutError:
            self.waiting = False
        self._come.clear()
        pending, self._pending = self._pending, {}
        return [(kind, about, facts) for (kind, about), facts in pending.items()]


def _event(kind: str, facts: dict[str, str | int | float | None]) -> bytes:
    return f"event: {kind}\ndata: {json.dumps(facts)}\n\n".encode()
