"""Limbs, hops, sway and travel of a form put together, person by person, over all tempi.

Muscles first cut each limb's range by itself; then heart and lungs cut all of them: legs by q,
arms by q^1.5, hops by q^2, where q = 1 - y^k and y is the demand over what can be held. All
arrays are (n, J) over people and TEMPI_BPM unless said otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.law import TEMPI_BPM, TIMES_S, at_share, beat_slice, strain_at
from aquatempo.feasibility.limb_tables import LimbTable
from aquatempo.feasibility.parts import FormParts, MovementParts
from aquatempo.feasibility.setting import Setting
from aquatempo.feasibility.wholebody import Carry, Hop, hop_j, scull_w
from aquatempo.records.moves import PatternStep
from aquatempo.water.effort import met, rpe, support_j
from aquatempo.water.endurance import held_for_s
from aquatempo.water.rebound import peak_force_bw

__all__ = ["LOST_BELOW", "Allowed", "Persons", "Step", "combined"]

Array = NDArray[np.float64]

LOST_BELOW = 0.5  # of its range: below it a move has become another one
_BEAT_S = 60.0 / TEMPI_BPM
_Q = np.array(
    [0.05, 0.15, 0.25, 0.35, 0.44, 0.52, 0.6, 0.67, 0.74, 0.8, 0.85, 0.89, 0.92, 0.945, 0.965,
     0.98, 0.99, 0.996, 0.999, 1.0]
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Allowed:
    """What the bout allows: mean use over the cycle, and demand over maximal uptake [1].

    willing: share of it that the class spends. bout_s [s].
    """

    use: float
    uptake: float
    willing: float
    bout_s: float


@dataclass(frozen=True, slots=True)
class Step:
    """One movement of a round: its parts, tables and counts."""

    parts: MovementParts
    counts: PatternStep
    legs: tuple[LimbTable, ...]
    arms: tuple[LimbTable, ...]
    hop: Hop | None
    carry: Carry


@dataclass(frozen=True, slots=True)
class Persons:
    """A form with a pattern for n people over TEMPI_BPM (J).

    legs, arms, hop, travel: share of range, height and step that is kept, all (n, J), of the
    step that keeps least; 1 where there is none. by_step (S, n, J): what decides each step.
    breath (n, J): q. met [MET]; share: of maximal uptake; rpe; held_s: how long it can be
    held [s]; impact_bw: highest landing of the cycle [body weights], 0 without one. hand_n,
    foot_n: largest force of the water [N]. lost: share that what decides falls below half, soft.
    """

    legs: Array
    arms: Array
    hop: Array
    travel: Array
    kept: Array
    by_step: Array
    breath: Array
    met: Array
    share: Array
    rpe: Array
    held_s: Array
    impact_bw: Array
    hand_n: Array
    foot_n: Array


def combined(
    form: FormParts, steps: Sequence[Step], setting: Setting, allowed: Allowed
) -> Persons:
    """Return what the people keep, spend and feel in a round of steps."""
    inputs, people = setting.inputs, setting.people
    shape = (len(people), len(TEMPI_BPM))
    costs = _Costs(shape)
    ones = np.ones(shape)
    legs_kept, arms_kept, hops_kept, travel_kept = [], [], [], []
    for step in steps:
        at = beat_slice(step.counts.moving_counts)
        times = TIMES_S[at]
        leg = _least([t.kept[:, at] for t in step.legs], ones)
        arm = _least([t.kept[:, at] for t in step.arms], ones) * leg
        legs_kept.append(leg)
        arms_kept.append(arm)
        hops_kept.append(ones if step.hop is None else step.hop.kept[:, at])
        travel_kept.append(np.minimum(step.carry.step_kept[:, at], leg))
        costs.add(step, at, times, leg, arm, travel_kept[-1], setting)
    costs.power(setting)
    breath, demand = _breathed(costs, setting, allowed)
    legs = _least(legs_kept, ones) * breath
    arms = _least(arms_kept, ones) * breath**inputs.arms_yield
    hop = _least(hops_kept, ones) * breath**inputs.hop_yield
    travel = _least(travel_kept, ones) * breath
    by_step = _deciding(form, steps, legs_kept, arms_kept, hops_kept, travel_kept, breath, inputs)
    kept = by_step.min(axis=0)
    use, strain = _muscles(steps, breath, shape, allowed)
    share = np.maximum.accumulate(demand / people.peak_met[:, None], axis=1)
    effort = share * people.peak_met[:, None]
    felt = rpe(effort, people.peak_met[:, None], strain)
    held = np.minimum(
        held_for_s(use, inputs.critical_use, inputs.use_above_s, inputs.use_most),
        held_for_s(share, inputs.critical_uptake, inputs.uptake_above_s, inputs.uptake_most),
    )
    return Persons(
        legs=legs,
        arms=arms,
        hop=hop,
        travel=travel,
        kept=kept,
        by_step=by_step,
        breath=breath,
        met=effort,
        share=share,
        rpe=np.maximum.accumulate(felt, axis=1),
        held_s=np.minimum.accumulate(held, axis=1),
        impact_bw=_impact(steps, hops_kept, breath, setting),
        hand_n=_force([s.arms for s in steps], steps, breath**inputs.arms_yield, shape),
        foot_n=_force([s.legs for s in steps], steps, breath, shape),
    )


class _Costs:
    """Metabolic energy of a round [J] by how it shrinks with q, and its duration [s]."""

    def __init__(self, shape: tuple[int, int]) -> None:
        self.leg, self.arm, self.hop, self.sway, self.fixed = (np.zeros(shape, np.float32) for _ in range(5))
        self.time = np.zeros(len(TEMPI_BPM))

    def add(
        self, step: Step, at: slice, times: Array, leg: Array, arm: Array, travel: Array,
        setting: Setting,
    ) -> None:  # fmt: skip
        inputs = setting.inputs
        held_s = step.counts.held_counts * _BEAT_S
        for part, table in zip(step.parts.legs, step.legs, strict=True):
            self.leg += self._limb(part.limbs, table, at, leg, times, inputs)
        for part, table in zip(step.parts.arms, step.arms, strict=True):
            self.arm += self._limb(part.limbs, table, at, arm, times, inputs)
        self.leg += step.carry.travel_j[:, at] * travel**3 / inputs.efficiency
        self.sway += step.carry.sway_j[:, at] * leg**3 / inputs.efficiency
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
            air = np.full_like(apparent, 2.0 * np.sqrt(2.0 * inputs.bounce_m / 4.0))
            one = support_j(apparent, _BEAT_S, air, inputs.bounce_w_n, inputs.step_w_n,
                            inputs.contact_work_s)  # fmt: skip
            self.hop += one * step.counts.held_counts
        self.time += times + held_s

    @staticmethod
    def _limb(limbs: int, table: LimbTable, at: slice, kept: Array, times: Array, inputs) -> Array:  # type: ignore[no-untyped-def]
        alone = table.work_j[:, at] / inputs.efficiency
        alone = alone + inputs.cyclic_force_j * table.cyclic[:, at] * times
        return np.asarray(limbs * alone * np.minimum(kept / table.kept[:, at], 1.0) ** 3)

    def power(self, setting: Setting) -> None:
        """Turn energy into power [W] in place, sculling added."""
        for name in ("leg", "arm", "hop", "sway", "fixed"):
            setattr(self, name, getattr(self, name) / self.time)
        self.fixed += scull_w(setting)[:, None] / setting.inputs.efficiency


def _breathed(costs: _Costs, setting: Setting, allowed: Allowed) -> tuple[Array, Array]:
    """Return q and the demand [MET] there: the crossing of demand and law over a grid of q."""
    inputs, people = setting.inputs, setting.people
    mass = people.bodies.mass_kg[:, None]
    may = (allowed.uptake * allowed.willing * people.peak_met)[:, None]
    powers = (
        (costs.leg, 3.0),
        (costs.arm, 3.0 * inputs.arms_yield),
        (costs.hop, inputs.hop_yield),
        (costs.sway, 3.0 * inputs.hop_yield),
    )

    total = np.empty((len(_Q), *costs.leg.shape), dtype=np.float32)
    for i, q in enumerate(_Q):
        total[i] = costs.fixed
        for cost, power in powers:
            total[i] += np.float32(q**power) * cost
    demand = met(total, mass, inputs.standing_met)
    wanted = strain_at(_Q, inputs.stiffness)[:, None, None]
    miss = demand - may * wanted  # below 0: there is room for a larger q
    above = miss > 0
    index = np.maximum(np.where(above.any(axis=0), np.argmax(above, axis=0), len(_Q) - 1), 1)
    high, low = (np.take_along_axis(miss, (index - d)[None], axis=0)[0] for d in (0, 1))
    part = np.clip(-low / np.maximum(high - low, 1e-9), 0.0, 1.0)
    q = _Q[index - 1] + part * (_Q[index] - _Q[index - 1])
    first, last = (np.take_along_axis(demand, (index - d)[None], axis=0)[0] for d in (1, 0))
    return q, first + part * (last - first)


def _deciding(
    form: FormParts, steps: Sequence[Step], legs: list[Array], arms: list[Array],
    hops: list[Array], travel: list[Array], breath: Array, inputs,  # type: ignore[no-untyped-def]
) -> Array:  # fmt: skip
    """Return what decides each step (S, n, J): legs, else arms, else the hop of a jump."""
    found = []
    for i, step in enumerate(steps):
        kept = np.ones_like(breath)
        if step.legs:
            kept = legs[i] * breath
        elif not any(s.legs for s in steps) and step.arms and not form.big_hop:
            kept = arms[i] * breath**inputs.arms_yield
        if form.big_hop and step.hop is not None:
            kept = np.minimum(kept, hops[i] * breath**inputs.hop_yield)
        if form.travels:
            kept = np.minimum(kept, travel[i] * breath)
        found.append(kept)
    return np.stack(found)


def _muscles(
    steps: Sequence[Step], breath: Array, shape: tuple[int, int], allowed: Allowed
) -> tuple[Array, Array]:
    """Return mean use over the cycle and strain over what can be held, of the worst muscle."""
    use, strain = np.zeros(shape), np.zeros(shape)
    for step in steps:
        at = beat_slice(step.counts.moving_counts)
        pause = TIMES_S[at] / (TIMES_S[at] + step.counts.held_counts * _BEAT_S)
        for table in (*step.legs, *step.arms):
            own = table.use[:, at] * pause
            use = np.maximum(use, own)
            strain = np.maximum(strain, own / allowed.use)
    return use * breath**2, strain * breath**2


def _impact(
    steps: Sequence[Step], hops: list[Array], breath: Array, setting: Setting
) -> Array:
    """Return the highest landing of a round [body weights], (n, J)."""
    highest = np.zeros_like(breath)
    for kept, step in zip(hops, steps, strict=True):
        if step.hop is None:
            continue
        event = TIMES_S[beat_slice(step.counts.moving_counts)] * step.hop.movements
        air = at_share(step.hop.air_s, kept * breath**setting.inputs.hop_yield, 0.5)
        peak = peak_force_bw(
            setting.apparent_bw[:, None], event, air, setting.inputs.long_pulse
        )
        highest = np.maximum(highest, peak)
    return highest


def _force(
    tables: list[tuple[LimbTable, ...]], steps: Sequence[Step], kept: Array, shape: tuple[int, int]
) -> Array:
    most = np.zeros(shape)
    for limbs, step in zip(tables, steps, strict=True):
        at = beat_slice(step.counts.moving_counts)
        for table in limbs:
            most = np.maximum(most, table.force_n[:, at] * kept**2)
    return most


def _least(values: list[Array], otherwise: Array) -> Array:
    return np.minimum.reduce(values) if values else otherwise
