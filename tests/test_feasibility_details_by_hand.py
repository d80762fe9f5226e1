"""What limits a form and what its muscles bear, put together by hand from invented limbs."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from feasibility_cases import DEEP, POOL, form
from feasibility_limbs import ARM, DEEP_ENGINE, ENGINE, SETTING, USE, WILLING, N, part

from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.costs import Step
from aquatempo.feasibility.details import (
    NOTHING,
    Detail,
    balance_cautions,
    detail,
    foot_load_bw,
    origins,
    over_tempo,
    reversal_counts,
)
from aquatempo.feasibility.engine import Engine
from aquatempo.feasibility.law import TEMPI_BPM, TIMES_S
from aquatempo.feasibility.limb_loads import limb_loads
from aquatempo.feasibility.limb_tables import LimbTable, limb_table
from aquatempo.feasibility.parts import LimbPart
from aquatempo.feasibility.wholebody import Carry, Hop
from aquatempo.moves import parse_pattern
from aquatempo.records.limbs import Joint
from aquatempo.records.moves import ImpactLevel, MoveForm, PatternStep, Travel
from aquatempo.records.origin import Origin
from aquatempo.water.floating import downward_n
from aquatempo.water.travel import hull_of, reversal_s

PEOPLE = ENGINE.people.people
K = len(TIMES_S)
OCTAVES = np.arange(K) / 8.0  # of TIMES_S below 6 s
TABLE = limb_table(part(), USE, 1.0, SETTING, WILLING)
_JOINTS = (Joint.SHOULDER, Joint.ELBOW)
ARMS_USE = replace(
    USE,
    estimated=(False, False),
    muscles=tuple(replace(m, joint=j) for m, j in zip(USE.muscles, _JOINTS, strict=True)),
)


def kept_by(value: float | np.ndarray, table: LimbTable = TABLE) -> LimbTable:
    """Return a table of which more than half the group keep a share, the others and draws none."""
    kept = np.zeros((N, K))
    kept[: PEOPLE // 2 + 1] = value
    return replace(table, kept=kept)


def step(
    legs: tuple[LimbTable, ...] = (),
    arms: tuple[LimbTable, ...] = (),
    counts: int = 2,
    hop: float | None = None,
    grip: float | np.ndarray = 1.0,
    one: LimbPart | None = None,
) -> Step:
    """Return a step of invented limbs."""
    one = one or part()
    parts: Any = SimpleNamespace(legs=(one,) * len(legs), arms=(part(ARM),) * len(arms))
    nothing = np.zeros((N, K))
    jump = None if hop is None else Hop(kept_by(hop).kept, nothing, nothing, 1)
    return Step(parts, PatternStep(counts), legs, arms, jump,
                Carry(kept_by(grip).kept, nothing, nothing))  # fmt: skip


def told(*steps: Step, breath: float = 1.0, by_step: tuple[float, ...] = (0.5,),
         tempo_bpm: float = 80.0, engine: Engine = ENGINE) -> Detail:  # fmt: skip
    """Return what is told of steps of which so much is kept, at all tempi alike."""
    flat = np.ones(len(TEMPI_BPM))
    figures: Any = SimpleNamespace(breath=flat * breath, by_step=[flat * one for one in by_step])
    return detail(engine, steps, figures, tempo_bpm)


def test_figures_over_tempo_are_read_by_octaves() -> None:
    """Half-way in ratio between the third and the fourth tempo is half-way in the figure."""
    values = np.arange(22, dtype=np.float64) ** 2
    assert over_tempo(values, float(TEMPI_BPM[3])) == pytest.approx(9.0)
    between = float(np.sqrt(TEMPI_BPM[2] * TEMPI_BPM[3]))
    assert over_tempo(values, between) == pytest.approx((4.0 + 9.0) / 2)


LEGS, ARMS = (kept_by(0.6),), (kept_by(0.4, replace(TABLE, source=ARMS_USE)),)


@pytest.mark.parametrize(
    ("one", "breath", "cause"),
    [
        (step(LEGS), 0.61, "leg"),
        (step(LEGS), 0.59, "breath"),
        (step((kept_by(0.9), *LEGS)), 0.61, "leg"),
        (step(LEGS, ARMS), 0.61, "leg"),  # arms that go along with legs limit nothing
        (step((), ARMS), 0.41, "arm"),
        (step((), ARMS), 0.39, "breath"),
        (step((), (), hop=0.3), 0.31, "height of the hop"),
        (step((), (), hop=0.3), 0.29, "breath"),
        (step((), ARMS, hop=0.3), 0.31, "height of the hop"),
        (step(LEGS, (), hop=0.3), 0.61, "leg"),  # legs that move in the air decide
        (step(LEGS, (), grip=0.59), 1.0, "grip of the feet"),
        (step(LEGS, (), grip=0.61), 1.0, "leg"),
        (step(), 1.0, "breath"),  # of equal causes the first
    ],
)
def test_what_keeps_least_limits(one: Step, breath: float, cause: str) -> None:
    """Of breath, legs (else arms, else the hop) and grip, by the median of the group."""
    found = told(one, breath=breath)
    hardest = found.loads[0] if found.loads else None
    if cause in ("leg", "arm"):
        assert hardest is not None
        wanted = [one for one in found.loads if (one.muscle.startswith("hip")) == (cause == "leg")]
        assert found.limiting == wanted[0]
        assert found.limited_by == wanted[0].muscle
    else:
        assert found.limited_by == cause
        if hardest is None:
            assert found.limiting.muscle == NOTHING
            assert found.limiting.capacity_nm == found.limiting.torque_nm == 0.0
            assert found.limiting.mean_use == found.limiting.peak_use == 0.0
        else:
            assert found.limiting == hardest


@pytest.mark.parametrize(("counts", "tempo_bpm", "octaves"), [(2, 80.0, 2.0), (1, 80.0, 3.0),
                                                               (4, 40.0, 0.0), (2, 113.137, 2.5),
                                                               (2, 95.0, 2.24793)])  # fmt: skip
def test_limits_are_read_at_the_time_of_a_movement(
    counts: int, tempo_bpm: float, octaves: float
) -> None:
    """2 counts at 80 b/min last 1.5 s, two octaves under 6 s: 0.8 is kept where each costs 0.1."""
    falling = 1.0 - 0.1 * OCTAVES
    here = 1.0 - 0.1 * octaves
    for other, cause in ((here - 0.001, "breath"), (here + 0.001, "hip")):
        leg = told(step((kept_by(falling),), counts=counts), breath=other, tempo_bpm=tempo_bpm)
        assert leg.limited_by.startswith(cause)
        grip = told(step(counts=counts, grip=falling), breath=other, tempo_bpm=tempo_bpm)
        assert (grip.limited_by == "breath") == (cause == "breath")


def test_the_step_that_keeps_least_decides() -> None:
    """Whichever stands there; from 95 % on nothing limits; a form without steps tells nothing."""
    poor, rich = step(LEGS), step((), ARMS)
    assert told(poor, rich, by_step=(0.9, 0.5)).limited_by.startswith(("shoulder", "elbow"))
    assert told(poor, rich, by_step=(0.5, 0.9)).limited_by.startswith("hip")
    full = told(poor, by_step=(0.95,))
    assert (full.limited_by, full.limiting) == (NOTHING, full.loads[0])
    assert told(poor, by_step=(0.949,)).limited_by != NOTHING
    assert told(poor, rich, by_step=(0.96, 0.949)).limited_by != NOTHING
    none = told(by_step=())
    assert (none.limited_by, none.loads, none.push_n) == (NOTHING, (), 0.0)
    assert not none.beyond
    assert not none.estimated


@pytest.mark.parametrize("breath", [1.0, 0.7])
def test_loads_are_borne_at_the_range_that_is_left(breath: float) -> None:
    """Legs at the least of theirs times q, arms at theirs times q^1.5; the most used first."""
    arms = kept_by(0.8, replace(TABLE, source=ARMS_USE))
    found = told(step((kept_by(0.9), kept_by(0.7)), (arms,)), breath=breath)
    power = free_inputs().arms_yield
    legs = limb_loads(TABLE, PEOPLE, 1.5, 0.7 * breath)
    others = limb_loads(arms, PEOPLE, 1.5, 0.8 * breath**power)
    wanted = {}
    for table in (legs, others):
        for m, muscle in enumerate(table.muscles):
            columns = (table.mean_use, table.peak_use, table.torque_nm, table.can_nm)
            wanted[muscle.name] = tuple(float(column[m]) for column in columns)
    assert {one.muscle: (one.mean_use, one.peak_use, one.torque_nm, one.capacity_nm)
            for one in found.loads} == {
                key: pytest.approx(one) for key, one in wanted.items()}  # fmt: skip
    uses = [one.mean_use for one in found.loads]
    assert uses == sorted(uses, reverse=True)
    assert len(uses) == 4


@pytest.mark.parametrize("counts", [(1, 2), (2, 1)])
def test_each_muscle_is_told_in_its_hardest_step(counts: tuple[int, int]) -> None:
    """The quicker of two steps, whichever comes first."""
    found = told(*(step(LEGS, counts=one) for one in counts), by_step=(0.5, 0.6))
    quick = limb_loads(TABLE, PEOPLE, 0.75, 0.6)
    assert sorted(one.mean_use for one in found.loads) == pytest.approx(sorted(quick.mean_use))


def test_legs_that_nothing_balances_push() -> None:
    """Largest force of each leg alongside, times their number; arms and balanced legs none."""
    table = kept_by(1.0)
    quick, slow = (
        float(np.max(np.abs(limb_loads(table, PEOPLE, time_s, 1.0).push_n)))
        for time_s in (0.75, 1.5)
    )
    alone, pair = part(alongside=1), part(alongside=1, limbs=2)
    assert told(step((table,))).push_n == 0.0
    assert told(step((table,), one=alone)).push_n == pytest.approx(slow)
    assert told(step((table,), one=pair)).push_n == pytest.approx(2 * slow)
    assert told(step((table, table), one=alone)).push_n == pytest.approx(2 * slow)
    for counts in ((1, 2), (2, 1)):
        two = [step((table,), counts=one, one=alone) for one in counts]
        assert told(*two, by_step=(0.5, 0.5)).push_n == pytest.approx(quick)
    aside: Any = SimpleNamespace(legs=(), arms=(part(ARM, alongside=1),))
    assert told(replace(step((), (table,)), parts=aside)).push_n == 0.0


def test_one_limb_beyond_or_filled_is_told() -> None:
    """Of any limb in any step: faster than the tables reach, or of a filled capacity."""
    fast = replace(USE, peak_speed_rad=USE.peak_speed_rad * 100.0)
    plain = replace(USE, estimated=(False, False))
    calm = kept_by(0.9, replace(TABLE, source=plain))
    quick = kept_by(0.9, replace(TABLE, source=replace(fast, estimated=(False, False))))
    filled = kept_by(0.9)
    for tables, beyond, estimated in (
        ((calm, calm), False, False), ((quick, calm), True, False), ((calm, quick), True, False),
        ((filled, calm), False, True), ((calm, filled), False, True),
    ):  # fmt: skip
        for found in (told(step(tables)), told(step(tables[:1], tables[1:])),
                      told(step(tables[:1]), step(tables[1:]), by_step=(0.5, 0.5))):  # fmt: skip
            assert (found.beyond, found.estimated) == (beyond, estimated)


def test_feet_bear_what_the_water_does_not() -> None:
    """All but buoyancy; less in deeper water; nothing off the floor."""
    jog = form("jog")
    settled = ENGINE.setting(jog)
    apparent = float(np.median(settled.apparent_bw[:PEOPLE]))
    arms_out = replace(jog, arms_in_water=False)
    assert foot_load_bw(ENGINE, replace(jog, arms_in_water=True)) == pytest.approx(
        apparent, abs=0.02
    )
    assert foot_load_bw(ENGINE, arms_out) > foot_load_bw(ENGINE, replace(jog, arms_in_water=True))
    assert foot_load_bw(ENGINE, replace(jog, level=ImpactLevel.III)) == 0.0
    assert foot_load_bw(DEEP_ENGINE, form("jog", DEEP.kind)) == 0.0


SCULL = "balance: the legs push harder than wet feet grip; scull or slow down"
TURNS = "trunk turns: knees and toes go with it, no jerk"
OFF = "off the floor: hands scull"


def test_balance_is_lost_where_legs_push_harder_than_feet_grip() -> None:
    """More than the grip times what presses the median's feet down; off the floor none is."""
    jog, twist = form("jog"), form("twist")
    pressed = float(np.median(ENGINE.setting(jog).apparent_n[:PEOPLE]))
    holds = free_inputs().grip * pressed
    assert balance_cautions(ENGINE, jog, 0.999 * holds, POOL) == []
    assert balance_cautions(ENGINE, jog, 1.001 * holds, POOL) == [SCULL]
    floating = replace(jog, level=ImpactLevel.III)
    assert balance_cautions(ENGINE, floating, 10 * holds, POOL) == [OFF]
    assert balance_cautions(DEEP_ENGINE, form("jog", DEEP.kind), 10 * holds, DEEP) == []
    assert balance_cautions(ENGINE, twist, 0.0, POOL) == [TURNS]
    turned = jog.movements[0]
    trunk = replace(turned.end_pose.trunk, turn=20.0)
    wound = replace(turned, end_pose=replace(turned.end_pose, trunk=trunk))
    jogged = replace(jog, movements=(*jog.movements[1:], wound))
    assert balance_cautions(ENGINE, jogged, 2 * holds, POOL) == [TURNS, SCULL]


def sent(travel: Travel = Travel.FORWARD, travel_m: float = 1.0, pattern: str | None = "2",
         times: int = 1) -> MoveForm:  # fmt: skip
    """Return a jog that travels, its movements so many times over."""
    jog = form("jog")
    chosen = None if pattern is None else parse_pattern(pattern)
    return replace(jog, travel=travel, travel_m=travel_m, pattern=chosen,
                   movements=jog.movements * times)  # fmt: skip


def test_turning_back_costs_by_speed_alone() -> None:
    """Time to stop and start again at the speed of the way over its movements."""
    moves = len(sent().movements)
    found = reversal_counts(ENGINE, sent(travel_m=0.8), 120.0)
    setting = ENGINE.setting(sent())
    speed = 0.8 / (moves * 2 * 0.5)  # so many movements of 2 counts of half a second
    inputs = free_inputs()
    hull = hull_of(setting.people.bodies, setting.surface_m, Travel.FORWARD, setting.water,
                   inputs.travel_cd)  # fmt: skip
    pressed = downward_n(setting.apparent_n, inputs.hands_down_n)
    time = reversal_s(hull, pressed, inputs.grip, np.full(N, speed))
    assert found == pytest.approx(2.0 * float(np.median(time[:PEOPLE])))
    same = [
        reversal_counts(ENGINE, sent(travel_m=0.8, pattern=None), 120.0),  # 2 counts are usual
        reversal_counts(ENGINE, sent(travel_m=0.8, pattern="1+1h"), 120.0),
        reversal_counts(ENGINE, sent(travel_m=1.2, pattern="2-4"), 120.0),  # 3 on average
        reversal_counts(ENGINE, sent(travel_m=1.6, times=2), 120.0),
    ]
    assert same == pytest.approx([found] * 4)
    assert found is not None
    slower = reversal_counts(ENGINE, sent(travel_m=1.6), 60.0)  # the same speed, longer counts
    assert slower == pytest.approx(found / 2)
    assert reversal_counts(ENGINE, sent(travel_m=80.0), 120.0) == np.inf


@pytest.mark.parametrize(
    "still", [sent(Travel.IN_PLACE), sent(travel_m=0.0), replace(sent(), movements=())]
)
def test_who_goes_nowhere_does_not_turn_back(still: MoveForm) -> None:
    """In place, by no way, or without movements."""
    assert reversal_counts(ENGINE, still, 120.0) is None


def test_origins_tell_estimates_from_tables_and_practice() -> None:
    """Capacities are published unless filled; excursions and depths are common practice."""
    found = dict(origins(False))
    assert found["capacity"] is Origin.PUBLISHED
    assert dict(origins(True)) == {**found, "capacity": Origin.ESTIMATED}
    practice = {key for key, origin in found.items() if origin is Origin.COMMON_PRACTICE}
    assert practice == {"full excursion", "depth limits"}
    assert set(found) - practice - {"capacity"} == {
        "range_kept", "limit", "torque", "effort", "foot_load", "impact",
    }  # fmt: skip
