"""Every named fault, put into every seeded plan, is found where it was put."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

import pytest
from plan_making import make_plan
from plan_mutations import WAYS, Broken
from plan_slips import SLIPS

from aquatempo.records.plan import ClassPlan
from aquatempo.records.review import Severity
from aquatempo.review.plan_review import review_plan

SEEDS = range(50)
SOME = SEEDS[::12]
REST = pytest.param(tuple(seed for seed in SEEDS if seed % 12), marks=pytest.mark.long)
SLIP_SEEDS = (0, 2, 4)


def test_there_are_at_least_sixty_ways_to_break_a_plan() -> None:
    """The mutator and the slips of instructors are sixty or more, all named differently."""
    assert len({way.__name__ for way in (*WAYS, *SLIPS)}) >= 60


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip.__name__)
def test_each_slip_is_found_with_a_remedy(
    slip: Callable[[ClassPlan, random.Random], Broken],
) -> None:
    """What an instructor gets wrong is told in its place, with a reason and what puts it right."""
    for seed in SLIP_SEEDS:
        broken = slip(make_plan(seed), random.Random(seed))
        found = [one for one in review_plan(broken.plan).findings if one.fault is broken.fault]
        mine = [
            one
            for one in found
            if (one.track, one.phrase) == (broken.track, broken.phrase)
            and broken.block in (None, one.block)
        ]
        assert mine, (seed, broken.track, broken.phrase, broken.block, found)
        assert mine[0].reason
        assert mine[0].remedy


@pytest.mark.parametrize("seeds", [SOME, REST], ids=["some", "rest"])
@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__)
def test_each_fault_is_found_in_its_place(
    way: Callable[[ClassPlan, random.Random], Broken], seeds: Sequence[int]
) -> None:
    """A fault put into each of the seeded plans is reported by name, track, phrase and block."""
    missed = []
    # Another temperature is another pool to compute: fewer will do.
    for seed in seeds[::5] if way.__name__ == "hot_water" else seeds:
        broken = way(make_plan(seed), random.Random(seed))
        found = {
            (one.track, one.phrase, broken.block if broken.block is None else one.block)
            for one in review_plan(broken.plan).findings
            if one.fault is broken.fault
        }
        if (broken.track, broken.phrase, broken.block) not in found:
            missed.append((seed, broken.track, broken.phrase, broken.block))
    assert missed == []


@pytest.mark.parametrize("seeds", [SOME, REST], ids=["some", "rest"])
def test_unbroken_plans_raise_no_error_and_little_advice(seeds: Sequence[int]) -> None:
    """A plan that nobody broke gives no error, no warning and at most one piece of advice."""
    for seed in seeds:
        found = review_plan(make_plan(seed))
        assert found.fit_to_teach
        assert found.count(Severity.WARNING) == 0, found.findings
        assert found.count(Severity.ADVICE) <= 1, found.findings
