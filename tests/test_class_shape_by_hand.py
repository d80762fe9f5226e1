"""Parts, effort, sizes and figures of a class, worked by hand from the shares that are promised.

Lengths, ranges and sizes are common practice and judgement, no source, but for the tempo ranges
(an instructors' manual, docs/science.md) and the efforts (Garber 2011).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from planning_forms import form_of

from aquatempo.class_shape.effort import part_ends, wanted_rpe
from aquatempo.class_shape.figures import barred_by, rate
from aquatempo.class_shape.limits import Limits
from aquatempo.class_shape.parts import ClassPart, class_shape, interval_seconds, usual_range_bpm
from aquatempo.class_shape.standards import base_move_count, jump_minutes
from aquatempo.class_shape.themes import factor_weight, theme_key, theme_weight
from aquatempo.errors import UnknownNameError
from aquatempo.feasibility import judge, judge_forms
from aquatempo.feasibility.rules import Standing
from aquatempo.moves import catalogue, parse_pattern
from aquatempo.records.brief import (
    Brief,
    BuildWay,
    Experience,
    Intervals,
    IntervalUnit,
    PartBrief,
    PartName,
)
from aquatempo.records.moves import Factor
from aquatempo.records.people import ClassDepth, Group, Intensity, Pool
from aquatempo.records.rhythm import EnergyLevel
from aquatempo.records.verdict import DepthFit

WARM_UP, MAIN, INTERVALS, COOL_DOWN, STRETCH = PartName
LIMITS = Limits(Experience.REGULAR, (12.0, 15.0), 16.0)
MIDDLE = EnergyLevel.MEDIUM
YOUNG = Group(age_years=(20.0, 40.0))
PLAIN = Brief(group=YOUNG, pool=Pool(depth_m=1.0))


@pytest.mark.parametrize(
    ("part", "share", "rpe"),
    [
        (WARM_UP, 0.0, 8.5),
        (WARM_UP, 0.5, 10.0),  # from 8.5 to half a point under 12
        (WARM_UP, 1.0, 11.5),
        (MAIN, 0.0, 12.0),
        (MAIN, 0.35, 13.5),
        (MAIN, 0.7, 15.0),  # the peak
        (MAIN, 0.85, 14.25),
        (MAIN, 1.0, 13.5),  # the middle of 12 and 15
        (INTERVALS, 0.0, 16.0),  # 15 and 1.5 more, 16 at most
        (INTERVALS, 0.5, 16.0),
        (COOL_DOWN, 0.0, 10.5),
        (COOL_DOWN, 0.5, 9.25),
        (COOL_DOWN, 1.0, 8.0),
        (STRETCH, 0.0, 7.0),
        (STRETCH, 1.0, 7.0),
        (MAIN, 1.2, 13.5),  # a block that runs over keeps the end
    ],
)
def test_effort_runs_in_straight_lines(part: PartName, share: float, rpe: float) -> None:
    """A class of 12 to 15, at most 16, to music of middling energy."""
    assert wanted_rpe(part, share, MIDDLE, LIMITS) == pytest.approx(rpe)


@pytest.mark.parametrize(
    ("part", "own", "ends"),
    [
        (WARM_UP, (9.0, 13.0), [9.0, 13.0]),
        (WARM_UP, (13.0, 9.0), [9.0, 9.0]),
        (MAIN, (10.0, 14.0), [10.0, 14.0, 12.0]),
        (INTERVALS, (10.0, 15.5), [15.5, 15.5]),
        (COOL_DOWN, (8.0, 11.0), [11.0, 8.0]),
        (COOL_DOWN, (11.0, 8.0), [11.0, 11.0]),
        (STRETCH, (8.0, 9.0), [7.0, 7.0]),
    ],
)
def test_a_part_with_an_effort_of_its_own(
    part: PartName, own: tuple[float, float], ends: list[float]
) -> None:
    """Up in the warm-up, down in the cool-down, both ways kept from going the wrong way."""
    points = part_ends(part, LIMITS, own)
    assert [rpe for _, rpe in points] == ends
    assert (points[0][0], points[-1][0]) == (0.0, 1.0)


def test_intervals_stay_under_the_ceiling_of_a_high_class() -> None:
    """15 and 1.5 are 16.5 where 18 is allowed; a warm-up of a very easy class does not fall."""
    high = replace(LIMITS, max_rpe=18.0)
    assert part_ends(INTERVALS, high) == ((0.0, 16.5), (1.0, 16.5))
    low = replace(LIMITS, rpe=(8.0, 10.0))
    assert part_ends(WARM_UP, low) == ((0.0, 7.5), (1.0, 7.5))
    assert part_ends(COOL_DOWN, low) == ((0.0, 8.0), (1.0, 8.0))


@pytest.mark.parametrize(
    ("part", "energy", "more"),
    [
        (MAIN, EnergyLevel.LOW, -0.7),
        (MAIN, EnergyLevel.HIGH, 0.7),
        (WARM_UP, EnergyLevel.LOW, -0.28),  # four tenths of it
        (WARM_UP, EnergyLevel.HIGH, 0.28),
        (INTERVALS, EnergyLevel.HIGH, 0.0),  # at the ceiling already
        (INTERVALS, EnergyLevel.LOW, -0.28),
    ],
)
def test_a_song_sways_the_effort(part: PartName, energy: EnergyLevel, more: float) -> None:
    """Louder asks for more, in the main part most, never above the ceiling."""
    usual = wanted_rpe(part, 0.2, MIDDLE, LIMITS)
    assert wanted_rpe(part, 0.2, energy, LIMITS) == pytest.approx(usual + more)


@pytest.mark.parametrize(
    ("minutes", "warm", "cool", "stretch"),
    [
        (20.0, 4.0, 3.0, 2.0),  # 0.20, 0.15, 0.10 of a short class
        (29.0, 5.8, 4.3, 2.9),  # 4.35: half to even
        (30.0, 5.4, 5.0, 5.0),  # 0.18 of it; 0.12 would be 3.6, least 5
        (45.0, 8.1, 5.4, 5.0),
        (60.0, 10.0, 7.2, 5.0),  # 10.8 is too much
        (90.0, 10.0, 10.0, 5.0),  # 10.8 as well
    ],
)
def test_usual_parts(minutes: float, warm: float, cool: float, stretch: float) -> None:
    """Shares of the class with their borders; the main part is what is left."""
    parts = {one.name: one.minutes for one in class_shape(replace(PLAIN, minutes=minutes))}
    assert parts[WARM_UP] == pytest.approx(warm, abs=0.051)
    assert parts[COOL_DOWN] == pytest.approx(cool, abs=0.051)
    assert parts[STRETCH] == pytest.approx(stretch)
    assert sum(parts.values()) == pytest.approx(minutes)
    assert list(parts) == [WARM_UP, MAIN, COOL_DOWN, STRETCH]


@pytest.mark.parametrize(("water_c", "warm"), [(28.0, 9.0), (27.9, 11.2), (20.0, 11.2)])
def test_cool_water_makes_the_warm_up_a_quarter_longer(water_c: float, warm: float) -> None:
    """0.18 of 50 is 9; below 28 degrees 11.25."""
    cool = replace(PLAIN, minutes=50.0, pool=Pool(depth_m=1.0, temperature_c=water_c))
    assert class_shape(cool)[0].minutes == pytest.approx(warm)


@pytest.mark.parametrize(
    ("minutes", "warm", "cool"), [(60.0, 10.0, 8.0), (45.0, 10.0, 8.0), (24.0, 7.2, 4.8)]
)
def test_notes_ask_for_longer_ends_within_a_share(minutes: float, warm: float, cool: float) -> None:
    """The heart asks for 10 and 8 minutes, at most 0.3 and 0.2 of a class."""
    parts = class_shape(replace(PLAIN, minutes=minutes, group_notes=("heart",)))
    told = {one.name: one.minutes for one in parts}
    assert (told[WARM_UP], told[COOL_DOWN]) == pytest.approx((warm, cool))


def test_intervals_take_their_time_and_a_part_without_time_is_none() -> None:
    """Four sets of 3 phrases of 32 counts at 135 b/min: 4 x 96 x 60 / 135 s = 170.7 s, 2.8 min."""
    assert interval_seconds(Intervals()) == pytest.approx(4 * 96 * 60 / 135)
    assert interval_seconds(Intervals(), 120.0) == pytest.approx(192.0)
    assert interval_seconds(Intervals(40, 20, 8, IntervalUnit.SECONDS), 99.0) == 480.0
    asked = replace(PLAIN, minutes=45.0, intervals=Intervals())
    names = [(one.name, one.minutes) for one in class_shape(asked)]
    assert names == [
        (WARM_UP, 8.1), (MAIN, 23.7), (INTERVALS, 2.8), (COOL_DOWN, 5.4), (STRETCH, 5.0),
    ]  # fmt: skip
    long = Intervals(600, 0, 2, IntervalUnit.SECONDS)
    full = class_shape(replace(PLAIN, minutes=28.0, intervals=long))
    assert MAIN not in [one.name for one in full]


@pytest.mark.parametrize(
    ("name", "depth", "span"),
    [
        (WARM_UP, ClassDepth.SHALLOW, (115.0, 130.0)),
        (MAIN, ClassDepth.SHALLOW, (125.0, 150.0)),
        (INTERVALS, ClassDepth.SHALLOW, (125.0, 145.0)),
        (COOL_DOWN, ClassDepth.SHALLOW, (50.0, 100.0)),
        (STRETCH, ClassDepth.DEEP, (50.0, 100.0)),
        (MAIN, ClassDepth.DEEP, (100.0, 135.0)),
        (INTERVALS, ClassDepth.DEEP, (125.0, 135.0)),
    ],
)
def test_usual_ranges(name: PartName, depth: ClassDepth, span: tuple[float, float]) -> None:
    """Young people; intervals 10 about 135, within what the depth has."""
    assert usual_range_bpm(name, replace(PLAIN, depth=depth)) == span
    old = replace(PLAIN, group=Group(age_years=(70.0, 90.0)))
    assert usual_range_bpm(INTERVALS, old) == (115.0, 125.0)


@pytest.mark.parametrize(
    ("name", "span", "hard", "working"),
    [
        (MAIN, (125.0, 150.0), False, 137.5),
        (MAIN, (125.0, 150.0), True, 126.0),
        (MAIN, (130.0, 150.0), True, 130.0),
        (MAIN, (100.0, 120.0), True, 110.0),
        (COOL_DOWN, (50.0, 100.0), False, 90.0),
        (STRETCH, (90.0, 100.0), False, 90.0),
        (STRETCH, (50.0, 90.0), False, 90.0),
        (STRETCH, (91.0, 101.0), False, 96.0),
        (COOL_DOWN, (60.0, 80.0), False, 70.0),
        (WARM_UP, (80.0, 100.0), False, 90.0),
        (WARM_UP, (60.0, 100.0), False, 80.0),
    ],
)
def test_the_tempo_that_suits_a_part(
    name: PartName, span: tuple[float, float], hard: bool, working: float
) -> None:
    """The middle; 90 for the end of a class; hard work no faster than land tempo keeps."""
    assert ClassPart(name, 9.0, span, BuildWay.LINEAR, hard=hard).working_bpm == working


def test_parts_of_a_brief_are_settled() -> None:
    """Own ranges and ways are kept, that of the class is its main part's; hard from 15.5."""
    own = (
        PartBrief(WARM_UP, 7.0, (110.0, 120.0)),
        PartBrief(MAIN, 30.0, rpe=(13.0, 15.5)),
        PartBrief(MAIN, 3.0, rpe=(13.0, 15.4), build=BuildWay.BLOCK),
        PartBrief(INTERVALS, 3.0, rpe=(14.0, 17.0)),
    )
    warm, main, block, work = class_shape(replace(PLAIN, parts=own, build=BuildWay.LAYER))
    assert (warm.own_range, warm.tempo_bpm, warm.build) == (True, (110, 120), BuildWay.LINEAR)
    assert (main.own_range, main.build, main.hard) == (False, BuildWay.LAYER, True)
    assert (block.build, block.hard, work.hard) == (BuildWay.BLOCK, False, False)
    assert (main.rpe, warm.rpe) == ((13.0, 15.5), None)
    usual = class_shape(replace(PLAIN, group=replace(YOUNG, intensity=Intensity.HARD)))
    assert [one.hard for one in usual] == [False, True, False, False]


@pytest.mark.parametrize(
    ("intensity", "own", "minutes"),
    [
        (Intensity.EASY, 6.0, 0.0),
        (Intensity.STEADY, 6.0, 2.0),
        (Intensity.HARD, 6.0, 5.0),
        (Intensity.HARD, 1.5, 1.5),
    ],
)
def test_minutes_of_jumps(intensity: Intensity, own: float, minutes: float) -> None:
    """By intensity, at most what the instructor shows; half a minute for older groups."""
    brief = replace(PLAIN, group=replace(YOUNG, intensity=intensity), jump_minutes=own)
    assert jump_minutes(brief, LIMITS) == minutes
    assert jump_minutes(brief, replace(LIMITS, older=True)) == min(minutes, 0.5)
    assert jump_minutes(replace(brief, depth=ClassDepth.DEEP), LIMITS) == 0.0
    for new in (Experience.FIRST_WEEK, Experience.BEGINNERS):
        assert jump_minutes(brief, replace(LIMITS, experience=new)) == 0.0


@pytest.mark.parametrize(
    ("experience", "minutes", "older", "moves"),
    [
        (Experience.FIRST_WEEK, 45.0, False, 4),
        (Experience.FIRST_WEEK, 90.0, True, 4),
        (Experience.BEGINNERS, 45.0, False, 5),
        (Experience.BEGINNERS, 45.0, True, 5),
        (Experience.REGULAR, 45.0, False, 8),
        (Experience.REGULAR, 45.0, True, 7),
        (Experience.TRAINED, 45.0, True, 9),
        (Experience.REGULAR, 59.0, False, 8),  # 14 minutes more are none
        (Experience.REGULAR, 60.0, False, 9),
        (Experience.REGULAR, 80.0, False, 10),
        (Experience.REGULAR, 30.0, False, 8),  # half a move less: 0 to even
        (Experience.REGULAR, 20.0, False, 7),
        (Experience.TRAINED, 1.0, False, 9),  # 44 minutes less: 1.47, one
        (Experience.BEGINNERS, 1.0, False, 4),
    ],
)
def test_how_many_base_moves(
    experience: Experience, minutes: float, older: bool, moves: int
) -> None:
    """By what they know: one more for 15 minutes over 45, one less for 30 under it."""
    limits = replace(LIMITS, experience=experience, older=older)
    assert base_move_count(replace(PLAIN, minutes=minutes), limits) == moves
    wanted = replace(PLAIN, minutes=minutes, wanted_moves=("jog",) * 12)
    assert base_move_count(wanted, limits) == 12


@pytest.mark.parametrize(
    ("shallow", "right", "deep", "forbidden", "told"),
    [
        (0.3, 0.5, 0.2, "", ""),
        (0.3, 0.49, 0.21, "", "depth: too shallow"),
        (0.2, 0.4, 0.4, "", "depth: too deep"),
        (0.3, 0.4, 0.3, "", "depth: too deep"),
        (0.0, 1.0, 0.0, "space: no", "space: no"),
        (0.9, 0.1, 0.0, "space: no", "space: no"),
    ],
)
def test_what_bars_a_form(
    shallow: float, right: float, deep: float, forbidden: str, told: str
) -> None:
    """What forbids it first, then a depth that is right for fewer than half."""
    standing = Standing(forbidden, (), DepthFit(shallow, right, deep, ""))
    assert barred_by(standing) == told


def test_figures_are_those_of_the_verdict() -> None:
    """Range, effort, how long and whether it is rated; works hard from half of what is held."""
    forms = [form_of("cross-country-ski"), form_of("twist"), form_of("quad-stretch")]
    pool, group, two = Pool(), Group(), parse_pattern("2")
    found = rate(forms, [30.0, 130.0, 160.0], pool, group, two)
    grid = judge_forms(forms, [two], [40.0, 130.0, 160.0], pool, group)
    for i, row in enumerate(found):
        assert [one.kept for one in row] == grid.range_kept[i, 0, :, 1].tolist()
        assert [one.met for one in row] == grid.met[i, 0, :, 1].tolist()
        assert [one.rpe for one in row] == grid.rpe[i, 0, :, 1].tolist()
        assert [one.held_s for one in row] == grid.held_s[i, 0, :, 1].tolist()
        assert [one.rated for one in row] == [bool(grid.rated[i, 0])] * 3
    assert not found[1][0].rated
    for tempo, one in zip((130.0, 160.0), found[0][1:], strict=True):
        verdict = judge(forms[0], two, tempo, pool, group)
        assert one.impact is verdict.impact_of_most
        strained = {load.muscle for load in verdict.loads if load.peak_use > 0.7}
        assert (one.rpe < 12.5 and not one.hard) or strained <= set(one.hard)
    assert found[0][0].hard == ()
    assert [one.hard for one in found[2]] == [(), (), ()]
    assert rate([], [120.0], pool, group) == []
    assert rate(forms, [], pool, group) == [[], [], []]


def test_themes_weigh_moves_and_variations() -> None:
    """A share of a move's muscles, a whole for a move by name, never more than one a theme."""
    ski, jog = catalogue().move("cross-country-ski"), catalogue().move("jog")
    assert theme_key(" LEGS ") == theme_key("lower body") == "legs"
    with pytest.raises(UnknownNameError, match="no theme named 'lags'"):
        theme_key("lags")
    assert theme_weight((), ski) == 0.0
    for move in (ski, jog):
        assert 0.0 <= theme_weight(("legs",), move) <= 1.0
        both = theme_weight(("legs", "core"), move)
        assert math.isclose(both, theme_weight(("legs",), move) + theme_weight(("core",), move))
    assert factor_weight(("travel",), Factor.TRAVEL, "forward") == 1.0
    assert factor_weight(("travel", "travel"), Factor.TRAVEL, "back") == 2.0
    assert factor_weight(("travel",), Factor.HANDS, "open") == 0.0
    assert np.isclose(factor_weight((), Factor.TRAVEL, "back"), 0.0)
