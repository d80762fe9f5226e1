"""Facts of the trade that verdicts have to agree with. Common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import (
    DEEP,
    GROUP,
    LAND,
    POOL,
    STRAIGHT_LEG,
    WATER_TEMPO,
    form,
    leg_form,
)

from aquatempo.feasibility import judge_forms
from aquatempo.records.limbs import Leg, Movement, Posture
from aquatempo.records.moves import MoveForm
from aquatempo.records.people import ClassDepth, Group

BENT_KNEE = ("jog", "leg-curl", "rocking-horse")
OLDER = Group(age_years=(62.0, 80.0))


def split(**away: float) -> MoveForm:
    """Return both legs going apart by some angles [degrees] and together again, no hop."""
    other = {name: -angle if name == "hip" else angle for name, angle in away.items()}
    apart = Posture(lead_leg=Leg(**away), other_leg=Leg(**other))
    movements = (
        Movement("out", "together", "apart", Posture(), apart),
        Movement("in", "apart", "together", apart, Posture()),
    )
    return replace(form("jack"), name=f"split {away}", movements=movements)


def test_a_ski_at_land_tempo_is_a_shuffle() -> None:
    """On every beat of a song at 140 half a mixed group keeps less than half of a ski's range."""
    ski = judge_forms([form("cross-country-ski")], [LAND], [132.0, 140.0], POOL, GROUP)
    assert float(ski.range_kept[0, 0, 0, 1]) < 0.55
    assert float(ski.range_kept[0, 0, 1, 1]) < 0.5
    assert float(ski.lost_share[0, 0, 1]) > 0.5


def test_bent_knees_survive_land_tempo_longer_than_straight_legs() -> None:
    """Jog, curl and rocking horse keep more than the straight-leg moves do in the middle.

    And a leg that lifts 80 degrees keeps more with the knee bent than straight.
    """
    bent, straight = (
        judge_forms([form(key) for key in keys], [LAND], [132.0], POOL, GROUP).range_kept[
            :, 0, 0, 1
        ]
        for keys in (BENT_KNEE, STRAIGHT_LEG)
    )
    assert float(np.median(bent)) > float(np.median(straight)) + 0.1
    legs = judge_forms([leg_form(80, 80), leg_form(80)], [LAND], [132.0], POOL, GROUP)
    assert float(legs.range_kept[0, 0, 0, 1]) > float(legs.range_kept[1, 0, 0, 1]) + 0.05


def swept_deg(form: MoveForm) -> float:
    """Return the largest swing of a hip in a form [degrees]."""
    legs = [(m.start_pose, m.end_pose, name) for m in form.movements
            for name in ("lead_leg", "other_leg")]  # fmt: skip
    swung = [(getattr(end, name), getattr(start, name)) for start, end, name in legs]
    return float(max(max(abs(a.hip - b.hip), abs(a.out - b.out)) for a, b in swung))


@pytest.mark.parametrize("group", [GROUP, OLDER], ids=["mixed", "older"])
def test_a_knee_lift_at_land_tempo_is_a_jog_and_swings_further_than_a_straight_leg(
    group: Group,
) -> None:
    """On every beat a lifted knee comes as high as in a jog, and no straight leg swings as far."""
    keys = ("knee-lift", "jog", *STRAIGHT_LEG)
    forms = [form(key) for key in keys]
    kept = judge_forms(forms, [LAND], [132.0], POOL, group).range_kept[:, 0, 0, 1]
    swings = dict(zip(keys, kept * [swept_deg(one) for one in forms], strict=True))
    assert swings["knee-lift"] == pytest.approx(swings["jog"], abs=6.0)
    assert all(swings["knee-lift"] > 1.2 * swings[key] for key in STRAIGHT_LEG)


def test_a_split_to_the_side_costs_more_than_one_to_the_front() -> None:
    """At equal angles legs that part sideways end sooner and feel harder than front and back."""
    grid = judge_forms([split(hip=20.0), split(out=20.0)], [LAND], [132.0], POOL, GROUP)
    assert float(grid.max_tempo_bpm[0, 0]) > float(grid.max_tempo_bpm[1, 0])
    assert float(grid.rpe[0, 0, 0, 1]) < float(grid.rpe[1, 0, 0, 1])


def test_older_groups_work_at_100_to_125() -> None:
    """At 112 in water tempo an older group does these moves in full or a little smaller.

    At 150 it does fewer of them in full.
    """
    forms = [form(key) for key in (*BENT_KNEE, *STRAIGHT_LEG, "knee-lift", "lunge", "shuffle")]
    kept = judge_forms(forms, [WATER_TEMPO], [112.0, 150.0], POOL, OLDER).range_kept[:, 0, :, 1]
    assert np.all(kept[:, 0] >= 0.8)
    assert np.mean(kept[:, 1] >= 0.95) < np.mean(kept[:, 0] >= 0.95)


def test_deep_classes_go_slower_in_long_levers() -> None:
    """On the belt the straight-leg moves end at a lower tempo than in chest-deep water."""
    keys = [key for key in STRAIGHT_LEG if key not in ("back-kick", "pendulum")]
    shallow = judge_forms([form(key) for key in keys], [WATER_TEMPO], [120.0], POOL, GROUP)
    on_belts = [form(key, ClassDepth.DEEP) for key in keys]
    deep = judge_forms(on_belts, [WATER_TEMPO], [120.0], DEEP, GROUP)
    assert np.median(deep.max_tempo_bpm) < np.median(shallow.max_tempo_bpm)


def test_the_hop_goes_before_the_legs() -> None:
    """Where a hop does not fit the beat it is given up, and the legs swing on at level II."""
    forms = [form(key) for key in ("front-kick", "cross-country-ski", "jack", "knee-lift")]
    grid = judge_forms(forms, [LAND], [132.0, 150.0], POOL, GROUP)
    assert np.all(grid.hop_kept < grid.legs_kept)


def test_a_leap_or_a_star_is_never_told_as_gentle_landing() -> None:
    """Star jump and leap land with more than half of body weight at water tempo, as they lift."""
    forms = [form("star"), form("leap"), form("jump")]
    grid = judge_forms(forms, [WATER_TEMPO], [100.0], POOL, GROUP)
    assert np.all(grid.impact_bw[:, 0, 0, 0] > 0.5)
    assert np.all(grid.impact_bw[..., 1] >= grid.impact_bw[..., 0])
