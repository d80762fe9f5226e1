"""The independent checker: quiet on valid plans, loud on plans that break a hard rule."""

from __future__ import annotations

import random

import pytest
from plan_checker import check
from plan_making import make_plan
from plan_mutations import WAYS

# What only the review judges: craft, prompts and wishes, none of them a rule of the planner.
SOFT = {
    *("frozen_lead", "falling_warm_up", "rising_cool_down", "under_time", "hot_water"),
    *("noted_knees", "missing_lead"),
}
RULES = {
    "longer_block": "structure",
    "overlapping_phrase": "structure",
    "shorter_song": "structure",
    "moved_count_one": "structure",
    "misspelt_move": "known",
    "impossible_pattern": "known",
    "banned_move": "allowed",
    "wrong_depth": "depth",
    "unfit_option": "fits",
    "two_travels": "agrees",
    "land_tempo": "feasible",
    "straight_legs_across_planes": "transition",
    "new_move_too_short": "new move",
    "new_factor_too_short": "new factor",
    "off_count_one": "count 1",
    "two_factors": "one factor",
    "bridge_not_covered": "bridge",
    "one_side_stretched": "sides",
    "over_time": "time",
    "wrong_tempo": "tempo",
    "parts_swapped": "parts",
}
# Another rule in shallow than in deep water, or one of several.
BOTH = (
    *("level_not_taught", "arms_in_and_out", "too_many_jumps", "hurried_song"),
    "new_move_inside_a_phrase",
)
SEEDS = range(4)


def test_valid_plans_break_no_rule() -> None:
    """Plans made to keep the rules are let through."""
    assert [check(make_plan(seed)) for seed in SEEDS] == [[] for _ in SEEDS]


@pytest.mark.parametrize("name", RULES)
def test_broken_plans_are_caught(name: str) -> None:
    """A plan broken in a named way breaks the rule that this way is about."""
    way = next(way for way in WAYS if way.__name__ == name)
    for seed in SEEDS:
        broken = check(way(make_plan(seed), random.Random(seed)).plan)
        assert any(line.startswith(RULES[name]) for line in broken), (seed, broken)


def test_every_way_is_a_rule_or_known_to_be_soft() -> None:
    """No way of breaking a plan is left out of this file by accident."""
    told = SOFT | set(RULES) | set(BOTH)
    assert {way.__name__ for way in WAYS} == told


@pytest.mark.parametrize("name", BOTH)
def test_ways_that_differ_by_depth_are_caught(name: str) -> None:
    """What breaks one rule in shallow water and another in deep water is caught in both."""
    way = next(way for way in WAYS if way.__name__ == name)
    for seed in SEEDS:
        assert check(way(make_plan(seed), random.Random(seed)).plan)
