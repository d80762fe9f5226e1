"""Typed endpoints: a record in, a function, a record out, and their description in one table."""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from typing import Any, get_type_hints

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from aquatempo.errors import AquatempoError, ConflictError, InputError
from aquatempo.records.plain import from_plain, to_plain
from aquatempo.web.saying import in_language

__all__ = ["Done", "Endpoint", "Refusal", "routes"]

log = logging.getLogger("aquatempo.web")


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a request could not be done, in one line; nothing was changed. kind: of the error."""

    error: str
    kind: str


@dataclass(frozen=True, slots=True)
class Done:
    """It is done; there is nothing more to tell."""

    done: bool = True


@dataclass(frozen=True, slots=True)
class Endpoint:
    """One thing that the page can ask for.

    call takes the names in the path, in order, and then the record that comes in (as the
    JSON body, or as the query where the method is GET); it returns the record that goes
    out. gives is bytes for samples, str for a stream of events. Where takes is bytes, call
    is a coroutine function that gets the body bit by bit, after the record of its query.
    media: what bytes that go out are.
    """

    method: str
    path: str
    does: str
    call: Callable[..., Any]
    gives: type
    takes: type | None = None
    query: type | None = None
    media: str = "application/octet-stream"


def routes(endpoints: tuple[Endpoint, ...]) -> list[Route]:
    """Return Starlette's routes of a table of endpoints."""
    return [Route(one.path, _answering(one), methods=[one.method]) for one in endpoints]


def _answering(endpoint: Endpoint) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        language = request.headers.get("accept-language", "en")[:2].lower()
        try:
            given = list(request.path_params.values())
            if endpoint.query is not None:
                given.append(_from_query(endpoint.query, request.query_params))
            if endpoint.takes is bytes:
                result = await endpoint.call(*given, request.stream())
            else:
                if endpoint.takes is not None:
                    given.append(await _record(endpoint, request))
                result = await run_in_threadpool(endpoint.call, *given)
        except ConflictError as exc:
            return _refused(exc, 409, language)
        except AquatempoError as exc:
            return _refused(exc, 400, language)
        if isinstance(result, bytes):
            return Response(result, media_type=endpoint.media)
        if endpoint.gives is str:
            return StreamingResponse(result, media_type="text/event-stream")
        return _json(in_language(result, language))

    return answer


async def _record(endpoint: Endpoint, request: Request) -> object:
    assert endpoint.takes is not None
    if endpoint.method == "GET":
        return _from_query(endpoint.takes, request.query_params)
    if request.headers.get("content-type", "").partition(";")[0].strip() != "application/json":
        raise InputError("the body is not JSON: needs the content type application/json")
    try:
        data = json.loads(await request.body())
    except (ValueError, RecursionError) as exc:
        raise InputError("the body is not JSON") from exc
    return from_plain(endpoint.takes, data)


def _from_query(cls: type, query: Mapping[str, str]) -> object:
    """Return the record whose fields a query gives as text."""
    hints = get_type_hints(cls)
    known = {field.name for field in fields(cls)}
    values: dict[str, object] = {}
    for name, text in query.items():
        if name not in known:
            raise InputError(f"{name}: unknown; known here: {', '.join(sorted(known))}")
        values[name] = _value(str(hints[name]), text, name)
    return from_plain(cls, values)


def _value(hint: str, text: str, name: str) -> object:
    try:
        if "bool" in hint:
            return {"true": True, "false": False}[text]
        if "int" in hint:
            return int(text)
        if "float" in hint:
            return float(text)
    except (KeyError, ValueError) as exc:
        raise InputError(f"{name} {text!r}: needs another kind of value") from exc
    return text


def _refused(error: AquatempoError, status: int, language: str) -> Response:
    log.info("%s: %s", type(error).__name__, error)
    return _json(in_language(Refusal(str(error), type(error).__name__), language), status)


def _json(record: object, status: int = 200) -> Response:
    """Return a record as JSON in ASCII: a file name may hold what UTF-8 has no place for."""
    return Response(json.dumps(to_plain(record)), status, media_type="application/json")
