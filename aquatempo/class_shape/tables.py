"""The packaged tables of class_shape, read once."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any

__all__ = ["packaged"]


@cache
def packaged(name: str) -> dict[str, Any]:
    """Return the packaged table ``data/<name>.toml``."""
    path = resources.files("aquatempo.class_shape").joinpath("data", f"{name}.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))
