"""Limbs, hops, sway and travel of a form put together, person by person, over all tempi.

Muscles first cut each limb's range by itself; then heart and lungs cut all of them: legs by q,
arms by q^1.5, hops by q^2, where q = 1 - y^k and y is the demand over what can be held. All
arrays are (n, J) over people and TEMPI_BPM unless said otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.costs import Costs, Step, breathed
from aquatempo.feasibility.inputs import RowInputs
from aquatempo.feasibility.law import TEMPI_BPM, TIMES_S, at_share, beat_slice
from aquatempo.feasibility.limb_tables import LimbTable
from aquatempo.feasibility.parts import FormParts
from aquatempo.feasibility.setting import Setting
from aquatempo.water.effort import met, rpe
from aquatempo.water.endurance import held_for_s
from aquatempo.water.rebound import peak_force_bw

__all__ = ["LOST_BELOW", "Allowed", "Persons", "combined"]

Array = NDArray[Any]  # of 32 or 64 bits

LOST_BELOW = 0.5  # of its range: below it a move has become another one
_BEAT_S = 60.0 / TEMPI_BPM


@dataclass(frozen=True, slots=True)
class Allowed:
    """What the bout allows: mean use over the cycle, and demand over maximal uptake [1].

    willing: share of it that the class spends. All (n,).
    """

    use: Array
    uptake: Array
    willing: Array


@dataclass(frozen=True, slots=True)
class Persons:
    """A form with a pattern for n people over TEMPI_BPM (J).

    legs, arms, hop, travel: share of range, height and step that is kept, all (n, J), of the
    step that keeps least; 1 where there is none. by_step (S, n, J): what decides each step.
    breath (n, J): q. met [MET]; share: of maximal uptake; rpe; held_s, full_held_s: how
    long it can be held as it is done, and at full range [s]; impact_bw: highest landing of the
    cycle [body weights], 0 without one. hand_n, foot_n: largest force of the water [N].
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
    full_held_s: Array
    impact_bw: Array
    hand_n: Array
    foot_n: Array


def combined(form: FormParts, steps: Sequence[Step], setting: Setting, allowed: Allowed) -> Persons:
    """Return what the people keep, spend and feel in a round of steps.

    form: its parts; setting: the people in their water; allowed: what the bout allows them.
    """
    inputs, people = setting.columns, setting.people
    shape = (len(people), len(TEMPI_BPM))
    costs = Costs(shape)
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
    breath, demand = breathed(costs, setting, allowed.uptake * allowed.willing * people.peak_met)
    in_arms, in_hop = breath**inputs.arms_yield, breath**inputs.hop_yield
    legs_by = [kept * breath for kept in legs_kept]
    arms_by = [kept * in_arms for kept in arms_kept]
    hops_by = [kept * in_hop for kept in hops_kept]
    travel_by = [kept * breath for kept in travel_kept]
    by_step = _deciding(form, steps, legs_by, arms_by, hops_by, travel_by)
    kept = by_step.min(axis=0)
    use, strain = _muscles(steps, breath, shape, allowed)
    share = np.maximum.accumulate(demand / people.peak_met[:, None], axis=1)
    effort = share * people.peak_met[:, None]
    felt = rpe(effort, people.peak_met[:, None], strain)
    held = _held(use, share, inputs)
    whole = costs.full + costs.arm + costs.hop + costs.sway + costs.fixed
    at_full = met(whole, people.bodies.mass_kg[:, None], inputs.standing_met)
    full_held = _held(_full_use(steps, shape), at_full / people.peak_met[:, None], inputs)
    return Persons(
        legs=_least(legs_by, ones),
        arms=_least(arms_by, ones),
        hop=_least(hops_by, ones),
        travel=_least(travel_by, ones),
        kept=kept,
        by_step=by_step,
        breath=breath,
        met=effort,
        share=share,
        rpe=np.maximum.accumulate(felt, axis=1),
        held_s=np.minimum.accumulate(held, axis=1),
        full_held_s=np.minimum.accumulate(np.minimum(held, full_held), axis=1),
        impact_bw=_impact(steps, hops_by, setting),
        hand_n=_force([s.arms for s in steps], steps, in_arms, shape),
        foot_n=_force([s.legs for s in steps], steps, breath, shape),
    )


def _deciding(
    form: FormParts, steps: Sequence[Step], legs: list[Array], arms: list[Array],
    hops: list[Array], travel: list[Array],
) -> Array:  # fmt: skip
    """Return what decides each step (S, n, J): legs, else arms, else the hop of a jump."""
    found = []
    for i, step in enumerate(steps):
        kept = np.ones_like(travel[i])
        if step.legs:
            kept = legs[i]
        elif not any(s.legs for s in steps) and step.arms and not form.big_hop:
            kept = arms[i]
        if form.big_hop and step.hop is not None:
            kept = np.minimum(kept, hops[i])
        if form.travels:
            kept = np.minimum(kept, travel[i])
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
            strain = np.maximum(strain, own / allowed.use[:, None])
    return use * breath**2, strain * breath**2


def _full_use(steps: Sequence[Step], shape: tuple[int, int]) -> Array:
    """Return mean use over the cycle of the worst muscle of the legs at full range."""
    use = np.zeros(shape)
    for step in steps:
        at = beat_slice(step.counts.moving_counts)
        pause = TIMES_S[at] / (TIMES_S[at] + step.counts.held_counts * _BEAT_S)
        for table in step.legs or step.arms:
            use = np.maximum(use, table.full_use[:, at] * pause)
    return use


def _held(use: Array, share: Array, inputs: RowInputs) -> Array:
    """Return how long [s] muscles hold a use and breath a share of the uptake, the shorter."""
    return np.minimum(
        held_for_s(use, inputs.critical_use, inputs.use_above_s, inputs.use_most),
        held_for_s(share, inputs.critical_uptake, inputs.uptake_above_s, inputs.uptake_most),
    )


def _impact(steps: Sequence[Step], hops: list[Array], setting: Setting) -> Array:
    """Return the highest landing of a round [body weights], (n, J). hops: kept in each step."""
    highest = np.zeros((len(setting.people), len(TEMPI_BPM)))
    for kept, step in zip(hops, steps, strict=True):
        if step.hop is None:
            continue
        event = TIMES_S[beat_slice(step.counts.moving_counts)] * step.hop.movements
        air = at_share(step.hop.air_s, kept, 0.5)
        peak = peak_force_bw(
            setting.apparent_bw[:, None],
            event,
            air,
            setting.columns.long_pulse,
            setting.columns.contact_work_s,
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
