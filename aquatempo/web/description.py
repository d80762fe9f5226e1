"""The OpenAPI 3.1 description of the page's interface, made from its table of endpoints."""

from __future__ import annotations

import inspect
import re
import types
from collections.abc import Iterable
from dataclasses import MISSING, fields, is_dataclass
from enum import Enum
from typing import Any, Union, get_args, get_origin, get_type_hints

import aquatempo
from aquatempo.web.endpoints import Endpoint, Refusal

__all__ = ["description"]

_RAW = {bytes: "application/octet-stream", str: "text/event-stream"}
_SIMPLE = {str: "string", int: "integer", float: "number", bool: "boolean"}


def description(endpoints: Iterable[Endpoint]) -> dict[str, Any]:
    """Return the description as plain data; schemas follow the type hints of the records."""
    schemas: dict[str, Any] = {}
    paths: dict[str, Any] = {}
    for endpoint in endpoints:
        path = re.sub(r":\w+}", "}", endpoint.path)
        paths.setdefault(path, {})[endpoint.method.lower()] = _operation(endpoint, path, schemas)
    return {
        "openapi": "3.1.0",
        "info": {"title": "aquatempo page", "version": aquatempo.__version__},
        "paths": paths,
        "components": {"schemas": dict(sorted(schemas.items()))},
    }


def _operation(endpoint: Endpoint, path: str, schemas: dict[str, Any]) -> dict[str, Any]:
    parameters = [
        {"name": name, "in": "path", "required": True, "schema": {"type": "string"}}
        for name in re.findall(r"{(\w+)}", path)
    ]
    operation: dict[str, Any] = {
        "operationId": re.sub(r"\W+", "_", f"{endpoint.method.lower()}{path}").strip("_"),
        "summary": endpoint.does,
        "responses": {
            "200": {"description": "done", "content": _given(endpoint, schemas)},
            "400": _refusal("it cannot be done", schemas),
            "409": _refusal("it was changed elsewhere meanwhile", schemas),
        },
    }
    query = endpoint.takes if endpoint.method == "GET" else endpoint.query
    if query is not None:
        hints = get_type_hints(query)
        parameters += [
            {"name": one.name, "in": "query", "schema": _schema(hints[one.name], schemas)}
            for one in fields(query)
        ]
    if endpoint.takes is not None and endpoint.method != "GET":
        operation["requestBody"] = {
            "required": True,
            "content": _content(endpoint.takes, schemas),
        }
    if parameters:
        operation["parameters"] = parameters
    return operation


def _given(endpoint: Endpoint, schemas: dict[str, Any]) -> dict[str, Any]:
    return {endpoint.media: {}} if endpoint.gives is bytes else _content(endpoint.gives, schemas)


def _refusal(words: str, schemas: dict[str, Any]) -> dict[str, Any]:
    return {"description": words, "content": _content(Refusal, schemas)}


def _content(kind: type, schemas: dict[str, Any]) -> dict[str, Any]:
    if kind in _RAW:
        return {_RAW[kind]: {}}
    return {"application/json": {"schema": _schema(kind, schemas)}}


def _schema(kind: Any, schemas: dict[str, Any]) -> dict[str, Any]:  # noqa: ANN401 - any type
    if kind is types.NoneType:
        return {"type": "null"}
    if kind in _SIMPLE:
        return {"type": _SIMPLE[kind]}
    if kind is Any:
        return {}
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return {"anyOf": [_schema(one, schemas) for one in get_args(kind)]}
    if origin is tuple:
        return _tuple(get_args(kind), schemas)
    if origin is dict:
        return {"type": "object"}
    if isinstance(kind, type) and issubclass(kind, Enum):
        schemas.setdefault(
            kind.__name__, {"type": "string", "enum": [str(one.value) for one in kind]}
        )
    elif is_dataclass(kind) and isinstance(kind, type) and kind.__name__ not in schemas:
        schemas[kind.__name__] = {}  # named first, so that a record may hold its own kind
        schemas[kind.__name__] = _record(kind, schemas)
    return {"$ref": f"#/components/schemas/{kind.__name__}"}


def _tuple(kinds: tuple[Any, ...], schemas: dict[str, Any]) -> dict[str, Any]:
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return {"type": "array", "items": _schema(kinds[0], schemas)}
    return {
        "type": "array",
        "prefixItems": [_schema(one, schemas) for one in kinds],
        "minItems": len(kinds),
        "maxItems": len(kinds),
    }


def _record(kind: type, schemas: dict[str, Any]) -> dict[str, Any]:
    hints = get_type_hints(kind)
    required = [
        one.name
        for one in fields(kind)
        if one.default is MISSING and one.default_factory is MISSING
    ]
    return {
        "type": "object",
        "description": inspect.cleandoc(kind.__doc__ or ""),
        "properties": {one.name: _schema(hints[one.name], schemas) for one in fields(kind)},
        "required": required,
        "additionalProperties": False,
    }
