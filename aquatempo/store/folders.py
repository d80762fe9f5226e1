"""Where this platform keeps caches and the user's own data."""

from __future__ import annotations

import os
import sys
from pathlib import Path

__all__ = ["cache_folder", "data_folder"]

_NAME = "aquatempo"


def cache_folder() -> Path:
    """Return the folder for what can be computed again; it may not exist yet."""
    if (chosen := _chosen("XDG_CACHE_HOME")) is not None:
        return chosen / _NAME
    if sys.platform == "win32":
        return _windows() / _NAME / "cache"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / _NAME
    return Path.home() / ".cache" / _NAME


def data_folder() -> Path:
    """Return the folder for the user's own corrections; it may not exist yet."""
    if (chosen := _chosen("XDG_DATA_HOME")) is not None:
        return chosen / _NAME
    if sys.platform == "win32":
        return _windows() / _NAME
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / _NAME
    return Path.home() / ".local" / "share" / _NAME


def _chosen(variable: str) -> Path | None:
    """Return the folder of an XDG variable; the specification ignores relative ones."""
    folder = os.environ.get(variable, "")
    return Path(folder) if folder and Path(folder).is_absolute() else None


def _windows() -> Path:
    return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
