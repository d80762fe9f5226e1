"""Fitted weights, read from the table ``data/weights.toml`` that says where each came from."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources

__all__ = ["weights_of"]


@cache
def weights_of(table: str) -> Mapping[str, float]:
    """Return the weights of one table by name.

    >>> sorted(weights_of("level"))[:2]
    ['bars', 'bass']
    """
    text = resources.files("aquatempo.rhythm").joinpath("data/weights.toml").read_text("utf-8")
    rows = tomllib.loads(text)[table]
    return {name: float(value) for name, value in rows.items() if not isinstance(value, str)}
