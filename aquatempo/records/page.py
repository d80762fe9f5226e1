"""What the local page remembers of how a person likes it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["PageSettings", "Theme", "TypeSize", "UnitSystem"]


class Theme(StrEnum):
    """Light of the page; as the device says where it is not set."""

    DEVICE = "device"
    DAY = "day"
    DARK = "dark"


class UnitSystem(StrEnum):
    """Metres and degrees Celsius, or feet and degrees Fahrenheit."""

    METRIC = "metric"
    FEET = "feet"


class TypeSize(StrEnum):
    """How large the type is."""

    USUAL = "usual"
    LARGE = "large"
    LARGEST = "largest"


@dataclass(frozen=True, slots=True)
class PageSettings:
    """Settings of the page.

    language: "en", "de", "" for the browser's own. delay_ms: how much later the speakers
    are than the page thinks [ms]. song_level, click_level: 0 to 1.
    """

    language: str = ""
    units: UnitSystem = UnitSystem.METRIC
    theme: Theme = Theme.DEVICE
    type_size: TypeSize = TypeSize.USUAL
    delay_ms: int = 0
    song_level: float = 0.6
    click_level: float = 0.8
