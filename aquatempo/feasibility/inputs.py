"""Free inputs of the model and thresholds of the verdicts, read from packaged data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from aquatempo.records.people import Intensity
from aquatempo.water.limbs import Coefficients
from aquatempo.water.tables import read_values

__all__ = ["FreeInputs", "Thresholds", "free_inputs", "input_ranges", "thresholds"]

_PACKAGE = "aquatempo.feasibility"


@dataclass(frozen=True, slots=True)
class FreeInputs:
    """Every number that published tables leave open; see data/free_inputs.toml."""

    drag_law: str
    unsteady_drag: float
    motion_profile: str
    share_easy: float
    share_steady: float
    share_hard: float
    share_basis: str
    peak_ceiling: float
    plate_cd: float
    hand_edge_cd: float
    added_mass: float
    contact_min_s: float
    contact_max_s: float
    bounce_m: float
    axial_added_mass: float
    vertical_cd: float
    travel_cd: float
    grip: float
    efficiency: float
    standing_met: float
    deep_excursion: float
    belt_n: float
    scull_disc_m2: float
    lung_gas_l: float

    def share(self, intensity: Intensity) -> float:
        """Return the sustained share of what a muscle can do [1]."""
        return float(getattr(self, f"share_{intensity.value}"))

    def coefficients(self) -> Coefficients:
        """Return the inputs that shape a limb."""
        return Coefficients(self.plate_cd, self.hand_edge_cd, self.added_mass)


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Where a verdict changes its word; see data/thresholds.toml."""

    full_range: float
    a_little_short: float
    short: float
    speed_free: float
    speed_warn: float
    no_aerobic_above_c: float
    cool_below_c: float
    very_hard_rpe: float


@cache
def free_inputs() -> FreeInputs:
    """Return the packaged free inputs.

    >>> free_inputs().contact_min_s
    0.2
    """
    values = read_values("free_inputs", _PACKAGE)
    return FreeInputs(**{name: entry["value"] for name, entry in values.items()})


def input_ranges() -> dict[str, dict[str, Any]]:
    """Return value, low, high, unit, source and reason of each free input."""
    return read_values("free_inputs", _PACKAGE)


@cache
def thresholds() -> Thresholds:
    """Return the packaged thresholds."""
    values = read_values("thresholds", _PACKAGE)
    return Thresholds(**{name: entry["value"] for name, entry in values.items()})
