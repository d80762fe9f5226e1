"""What one step adds to a round, to six digits, for shares that are given; how breath then cuts.

Tables of limbs, hops and ways are taken as they are (their own tests answer for those).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import DEEP, GROUP, POOL, form
from scipy.optimize import brentq

from aquatempo.feasibility import free_inputs, judge_forms
from aquatempo.feasibility.costs import Costs, Step, breathed
from aquatempo.feasibility.engine import Engine, engine_for, steps_of
from aquatempo.feasibility.law import TEMPI_BPM, TIMES_S, beat_slice
from aquatempo.feasibility.wholebody import hop_j, scull_w
from aquatempo.moves import parse_pattern
from aquatempo.records.moves import MoveForm, Pattern
from aquatempo.records.people import ClassDepth, Group, Intensity, Pool
from aquatempo.water.effort import MET_W_KG

COSTLY = replace(free_inputs(), cyclic_force_j=0.8)
ENGINE, DEEP_ENGINE = (Engine(pool, GROUP, COSTLY, 240.0) for pool in (POOL, DEEP))
LEG, ARM, TRAVEL = 0.8, 0.7, 0.6  # what is kept of each, given
CASES = {
    "jack that bounces": (ENGINE, form("jack"), "2+2b"),
    "jack that holds": (ENGINE, form("jack"), "1+1h"),
    "jump": (ENGINE, form("jump"), "4"),
    "tuck, two movements a flight": (ENGINE, form("tuck"), "2"),
    "leap": (ENGINE, form("leap"), "2"),
    "grounded walk": (ENGINE, form("walk"), "2"),
    "pendulum": (ENGINE, form("pendulum"), "2"),
    "arms alone": (ENGINE, form("row"), "2"),
    "off the floor, bounces do not": (DEEP_ENGINE, form("jog", ClassDepth.DEEP), "2+2b"),
}


def added(engine: Engine, step: Step, shape: MoveForm) -> tuple[Costs, slice]:
    """Return what one step adds to an empty round."""
    setting, at = engine.setting(shape), beat_slice(step.counts.moving_counts)
    full = np.ones((len(setting.people), len(TEMPI_BPM)))
    costs = Costs(full.shape)
    costs.add(step, at, TIMES_S[at], LEG * full, ARM * full, TRAVEL * full, setting)
    return costs, at


@pytest.mark.parametrize("case", CASES)
def test_a_step_adds_its_energy_by_what_it_shrinks_with(case: str) -> None:
    """Legs, arms and ways by the cube of what is kept; hops over stepping; bounces; time."""
    engine, shape, pattern = CASES[case]
    setting = engine.setting(shape)
    free = setting.stance.free
    for step in engine.distinct_steps(shape, parse_pattern(pattern)):
        costs, at = added(engine, step, shape)
        hopped = 0.0
        for row, j in ((0, 4), (57, 12), (111, 19)):
            i = {n: float(getattr(setting.inputs, n)[row]) for n in (
                "efficiency", "cyclic_force_j", "step_w_n", "bounce_w_n", "bounce_m",
                "contact_work_s")}  # fmt: skip
            place, beat = at.start + j, 60.0 / float(TEMPI_BPM[j])
            time, apparent = step.counts.moving_counts * beat, float(setting.apparent_n[row])

            def limbs(kind: str, i: dict[str, float] = i, row: int = row, place: int = place,
                      time: float = time, step: Step = step) -> float:  # fmt: skip
                joules = 0.0
                parts, tables = getattr(step.parts, kind), getattr(step, kind)
                for part, table in zip(parts, tables, strict=True):
                    own = float(table.work_j[row, place]) / i["efficiency"]
                    own += i["cyclic_force_j"] * float(table.cyclic[row, place]) * time
                    joules += part.limbs * own / float(table.kept[row, place]) ** 3
                return joules

            carried = float(step.carry.travel_j[row, place]) / i["efficiency"]
            swayed = float(step.carry.sway_j[row, place]) / i["efficiency"]
            assert costs.full[row, j] == pytest.approx(limbs("legs") + carried, rel=1e-5, abs=1e-4)
            leg = limbs("legs") * LEG**3 + carried * TRAVEL**3
            assert costs.leg[row, j] == pytest.approx(leg, rel=1e-5, abs=1e-4)
            assert costs.arm[row, j] == pytest.approx(limbs("arms") * ARM**3, rel=1e-5, abs=1e-4)
            assert costs.sway[row, j] == pytest.approx(swayed * LEG**3, rel=1e-5, abs=1e-4)
            stepping = i["step_w_n"] * apparent * time
            stands = step.hop is not None or (
                not free and (bool(step.legs) or bool(step.carry.sway_j.any()))
            )
            assert costs.fixed[row, j] == pytest.approx(
                stepping if stands else 0.0, rel=1e-5, abs=1e-4
            )
            hopped = 0.0
            if step.hop is not None:
                events = TIMES_S[at] * step.hop.movements
                whole = hop_j(step.hop, step.hop.kept[:, at], events, setting)[row, j]
                hopped = max(float(whole) / step.hop.movements - stepping, 0.0)
            if step.counts.bounced and not free:
                # Falling from the height of a bounce at 4 m/s2 and rising to it: twice the fall.
                air = 2.0 * math.sqrt(2.0 * i["bounce_m"] / 4.0)
                bouncing = air + min(max(beat - air, 0.0), i["contact_work_s"])
                more = (i["bounce_w_n"] - i["step_w_n"]) * air / (air + 0.1)
                one = apparent * (i["step_w_n"] * beat + more * bouncing)
                hopped += one * step.counts.held_counts
            assert costs.hop[row, j] == pytest.approx(hopped, rel=1e-4, abs=1e-3)
            assert costs.time[j] == pytest.approx(time + step.counts.held_counts * beat)


def test_power_is_energy_over_time_with_sculling_on_top() -> None:
    """Off the floor the hands work all the time; two steps take twice the time of one."""
    engine, shape, pattern = CASES["off the floor, bounces do not"]
    setting = engine.setting(shape)
    step = engine.distinct_steps(shape, parse_pattern(pattern))[0]
    once, at = added(engine, step, shape)
    full = np.ones_like(once.leg)
    twice, _ = added(engine, step, shape)
    twice.add(step, at, TIMES_S[at], LEG * full, ARM * full, TRAVEL * full, setting)
    joules = {name: getattr(once, name).copy() for name in ("leg", "arm", "full", "fixed")}
    for costs in (once, twice):
        costs.power(setting)
    seconds = 4 * 60.0 / TEMPI_BPM
    for name in ("leg", "arm", "full"):
        assert getattr(once, name) == pytest.approx(joules[name] / seconds, rel=1e-5)
        assert getattr(twice, name) == pytest.approx(getattr(once, name), rel=1e-5)
    sculled = scull_w(setting) / setting.inputs.efficiency
    assert once.fixed == pytest.approx(np.repeat(sculled[:, None], full.shape[1], 1), rel=1e-5)
    assert sculled.max() > 0


@pytest.mark.parametrize("may_met", [3.0, 6.0, 14.0])
def test_breath_is_where_demand_and_what_is_held_meet(may_met: float) -> None:
    """Five costs, each with its own power of q, to 0.012; it never comes back at a faster tempo."""
    setting = ENGINE.setting(form("jog"))
    n, mass = len(setting.people), setting.people.bodies.mass_kg
    costs = Costs((n, len(TEMPI_BPM)))
    mets = {"leg": 2.0, "arm": 1.5, "hop": 1.0, "sway": 0.5, "fixed": 0.6}
    for name, value in mets.items():
        getattr(costs, name)[:] = (value * MET_W_KG * mass)[:, None] * (TEMPI_BPM / 120.0)
    q, demand = breathed(costs, setting, np.full(n, may_met))
    assert np.all(np.diff(q, axis=1) <= 1e-9)
    for row, j in ((0, 0), (30, 9), (105, 14), (125, 21)):
        arms = float(setting.inputs.arms_yield[row])
        hops = float(setting.inputs.hop_yield[row])
        k, still = (float(getattr(setting.inputs, name)[row]) for name in
                    ("stiffness", "standing_met"))  # fmt: skip
        faster = float(TEMPI_BPM[j]) / 120.0

        def asked(x: float, arms: float = arms, hops: float = hops, still: float = still,
                  faster: float = faster) -> float:  # fmt: skip
            own = mets["leg"] * x**3 + mets["arm"] * x ** (3 * arms) + mets["hop"] * x**hops
            return float(still + faster * (own + mets["sway"] * x ** (3 * hops) + mets["fixed"]))

        def over(x: float, k: float = k) -> float:
            return asked(x) - may_met * math.pow(max(1.0 - x, 0.0), 1.0 / k)

        wanted = brentq(over, 1e-6, 1.0) if over(1e-6) < 0 else 0.05
        assert q[row, j] == pytest.approx(wanted, abs=0.012)
        if wanted > 0.06:
            assert demand[row, j] == pytest.approx(asked(float(q[row, j])), rel=0.03)


def test_a_grid_is_read_on_straight_lines_of_ln_tempo() -> None:
    """Between two tempi of the table each figure is that share of the way, at both ends too."""
    forms, tempos = [form("jack"), form("cross-country-ski")], [40.0, 101.0, 133.0, 240.0]
    patterns: list[Pattern | None] = [parse_pattern("2"), None]
    grid = judge_forms(forms, patterns, tempos, POOL, GROUP)
    engine = engine_for(POOL, GROUP, free_inputs())
    for a, shape in enumerate(forms):
        for b, pattern in enumerate(patterns):
            figures = engine.figures(shape, pattern)
            for name in ("odds", "full_share", "breath", "hand_force_n", "arms_kept"):
                wanted = np.interp(np.log(tempos), np.log(TEMPI_BPM), getattr(figures, name))
                assert getattr(grid, name)[a, b] == pytest.approx(wanted), name
            for name in ("range_kept", "met", "rpe", "held_s", "impact_bw", "met_model"):
                table, found = getattr(figures, name), getattr(grid, name)[a, b]
                for last in range(table.shape[-1]):
                    own = np.interp(np.log(tempos), np.log(TEMPI_BPM), table[:, last])
                    assert found[:, last] == pytest.approx(own), name
            assert grid.limit_people_bpm[a, b] == pytest.approx(figures.limit_people_bpm)
            assert grid.limit_model_bpm[a, b] == pytest.approx(figures.limit_model_bpm)
            assert grid.limit_bpm[a, b] == pytest.approx(figures.limit_bpm)
            assert grid.max_tempo_bpm[a, b] == pytest.approx(figures.max_tempo_bpm, nan_ok=True)
    assert grid.rated.tolist() == [[True, True]] * 2
    assert grid.allowed.tolist() == [True, True]


def test_what_a_bout_allows_is_what_the_engine_holds() -> None:
    """A hyperbola of the bout for muscles and breath, a share of it by intensity; kept by key."""
    hard = Group(intensity=Intensity.HARD)
    engine = engine_for(POOL, hard, free_inputs(), 600.0)
    rows = engine.people.inputs
    assert engine.allowed.use == pytest.approx(rows.use_held(600.0))
    assert engine.allowed.uptake == pytest.approx(rows.uptake_held(600.0))
    assert engine.allowed.willing == pytest.approx(rows.willing_hard)
    assert engine_for(POOL, hard, free_inputs(), 600.0) is engine
    assert engine_for(POOL, hard, free_inputs(), 601.0) is not engine
    song = engine_for(POOL, hard, free_inputs())
    assert song.allowed.use == pytest.approx(rows.use_held(free_inputs().bout_s))


def test_equal_halves_of_a_round_are_reckoned_once() -> None:
    """A jack's two movements are two steps; a pattern told twice over is one round of it."""
    jack, kick = form("jack"), form("knee-lift")
    two = parse_pattern("2")
    assert len(ENGINE.steps(jack, two)) == len(ENGINE.distinct_steps(jack, two)) == 2
    uneven = parse_pattern("1-1-2-4")
    assert len(ENGINE.distinct_steps(kick, uneven)) == 4
    again = parse_pattern("1-2-1-2")
    assert len(ENGINE.distinct_steps(jack, again)) == 2
    assert [counts.moving_counts for _, counts in steps_of(jack, again)] == [1, 2, 1, 2]
    for pool in (POOL, Pool(depth_m=1.4)):
        assert Engine(pool, GROUP, free_inputs(), 15.0).pool is pool
