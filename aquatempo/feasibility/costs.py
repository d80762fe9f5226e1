"""What a round of movements costs, and the range that heart and lungs allow for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.inputs import RowInputs
from aquatempo.feasibility.law import TEMPI_BPM, strain_at
from aquatempo.feasibility.limb_tables import LimbTable
from aquatempo.feasibility.parts import MovementParts
from aquatempo.feasibility.setting import Setting
from aquatempo.feasibility.wholebody import Carry, Hop, hop_j, scull_w
from aquatempo.records.moves import PatternStep
from aquatempo.water.effort import met, support_j

__all__ = ["Costs", "Step", "breathed"]

Array = NDArray[Any]  # of 32 or 64 bits

_BEAT_S = 60.0 / TEMPI_BPM
_FALL_M_S2 = 4.0  # of a body that the water carries by some 60 %
_Q = np.array(
    [0.05, 0.15, 0.25, 0.35, 0.44, 0.52, 0.6, 0.67, 0.74, 0.8, 0.85, 0.89, 0.92, 0.945, 0.965,
     0.98, 0.99, 0.996, 0.999, 1.0]
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Step:
    """One movement of a round: its parts, tables and counts."""

    parts: MovementParts
    counts: PatternStep
    legs: tuple[LimbTable, ...]
    arms: tuple[LimbTable, ...]
    hop: Hop | None
    carry: Carry


class Costs:
    """Metabolic energy of a round [J] (n, J) by how it shrinks with q, and its duration [s].

    leg: with q^3; arm: with q^(3 arms_yield); hop: with q^hop_yield; sway: with its cube;
    fixed: not at all. full: of legs and travel at their full range.
    """

    def __init__(self, shape: tuple[int, int]) -> None:
        zeros = [np.zeros(shape, np.float32) for _ in range(6)]
        self.leg, self.arm, self.hop, self.sway, self.fixed, self.full = zeros
        self.time = np.zeros(shape[1])

    def add(
        self, step: Step, at: slice, times: Array, leg: Array, arm: Array, travel: Array,
        setting: Setting,
    ) -> None:  # fmt: skip
        """Add a step: its times [s] (J,) at a place of TIMES_S, what its muscles keep (n, J).

        setting: the people in their water.
        """
        inputs = setting.columns
        held_s = step.counts.held_counts * _BEAT_S
        for part, table in zip(step.parts.legs, step.legs, strict=True):
            at_full = _limb_j(part.limbs, table, at, times, inputs)
            self.full += at_full
            self.leg += at_full * leg * leg * leg
        for part, table in zip(step.parts.arms, step.arms, strict=True):
            self.arm += _limb_j(part.limbs, table, at, times, inputs) * arm * arm * arm
        carried = step.carry.travel_j[:, at] / inputs.efficiency
        self.full += carried
        self.leg += carried * travel * travel * travel
        self.sway += step.carry.sway_j[:, at] * leg * leg * leg / inputs.efficiency
        apparent = setting.apparent_n[:, None]
        if step.hop is not None:
            event = times * step.hop.movements
            stepping = inputs.step_w_n * apparent * times
            hopping = hop_j(step.hop, step.hop.kept[:, at], event, setting) / step.hop.movements
            self.fixed += stepping
            self.hop += np.maximum(hopping - stepping, 0.0)
        elif not setting.stance.free and (step.legs or step.carry.sway_j.any()):
            self.fixed += inputs.step_w_n * apparent * times
        if step.counts.bounced and not setting.stance.free:
            air = 2.0 * np.sqrt(2.0 * inputs.bounce_m / _FALL_M_S2)
            one = support_j(apparent, _BEAT_S, air, inputs.bounce_w_n, inputs.step_w_n,
                            inputs.contact_work_s)  # fmt: skip
            self.hop += one * step.counts.held_counts
        self.time += times + held_s

    def power(self, setting: Setting) -> None:
        """Turn energy into power [W] in place, sculling added."""
        for cost in (self.leg, self.arm, self.hop, self.sway, self.fixed, self.full):
            cost /= self.time.astype(np.float32)
        self.fixed += scull_w(setting)[:, None] / setting.columns.efficiency


def _limb_j(limbs: int, table: LimbTable, at: slice, times: Array, inputs: RowInputs) -> Array:
    """Return the metabolic cost [J] (n, J) of a movement of some limbs at full range."""
    done = table.work_j[:, at] / inputs.efficiency
    done = done + inputs.cyclic_force_j * table.cyclic[:, at] * times
    kept = table.kept[:, at]
    return np.asarray(limbs * done / (kept * kept * kept))


def breathed(costs: Costs, setting: Setting, may_met: Array) -> tuple[Array, Array]:
    """Return q and the demand [MET] there: the crossing of demand and law over a grid of q.

    costs: of a round; setting: the people in their water.
    may_met (n,): demand that the people are willing and able to hold [MET].
    """
    inputs, people = setting.columns, setting.people
    mass = people.bodies.mass_kg[:, None]
    may = may_met[:, None]
    powers = (
        (costs.leg, 3.0),
        (costs.arm, 3.0 * inputs.arms_yield),
        (costs.hop, inputs.hop_yield),
        (costs.sway, 3.0 * inputs.hop_yield),
    )

    demand = np.empty((len(_Q), *costs.leg.shape), dtype=np.float32)
    some = [(cost, power) for cost, power in powers if cost.any()]
    for i, q in enumerate(_Q):
        demand[i] = costs.fixed
        for cost, power in some:
            demand[i] += np.float32(q) ** np.float32(power) * cost
    demand = met(demand, mass, inputs.standing_met).astype(np.float32)
    wanted = may * strain_at(_Q, inputs.stiffness).T[..., None]
    miss = demand - wanted.astype(np.float32)  # below 0: there is room for a larger q
    above = miss > 0
    index = np.maximum(np.where(above.any(axis=0), np.argmax(above, axis=0), len(_Q) - 1), 1)
    high, low = (np.take_along_axis(miss, (index - d)[None], axis=0)[0] for d in (0, 1))
    part = np.clip(-low / np.maximum(high - low, 1e-9), 0.0, 1.0)
    q = _Q[index - 1] + part * (_Q[index] - _Q[index - 1])
    first, last = (np.take_along_axis(demand, (index - d)[None], axis=0)[0] for d in (1, 0))
    # Where muscles give so much up that breath would have room again, nobody adds range.
    return np.minimum.accumulate(q, axis=1), first + part * (last - first)
