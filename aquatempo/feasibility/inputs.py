"""Free inputs of the model and thresholds of the verdicts, read from packaged data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from aquatempo.records.people import Intensity
from aquatempo.water.endurance import holdable
from aquatempo.water.limb_demand import Coefficients
from aquatempo.water.tables import read_values

__all__ = ["FreeInputs", "Thresholds", "free_inputs", "input_ranges", "thresholds"]

_PACKAGE = "aquatempo.feasibility"


@dataclass(frozen=True, slots=True)
class FreeInputs:
    """Every number that published tables leave open; see data/free_inputs.toml."""

    unsteady_drag: float
    motion_profile: str
    excursion: float
    plate_cd: float
    hand_edge_cd: float
    added_mass: float
    critical_use: float
    use_above_s: float
    use_most: float
    critical_uptake: float
    uptake_above_s: float
    uptake_most: float
    willing_easy: float
    willing_steady: float
    willing_hard: float
    stiffness: float
    arms_yield: float
    hop_yield: float
    bout_s: float
    contact_min_s: float
    contact_work_s: float
    bounce_m: float
    bounce_w_n: float
    step_w_n: float
    elastic_return: float
    long_pulse: float
    cyclic_force_j: float
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
    strength_spread: float

    def willing(self, intensity: Intensity) -> float:
        """Return the share of what can be held that a class spends [1]."""
        return float(getattr(self, f"willing_{intensity.value}"))

    def use_held(self, bout_s: float) -> float:
        """Return the mean use of a muscle over the cycle that a bout [s] allows [1]."""
        return holdable(bout_s, self.critical_use, self.use_above_s, self.use_most)

    def uptake_held(self, bout_s: float) -> float:
        """Return the demand over maximal uptake that a bout [s] allows [1]."""
        return holdable(bout_s, self.critical_uptake, self.uptake_above_s, self.uptake_most)

    def coefficients(self) -> Coefficients:
        """Return the inputs that shape a limb."""
        return Coefficients(
            self.plate_cd,
            self.hand_edge_cd,
            self.added_mass,
            self.unsteady_drag,
            self.motion_profile,
        )


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
    impact_low_bw: float
    impact_medium_bw: float


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
