"""Free inputs of the model and thresholds of the verdicts, read from packaged data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Generic, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.people import Intensity
from aquatempo.water.endurance import holdable
from aquatempo.water.limb_demand import Coefficients
from aquatempo.water.tables import read_values

__all__ = [
    "FreeInputs",
    "Inputs",
    "RowInputs",
    "Thresholds",
    "free_inputs",
    "input_ranges",
    "thresholds",
]

Array = NDArray[np.float64]
Number = TypeVar("Number", float, Array)

_PACKAGE = "aquatempo.feasibility"


@dataclass(frozen=True, slots=True)
class Inputs(Generic[Number]):
    """Every number that published tables leave open; see data/free_inputs.toml.

    Of all one number (FreeInputs), or a value for each row of a sample, (n,) (RowInputs).
    """

    unsteady_drag: Number
    motion_profile: str
    excursion: Number
    plate_cd: Number
    hand_edge_cd: Number
    added_mass: Number
    critical_use: Number
    use_above_s: Number
    use_most: Number
    critical_uptake: Number
    uptake_above_s: Number
    uptake_most: Number
    willing_easy: Number
    willing_steady: Number
    willing_hard: Number
    stiffness: Number
    arms_yield: Number
    hop_yield: Number
    bout_s: Number
    contact_min_s: Number
    contact_work_s: Number
    bounce_m: Number
    bounce_w_n: Number
    step_w_n: Number
    elastic_return: Number
    long_pulse: Number
    cyclic_force_j: Number
    axial_added_mass: Number
    vertical_cd: Number
    hands_down_n: Number
    travel_cd: Number
    grip: Number
    efficiency: Number
    standing_met: Number
    deep_excursion: Number
    belt_n: Number
    scull_disc_m2: Number
    lung_gas_l: Number
    strength_spread: Number

    def willing(self, intensity: Intensity) -> Number:
        """Return the share of what can be held that a class spends [1]."""
        share: Number = getattr(self, f"willing_{intensity.value}")
        return share

    def use_held(self, bout_s: float) -> Number:
        """Return the mean use of a muscle over the cycle that a bout [s] allows [1]."""
        return holdable(bout_s, self.critical_use, self.use_above_s, self.use_most)

    def uptake_held(self, bout_s: float) -> Number:
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


FreeInputs: TypeAlias = Inputs[float]
RowInputs: TypeAlias = Inputs[Array]


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
    return Inputs(**{name: entry["value"] for name, entry in values.items()})


def input_ranges() -> dict[str, dict[str, Any]]:
    """Return value, low, high, unit, source and reason of each free input."""
    return read_values("free_inputs", _PACKAGE)


@cache
def thresholds() -> Thresholds:
    """Return the packaged thresholds."""
    values = read_values("thresholds", _PACKAGE)
    return Thresholds(**{name: entry["value"] for name, entry in values.items()})
