"""Single verdicts: words, cautions, advice and figures that a person reads."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import DEEP, GROUP, HALF, LAND, POOL, WATER_TEMPO, form

from aquatempo.errors import InputError, RangeError
from aquatempo.feasibility import depths_on_group, judge, judge_forms, range_curve
from aquatempo.feasibility.judging import rating_of
from aquatempo.moves import catalogue, parse_pattern, resolve
from aquatempo.records.moves import Factor, ImpactLevel, Variation
from aquatempo.records.origin import Origin
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.verdict import Rating


def test_a_ski_at_land_tempo_is_told_to_use_water_tempo_first() -> None:
    """Advice comes in order: tempo option first; the limit and the joint are named."""
    verdict = judge(form("cross-country-ski"), LAND, 145.0, POOL, GROUP)
    assert verdict.rating is Rating.LOST
    assert verdict.beat_lost
    assert verdict.limited_by.startswith("hip")
    assert [advice.kind for advice in verdict.advice][:2] == ["tempo option", "variation"]
    assert "water tempo" in verdict.advice[0].words
    assert verdict.torque_peak_nm < verdict.capacity_nm
    assert 0 < verdict.torque_mean_nm < verdict.torque_peak_nm


def test_the_song_is_slowed_only_by_a_little() -> None:
    """A tempo 3 % over the limit is advised down freely, 6 % with a warning, 20 % not at all."""
    limit = judge(form("jack"), WATER_TEMPO, 132.0, POOL, GROUP).max_full_range_tempo_bpm
    assert limit is not None
    words = []
    for over in (1.03, 1.065, 1.2):
        verdict = judge(form("jack"), WATER_TEMPO, limit * over, POOL, GROUP)
        words.append([a.words for a in verdict.advice if a.kind == "song speed"])
    assert "heard" not in words[0][0]
    assert "heard" in words[1][0]
    assert words[2] == []


def test_full_range_needs_no_advice() -> None:
    """A move with full range has no advice, and says that nothing limits it."""
    verdict = judge(form("leg-curl"), WATER_TEMPO, 126.0, POOL, GROUP)
    assert verdict.rating is Rating.FULL
    assert verdict.advice == ()
    assert verdict.limited_by == "nothing at this tempo"


@pytest.mark.parametrize(
    ("kept", "rating"),
    [(1.0, Rating.FULL), (0.95, Rating.FULL), (0.949, Rating.A_LITTLE_SHORT),
     (0.80, Rating.A_LITTLE_SHORT), (0.79, Rating.SHORT), (0.49, Rating.LOST)],
)  # fmt: skip
def test_words_change_at_the_thresholds(kept: float, rating: Rating) -> None:
    """Ratings change just inside and outside 0.95, 0.80 and 0.50 of full range."""
    assert rating_of(kept) is rating


def test_a_move_that_needs_the_floor_is_refused_in_deep_water() -> None:
    """Depth forbids by name: rocking horse in deep water, a bicycle in shallow, a jack at 0.9 m."""
    assert (
        judge(form("rocking-horse"), WATER_TEMPO, 126.0, DEEP).limited_by
        == "depth: needs the floor"
    )
    bicycle = resolve(catalogue().move("bicycle"), None, ClassDepth.SHALLOW)
    assert "deep water" in judge(bicycle, WATER_TEMPO, 126.0, POOL).limited_by
    low = judge(form("jack"), WATER_TEMPO, 126.0, Pool(depth_m=0.9))
    assert (low.rating, low.limited_by) == (Rating.NOT_FEASIBLE, "depth: too shallow")
    deep = judge(form("jog"), WATER_TEMPO, 126.0, Pool(depth_m=1.7))
    assert deep.limited_by == "depth: too deep"


def test_a_slope_lets_people_choose_and_widens_the_band() -> None:
    """On a slope of 1.0 to 1.4 m hardly anybody lacks water for a jack, at 1.0 m some do."""
    flat = judge(form("jack"), WATER_TEMPO, 132.0, Pool(depth_m=1.0))
    slope = judge(form("jack"), WATER_TEMPO, 132.0, Pool(depth_m=1.0, far_depth_m=1.4))
    assert flat.depth.too_shallow > 0.1
    assert slope.depth.too_shallow < 0.01
    assert any("sloping" in caution for caution in slope.cautions)


@pytest.mark.parametrize("key", ["twist", "mogul"])
def test_trunk_moves_get_demand_and_caution_but_no_rating(key: str) -> None:
    """Twist and mogul are not rated: no published trunk capacity; they carry a caution."""
    verdict = judge(form(key), WATER_TEMPO, 120.0, POOL, GROUP)
    assert verdict.rating is Rating.NOT_RATED
    assert verdict.torque_peak_nm > 0
    assert any("trunk" in caution for caution in verdict.cautions)


def test_levels_change_impact_and_foot_load() -> None:
    """Level I lands, II carries without impact, III carries nothing and asks for sculling."""
    verdicts = {}
    for option in ("II", "III"):
        varied = form("jack", ClassDepth.SHALLOW, (Factor.LEVEL, option))
        verdicts[option] = judge(varied, WATER_TEMPO, 126.0, POOL, GROUP)
    one = judge(form("jack"), WATER_TEMPO, 126.0, POOL, GROUP)
    assert one.impact_bw > one.foot_load_bw > 0
    assert verdicts["II"].impact_bw == 0.0
    assert 0 < verdicts["II"].foot_load_bw < one.foot_load_bw
    assert verdicts["III"].foot_load_bw == 0.0
    assert any("scull" in caution for caution in verdicts["III"].cautions)


def test_power_lands_harder_and_waist_depth_harder_still() -> None:
    """Pushing off harder raises the impact; so does shallower water."""
    power = form("jog", ClassDepth.SHALLOW, (Factor.LEVEL, "power"))
    women = Group(10, 10, (1.58, 1.68))
    chest, waist = Pool(depth_m=1.15), Pool(depth_m=1.0)
    easy = judge(form("jog"), WATER_TEMPO, 120.0, chest, women).impact_bw
    assert judge(power, WATER_TEMPO, 120.0, chest, women).impact_bw > easy
    assert judge(form("jog"), WATER_TEMPO, 120.0, waist, women).impact_bw > easy


def test_open_hands_and_more_range_cost_more() -> None:
    """Opening the hands raises the effort of a jack; a small range lowers it."""
    base, hands, small = (
        judge(
            form("jack", ClassDepth.SHALLOW, *changes), WATER_TEMPO, 132.0, POOL, GROUP
        ).met.median
        for changes in ((), ((Factor.HANDS, "open"),), ((Factor.RANGE, "small"),))
    )
    assert small < base < hands


def test_travel_says_what_turning_back_costs() -> None:
    """A travelling move names the counts that turning back takes at the least."""
    verdict = judge(form("walk"), WATER_TEMPO, 120.0, POOL, GROUP)
    assert any("turning back takes at least" in caution for caution in verdict.cautions)


def test_heat_and_cold_are_said() -> None:
    """Above 34 degrees no aerobic work, below 28 a longer warm-up; between, nothing is said."""
    for temperature, words in ((34.5, "no aerobic"), (27.0, "warm-up"), (29.0, None)):
        cautions = judge(form("jog"), WATER_TEMPO, 120.0, Pool(temperature_c=temperature)).cautions
        assert any((words or "degrees") in caution for caution in cautions) is (words is not None)


def test_patterns_tell_each_movement_and_the_worst_decides() -> None:
    """2-2-4 reports a cadence and a range for each step, and keeps that of the worst."""
    verdict = judge(form("cross-country-ski"), parse_pattern("2-2-4"), 180.0, POOL, GROUP)
    assert set(verdict.movements_per_minute) == {90.0, 45.0}
    assert len(verdict.range_kept_by_movement) == len(verdict.movements_per_minute)
    assert min(verdict.range_kept_by_movement) == pytest.approx(verdict.range_kept.median, abs=0.03)


def test_every_figure_says_where_it_comes_from() -> None:
    """Origins tell published strength from filled rows, and estimates from common practice."""
    knee = dict(
        judge(form("leg-curl", ClassDepth.SHALLOW, (Factor.ARMS, "still")), LAND, 120.0).origins
    )
    jack = dict(judge(form("jack"), LAND, 120.0).origins)
    assert knee["capacity"] is Origin.PUBLISHED
    assert jack["capacity"] is Origin.ESTIMATED
    assert jack["range_kept"] is Origin.ESTIMATED
    assert jack["full excursion"] is Origin.COMMON_PRACTICE


def test_the_grid_and_the_single_verdict_agree() -> None:
    """Judge and judge_forms give the same range, effort and limit."""
    forms = [form("jack"), form("walk")]
    grid = judge_forms(forms, [LAND, HALF], [120.0, 140.0], POOL, GROUP)
    verdict = judge(forms[1], HALF, 140.0, POOL, GROUP)
    assert verdict.range_kept.median == pytest.approx(float(grid.range_kept[1, 1, 1, 1]))
    assert verdict.met.median == pytest.approx(float(grid.met[1, 1, 1, 1]))


def test_range_curves_fall_and_stay_in_order() -> None:
    """A curve over tempo falls, weak below median below strong, one value a tempo."""
    curve = range_curve(form("front-kick"), LAND, POOL, GROUP)
    assert len(curve.tempos_bpm) == len(curve.low) == len(curve.median) == len(curve.high)
    assert np.all(np.diff(curve.median) <= 1e-9)
    assert all(a <= b <= c for a, b, c in zip(curve.low, curve.median, curve.high, strict=True))


@pytest.mark.parametrize(
    ("pool", "group", "tempo", "words"),
    [
        (Pool(depth_m=120.0), Group(), 120.0, "centimetres"),
        (Pool(temperature_c=84.0), Group(), 120.0, "Fahrenheit"),
        (Pool(), Group(women=30), 120.0, "women"),
        (Pool(), Group(height_m=(1.9, 1.5)), 120.0, "lower end first"),
        (Pool(), Group(), 300.0, "half or double"),
        (Pool(), Group(), float("nan"), "tempo"),
    ],
)
def test_impossible_input_is_refused(pool: Pool, group: Group, tempo: float, words: str) -> None:
    """Each impossible pool, group or tempo raises with what is needed and the likely slip."""
    with pytest.raises((InputError, RangeError), match=words):
        judge(form("jog"), WATER_TEMPO, tempo, pool, group)


def test_an_unknown_landmark_in_a_move_is_named() -> None:
    """A user's move with a landmark that does not exist raises and lists the known ones."""
    odd = replace(form("jog"), move=replace(form("jog").move, min_depth="belly"))
    with pytest.raises(InputError, match="belly"):
        judge(odd, WATER_TEMPO, 120.0)


def test_moves_without_swings_are_judged() -> None:
    """Standing and breathing has full range, standing effort and no impact."""
    stand = resolve(catalogue().move("stand-and-breathe"), Variation("stand-and-breathe"))
    verdict = judge(replace(stand, level=ImpactLevel.GROUNDED), WATER_TEMPO, 100.0, POOL, GROUP)
    assert verdict.range_kept.median == pytest.approx(1.0, abs=0.005)
    assert verdict.impact_bw == 0.0
    assert verdict.met.median < 2.5


def test_equipment_costs_and_cautions() -> None:
    """Plates at the hands raise effort and torque of arm work, with a caution; so do floats."""
    press = form("arm-press")
    plates = replace(press, equipment_area_m2=0.03)
    floats = replace(press, equipment_buoyancy_n=20.0)
    plain = judge(press, WATER_TEMPO, 120.0, POOL, GROUP)
    heavy = judge(plates, WATER_TEMPO, 120.0, POOL, GROUP)
    assert heavy.met.median > plain.met.median
    assert heavy.torque_peak_nm > plain.torque_peak_nm
    assert any("shoulders" in caution for caution in heavy.cautions)
    assert any("floats" in c for c in judge(floats, WATER_TEMPO, 120.0, POOL, GROUP).cautions)


def test_a_deep_class_needs_deep_water() -> None:
    """Hanging free is refused where most of the group could stand."""
    shallow_deep = Pool(depth_m=1.2, kind=ClassDepth.DEEP)
    verdict = judge(form("jack", ClassDepth.DEEP), WATER_TEMPO, 120.0, shallow_deep)
    assert verdict.limited_by == "depth: too shallow"
    assert any("can stand here" in caution for caution in verdict.cautions)


def test_depth_is_told_on_each_person() -> None:
    """1.2 m is transitional on the shortest and shallow on the tallest of the default group."""
    people = sorted(depths_on_group(POOL, GROUP), key=lambda person: person.height_m)
    assert (people[0].kind, people[0].landmark) == ("transitional", "armpit")
    assert (people[-1].kind, people[-1].landmark) == ("shallow", "navel")
    assert people[0].foot_load_bw < people[-1].foot_load_bw


def test_travel_needs_room_and_standing_moves_a_word() -> None:
    """Where each has 1.5 m2, travelling is refused for space; in place there is a caution."""
    pool = Pool(space_m2=1.5)
    moves = catalogue()
    walk = judge(resolve(moves.move("walk")), None, 120.0, pool)
    assert walk.rating is Rating.NOT_FEASIBLE
    assert walk.limited_by == "space: travelling needs 2 m2 each, here 1.5"
    jack = judge(resolve(moves.move("jack")), None, 120.0, pool)
    assert jack.rating is Rating.FULL
    assert any(caution.startswith("space: 2 m2 each") for caution in jack.cautions)


def test_very_hard_work_for_the_less_fit_is_said() -> None:
    """Where the less fit work at RPE 17 (Borg, memory) or cannot hold it, faster says so too."""
    older = replace(GROUP, age_years=(65.0, 80.0))
    knee_lift = resolve(catalogue().move("knee-lift"))
    for tempo in (120.0, 150.0, 180.0):
        hard = judge(knee_lift, LAND, tempo, POOL, older)
        assert hard.rpe.high >= 17 or hard.full_held_s[0] < 240
        assert any(caution.startswith("very hard work") for caution in hard.cautions)
    easy = judge(knee_lift, HALF, 110.0, POOL, older)
    assert not any(caution.startswith("very hard work") for caution in easy.cautions)
