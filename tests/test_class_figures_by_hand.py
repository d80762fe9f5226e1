"""Which joint actions work hard, from invented limbs, and the sizes that classes keep to.

The sizes are common practice and judgement, no source, but for the seconds of a stretch.
"""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from feasibility_cases import form
from feasibility_limbs import BACK, KICK, SETTING, USE, WILLING, N, part

from aquatempo.class_shape import figures, standards
from aquatempo.class_shape.figures import FEWEST_RIGHT, HARD_STRAIN, Figures, _Loads, rate
from aquatempo.feasibility import judge_forms
from aquatempo.feasibility.law import TIMES_S
from aquatempo.feasibility.limb_loads import limb_loads
from aquatempo.feasibility.limb_tables import LimbTable, limb_table
from aquatempo.records.brief import Experience
from aquatempo.records.moves import MoveKind
from aquatempo.records.people import Group, Intensity, Pool
from aquatempo.records.verdict import ImpactBand

TABLE = limb_table(part(), USE, 1.0, SETTING, WILLING)
K = len(TIMES_S)
PEOPLE = 99
FALLING = np.linspace(1.0, 0.6, K)


def kept_by_most(kept: np.ndarray) -> LimbTable:
    """Return a table of which the median keeps so much, the draws after the people nothing."""
    told = np.zeros((N, K))
    told[: PEOPLE // 2 + 1] = kept
    return replace(TABLE, kept=told)


def loads_of(use: float, *steps: tuple[int, tuple[LimbTable, ...], tuple[LimbTable, ...]]) -> Any:
    """Return the loads of steps (counts, legs, arms) where the median may hold a use."""
    told = [SimpleNamespace(counts=SimpleNamespace(moving_counts=counts), legs=legs, arms=arms)
            for counts, legs, arms in steps]  # fmt: skip
    may = np.concatenate([np.zeros(49), [use] * 50, np.full(N - 99, 9.0)])
    engine: Any = SimpleNamespace(
        people=SimpleNamespace(people=PEOPLE), allowed=SimpleNamespace(use=may),
        distinct_steps=lambda shape, pattern: told,
    )  # fmt: skip
    return _Loads(engine)


@pytest.mark.parametrize("use", [0.1, 0.2, 0.4])
@pytest.mark.parametrize(
    ("counts", "tempo_bpm", "place"),
    [(2, 80.0, 16), (1, 80.0, 24), (4, 80.0, 8), (2, 40.0, 8), (4, 40.0, 0), (2, 95.14, 18),
     (2, 86.5, 16), (2, 88.0, 16), (2, 94.0, 16), (1, 240.0, 36), (4, 20.0, 0), (1, 999.0, 37),
     (2, 77.0, 16), (2, 76.0, 14)],  # 15.56 and 15.41 of the places are 16 and 15
)  # fmt: skip
def test_what_works_hard_at_a_tempo(use: float, counts: int, tempo_bpm: float, place: int) -> None:
    """A 4-norm of mean over what can be held and of peak, from a half; at every second time.

    2 counts at 80 b/min are 1.5 s, two octaves of eight under 6 s: place 16.
    """
    table = kept_by_most(FALLING)
    found = limb_loads(table, PEOPLE, float(TIMES_S[place]), float(FALLING[place]))
    strains = [
        math.sqrt(math.hypot((mean / use) ** 2, peak**2))
        for mean, peak in zip(found.mean_use, found.peak_use, strict=True)
    ]
    hard = tuple(m.name for m, one in zip((KICK, BACK), strains, strict=True) if one >= 0.5)
    told = loads_of(use, (counts, (table,), ())).hard(form("jog"), None, [tempo_bpm], [True])
    assert told == [hard]


@pytest.mark.parametrize("m", [0, 1])
def test_hard_begins_at_half_of_what_can_be_held(m: int) -> None:
    """A muscle a thousandth under it is not told, a thousandth over it is."""
    table = kept_by_most(np.ones(K))
    found = limb_loads(table, PEOPLE, 3.0, 1.0)
    mean, peak = float(found.mean_use[m]), float(found.peak_use[m])
    border = mean / (0.5**4 - peak**4) ** 0.25  # where (mean / use)^4 + peak^4 = 0.5^4
    for use, told in ((border * 0.999, True), (border * 1.001, False)):
        names = loads_of(use, (2, (table,), ())).hard(form("jog"), None, [40.0], [True])[0]
        assert (found.muscles[m].name in names) is told


def test_each_action_once_and_only_where_it_is_work() -> None:
    """Legs and arms of all steps; nothing where effort is light, in holds and in stretches."""
    table, other = kept_by_most(FALLING), kept_by_most(FALLING)
    loads = loads_of(0.01, (2, (table,), (other,)), (4, (), (other,)))
    both = (KICK.name, BACK.name)
    jog = form("jog")
    assert loads.hard(jog, None, [80.0, 90.0], [True, False]) == [both, ()]
    assert loads.hard(jog, None, [80.0, 90.0], [False, True]) == [(), both]
    assert loads.hard(jog, None, [80.0, 90.0], [False, False]) == [(), ()]
    for kind in (MoveKind.HOLDING, MoveKind.STRETCH):
        still = replace(jog, move=replace(jog.move, kind=kind))
        assert loads.hard(still, None, [80.0], [True]) == [()]
    arms = loads_of(0.01, (2, (), (other,)))
    assert arms.hard(jog, None, [80.0], [True]) == [both]


def test_tables_are_told_apart() -> None:
    """Of two limbs at one time each has its own loads, asked again the same."""
    weak = replace(kept_by_most(FALLING), source=replace(
        USE, mean_moving=USE.mean_moving * 1e-4, peak_moving=USE.peak_moving * 1e-4,
        mean_still=USE.mean_still * 1e-4, peak_still=USE.peak_still * 1e-4))  # fmt: skip
    strong = kept_by_most(FALLING)
    loads = loads_of(0.01, (2, (strong,), ()))
    both = (KICK.name, BACK.name)
    assert loads.hard(form("jog"), None, [80.0], [True]) == [both]
    assert loads._of_limb(weak, 16) == ()
    assert loads._of_limb(strong, 16) == both
    assert loads._of_limb(weak, 16) == ()


def test_tempi_beyond_the_range_are_rated_at_its_ends() -> None:
    """30 as 40, 300 as 240 b/min; impact is that in which nine of ten land."""
    pool, group = Pool(), Group()
    shapes = [form("jog"), form("jump")]
    found = rate(shapes, [30.0, 40.0, 240.0, 300.0], pool, group)
    for row in found:
        assert row[0] == row[1]
        assert row[2] == row[3]
    grid = judge_forms(shapes, [None], [40.0, 240.0], pool, group)
    for i, row in enumerate(found):
        for column, one in ((0, row[0]), (1, row[3])):
            nine = grid.impact_bw[i, 0, column, 1]
            ends = ((ImpactBand.NONE, 0.0), (ImpactBand.LOW, 0.75), (ImpactBand.MEDIUM, 1.25))
            bands = [band for band, most in (*ends, (ImpactBand.HIGH, np.inf)) if nine <= most]
            assert one.impact is bands[0]
    usual = Figures(1.0, 4.0, 12.0, ImpactBand.LOW)
    assert (usual.hard, usual.held_s, usual.barred, usual.rated) == ((), 3600.0, "", True)
    assert (HARD_STRAIN, FEWEST_RIGHT) == (0.5, 0.5)


def test_light_effort_makes_nothing_work_hard() -> None:
    """Under RPE 12.5 no muscle is told, whatever it bears."""
    tempi = [float(tempo) for tempo in range(60, 200, 10)]
    rows = rate([form("cross-country-ski"), form("jog")], tempi, Pool(), Group())
    for row in rows:
        assert all(not one.hard for one in row if one.rpe < 12.5)
    assert any(one.hard for row in rows for one in row)


def test_effort_is_work_from_12_5_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """Loads are asked for the tempi of RPE 12.5 and more; what is held is that of the median."""
    asked: list[list[bool]] = []

    def hard(shape: object, pattern: object, tempi: object, working: list[bool]) -> Any:
        asked.append(working)
        return [("hip flexion",)] * len(working)

    grid = judge_forms([form("jog")], [None], [100.0, 120.0, 140.0], Pool(), Group())
    felt, held = grid.rpe.copy(), grid.held_s.copy()
    felt[0, 0, :, 1] = (12.49, 12.5, 15.0)
    held[0, 0] = ((50.0, 100.0), (60.0, 110.0), (70.0, 120.0))
    told = replace(grid, rpe=felt, held_s=held)
    monkeypatch.setattr(figures, "judge_forms", lambda *given: told)
    monkeypatch.setattr(figures, "_loads_of", lambda engine: SimpleNamespace(hard=hard))
    found = rate([form("jog")], [100.0, 120.0, 140.0], Pool(), Group())[0]
    assert asked == [[False, True, True]]
    assert [one.rpe for one in found] == [12.49, 12.5, 15.0]
    assert [one.held_s for one in found] == [100.0, 110.0, 120.0]
    assert found[0].hard == ("hip flexion",)


SIZES = [
    (standards.PLANE_SECONDS, 150.0, "two and a half minutes of one plane"),
    (standards.MUSCLE_SECONDS, 90.0, "a minute and a half on one muscle that works hard"),
    (standards.MOVE_SECONDS, 180.0, "three minutes on one base move"),
    (standards.TOLD_SHARE, 1.2, "a fifth more than what is aimed at is told"),
    (standards.INTERVAL_TOLERANCE_S, 2.0, "2 s off is in time"),
    (standards.FILLER_SHARE, 0.08, "a twelfth of the time for moves that fill"),
    (standards.NARROW_M2, 3.0, "less room: no travel"),
    (standards.SPACE_M2, 4.0, "2 m by 2 m each"),
    (standards.STRETCH_SECONDS, (10.0, 60.0), "10 to 30 s, 30 to 60 for older (Garber 2011)"),
    (standards.HOLD_SECONDS, ((17.0, 60.0), (16.0, 120.0), (15.0, 240.0)), "twice as long a point"),
]


@pytest.mark.parametrize(("told", "wanted", "why"), SIZES, ids=[why for *_, why in SIZES])
def test_sizes_are_those_of_practice(told: object, wanted: object, why: str) -> None:
    """Common practice, no source, but for stretches (Garber 2011, Med Sci Sports Exerc 43:1334)."""
    assert told == wanted, why


def test_groups_that_know_more_get_more() -> None:
    """From the first week on: 1 to 4 ways of a move, new in a song 1 to 4, sets 3 to 6.

    A change may cost 2 counts, one movement in water tempo; the trained may take 4.
    """
    order = list(Experience)
    assert order[0] is Experience.FIRST_WEEK
    assert [standards.VARIATIONS[one] for one in order] == [1, 2, 3, 4]
    assert [standards.NEW_IN_A_SONG[one] for one in order] == [1, 2, 3, 4]
    assert [standards.SETS_IN_A_SONG[one] for one in order] == [3, 4, 5, 6]
    assert [standards.CHANGE_COUNTS[one] for one in order] == [2, 2, 2, 4]
    shares = [standards.FIRM_SHARES[one] for one in Intensity]
    assert shares == [(0.0, 0.0), (0.0, 0.7), (0.95, 1.0)]
