"""What is said of a form, a pool and a song: words and borders, worked by hand.

Thresholds are those of ``feasibility/data/thresholds.toml`` (each with its reason there).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import DEEP, GROUP, POOL, catalogue_forms, form

from aquatempo.errors import InputError, RangeError
from aquatempo.feasibility import (
    Fit,
    depths_on_group,
    fit_track,
    free_inputs,
    judge,
    judge_forms,
)
from aquatempo.feasibility.advising import advice_for
from aquatempo.feasibility.engine import steps_of
from aquatempo.feasibility.judging import impact_band, rating_of
from aquatempo.feasibility.rules import depth_fit, standing_of, trunk_decides
from aquatempo.feasibility.sample import Sample, sample_of
from aquatempo.moves import parse_pattern
from aquatempo.records.limbs import Plane
from aquatempo.records.moves import ImpactLevel, MoveForm, MoveKind, Travel
from aquatempo.records.people import ClassDepth, Group, Pool, Sex
from aquatempo.records.verdict import ImpactBand, Rating

YOUNG = Group(age_years=(20.0, 40.0))
CHEST = Pool(depth_m=1.05)
TWO = parse_pattern("2")


@pytest.mark.parametrize(
    ("kept", "rpe", "rating"),
    [
        (0.95, 16.9, Rating.FULL),
        (0.95, 17.0, Rating.FULL_HARD),
        (1.0, 20.0, Rating.FULL_HARD),
        (0.94, 20.0, Rating.A_LITTLE_SHORT),
        (0.80, 6.0, Rating.A_LITTLE_SHORT),
        (0.79, 6.0, Rating.SHORT),
        (0.50, 6.0, Rating.SHORT),
        (0.49, 6.0, Rating.LOST),
    ],
)
def test_ratings_change_at_their_borders(kept: float, rpe: float, rating: Rating) -> None:
    """0.95, 0.80 and 0.50 of the range; very hard from 17 on Borg's scale."""
    assert rating_of(kept, rpe) is rating


@pytest.mark.parametrize(
    ("impact_bw", "band"),
    [
        (-1.0, ImpactBand.NONE), (0.0, ImpactBand.NONE), (0.01, ImpactBand.LOW),
        (0.75, ImpactBand.LOW), (0.76, ImpactBand.MEDIUM), (1.25, ImpactBand.MEDIUM),
        (1.26, ImpactBand.HIGH),
    ],
)  # fmt: skip
def test_landings_have_their_bands(impact_bw: float, band: ImpactBand) -> None:
    """Up to 0.75 and 1.25 body weights; nothing without a landing."""
    assert impact_band(impact_bw) is band


@pytest.mark.parametrize(
    ("tempo_bpm", "fit", "speed", "reason"),
    [
        (125.0, Fit.SUITS, 1.0, "125 lies in 125-150 for shallow"),
        (150.0, Fit.SUITS, 1.0, "150 lies in 125-150 for shallow"),
        (151.0, Fit.WITH_CHANGES, 150 / 151,
         "151 is at the edge of 125-150 for shallow: play it 0.7 % slower"),
        (124.0, Fit.WITH_CHANGES, 125 / 124,
         "124 is at the edge of 125-150 for shallow: play it 0.8 % faster"),
        (156.0, Fit.WITH_CHANGES, 150 / 156,
         "156 is above 125-150 for shallow: play it 3.8 % slower"),
        (157.0, Fit.WITH_CHANGES, 150 / 157,
         "157 is above 125-150 for shallow: play it 4.5 % slower, which is heard"),
        (120.5, Fit.WITH_CHANGES, 125 / 120.5,
         "120 is below 125-150 for shallow: play it 3.7 % faster"),
        (116.0, Fit.WITH_CHANGES, 125 / 116,
         "116 is below 125-150 for shallow: play it 7.8 % faster, which is heard"),
        (164.0, Fit.NOT, 1.0, "164 is above 125-150 for shallow, too far to play it slower:"
         " another song, or this one for half water tempo"),
        (115.0, Fit.NOT, 1.0, "115 is below 125-150 for shallow, too far to play it faster:"
         " another song, or this one for a cool-down or stretch"),
        (30.0, Fit.NOT, 1.0, "30 is below 125-150 for shallow, too far to play it faster:"
         " another song, or this one for a cool-down or stretch"),
    ],
)  # fmt: skip
def test_songs_in_at_and_out_of_a_range(
    tempo_bpm: float, fit: Fit, speed: float, reason: str
) -> None:
    """Within, within a hundredth, up to 4 % unheard, up to 8 % heard, and too far."""
    found = fit_track(tempo_bpm, CHEST, YOUNG, moves=("jog", "leg-curl"))
    assert (found.fit, found.reason, found.range_bpm) == (fit, reason, (125.0, 150.0))
    assert found.speed == pytest.approx(speed)


def test_moves_that_keep_and_lose_range_are_those_of_the_verdicts() -> None:
    """Full from 0.95, short under 0.80, trunk moves in neither; one in two may be short."""
    for pool, kinds in ((POOL, {MoveKind.BASE}), (DEEP, {MoveKind.BASE, MoveKind.DEEP_ONLY})):
        found = fit_track(132.0, pool, GROUP)
        shapes = [one for one in catalogue_forms(pool.kind) if one.move.kind in kinds]
        grid = judge_forms(shapes, [TWO], [132.0], pool, GROUP)
        names = [one.move.name for one in shapes if not trunk_decides(one)]
        kept = [grid.range_kept[i, 0, 0, 1] for i, one in enumerate(shapes)
                if not trunk_decides(one)]  # fmt: skip
        assert found.full == tuple(n for n, k in zip(names, kept, strict=True) if k >= 0.95)
        assert found.short == tuple(n for n, k in zip(names, kept, strict=True) if k < 0.80)
    old = Group(age_years=(75.0, 85.0))
    alone, half = (fit_track(125.0, CHEST, old, m) for m in (("leap",), ("leap", "march")))
    assert alone.reason == "1 of 1 moves lose range in water tempo"
    assert (alone.fit, half.fit) == (Fit.WITH_CHANGES, Fit.SUITS)
    assert fit_track(240.5, CHEST, YOUNG).full == fit_track(39.0, CHEST, YOUNG).short == ()
    assert (
        fit_track(240.0, CHEST, YOUNG, ("march",)).full
        + fit_track(40.0, CHEST, YOUNG, ("march",)).full
    )


def people_in(pool: Pool, group: Group = GROUP) -> Sample:
    """Return the usual sample of a group in a pool."""
    return sample_of(group, pool, free_inputs())


JACK = form("jack")


def said(pool: Pool, shape: MoveForm = JACK) -> tuple[str, tuple[str, ...]]:
    """Return what forbids a form in a pool and what is to be minded."""
    found = standing_of(shape, pool, people_in(pool), 20)
    return found.forbidden, tuple(c for c in found.cautions if c not in shape.cautions)


@pytest.mark.parametrize(
    ("pool", "others", "forbidden", "cautions"),
    [
        (POOL, {}, "", ()),
        (replace(POOL, temperature_c=34.0), {}, "", ()),
        (replace(POOL, temperature_c=34.1), {}, "",
         ("water above 34 degrees: no aerobic work",)),
        (replace(POOL, temperature_c=28.0), {}, "", ()),
        (replace(POOL, temperature_c=27.9), {}, "",
         ("water below 28 degrees: longer warm-up, larger moves",)),
        (replace(POOL, far_depth_m=1.25), {}, "",
         ("sloping floor: tall people stand deeper, short people shallower",)),
        (replace(POOL, space_m2=4.0), {"space": 4.0}, "", ()),
        (replace(POOL, space_m2=3.5), {"space": 4.0}, "",
         ("space: 4 m2 each, here 3.5; keep arms short and stagger the rows",)),
        (replace(POOL, space_m2=3.5), {"space": 4.0, "travel": Travel.BACK},
         "space: travelling needs 4 m2 each, here 3.5", ()),
        (POOL, {"equipment_area_m2": 0.01}, "",
         ("plates at the hands load the shoulders: slower, smaller, no jerk",)),
        (POOL, {"equipment_buoyancy_n": 3.0}, "",
         ("floats pull up: press down slowly, not for sore shoulders or weak grip",)),
        (POOL, {"level": ImpactLevel.GROUNDED, "levels": (ImpactLevel.I,)},
         "balance: not taught at level grounded", ()),
        (POOL, {"depths": (ClassDepth.DEEP,)}, "depth: needs deep water and a belt", ()),
        (DEEP, {"depths": (ClassDepth.SHALLOW,)}, "depth: needs the floor", ()),
        (DEEP, {"level": ImpactLevel.GROUNDED, "levels": (ImpactLevel.I,)}, "", ()),
        (replace(POOL, space_m2=1.0),
         {"space": 4.0, "travel": Travel.BACK, "depths": (ClassDepth.DEEP,)},
         "depth: needs deep water and a belt", ()),
    ],
)  # fmt: skip
def test_what_a_pool_says_of_a_form(
    pool: Pool, others: dict[str, object], forbidden: str, cautions: tuple[str, ...]
) -> None:
    """Heat, slope, room, what is held, levels and depths; of two that forbid the first."""
    own = dict(others)
    move = replace(JACK.move, space_m2=own.pop("space", 1.0))  # type: ignore[arg-type]
    for key in ("levels", "depths"):
        if key in own:
            move = replace(move, **{key: own.pop(key)})  # type: ignore[arg-type]
    told = said(pool, replace(JACK, move=move, **own))  # type: ignore[arg-type]
    assert told == (forbidden, cautions)


@pytest.mark.parametrize(
    ("depth_m", "level", "levels", "remedy"),
    [
        (1.0, "I", ("I", "II", "grounded"), "bend the knees (level II)"),
        (1.0, "I", ("I", "grounded"), "a foot stays on the floor (grounded)"),
        (1.0, "II", ("II", "grounded"), "a foot stays on the floor (grounded)"),
        (1.0, "grounded", ("I", "grounded"), "smaller, without a jump"),
        (1.0, "II", ("I", "II"), "smaller, without a jump"),
        (1.5, "I", ("I", "III"), "off the floor (level III)"),
        (1.5, "I", ("I",), "hands scull for balance"),
        (1.5, "III", ("I", "III"), "hands scull for balance"),
    ],
)
def test_depths_come_with_their_remedy(
    depth_m: float, level: str, levels: tuple[str, ...], remedy: str
) -> None:
    """How many, how deep nine in ten stand right, and what else helps."""
    move = replace(JACK.move, levels=tuple(map(ImpactLevel, levels)))
    pool = Pool(depth_m=depth_m)
    people = people_in(pool)
    marks = people.bodies.landmarks_m
    found = depth_fit(replace(JACK, move=move, level=ImpactLevel(level)), pool, people, 20)
    low = depth_m < 1.2
    share = found.too_shallow if low else found.too_deep
    mark = marks[move.min_depth if low else move.max_depth][: people.people]
    where = float(np.quantile(mark, 0.9 if low else 0.1))
    word, side = ("shallow", "more") if low else ("deep", "less")
    of = f"{max(round(share * 20), 1)} of 20"
    assert found.advice == f"too {word} for {of}: {where:.2f} m or {side}, or {remedy}"
    assert found.too_shallow + found.right + found.too_deep == pytest.approx(1.0)


def test_who_can_stand_with_a_belt_is_told() -> None:
    """In 1.6 m some can; a pool over the heads of all says nothing; none is one at least."""
    shallow = replace(DEEP, depth_m=1.6)
    found = depth_fit(form("jog", ClassDepth.DEEP), shallow, people_in(shallow), 20)
    some = round(found.too_shallow * 20)
    assert found.advice == f"{some} of 20 can stand here: knees up, or further out"
    assert depth_fit(form("jog", ClassDepth.DEEP), DEEP, people_in(DEEP), 20).advice == ""
    few = replace(DEEP, depth_m=1.585)
    told = depth_fit(form("jog", ClassDepth.DEEP), few, people_in(few), 1)
    assert told.advice.startswith("1 of 1 can stand") or told.too_shallow <= 0.025


def test_a_landmark_that_is_none_is_told() -> None:
    """With those that are known."""
    odd = replace(JACK, move=replace(JACK.move, min_depth="belly"))
    with pytest.raises(InputError, match="no landmark 'belly': known are "):
        depth_fit(odd, POOL, people_in(POOL), 20)


@pytest.mark.parametrize(
    ("plane", "kind", "decides"),
    [
        (Plane.TRANSVERSE, MoveKind.BASE, True),
        (Plane.TRANSVERSE, MoveKind.ARMS_ONLY, False),
        (Plane.FRONTAL, MoveKind.BASE, False),
    ],
)
def test_the_trunk_decides_what_turns_it(plane: Plane, kind: MoveKind, decides: bool) -> None:
    """Moves of the transverse plane, but for arms alone."""
    assert trunk_decides(replace(JACK, move=replace(JACK.move, plane=plane, kind=kind))) is decides


@pytest.mark.parametrize(
    ("tempo_bpm", "limit_bpm", "told"),
    [
        (130.0, 127.4, "slow the song by 2.0% to 127 bpm"),
        (130.0, 124.9, "slow the song by 3.9% to 125 bpm"),
        (130.0, 123.5, "slow the song by 5.0% to 124 bpm; the change is heard"),
        (130.0, 119.7, "slow the song by 7.9% to 120 bpm; the change is heard"),
        (130.0, 119.0, None),
        (130.0, 130.0, None),
        (130.0, 140.0, None),
        (130.0, None, None),
    ],
)
def test_a_song_is_slowed_up_to_8_percent(
    tempo_bpm: float, limit_bpm: float | None, told: str | None
) -> None:
    """To the limit, where that lies a little below."""
    found = advice_for(JACK, "4", tempo_bpm, limit_bpm, POOL, GROUP, free_inputs())
    speeds = [one.words for one in found if one.kind == "song speed"]
    assert speeds == ([told] if told else [])
    assert "tempo option" not in [one.kind for one in found]  # four counts are the slowest


def test_a_verdict_tells_the_figures_of_the_grid() -> None:
    """Each figure of a verdict is that of the grid at its place; movements a minute by counts."""
    pattern = parse_pattern("1+1h-2")
    verdict = judge(JACK, pattern, 140.0, POOL, GROUP)
    grid = judge_forms([JACK], [pattern], [140.0], POOL, GROUP)
    for name in ("range_kept", "met", "rpe"):
        band = getattr(verdict, name)
        own = getattr(grid, name)[0, 0, 0].tolist()
        assert [band.low, band.median, band.high] == own, name
    for name in ("met_model", "rpe_model", "held_s", "full_held_s"):
        assert list(getattr(verdict, name)) == getattr(grid, name)[0, 0, 0].tolist(), name
    for name in ("full_share", "odds", "lost_share", "heart_rate_bpm", "hand_force_n",
                 "foot_force_n", "legs_kept", "arms_kept", "hop_kept"):  # fmt: skip
        assert getattr(verdict, name) == getattr(grid, name)[0, 0, 0], name
    assert verdict.travel_kept is None
    assert verdict.capacity_share == (
        grid.capacity_share[0, 0, 0], grid.capacity_less_fit[0, 0, 0],
    )  # fmt: skip
    assert [verdict.impact_bw, verdict.impact_most_bw] == grid.impact_bw[0, 0, 0].tolist()
    assert verdict.movements_per_minute == (70.0, 70.0)
    assert verdict.full_of == (round(20 * verdict.full_share), 20)
    assert list(verdict.limit.people_bpm) == grid.limit_people_bpm[0, 0].tolist()
    assert list(verdict.limit.model_bpm) == grid.limit_model_bpm[0, 0].tolist()
    assert [verdict.limit.low_bpm, verdict.limit.high_bpm] == grid.limit_bpm[0, 0].tolist()
    assert verdict.range_kept.median == pytest.approx(min(verdict.range_kept_by_movement), abs=0.02)
    assert len(verdict.range_kept_by_movement) == len(steps_of(JACK, pattern))
    loads = [one.mean_use for one in verdict.loads]
    assert loads == sorted(loads, reverse=True)


def test_where_water_stands_on_short_middle_and_tall() -> None:
    """Ends and middle of the ranges: women short, men tall, most in the middle; each once."""
    mixed = Group(20, 10, (1.5, 1.9), (30.0, 70.0), (50.0, 90.0))
    found = depths_on_group(Pool(depth_m=1.1, far_depth_m=1.3), mixed)
    assert [one.depth_m for one in found] == [1.1] * 3 + [1.3] * 3
    assert [one.height_m for one in found] == pytest.approx([1.5, 1.7, 1.9] * 2)
    assert [one.sex for one in found[:3]] == [Sex.WOMAN, Sex.WOMAN, Sex.MAN]
    sexes = {n: [one.sex for one in depths_on_group(POOL, replace(mixed, women=n))]
             for n in (0, 9, 20)}  # fmt: skip
    assert sexes == {
        0: [Sex.MAN] * 3, 9: [Sex.WOMAN, Sex.MAN, Sex.MAN], 20: [Sex.WOMAN] * 3,
    }  # fmt: skip
    loads = [one.foot_load_bw for one in found]
    assert loads == sorted(loads[:3]) + sorted(loads[3:])
    assert min(loads[i] - loads[i + 3] for i in range(3)) > 0
    assert len(depths_on_group(POOL, Group(1, 1, (1.7, 1.7), (40.0, 40.0), (70.0, 70.0)))) == 1
    for depth_m in (0.29, 5.1):
        with pytest.raises(RangeError, match=r"needs 0\.3 to 5 m"):
            depths_on_group(Pool(depth_m=depth_m))
