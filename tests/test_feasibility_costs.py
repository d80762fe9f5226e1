"""What a move costs, part by part, and what heart and lungs leave of its range."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import GROUP, POOL, form

from aquatempo.feasibility import free_inputs, judge_forms
from aquatempo.feasibility.costs import Costs, breathed
from aquatempo.feasibility.engine import Engine
from aquatempo.feasibility.law import TEMPI_BPM, beat_slice
from aquatempo.feasibility.limb_tables import limb_table
from aquatempo.feasibility.limb_uses import limb_use
from aquatempo.feasibility.parts import parts_of
from aquatempo.moves import parse_pattern
from aquatempo.water.effort import MET_W_KG, rpe

MAY_MET = 6.0


@pytest.mark.parametrize(
    ("what", "power"), [("leg", 3.0), ("arm", 4.5), ("hop", 2.0), ("sway", 6.0), ("fixed", 0.0)]
)
def test_breath_cuts_each_part_by_its_own_power(what: str, power: float) -> None:
    """A part that would cost 12 MET at full range is cut until demand and law meet, to 0.015.

    Drag power goes with the cube of the range: legs q^3, arms (q^1.5)^3, sway (q^2)^3, a hop's work
    with its height q^2, standing not at all (docs/design/feasibility.md). Bisection here.
    """
    engine = Engine(POOL, GROUP, free_inputs(), 240.0)
    setting = engine.setting(form("jog"))
    given = slice(0, engine.people.people)  # the rest are draws of other inputs
    mass = setting.people.bodies.mass_kg
    costs = Costs((len(setting.people), len(TEMPI_BPM)))
    whole_met = 12.0 if power else 4.0
    getattr(costs, what)[:] = (whole_met * MET_W_KG * mass)[:, None]
    q, demand = breathed(costs, setting, np.full(len(mass), MAY_MET))
    standing = free_inputs().standing_met
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2
        over = standing + whole_met * middle**power > MAY_MET * (1.0 - middle) ** (1 / 8)
        low, high = (low, middle) if over else (middle, high)
    assert q[given] == pytest.approx(np.full_like(q[given], low), abs=0.015)
    asked = standing + whole_met * low**power
    assert demand[given] == pytest.approx(np.full_like(q[given], asked), rel=0.03)


@pytest.mark.parametrize("tempo_bpm", [100.0, 140.0, 180.0])
def test_muscles_feel_the_square_of_what_breath_leaves(tempo_bpm: float) -> None:
    """Who gives range up for breath strains muscles less, by the square of it (drag's force).

    Felt is the sixth root of the sum of both sixth powers, and never less than at a slower tempo.
    """
    engine = Engine(POOL, GROUP, free_inputs(), 240.0)
    ski, land = form("cross-country-ski"), parse_pattern("1")
    persons, at = engine.persons(ski, land), beat_slice(1)
    use = np.max([t.use[:, at] for step in engine.steps(ski, land) for t in step.legs], axis=0)
    arms = np.max([t.use[:, at] for step in engine.steps(ski, land) for t in step.arms], axis=0)
    strain = np.maximum(use, arms) * persons.breath**2 / engine.allowed.use[:, None]
    felt = rpe(persons.met, engine.people.peak_met[:, None], strain)
    assert np.any(persons.breath < 0.9)
    j = int(np.argmin(np.abs(TEMPI_BPM - tempo_bpm)))
    assert persons.rpe[:, j] == pytest.approx(felt[:, : j + 1].max(axis=1), abs=1e-3)


def test_cyclic_force_counts_twice_where_the_trunk_holds_against_it() -> None:
    """Torque x frequency^2 of a leg that no other balances is held once more by the trunk.

    Out of the usual cost (the input is nil), in the model's doubt: with it all moves cost more.
    """
    engine = Engine(POOL, GROUP, free_inputs(), 240.0)
    kick = form("side-kick")
    setting, part = engine.setting(kick), parts_of(kick).movements[0].legs[0]
    use, fast = limb_use(part, setting)
    alone, balanced = (
        limb_table(replace(part, alongside=n), use, fast, setting, engine.allowed.use).cyclic
        for n in (1, 0)
    )
    assert alone == pytest.approx(2.0 * balanced)
    costly = replace(free_inputs(), cyclic_force_j=1.0)
    with_it, without = (
        judge_forms([kick], [parse_pattern("2")], [120.0], POOL, GROUP, inputs).met[0, 0, 0, 1]
        for inputs in (costly, free_inputs())
    )
    assert with_it > without + 0.1


def test_legs_in_the_air_have_less_time_the_longer_the_floor_is_worked() -> None:
    """A tuck's legs move only off the floor: with 0.4 s of contact they lose range before 0.2 s."""
    tuck = form("tuck")
    kept = [
        judge_forms([tuck], [parse_pattern("2")], [130.0], POOL, GROUP, inputs).legs_kept[0, 0, 0]
        for inputs in (replace(free_inputs(), contact_work_s=s) for s in (0.2, 0.4))
    ]
    assert kept[0] > kept[1] + 0.02


def test_a_slow_hop_gives_nothing_back() -> None:
    """Jumps with 0.6 s or more on the floor cost the same whatever tendons would give back."""
    jump = form("jump")
    cost = [
        judge_forms([jump], [parse_pattern("2")], [95.0, 160.0], POOL, GROUP, inputs).met[
            0, 0, :, 1
        ]
        for inputs in (replace(free_inputs(), elastic_return=share) for share in (0.3, 0.7))
    ]
    assert cost[0][0] == pytest.approx(cost[1][0], abs=0.005)
    assert cost[0][1] > cost[1][1] + 0.05
