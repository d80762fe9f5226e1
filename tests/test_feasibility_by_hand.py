"""A round of a move put together anew, one person and one tempo at a time, in plain numbers.

What docs/design/feasibility.md and the docstrings of ``combining`` and ``costs`` promise, written
as a person with a calculator would, beside the arrays of the model. Tables of limbs, hops and
travel are taken as they are: tests of the water, of the law and of limbs answer for those.
"""

from __future__ import annotations

import math
from dataclasses import fields
from functools import cache

import numpy as np
import pytest
from feasibility_cases import DEEP, GROUP, POOL, form
from scipy.optimize import brentq

from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.costs import Step
from aquatempo.feasibility.engine import Engine, steps_of
from aquatempo.feasibility.law import TEMPI_BPM, TIMES_S
from aquatempo.feasibility.limb_tables import LimbTable
from aquatempo.feasibility.parts import parts_of
from aquatempo.feasibility.setting import Setting
from aquatempo.moves import parse_pattern
from aquatempo.records.moves import Factor, MoveForm
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.water.effort import rpe
from aquatempo.water.floating import scull_power_w
from aquatempo.water.paths import SHARES

STEEP = Pool(depth_m=1.0, far_depth_m=1.4)
CASES = {
    "jog at land tempo": (form("jog"), "1", POOL),
    "ski with held counts": (form("cross-country-ski"), "1+1h", POOL),
    "jack that bounces": (form("jack"), "2+2b", POOL),
    "kick in a mixed pattern": (form("front-kick"), "2-2-4", STEEP),
    "jump": (form("jump"), "2", POOL),
    "arms alone": (form("front-kick", ClassDepth.SHALLOW, (Factor.LEVEL, "grounded")), "2", POOL),
    "ski off the floor": (form("cross-country-ski", ClassDepth.DEEP), "2", DEEP),
    "side step": (form("side-step"), "2", POOL),
    "rocking horse": (form("rocking-horse"), "1", POOL),
    "open hands": (form("jack", ClassDepth.SHALLOW, (Factor.HANDS, "open")), "1", POOL),
}
MINUTE_S = 60.0


@cache
def engine_in(pool: Pool) -> Engine:
    """Return the model of the usual group in a pool, for bouts of four minutes."""
    return Engine(pool, GROUP, free_inputs(), 240.0)


class ByHand:
    """One row of the sample at one tempo: what a round costs, in J."""

    def __init__(self, engine: Engine, shape: MoveForm, pattern: str, row: int, j: int) -> None:
        self.setting: Setting = engine.setting(shape)
        self.steps = engine.distinct_steps(shape, parse_pattern(pattern))
        self.row, self.j, self.shape = row, j, shape
        self.beat_s = MINUTE_S / float(TEMPI_BPM[j])
        self.inputs = {
            f.name: getattr(self.setting.inputs, f.name)[row]
            for f in fields(self.setting.inputs)
            if not isinstance(getattr(self.setting.inputs, f.name), str)
        }
        self.apparent_n = float(self.setting.apparent_n[row])
        self.mass_kg = float(self.setting.people.bodies.mass_kg[row])
        self.round_s = sum(
            (step.counts.moving_counts + step.counts.held_counts) * self.beat_s
            for step in self.steps
        )

    def at(self, step: Step) -> int:
        """Return the place of a movement's time in the tables."""
        time_s = step.counts.moving_counts * self.beat_s
        place = int(np.argmin(np.abs(TIMES_S - time_s)))
        assert TIMES_S[place] == pytest.approx(time_s)
        return place

    def leg(self, step: Step) -> float:
        """Return what muscles leave of the legs' range."""
        return min((float(t.kept[self.row, self.at(step)]) for t in step.legs), default=1.0)

    def arm(self, step: Step) -> float:
        """Return what muscles leave of the arms' range: never more than of the legs'."""
        own = min((float(t.kept[self.row, self.at(step)]) for t in step.arms), default=1.0)
        return own * self.leg(step)

    def travel(self, step: Step) -> float:
        """Return what is left of the step."""
        return min(float(step.carry.step_kept[self.row, self.at(step)]), self.leg(step))

    def hop(self, step: Step) -> float:
        """Return what the time on the floor leaves of the hop."""
        return 1.0 if step.hop is None else float(step.hop.kept[self.row, self.at(step)])

    def decides(self, q: float) -> float:
        """Return what is kept of the move: of legs, else arms; of the hop of a jump; of the way."""
        legs = any(step.legs for step in self.steps)
        parts = parts_of(self.shape)
        arms, hops = q ** self.inputs["arms_yield"], q ** self.inputs["hop_yield"]
        told = []
        for step in self.steps:
            if step.legs:
                told.append(self.leg(step) * q)
            elif not legs and step.arms and not parts.big_hop:
                told.append(self.arm(step) * arms)
            if parts.big_hop and step.hop is not None:
                told.append(self.hop(step) * hops)
            if parts.travels:
                told.append(self.travel(step) * q)
        return min(told, default=1.0)

    def limb_j(self, limbs: int, table: LimbTable, place: int, time_s: float) -> float:
        """Return what limbs cost at full range; a table's work is that of its kept range."""
        own = table.work_j[self.row, place] / self.inputs["efficiency"]
        own += self.inputs["cyclic_force_j"] * table.cyclic[self.row, place] * time_s
        return float(limbs * own / table.kept[self.row, place] ** 3)

    def powers_w(self) -> dict[str, float]:
        """Return metabolic power by what it depends on, as muscles leave it."""
        watts = dict.fromkeys(("leg", "arm", "hop", "sway", "fixed", "full"), 0.0)
        joules = dict(watts)
        for step in self.steps:
            place, time_s = self.at(step), step.counts.moving_counts * self.beat_s
            for part, table in zip(step.parts.legs, step.legs, strict=True):
                cost = self.limb_j(part.limbs, table, place, time_s)
                joules["full"] += cost
                joules["leg"] += cost * self.leg(step) ** 3
            for part, table in zip(step.parts.arms, step.arms, strict=True):
                cost = self.limb_j(part.limbs, table, place, time_s)
                joules["arm"] += cost * self.arm(step) ** 3
            carried = float(step.carry.travel_j[self.row, place]) / self.inputs["efficiency"]
            joules["full"] += carried
            joules["leg"] += carried * self.travel(step) ** 3
            swayed = float(step.carry.sway_j[self.row, place]) / self.inputs["efficiency"]
            joules["sway"] += swayed * self.leg(step) ** 3
            stepping = self.inputs["step_w_n"] * self.apparent_n * time_s
            if step.hop is not None:
                joules["fixed"] += stepping
                joules["hop"] += max(self.hop_j(step, time_s) - stepping, 0.0)
            elif not self.setting.stance.free and (step.legs or step.carry.sway_j.any()):
                joules["fixed"] += stepping
            if step.counts.bounced and not self.setting.stance.free:
                # A bounce falls at 4 m/s2, in a body of which the water carries some 60 %.
                air_s = 2.0 * math.sqrt(2.0 * self.inputs["bounce_m"] / 4.0)
                joules["hop"] += self.support_j(self.beat_s, air_s) * step.counts.held_counts
        watts = {name: cost / self.round_s for name, cost in joules.items()}
        if self.setting.stance.free:
            disc = self.setting.inputs.scull_disc_m2
            every = scull_power_w(self.setting.apparent_n, disc, self.setting.water)
            watts["fixed"] += float(every[self.row]) / self.inputs["efficiency"]
        return watts

    def support_j(self, event_s: float, air_s: float) -> float:
        """Return the cost of carrying the body over an event (``water.effort.support_j``)."""
        contact = max(event_s - air_s, 0.0)
        bouncing = air_s + min(contact, self.inputs["contact_work_s"])
        more = (self.inputs["bounce_w_n"] - self.inputs["step_w_n"]) * air_s / (air_s + 0.1)
        return float(self.apparent_n * (self.inputs["step_w_n"] * event_s + more * bouncing))

    def hop_j(self, step: Step, time_s: float) -> float:
        """Return what a hop costs a movement; air goes with the root of the height."""
        assert step.hop is not None
        event_s = time_s * step.hop.movements
        kept = self.hop(step)
        # Between two shares air is linear as its square, work as it is; below the least both are
        # cut with the share (``law.AtShares``).
        air_s = math.sqrt(_between(SHARES, step.hop.air_s[self.row] ** 2, kept))
        work = _between(SHARES, step.hop.work_j[self.row], kept)
        back = min(max((0.6 - (event_s - air_s)) / (0.6 - 0.3), 0.0), 1.0)
        work *= 1.0 - self.inputs["elastic_return"] * back
        whole = self.support_j(event_s, air_s) + work / self.inputs["efficiency"]
        return float(whole / step.hop.movements)

    def breath(self, engine: Engine) -> float:
        """Return q, where demand and what the class is willing to hold meet."""
        cost = self.powers_w()
        allowed, peak = engine.allowed, float(engine.people.peak_met[self.row])
        may_met = float(allowed.uptake[self.row] * allowed.willing[self.row]) * peak

        def over(q: float) -> float:
            held = may_met * (1.0 - q) ** (1.0 / float(self.inputs["stiffness"]))
            return float(self.met(cost, q) - held)

        return 1.0 if over(1.0) <= 0 else float(brentq(over, 1e-6, 1.0))

    def met(self, cost: dict[str, float], q: float) -> float:
        """Return the demand where breath leaves q: each part by its own power of it."""
        arms, hops = self.inputs["arms_yield"], self.inputs["hop_yield"]
        power = cost["fixed"] + cost["leg"] * q**3 + cost["arm"] * q ** (3 * arms)
        power += cost["hop"] * q**hops + cost["sway"] * q ** (3 * hops)
        # 1 MET is 1 kcal a kilogram and hour (Compendium of Physical Activities).
        return float(self.inputs["standing_met"] + power / (self.mass_kg * 4184.0 / 3600.0))


def _between(shares: np.ndarray, values: np.ndarray, share: float) -> float:
    if share < shares[0]:
        return float(values[0] * share / shares[0])
    return float(np.interp(share, shares, values))


@pytest.mark.parametrize("case", CASES)
def test_a_round_is_put_together_as_by_hand(case: str) -> None:
    """Range, breath, demand and exertion of one person at one tempo, over the catalogue's kinds."""
    shape, pattern, pool = CASES[case]
    engine = engine_in(pool)
    persons = engine.persons(shape, parse_pattern(pattern))
    people = engine.people
    weak = int(np.argmin(people.strength[: people.people]))
    for row, j in ((3, 9), (41, 13), (77, 16), (people.people + 5, 12), (weak, 20)):
        hand = ByHand(engine, shape, pattern, row, j)
        q = hand.breath(engine)
        earlier = float(persons.breath[row, j - 1])  # breath that is lost does not come back
        if q < earlier - 0.01:
            assert persons.breath[row, j] == pytest.approx(q, abs=0.012)
        q = float(persons.breath[row, j])
        steps = hand.steps
        assert persons.legs[row, j] == pytest.approx(min(map(hand.leg, steps)) * q, abs=1e-4)
        arms, hops = q ** hand.inputs["arms_yield"], q ** hand.inputs["hop_yield"]
        assert persons.arms[row, j] == pytest.approx(min(map(hand.arm, steps)) * arms, abs=1e-4)
        assert persons.hop[row, j] == pytest.approx(min(map(hand.hop, steps)) * hops, abs=1e-4)
        assert persons.travel[row, j] == pytest.approx(min(map(hand.travel, steps)) * q, abs=1e-4)
        demand = hand.met(hand.powers_w(), q)
        assert persons.met[row, j] >= demand * 0.985
        if persons.met[row, j] > persons.met[row, j - 1] + 1e-3:
            assert persons.met[row, j] == pytest.approx(demand, rel=0.015)
        assert persons.kept[row, j] == pytest.approx(hand.decides(q), abs=1e-4)
        assert persons.share[row, j] == pytest.approx(persons.met[row, j] / people.peak_met[row])


@pytest.mark.parametrize("case", CASES)
def test_how_long_it_is_held_is_the_shorter_of_muscles_and_breath(case: str) -> None:
    """A hyperbola of the use over a cycle, pauses counted, and one of the uptake (Morton 1996)."""
    shape, pattern, pool = CASES[case]
    engine = engine_in(pool)
    persons = engine.persons(shape, parse_pattern(pattern))
    for row, j in ((10, 10), (60, 14), (95, 17)):
        hand = ByHand(engine, shape, pattern, row, j)
        q, uses, strained = float(persons.breath[row, j]), [0.0], [0.0]
        for step in hand.steps:
            for table in (*step.legs, *step.arms):
                use = float(table.use[row, hand.at(step)]) * moving_share(step)
                uses.append(use)
                strained.append(use / float(engine.allowed.use[row]))
        i = hand.inputs
        held = min(
            _hyperbola(max(uses) * q**2, i["critical_use"], i["use_above_s"], i["use_most"]),
            _hyperbola(
                float(persons.share[row, j]), i["critical_uptake"], i["uptake_above_s"],
                i["uptake_most"],
            ),
        )  # fmt: skip
        assert persons.held_s[row, j] <= held * 1.001
        if persons.held_s[row, j] < persons.held_s[row, j - 1] - 1.0:
            assert persons.held_s[row, j] == pytest.approx(held, rel=0.01)
        peak = engine.people.peak_met[row]
        whole = hand.powers_w()
        for step in hand.steps:
            for table in step.legs or step.arms:
                uses.append(float(table.full_use[row, hand.at(step)]) * moving_share(step))
        full_w = {**dict.fromkeys(whole, 0.0), "leg": whole["full"]}
        full_w |= {name: whole[name] for name in ("arm", "hop", "sway", "fixed")}
        full_share = hand.met(full_w, 1.0) / float(peak)
        full = min(
            _hyperbola(
                max(uses[1:], default=0.0), i["critical_use"], i["use_above_s"], i["use_most"]
            ),
            _hyperbola(full_share, i["critical_uptake"], i["uptake_above_s"], i["uptake_most"]),
        )
        assert persons.full_held_s[row, j] <= min(held, full) * 1.01 + 1e-6
        if persons.full_held_s[row, j] < persons.full_held_s[row, j - 1] - 1.0:
            assert persons.full_held_s[row, j] == pytest.approx(min(held, full), rel=0.02)
        felt = float(rpe(persons.met[row, j], peak, np.float64(max(strained) * q**2)))
        assert persons.rpe[row, j] >= felt - 1e-3
        if persons.rpe[row, j] > persons.rpe[row, j - 1] + 1e-3:
            assert persons.rpe[row, j] == pytest.approx(felt, abs=1e-3)


def moving_share(step: Step) -> float:
    """Return the share of a movement's counts in which it moves."""
    return step.counts.moving_counts / (step.counts.moving_counts + step.counts.held_counts)


def _hyperbola(share: float, critical: float, finite_s: float, most: float) -> float:
    if share <= critical:
        return 3600.0
    return min(max(finite_s / (share - critical) - finite_s / (most - critical), 0.0), 3600.0)


@pytest.mark.parametrize("case", ["jump", "jog at land tempo", "jack that bounces"])
def test_a_landing_carries_the_weight_of_its_whole_event(case: str) -> None:
    """The highest landing of a round is its impulse over the contact, shaped (``rebound``)."""
    shape, pattern, pool = CASES[case]
    engine = engine_in(pool)
    persons = engine.persons(shape, parse_pattern(pattern))
    for row, j in ((5, 8), (50, 12), (90, 15)):
        hand = ByHand(engine, shape, pattern, row, j)
        highest = 0.0
        for step in hand.steps:
            if step.hop is None:
                continue
            kept = hand.hop(step) * float(persons.breath[row, j]) ** hand.inputs["hop_yield"]
            event = step.counts.moving_counts * hand.beat_s * step.hop.movements
            squares = step.hop.air_s[row] ** 2
            air = math.sqrt(_between(SHARES, squares, kept))
            contact = max(event - air, 0.05)
            share = min(max((0.7 - contact) / 0.45, 0.0), 1.0)
            long = hand.inputs["long_pulse"]
            pulse = long + (math.pi / 2 - long) * share**2 * (3 - 2 * share)
            push = 1 + math.pi / 2 * air / hand.inputs["contact_work_s"]
            weight = hand.apparent_n / (hand.mass_kg * 9.80665)
            highest = max(highest, weight * max(pulse * event / contact, push))
        assert persons.impact_bw[row, j] == pytest.approx(highest, rel=0.01)


def test_a_round_takes_each_movement_with_each_count() -> None:
    """Two movements in a pattern of three steps come round after six; two in one, after two."""
    jack = form("jack")
    count = len(jack.movements)
    told = steps_of(jack, parse_pattern("2-2-4"))
    assert len(told) == math.lcm(count, 3)
    assert [index for index, _ in told] == [i % count for i in range(len(told))]
    assert [step.moving_counts for _, step in told] == [2, 2, 4] * (len(told) // 3)
