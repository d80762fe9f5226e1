"""How a person likes the page: kept in the store, so that any window finds it."""

from __future__ import annotations

from aquatempo.records.page import PageSettings
from aquatempo.store.settings import load_setting, save_setting
from aquatempo.units import check_range

__all__ = ["read_settings", "write_settings"]

DELAY_MS = (-500, 1000)  # the slowest wireless speakers are some 300 ms behind


def read_settings() -> PageSettings:
    """Return the settings of the page."""
    return load_setting("settings", PageSettings())


def write_settings(settings: PageSettings) -> None:
    """Keep the settings of the page. Raises RangeError, OutputError."""
    check_range("delay", settings.delay_ms, "ms", *DELAY_MS)
    check_range("song level", settings.song_level, "", 0.0, 1.0)
    check_range("click level", settings.click_level, "", 0.0, 1.0)
    save_setting("settings", settings)
