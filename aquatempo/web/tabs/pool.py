"""The tab Pool: previews of what is taken along, the folder, the page on a phone."""

from __future__ import annotations

import io
import threading
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from aquatempo.errors import AquatempoError, ConflictError
from aquatempo.records.pool_page import MadeFolder, PoolChoice, PoolShown, ShareAsked, Shared
from aquatempo.web.desk import Desk
from aquatempo.web.endpoints import Endpoint
from aquatempo.web.sharing import PAGE_POLICY

__all__ = ["PoolAsked", "endpoints", "file_route"]

_TYPES = {
    "pdf": "application/pdf",
    "html": "text/html; charset=utf-8",
    "svg": "image/svg+xml",
    "json": "application/json",
    "vtt": "text/vtt; charset=utf-8",
    "csv": "text/csv; charset=utf-8",
}
_DRAWN = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'self'; sandbox"


@dataclass(frozen=True, slots=True)
class PoolAsked:
    """Files of a plan that are asked for."""

    plan: str
    options: PoolChoice


def endpoints(desk: Desk) -> tuple[Endpoint, ...]:
    """Return what the tab Pool asks for."""
    maker = _Maker(desk)

    def options() -> PoolChoice:
        return desk.pool.options()

    def preview(asked: PoolAsked) -> PoolShown:
        return desk.pool.preview(asked.plan, asked.options)

    def share(asked: ShareAsked) -> Shared:
        page = desk.pool.deck_page(asked.plan)
        title = desk.plans.plan(asked.plan).brief.title
        return desk.sharing.start(asked.plan, title, page, asked.address, asked.minutes)

    def code() -> bytes:
        import segno

        picture = io.BytesIO()
        link = desk.sharing.shown().link or "-"
        segno.make(link, micro=False).save(picture, kind="svg", scale=8, border=4, light="#fff")
        return picture.getvalue()

    svg = "image/svg+xml"
    return (
        Endpoint("GET", "/api/pool", "What was made last", options, PoolChoice),
        Endpoint("POST", "/api/pool/preview", "Make a preview", preview, PoolShown, PoolAsked),
        Endpoint("POST", "/api/pool/make", "Make the folder", maker.start, MadeFolder, PoolAsked),
        Endpoint("GET", "/api/pool/made", "How far that is", maker.shown, MadeFolder),
        Endpoint("GET", "/api/share", "Whether a page is shared", desk.sharing.shown, Shared),
        Endpoint("POST", "/api/share/start", "Share a deck page", share, Shared, ShareAsked),
        Endpoint("POST", "/api/share/stop", "End sharing", desk.sharing.stop, Shared),
        Endpoint("GET", "/api/share/code.svg", "The link as a code", code, bytes, media=svg),
    )


def file_route(desk: Desk) -> Route:
    """Return the route of the files of a preview; they run without any right to this page."""

    def answer(request: Request) -> Response:
        name = request.path_params["name"]
        try:
            data = desk.pool.file(request.path_params["at"], name)
        except AquatempoError as exc:
            return Response(f"{exc}\n", 404, media_type="text/plain")
        kind = name.rpartition(".")[2]
        headers = {"x-frame-options": "SAMEORIGIN"}
        if kind == "html":
            headers["content-security-policy"] = PAGE_POLICY
        elif kind == "pdf":
            headers["content-security-policy"] = "frame-ancestors 'self'"
        else:
            headers["content-security-policy"] = _DRAWN
        return Response(data, headers=headers, media_type=_TYPES.get(kind, "text/plain"))

    return Route("/pool/{at}/{name:path}", answer)


class _Maker:
    """Makes one folder at a time in the background."""

    def __init__(self, desk: Desk) -> None:
        self._desk, self._lock, self._state = desk, threading.Lock(), MadeFolder()

    def shown(self) -> MadeFolder:
        """Return how far the folder is."""
        with self._lock:
            return self._state

    def start(self, asked: PoolAsked) -> MadeFolder:
        """Start making a folder. Raises ConflictError while another is made."""
        with self._lock:
            if self._state.running:
                raise ConflictError("a folder is being made already")
            self._state = MadeFolder(running=True)
        threading.Thread(target=self._make, args=(asked,), name="make", daemon=True).start()
        return self.shown()

    def _make(self, asked: PoolAsked) -> None:
        def told(done: int, of: int) -> None:
            self._tell(MadeFolder(True, done, of))

        try:
            self._tell(self._desk.pool.make(asked.plan, asked.options, told))
        except AquatempoError as exc:
            self._tell(MadeFolder(error=str(exc)))
        except BaseException:
            self._tell(MadeFolder(error="it broke off; the log says why"))
            raise

    def _tell(self, state: MadeFolder) -> None:
        with self._lock:
            self._state = state
        self._desk.news.tell("made")
