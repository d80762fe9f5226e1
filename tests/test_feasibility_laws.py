"""What must hold whatever the free inputs are set to, and facts of the trade that follow."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from feasibility_cases import (
    DEEP,
    GROUP,
    HALF,
    LAND,
    POOL,
    STRAIGHT_LEG,
    WATER_TEMPO,
    form,
    hop_form,
    leg_form,
)  # fmt: skip
from hypothesis import given, settings
from hypothesis import strategies as st

from aquatempo.feasibility import free_inputs, full_range_limits, input_ranges, judge_forms
from aquatempo.feasibility.setting import setting_of
from aquatempo.moves import catalogue, parse_pattern, resolve
from aquatempo.moves.variations import variations
from aquatempo.records.moves import Action, Factor, ImpactLevel, Joint, Segment
from aquatempo.records.people import ClassDepth, Group, Intensity, Pool
from aquatempo.water.limbs import SwingAxis, build_limb, swing_moments
from aquatempo.water.strength import strength_of

ANY_INPUTS = st.builds(
    lambda share, cd, added, profile, basis: replace(
        free_inputs(),
        share_steady=share,
        plate_cd=cd,
        added_mass=added,
        motion_profile=profile,
        share_basis=basis,
    ),
    st.floats(0.15, 0.6),
    st.floats(0.9, 1.4),
    st.floats(0.5, 1.2),
    st.sampled_from(["half-sine", "minimum-jerk"]),
    st.sampled_from(["mean", "peak"]),
)


@given(ANY_INPUTS)
@settings(max_examples=4, deadline=None)
def test_water_tempo_allows_twice_the_music_tempo_of_land_tempo(inputs: object) -> None:
    """The limit in water tempo is exactly twice that at land tempo, whatever the dials.

    Also with strength that depends on speed: at their limits both are the same movement,
    so the shift that it brings is nil. Half water tempo again doubles it.
    """
    forms = [form(key) for key in ("cross-country-ski", "front-kick", "knee-lift")]
    limits = full_range_limits(forms, [LAND, WATER_TEMPO], POOL, GROUP, inputs)  # type: ignore[arg-type]
    known = ~np.isnan(limits[:, 1]) & (limits[:, 0] > 0)
    assert np.allclose(limits[known, 1], 2 * limits[known, 0], rtol=1e-9)


@given(ANY_INPUTS)
@settings(max_examples=4, deadline=None)
def test_more_excursion_and_longer_levers_are_limited_sooner(inputs: object) -> None:
    """Full range ends at a lower tempo for a larger swing, and for a straight than a bent leg."""
    forms = [leg_form(40), leg_form(60), leg_form(80), leg_form(80, 60)]
    small, middle, large, bent = full_range_limits(forms, [LAND], POOL, GROUP, inputs)[:, 0]  # type: ignore[arg-type]
    limits = np.nan_to_num(np.array([small, middle, large, bent]), nan=1e3)
    assert limits[0] >= limits[1] >= limits[2]
    assert limits[3] > limits[2]


def test_the_limit_falls_with_age_and_rises_with_the_share() -> None:
    """Old groups lose full range sooner than young ones; harder intensities later."""
    ski = [form("cross-country-ski")]
    ages = [Group(age_years=(a, a)) for a in (22.0, 45.0, 60.0, 75.0)]
    by_age = [float(full_range_limits(ski, [WATER_TEMPO], POOL, g)[0, 0]) for g in ages]
    assert by_age == sorted(by_age, reverse=True)
    groups = [Group(intensity=intensity) for intensity in Intensity]
    by_share = [float(full_range_limits(ski, [WATER_TEMPO], POOL, g)[0, 0]) for g in groups]
    assert by_share == sorted(by_share)


@pytest.mark.parametrize("key", STRAIGHT_LEG)
def test_straight_legs_keep_at_most_two_thirds_at_land_tempo(key: str) -> None:
    """At 125 to 150 b/min in land tempo the median keeps at most 2/3 of a straight-leg move.

    Common practice: a long lever loses most of its range at land tempo.
    """
    grid = judge_forms([form(key)], [LAND], [125.0, 137.5, 150.0], POOL, GROUP)
    assert np.all(grid.range_kept[0, 0, :, 1] <= 2 / 3)


def test_small_leg_curl_and_jog_outlast_every_straight_leg_move() -> None:
    """With reduced range leg curl and jog keep theirs to a higher tempo than any straight leg."""
    small = ((Factor.RANGE, "small"),)
    short = [form(key, ClassDepth.SHALLOW, *small) for key in ("leg-curl", "jog")]
    short_limits = full_range_limits(short, [LAND], POOL, GROUP)[:, 0]
    long_limits = full_range_limits([form(key) for key in STRAIGHT_LEG], [LAND], POOL, GROUP)
    assert np.nanmin(np.nan_to_num(short_limits, nan=1e3)) > np.nanmax(long_limits)


@given(st.floats(0.05, 0.15), st.floats(125.0, 150.0), st.floats(0.15, 0.25))
@settings(max_examples=8, deadline=None)
def test_jumps_of_5_cm_do_not_fit_land_tempo(hop_m: float, tempo: float, contact: float) -> None:
    """Two-foot jumps of 5 cm or more at chest depth lose height at land tempo from 125 up."""
    women = Group(size=10, women=10, height_m=(1.60, 1.68))
    chest = Pool(depth_m=0.70 * 1.64)
    inputs = replace(free_inputs(), contact_min_s=round(contact, 2))
    grid = judge_forms([hop_form(round(hop_m, 2))], [LAND], [tempo], chest, women, inputs)
    assert float(grid.range_kept[0, 0, 0, 1]) < 0.95


def test_range_falls_and_effort_is_positive_over_tempo() -> None:
    """Faster music never leaves more range, and effort stays above standing."""
    keys = [key for key, move in catalogue().moves.items() if ClassDepth.SHALLOW in move.depths]
    tempos = [float(tempo) for tempo in range(60, 221, 20)]
    grid = judge_forms([form(key) for key in keys], [LAND, WATER_TEMPO], tempos, POOL, GROUP)
    assert np.all(np.diff(grid.range_kept[..., 1], axis=-1) <= 1e-9)
    assert np.all(grid.range_kept[..., 0] <= grid.range_kept[..., 1])
    assert np.all(grid.range_kept[..., 1] <= grid.range_kept[..., 2])
    assert np.all(grid.met >= free_inputs().standing_met)


def test_deep_water_slows_balanced_moves_only_by_their_larger_range() -> None:
    """With equal excursions deep water does not slow a ski, and lets a lone kick go faster.

    So the model's deep limit falls (ski, jack) because legs swing further under a body
    without a floor, and rises (front kick) because the free pelvis takes part of it.
    """
    equal = replace(free_inputs(), deep_excursion=1.0)
    for key, sign in (("cross-country-ski", 0), ("front-kick", 1)):
        shallow = full_range_limits([form(key)], [WATER_TEMPO], POOL, GROUP, equal)[0, 0]
        deep_form = form(key, ClassDepth.DEEP)
        deep = full_range_limits([deep_form], [WATER_TEMPO], DEEP, GROUP, equal)[0, 0]
        assert deep > shallow * (1.05 if sign else 0.97)
        larger = full_range_limits([deep_form], [WATER_TEMPO], DEEP, GROUP)[0, 0]
        assert larger < deep


def test_a_mixed_pattern_keeps_the_range_of_its_fastest_step() -> None:
    """2-2-4 keeps the range of water tempo, the worst of its steps; holding adds nothing."""
    ski = [form("cross-country-ski")]
    mixed = parse_pattern("2-2-4")
    grid = judge_forms(ski, [WATER_TEMPO, mixed, parse_pattern("2+2h")], [190.0], POOL, GROUP)
    kept = grid.range_kept[0, :, 0, 1]
    assert kept[0] == pytest.approx(kept[1])
    assert kept[0] == pytest.approx(kept[2])
    assert grid.met[0, 2, 0, 1] < grid.met[0, 0, 0, 1]


@pytest.mark.parametrize("name", [n for n, entry in input_ranges().items() if "low" in entry])
def test_every_free_input_lies_in_its_range(name: str) -> None:
    """Each free input lies within the range that it states, with unit, source and reason."""
    entry = input_ranges()[name]
    assert entry["low"] <= entry["value"] <= entry["high"]
    assert entry["source"]
    assert entry["reason"]


def _use_of_a_leg(sweep_deg: float, share: np.ndarray, time_s: float) -> np.ndarray:
    """Return demand over what may be asked, written out plainly at 400 phases."""
    setting = setting_of(POOL, GROUP, ImpactLevel.GROUNDED, free_inputs())
    bodies, sweep = setting.people.bodies, np.radians(sweep_deg)
    phase = (np.arange(400) + 0.5) / 400
    angle = share[:, None] * sweep * (1 - np.cos(np.pi * phase)) / 2
    speed = share[:, None] * sweep * np.pi / 2 * np.sin(np.pi * phase) / time_s
    turn = share[:, None] * sweep * np.pi**2 / 2 * np.cos(np.pi * phase) / time_s**2
    limb = build_limb(bodies, Segment.LEG, SwingAxis.SAGITTAL)
    below = setting.surface_m - bodies.joints_m["hip"]
    drag, _, inertia, weight = swing_moments(limb, angle, below, setting.water)
    torque = drag * speed**2 + inertia * turn + weight
    strength = strength_of(bodies, Joint.HIP, Action.FLEXION)
    assert strength is not None
    ratio = torque / strength.torque_nm(angle, speed)
    mean = np.array([one[one > 0].mean() for one in ratio])
    return np.asarray(np.maximum(mean / setting.share, ratio.max(axis=1)))


def test_tables_agree_with_a_direct_solution() -> None:
    """Range read from the tables is within 0.02 of a bisection written out in this test."""
    swing_out = replace(
        leg_form(60), movements=leg_form(60).movements[:1], level=ImpactLevel.GROUNDED
    )
    weight = setting_of(POOL, GROUP, ImpactLevel.GROUNDED, free_inputs()).people.weight
    for tempo in (125.0, 170.0):
        low, high = np.full(len(weight), 0.01), np.full(len(weight), 1.0)
        for _ in range(12):
            middle = (low + high) / 2
            fits = _use_of_a_leg(60.0, middle, 60.0 / tempo) < 1
            low, high = np.where(fits, middle, low), np.where(fits, high, middle)
        order = np.argsort(low)
        median = low[order][np.argmax(np.cumsum(weight[order]) >= 0.5 - 1e-9)]
        grid = judge_forms([swing_out], [LAND], [tempo], POOL, GROUP)
        assert float(grid.range_kept[0, 0, 0, 1]) == pytest.approx(median, abs=0.02)


def test_ten_thousand_verdicts_a_second() -> None:
    """A planner gets 10,000 verdicts a second of processor time once the moves are known.

    The first call for a pool and group computes its tables: a few seconds for all forms.
    """
    forms = [
        resolve(move, variation)
        for key, move in catalogue().moves.items()
        if key in STRAIGHT_LEG
        for variation in variations(move)
    ]
    patterns = [LAND, WATER_TEMPO, HALF, parse_pattern("2-2-4")]
    tempos = [float(tempo) for tempo in range(110, 160, 2)]
    judge_forms(forms, patterns, tempos[:1], POOL, GROUP)
    start = time.process_time()
    grid = judge_forms(forms, patterns, tempos, POOL, GROUP)
    rate = grid.worst.size / (time.process_time() - start)
    assert rate > 10_000
