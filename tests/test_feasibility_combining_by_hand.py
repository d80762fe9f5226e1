"""Limbs, hops and travel put together for one person at a time, from invented tables.

What a round costs and what breath leaves of it are given here; they are tested elsewhere.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from feasibility_cases import form
from feasibility_limbs import ENGINE, SETTING, USE, WILLING, N, part

from aquatempo.feasibility import combining
from aquatempo.feasibility.combining import LOST_BELOW, Allowed, Persons, combined
from aquatempo.feasibility.costs import Step
from aquatempo.feasibility.law import TEMPI_BPM, TIMES_S
from aquatempo.feasibility.limb_tables import LimbTable, limb_table
from aquatempo.feasibility.parts import FormParts
from aquatempo.feasibility.wholebody import Carry, Hop
from aquatempo.records.moves import PatternStep
from aquatempo.water.effort import met, rpe
from aquatempo.water.endurance import held_for_s
from aquatempo.water.paths import SHARES
from aquatempo.water.rebound import peak_force_bw

J, K = len(TEMPI_BPM), len(TIMES_S)
TABLE = limb_table(part(), USE, 1.0, SETTING, WILLING)
NOTHING = np.zeros((N, K))
BY_TIME = 1.0 - 0.005 * np.arange(K)  # what is kept shrinks so with each eighth of an octave
ROWS = (0, 57, N - 1)  # two people and a draw of the inputs
PEAK = SETTING.people.peak_met
ALLOWED = Allowed(np.full(N, 0.25), np.full(N, 0.6), np.full(N, 0.9))


def limb(kept: float, use: float = 0.0, full: float = 0.0, force: float = 0.0) -> LimbTable:
    """Return a table whose figures all go with BY_TIME."""
    told = (np.tile(BY_TIME * one, (N, 1)) for one in (kept, use, full, force))
    names = ("kept", "use", "full_use", "force_n")
    return replace(TABLE, **dict(zip(names, told, strict=True)))  # type: ignore[arg-type]


def step(legs: tuple[LimbTable, ...] = (), arms: tuple[LimbTable, ...] = (), counts: int = 2,
         held: int = 0, hop: float | None = None, grip: float = 1.0,
         air_s: float = 0.3) -> Step:  # fmt: skip
    """Return a step of such tables; who hops is in the air for so long at full height."""
    jump = None
    if hop is not None:
        air = np.tile(air_s * np.sqrt(SHARES), (N, 1))
        jump = Hop(np.tile(BY_TIME * hop, (N, 1)), air, NOTHING, 2)
    carry = Carry(np.tile(BY_TIME * grip, (N, 1)), NOTHING, NOTHING)
    return Step(SimpleNamespace(), PatternStep(counts, held), legs, arms, jump, carry)  # type: ignore[arg-type]


class FlatCosts:
    """Costs of a round that are the same at all tempi [W], whatever is added."""

    full, arm, hop, sway, fixed, leg = (np.full((N, J), one) for one in (200.0, 90, 50, 30, 40, 7))

    def __init__(self) -> None:
        self.added: list[tuple[Any, ...]] = []

    def add(self, *told: Any) -> None:
        """Note what is added."""
        self.added.append(told)

    def power(self, setting: Any) -> None:
        """Costs are power already."""


class Run:
    """Steps combined where breath leaves q, and the demand is some share of the peak."""

    def __init__(
        self, monkeypatch: pytest.MonkeyPatch, *steps: Step, q: float = 0.8, share: Any = 0.5,
        big_hop: bool = False, travels: bool = False,
    ) -> None:  # fmt: skip
        self.costs = FlatCosts()
        self.may: Any = None

        def breathed(costs: Any, setting: Any, may_met: Any) -> tuple[Any, Any]:
            self.may = may_met
            return np.full((N, J), q), PEAK[:, None] * np.broadcast_to(share, (N, J))

        monkeypatch.setattr(combining, "Costs", lambda shape: self.costs)
        monkeypatch.setattr(combining, "breathed", breathed)
        taken = FormParts((), (), big_hop, travels)
        self.found: Persons = combined(taken, steps, SETTING, ALLOWED)


def at(counts: int, j: int = 8) -> float:
    """Return BY_TIME for a movement of some counts at the j-th tempo (the 9th is 80 b/min)."""
    return float(BY_TIME[j + {4: 0, 2: 8, 1: 16}[counts]])


def test_what_is_kept_of_each_part(monkeypatch: pytest.MonkeyPatch) -> None:
    """Legs and way with q, arms with their legs and q^1.5, hops with q^2: the least of all."""
    first = step((limb(0.95), limb(0.9)), (limb(0.8),), counts=2, grip=0.97)
    second = step((limb(0.99),), (limb(0.7),), counts=1, hop=0.6, grip=0.5)
    run = Run(monkeypatch, first, second)
    for row in ROWS:
        yields = [float(getattr(SETTING.inputs, f"{name}_yield")[row]) for name in ("arms", "hop")]
        in_arms, in_hop = (0.8**power for power in yields)
        leg = [0.9 * at(2), 0.99 * at(1)]
        assert run.found.legs[row, 8] == pytest.approx(0.8 * min(leg))
        arm = [0.8 * at(2) * leg[0], 0.7 * at(1) * leg[1]]
        assert run.found.arms[row, 8] == pytest.approx(in_arms * min(arm))
        assert run.found.hop[row, 8] == pytest.approx(in_hop * 0.6 * at(1))
        way = [min(0.97 * at(2), leg[0]), 0.5 * at(1)]
        assert run.found.travel[row, 8] == pytest.approx(0.8 * min(way))
        assert run.found.by_step[:, row, 8] == pytest.approx([0.8 * one for one in leg])
        assert run.found.kept[row, 8] == pytest.approx(0.8 * min(leg))
    assert run.may == pytest.approx(0.6 * 0.9 * PEAK)
    assert run.found.breath == pytest.approx(0.8 * np.ones((N, J)))
    costs = run.costs.added
    assert [one[0] for one in costs] == [first, second]
    assert costs[0][2] == pytest.approx(2 * 60 / TEMPI_BPM)
    assert costs[1][3][0, 8] == pytest.approx(0.99 * at(1))
    assert costs[1][4][0, 8] == pytest.approx(0.7 * at(1) * 0.99 * at(1))
    assert costs[0][5][0, 8] == pytest.approx(0.9 * at(2))


LEG, ARM = (limb(0.9),), (limb(0.7),)


@pytest.mark.parametrize(
    ("steps", "big_hop", "travels", "decides"),
    [
        ([step(LEG, ARM, hop=0.5, grip=0.4)], False, False, ["leg"]),
        ([step((), ARM, hop=0.5, grip=0.4)], False, False, ["arm"]),
        ([step((), (), hop=0.5, grip=0.4)], False, False, ["all"]),
        ([step((), ARM, hop=0.5)], True, False, ["hop"]),
        ([step((), ARM, hop=0.99)], True, False, ["high hop"]),  # a jump is not its arms
        ([step(LEG, (), hop=0.5)], True, False, ["hop"]),
        ([step(LEG, (), hop=0.99)], True, False, ["leg"]),
        ([step(LEG, ())], True, False, ["leg"]),
        ([step(LEG, (), grip=0.4)], False, True, ["way"]),
        ([step((), ARM, grip=0.4)], False, True, ["way"]),
        ([step(LEG), step((), ARM)], False, False, ["leg", "all"]),  # legs elsewhere in the round
        ([step((), ARM), step(LEG)], False, False, ["all", "leg"]),
    ],
)
def test_what_decides_a_step(
    monkeypatch: pytest.MonkeyPatch, steps: list[Step], big_hop: bool, travels: bool,
    decides: list[str],
) -> None:  # fmt: skip
    """Its legs; arms where no step has legs; the height of a jump; the way of what travels."""
    found = Run(monkeypatch, *steps, q=1.0, big_hop=big_hop, travels=travels).found
    share = {"leg": 0.9, "arm": 0.7, "hop": 0.5, "high hop": 0.99, "way": 0.4}
    wanted = [share[one] * at(2) if one in share else 1.0 for one in decides]
    assert found.by_step[:, 0, 8] == pytest.approx(wanted)
    assert found.kept[0, 8] == pytest.approx(min(wanted))


def test_a_form_of_nothing_keeps_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """No limb that moves, no hop: nothing is given up but to breath."""
    found = Run(monkeypatch, step(), q=1.0).found
    for name in ("legs", "arms", "hop"):
        assert np.all(getattr(found, name) == 1.0)
    assert LOST_BELOW == 0.5  # of the range: less is another move
    assert not found.impact_bw.any()
    assert not found.hand_n.any()
    assert not found.foot_n.any()


def held_s(use: float, share: float, row: int) -> float:
    """Return how long muscles and breath of a row hold so much, the shorter [s]."""
    rows = SETTING.inputs
    names = (("critical_use", "use_above_s", "use_most"),
             ("critical_uptake", "uptake_above_s", "uptake_most"))  # fmt: skip
    return min(
        float(held_for_s(np.array(value), *(getattr(rows, name)[row] for name in three)))
        for value, three in zip((use, share), names, strict=True)
    )


@pytest.mark.parametrize("swapped", [False, True])
def test_how_hard_and_how_long(monkeypatch: pytest.MonkeyPatch, swapped: bool) -> None:
    """The worst muscle with its pauses times q^2; effort by it and by the demand, as done and full.

    At 80 b/min a movement of 2 counts and 2 held ones works half of the time, one of 1 count
    and 1 held as well, one of 4 and 1 held four fifths.
    """
    two = [step((limb(1.0, use=0.5, full=0.9),), (limb(1.0, use=0.6, full=2.0),), 2, held=2),
           step((limb(1.0, use=0.3, full=0.6),), (), 4, held=1)]  # fmt: skip
    run = Run(monkeypatch, *(two[::-1] if swapped else two))
    for row in ROWS:
        use = max(0.5 * 0.6 * at(2), 0.8 * 0.3 * at(4)) * 0.64
        peak = float(PEAK[row])
        assert run.found.share[row, 8] == pytest.approx(0.5)
        assert run.found.met[row, 8] == pytest.approx(0.5 * peak)
        felt = rpe(np.array(0.5 * peak), np.array(peak), np.array(use / 0.25))
        assert run.found.rpe[row, 8] >= float(felt) - 1e-6
        assert run.found.held_s[row, 0] == pytest.approx(
            held_s(max(0.3 * at(2, 0), 0.24 * at(4, 0)) * 0.64, 0.5, row), rel=1e-5
        )
        slow = rpe(np.array(0.5 * peak), np.array(peak),
                   np.array(max(0.3 * at(2, 0), 0.24 * at(4, 0)) * 0.64 / 0.25))  # fmt: skip
        assert run.found.rpe[row, 0] == pytest.approx(float(slow))
        whole = np.array(200.0 + 90 + 50 + 30 + 40)
        mass = SETTING.people.bodies.mass_kg[row]
        full = float(met(whole, mass, float(SETTING.inputs.standing_met[row]))) / peak
        legs = max(0.45 * at(2, 0), 0.8 * 0.6 * at(4, 0))  # arms do not count where legs are
        wanted = min(float(run.found.held_s[row, 0]), held_s(legs, full, row))
        assert run.found.full_held_s[row, 0] == pytest.approx(wanted, rel=1e-5)


@pytest.mark.parametrize("use", [0.55, 0.8])
def test_muscles_that_tire_before_breath(monkeypatch: pytest.MonkeyPatch, use: float) -> None:
    """What is held is told by the use that breath leaves, its square, where demand is small."""
    found = Run(monkeypatch, step((limb(1.0, use=use),)), q=0.9, share=0.1).found
    for row in ROWS:
        wanted = held_s(use * at(2, 0) * 0.81, 0.1, row)
        assert found.held_s[row, 0] == pytest.approx(wanted, rel=1e-5)
        assert held_s(use * at(2, 0) * 0.81, 0.0, row) == wanted < 3600.0


@pytest.mark.parametrize("scale", [1.0, 1.4])
def test_breath_at_full_range_is_that_of_all_costs(
    monkeypatch: pytest.MonkeyPatch, scale: float
) -> None:
    """Legs and way at full range, arms, hops, sway and what is fixed, over the peak."""
    parts = {"full": 250.0, "arm": 120.0, "hop": 100.0, "sway": 80.0, "fixed": 60.0}
    for name, watts in parts.items():
        monkeypatch.setattr(FlatCosts, name, np.full((N, J), watts * scale))
    found = Run(monkeypatch, step((limb(1.0),)), share=0.1).found
    mass, stands = SETTING.people.bodies.mass_kg, SETTING.inputs.standing_met
    finite = 0
    for row in range(N):
        whole = float(met(np.array(610.0 * scale), mass[row], float(stands[row])))
        wanted = held_s(0.0, whole / float(PEAK[row]), row)
        assert found.full_held_s[row, 8] == pytest.approx(wanted, rel=1e-5)
        finite += wanted < 3600.0
    assert finite > 30


def test_arms_alone_hold_their_own_full_range(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no leg works the arms tell how long the full range is held."""
    found = Run(monkeypatch, step((), (limb(1.0, full=0.55),)), share=0.1).found
    full_s = held_s(0.55 * at(2, 0), 0.1, 0)
    assert found.full_held_s[0, 0] <= full_s * 1.00001
    assert found.full_held_s[0, 0] < found.held_s[0, 0]


def test_nothing_gets_easier_with_the_tempo(monkeypatch: pytest.MonkeyPatch) -> None:
    """Demand that falls is held at its highest, effort with it, and what is held at its least."""
    falling = np.linspace(0.9, 0.3, J)
    found = Run(monkeypatch, step((limb(1.0, use=0.3, full=0.4),)), share=falling).found
    assert found.share == pytest.approx(np.full((N, J), 0.9))
    assert found.met[3] == pytest.approx(np.full(J, 0.9 * PEAK[3]))
    assert np.all(np.diff(found.rpe, axis=1) >= 0)
    assert np.all(np.diff(found.held_s, axis=1) <= 0)
    assert np.all(np.diff(found.full_held_s, axis=1) <= 0)


@pytest.mark.parametrize("swapped", [False, True])
def test_the_hardest_landing_of_a_round(monkeypatch: pytest.MonkeyPatch, swapped: bool) -> None:
    """Of all hops at the height that is left, two movements to a flight; others count nothing."""
    still, low = step(LEG), step(LEG, hop=0.5, counts=2)
    high = step(LEG, hop=0.9, counts=1, air_s=0.4)
    steps = (still, low, high)[:: -1 if swapped else 1]
    run = Run(monkeypatch, *steps)
    for row in ROWS:
        power = float(SETTING.inputs.hop_yield[row])
        peaks = []
        for kept, counts, air_s in ((0.5, 2, 0.3), (0.9, 1, 0.4)):
            left = kept * at(counts) * 0.8**power
            peaks.append(float(peak_force_bw(
                np.array(SETTING.apparent_bw[row]), np.array(2 * counts * 0.75),
                np.array(air_s * np.sqrt(left)), SETTING.inputs.long_pulse[row],
                SETTING.inputs.contact_work_s[row])))  # fmt: skip
        assert run.found.impact_bw[row, 8] == pytest.approx(max(peaks), rel=2e-3)


def test_the_largest_force_of_the_water(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of hands and of feet in any step, with the square of what breath leaves of the way."""
    first = step((limb(1.0, force=50.0), limb(1.0, force=20.0)), (limb(1.0, force=30.0),))
    second = step((limb(1.0, force=40.0),), (limb(1.0, force=35.0),), counts=4)
    found = Run(monkeypatch, first, second).found
    for row in ROWS:
        in_arms = 0.8 ** float(SETTING.inputs.arms_yield[row])
        assert found.foot_n[row, 8] == pytest.approx(50.0 * at(2) * 0.64)
        assert found.hand_n[row, 8] == pytest.approx(35.0 * at(4) * in_arms**2)
    alone = ENGINE.persons(form("jog"), None)
    assert alone.kept.shape == (N, J)
