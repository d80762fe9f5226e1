"""Where this platform keeps caches and the user's own data."""

from __future__ import annotations

from pathlib import Path

__all__ = ["cache_folder", "data_folder"]


def cache_folder() -> Path:
    """Return the folder for what can be computed again; it may not exist yet."""
    from platformdirs import user_cache_path

    return user_cache_path("aquatempo", appauthor=False)


def data_folder() -> Path:
    """Return the folder for the user's own corrections; it may not exist yet."""
    from platformdirs import user_data_path

    return user_data_path("aquatempo", appauthor=False)
