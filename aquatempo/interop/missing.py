"""The import of a library that may not be installed."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from aquatempo.errors import MissingExtraError

__all__ = ["optional"]


def optional(name: str, feature: str) -> Any:  # noqa: ANN401  a module of any kind
    """Return a module of an optional library.

    name: of the module. feature: what needs it, for the message. Raises MissingExtraError
    where it is not installed.

    >>> optional("json", "reading").loads("[1]")
    [1]
    """
    try:
        return import_module(name)
    except ImportError as exc:
        raise MissingExtraError(feature, "interop") from exc
