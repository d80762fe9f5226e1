"""What a verdict tells besides its figures: what is given up, each movement, and cautions."""

from __future__ import annotations

import re
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from feasibility_cases import GROUP, POOL, form

from aquatempo.errors import InputError, RangeError
from aquatempo.feasibility import judge, judge_forms, judging
from aquatempo.feasibility.details import Detail, detail
from aquatempo.feasibility.engine import Engine, steps_of
from aquatempo.feasibility.inputs import free_inputs
from aquatempo.feasibility.judging import _by_movement, _given_up, rating_of
from aquatempo.feasibility.law import TEMPI_BPM
from aquatempo.moves import parse_pattern
from aquatempo.records.moves import ImpactLevel, MoveForm, PatternStep, Travel
from aquatempo.records.people import Group, Pool
from aquatempo.records.verdict import Rating, Verdict

JOG = form("jog")


def at_level(level: ImpactLevel, *taught: ImpactLevel) -> MoveForm:
    """Return a jog at a level, taught at some."""
    return replace(JOG, level=level, move=replace(JOG.move, levels=taught))


ONE, TWO = ImpactLevel.I, ImpactLevel.II


@pytest.mark.parametrize(
    ("shape", "kept", "told"),
    [
        (JOG, {"legs": 1.0, "arms": 0.95, "hop": None}, ()),
        (JOG, {"legs": 0.949, "arms": 0.95}, ("legs",)),
        (JOG, {"legs": 0.9, "arms": 0.7, "travel": 0.8}, ("arms", "travel", "legs")),
        (at_level(ONE, ONE, TWO), {"hop": 0.5, "legs": 0.4}, ("legs", "hop")),
        (at_level(ONE, ONE, TWO), {"hop": 0.49}, ("hop: level I becomes II",)),
        (at_level(ONE, ONE, TWO), {"hop": 0.49, "arms": 0.3, "legs": 0.2, "travel": 0.1},
         ("travel", "legs", "arms", "hop: level I becomes II")),
        (at_level(ONE, ONE), {"hop": 0.3}, ("hop",)),
        (at_level(TWO, ONE, TWO), {"hop": 0.3}, ("hop",)),
    ],
)  # fmt: skip
def test_what_is_given_up_first_is_told_first(
    shape: MoveForm, kept: dict[str, float | None], told: tuple[str, ...]
) -> None:
    """All that keeps less than 95 %; a hop of less than half has become level II, where it is."""
    assert _given_up(shape, kept) == told


def test_movements_repeat_what_is_stored_once() -> None:
    """Two halves that are equal are told twice; a form without steps tells nothing."""
    flat = np.ones(len(TEMPI_BPM))
    steps = np.stack([0.9 * flat, 0.7 * flat])
    assert _by_movement(steps, 4, 100.0) == pytest.approx((0.9, 0.7, 0.9, 0.7))
    assert _by_movement(steps[:1], 2, 100.0) == pytest.approx((0.9, 0.9))
    assert _by_movement(steps[:0], 2, 100.0) == ()


def test_an_easy_move_needs_no_effort_said() -> None:
    """Where no effort is given a full range is just that."""
    assert rating_of(1.0) is Rating.FULL


def said(verdict: Verdict, words: str) -> list[str]:
    """Return the cautions that begin with some words."""
    return [one for one in verdict.cautions if one.startswith(words)]


OLD = "older than the strength tables (75 years): extrapolated, people differ more"


@pytest.mark.parametrize(
    ("ages", "told"), [((40.0, 60.0), 0), ((74.0, 77.0), 1), ((80.0, 90.0), 1)]
)
def test_ages_beyond_the_tables_are_said(ages: tuple[float, float], told: int) -> None:
    """Once, where anybody of the group is over 75."""
    verdict = judge(JOG, None, 120.0, POOL, Group(age_years=ages))
    assert said(verdict, "older") == [OLD] * told


@pytest.mark.parametrize("beyond", [False, True])
def test_speeds_beyond_the_tables_are_said(monkeypatch: pytest.MonkeyPatch, beyond: bool) -> None:
    """Where a joint goes faster than the strength was measured, and only there."""

    def told(*asked: Any) -> Detail:
        return replace(detail(*asked), beyond=beyond)

    monkeypatch.setattr(judging, "detail", told)
    verdict = judge(JOG, None, 120.0, POOL, GROUP)
    wanted = ["faster than the strength tables reach: extrapolated"] if beyond else []
    assert said(verdict, "faster") == wanted


def test_turning_back_is_said_in_counts() -> None:
    """Of forms that turn only; who runs faster than feet grip is told that."""
    ahead = replace(JOG, travel=Travel.FORWARD, travel_m=0.6, reverses_every=4)
    told = said(judge(ahead, parse_pattern("2"), 120.0, POOL, GROUP), "turning back takes at least")
    assert len(told) == 1
    assert told[0].endswith(" counts")
    assert 0.5 < float(told[0].split()[-2]) < 20.0
    for still in (replace(ahead, reverses_every=0), replace(ahead, travel=Travel.IN_PLACE)):
        assert said(judge(still, parse_pattern("2"), 120.0, POOL, GROUP), "turning") == []
    far = replace(ahead, travel_m=60.0)
    verdict = judge(far, parse_pattern("2"), 120.0, POOL, GROUP)
    assert said(verdict, "travel") == ["travel faster than wet feet can hold"]


HARD = "very hard work for the less fit: offer the easier option, watch the breath"


@pytest.mark.parametrize("tempo_bpm", [40.0, 70.0, 90.0, 110.0, 130.0, 150.0, 180.0])
def test_very_hard_work_is_said_where_the_less_fit_cannot_hold_it(tempo_bpm: float) -> None:
    """Full range held shorter than the bout, or RPE 17 at the less fit end; not if forbidden."""
    shapes = (form("cross-country-ski"), form("jump"), JOG)
    for bout_s in (None, 30.0, 1200.0):
        for shape in shapes:
            verdict = judge(shape, None, tempo_bpm, POOL, GROUP, bout_s=bout_s)
            hard = verdict.full_held_s[0] < (bout_s or 240.0) or verdict.rpe.high >= 17.0
            assert said(verdict, "very hard") == [HARD] * hard
    deep = replace(JOG, move=replace(JOG.move, depths=()))
    forbidden = judge(deep, parse_pattern("1"), 240.0, POOL, GROUP)
    assert forbidden.rating is Rating.NOT_FEASIBLE
    assert said(forbidden, "very hard") == []
    assert forbidden.limited_by == "depth: needs deep water and a belt"
    assert forbidden.advice == ()


def test_the_torque_of_the_limiting_muscle_is_told() -> None:
    """Its peak, its capacity, and a mean in the relation of mean to peak use."""
    verdict = judge(form("cross-country-ski"), parse_pattern("1"), 150.0, POOL, GROUP)
    load = next(one for one in verdict.loads if one.torque_nm == verdict.torque_peak_nm)
    assert verdict.capacity_nm == load.capacity_nm
    share = load.mean_use / load.peak_use
    assert verdict.torque_mean_nm == pytest.approx(load.torque_nm * share)
    assert verdict.limited_by in (load.muscle, "breath")


def test_a_form_tells_its_usual_counts_and_variation() -> None:
    """Pattern None is the form's own, else the counts of its movements; each has its rate."""
    own = replace(JOG, pattern=parse_pattern("4"))
    assert judge(own, None, 120.0, POOL, GROUP).pattern == "4"
    assert judge(own, parse_pattern("2"), 120.0, POOL, GROUP).pattern == "2"
    bare = judge(replace(JOG, pattern=None), None, 120.0, POOL, GROUP)
    counts = [one.moving_counts for _, one in steps_of(replace(JOG, pattern=None), None)]
    assert bare.pattern == "-".join(str(one) for one in counts)
    assert bare.movements_per_minute == tuple(120.0 / one for one in counts)
    assert bare.variation == ()


def test_the_impact_of_most_has_its_own_band() -> None:
    """Nine of ten land in it or lower: never under the median's."""
    for shape in (form("jump"), JOG, form("front-kick")):
        verdict = judge(shape, None, 120.0, Pool(depth_m=1.05), GROUP)
        assert verdict.impact_of_most.height >= verdict.impact.height
        assert verdict.impact_most_bw >= verdict.impact_bw


@pytest.mark.parametrize(("movements", "counts", "rounds"), [(2, 1, 2), (2, 3, 6), (4, 2, 4),
                                                             (3, 2, 6), (0, 2, 2)])  # fmt: skip
def test_a_round_ends_when_movements_and_counts_do(movements: int, counts: int,
                                                    rounds: int) -> None:  # fmt: skip
    """The least common multiple of both; each movement and each count in turn."""
    shape = replace(JOG, movements=(JOG.movements * 4)[:movements])
    pattern = parse_pattern("-".join(["1", "2", "4"][:counts]))
    found = steps_of(shape, pattern)
    assert len(found) == rounds
    assert [i for i, _ in found] == [i % max(movements, 1) for i in range(rounds)]
    told = [one.moving_counts for _, one in found]
    assert told == [(1, 2, 4)[i % counts] for i in range(rounds)]


def test_tempi_between_those_computed_are_read_by_octaves() -> None:
    """The grid at a tempo between two is between theirs, in the share of the logarithm."""
    engine = Engine(POOL, GROUP, free_inputs(), 240.0)
    ski = form("cross-country-ski")
    whole = engine.figures(ski, None).range_kept
    for low, part in ((0, 0.0), (7, 0.25), (12, 0.5), (20, 0.75), (20, 1.0)):
        tempo = float(TEMPI_BPM[0] * 2 ** ((low + part) / 8))
        grid = engine.grid([ski], [None], np.array([tempo]))
        wanted = (1 - part) * whole[low] + part * whole[low + 1]
        assert grid.range_kept[0, 0, 0] == pytest.approx(wanted, abs=1e-9)
    both = judge_forms([JOG, ski], [parse_pattern("1"), parse_pattern("2")], [100.0, 130.0], POOL)
    alone = judge_forms([ski], [parse_pattern("2")], [130.0], POOL)
    assert both.met[1, 1, 1].tolist() == alone.met[0, 0, 0].tolist()
    assert both.max_tempo_bpm[1, 1] == pytest.approx(alone.max_tempo_bpm[0, 0], nan_ok=True)
    assert both.rated.shape == (2, 2)


def test_an_engine_forgets_when_it_knows_too_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """What it has seen by identity is dropped at the limit, and told the same again."""
    monkeypatch.setattr("aquatempo.feasibility.engine.MOST_SEEN", 2)
    engine = Engine(POOL, GROUP, free_inputs(), 240.0)
    shapes = [replace(JOG, name=str(i)) for i in range(3)]
    first = [engine.figures(shape, None).max_tempo_bpm for shape in shapes]
    assert len(engine._seen) == 1
    stands: list[Any] = [engine.standing(shape) for shape in shapes]
    assert len(engine._standings) == 1
    assert [engine.figures(shape, None).max_tempo_bpm for shape in shapes] == first
    assert [engine.standing(shape) for shape in shapes] == stands


@pytest.mark.parametrize(
    ("tempo_bpm", "slip"),
    [(0.0, "a tempo is above zero"), (-5.0, "a tempo is above zero"), (0.5, "half or double?"),
     (39.9, "half or double?"), (240.1, "half or double?")],
)  # fmt: skip
def test_tempi_out_of_range_come_with_the_likely_slip(tempo_bpm: float, slip: str) -> None:
    """40 to 240 b/min; below zero no halving helps."""
    with pytest.raises(RangeError, match=re.escape(slip)):
        judge_forms([JOG], [None], [120.0, tempo_bpm], POOL, GROUP)


def test_a_count_that_moves_nothing_is_refused() -> None:
    """Each step of a pattern moves for one count at least, and there is one step at least."""
    still = replace(parse_pattern("2"), steps=(PatternStep(2), PatternStep(0, 2)))
    for pattern in (still, replace(still, steps=())):
        with pytest.raises(InputError, match="a pattern without moving counts"):
            steps_of(JOG, pattern)
    assert len(steps_of(JOG, replace(still, steps=(PatternStep(1),)))) == len(JOG.movements)


@pytest.mark.parametrize(
    ("order", "left"),
    [("aaaaaaaa", "a"), ("abababab", "ab"), ("abcdabcd", "abcd"), ("aabbaabb", "aabb"),
     ("abcabc", "abc"), ("aba", "aba"), ("aab", "aab"), ("aaab", "aaab"), ("aaaaab", "aaaaab"),
     ("a", "a"), ("aa", "a"), ("aaa", "aaa")],  # three equal thirds are no halves
)  # fmt: skip
def test_equal_halves_of_a_round_count_once(
    monkeypatch: pytest.MonkeyPatch, order: str, left: str
) -> None:
    """Halved as long as both halves have the same movements with the same counts."""
    engine = Engine(POOL, GROUP, free_inputs(), 240.0)
    steps: Any = [SimpleNamespace(parts=one, counts=PatternStep(2)) for one in order]
    monkeypatch.setattr(Engine, "steps", lambda self, shape, pattern: steps)
    assert "".join(str(one.parts) for one in engine.distinct_steps(JOG, None)) == left
    steps[-1].counts = PatternStep(4)
    told = engine.distinct_steps(JOG, None)
    assert len(told) == len(order)  # other counts in the last step: no half equals the other
