"""What the solver calls optimal is what an exhaustive search finds."""

from __future__ import annotations

from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from planning_costs import cost_of, cost_of_tracks

from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.solver.choosing import Kinds, Link, Puzzle, Sum, choose
from aquatempo.planning.solver.solving import Effort
from aquatempo.planning.songs.choice import Offer, Picked, TrackTask, pick_tracks
from aquatempo.records.brief import Brief
from aquatempo.records.moves import Factor

PLACES, OPTIONS = 4, 3


@st.composite
def puzzles(draw: st.DrawFn) -> Puzzle:
    """Small puzzles with forbidden pairs, sums and exclusive sets."""
    cost = st.integers(0, 12)
    options = draw(
        st.lists(
            st.lists(cost, min_size=OPTIONS, max_size=OPTIONS), min_size=PLACES, max_size=PLACES
        )
    )
    pairs = list(product(range(OPTIONS), repeat=2))
    links = [
        Link(place, place + 1, draw(st.dictionaries(st.sampled_from(pairs), cost, min_size=3)))
        for place in range(PLACES - 1)
    ]
    cells = st.tuples(st.integers(0, PLACES - 1), st.integers(0, OPTIONS - 1))
    amounts = draw(st.dictionaries(cells, st.integers(-2, 3), max_size=8))
    low = draw(st.integers(-2, 3))
    sums = [Sum(amounts, draw(st.integers(-2, 2)), low, low + 2, draw(cost), draw(cost))]
    sets = st.lists(cells, unique=True, min_size=2, max_size=4)
    once = draw(st.lists(sets, max_size=2))
    kinds = [Kinds(draw(st.lists(sets, max_size=3)), draw(st.integers(0, 2)), draw(cost))]
    return Puzzle(options, links, sums, once, kinds)


@pytest.mark.long
@settings(max_examples=60, deadline=None)
@given(puzzles())
def test_a_choice_is_as_cheap_as_the_cheapest_of_all(puzzle: Puzzle) -> None:
    """Status optimal: the cost equals that of trying all choices; none where none exists."""
    costs = [cost_of(puzzle, choice) for choice in product(range(OPTIONS), repeat=PLACES)]
    possible = [cost for cost in costs if cost is not None]
    result = choose(puzzle, Effort())
    if not possible:
        assert result is None
        return
    assert result is not None
    choice, solved = result
    assert solved.optimal
    assert solved.cost == solved.bound == cost_of(puzzle, choice) == min(possible)


@st.composite
def tasks(draw: st.DrawFn) -> TrackTask:
    """Two parts, three songs with up to two ends each."""
    seconds = st.integers(60, 240)
    lengths = [
        tuple(sorted(draw(st.lists(seconds, min_size=1, max_size=2)), reverse=True))
        for _ in range(3)
    ]
    offers = [
        Offer(song, part, draw(st.integers(0, 400)), draw(st.sampled_from([1.0, 0.97])))
        for song in range(3)
        for part in range(2)
        if draw(st.booleans())
    ]
    wanted = (float(draw(seconds)), float(draw(seconds)))
    return TrackTask(
        wanted_s=wanted,
        lengths_s=tuple(tuple(map(float, row)) for row in lengths),
        offers=tuple(offers),
        silent_costs=(None, draw(st.sampled_from([None, 700]))),
        missing_costs=(900, 300),
        least_parts_s=(draw(st.sampled_from([0.0, 60.0])), 0.0),
        least_s=draw(st.sampled_from([0.0, 0.5 * sum(wanted)])),
        most_s=sum(wanted) + 10.0,
        all_once=draw(st.booleans()),
    )


def all_choices(task: TrackTask) -> list[int]:
    """Return the cost of every choice of offers, ends and silent parts that is allowed."""
    cases = [
        Picked(offer, end)
        for offer in task.offers
        for end in range(len(task.lengths_s[offer.song]))
    ]
    found = []
    for size in range(min(3, len(cases)) + 1):
        for picked in combinations(cases, size):
            for silent in ((), (1,)):
                cost = cost_of_tracks(task, picked, silent)
                if cost is not None:
                    found.append(cost)
    return found


@settings(max_examples=60, deadline=None)
@given(tasks())
def test_tracks_are_picked_as_well_as_by_trying_all(task: TrackTask) -> None:
    """Status optimal: the cost equals that of trying all picks, ends and silences."""
    possible = all_choices(task)
    result = pick_tracks(task, Effort())
    if not possible:
        assert result is None
        return
    assert result is not None
    picked, silent, solved = result
    assert solved.optimal
    assert solved.cost == cost_of_tracks(task, picked, silent) == min(possible)


def test_the_same_seed_gives_the_same_choice() -> None:
    """Where many choices cost the same, a seed always gives the same one."""
    puzzle = Puzzle([[0] * 6] * 8, [Link(0, 1, {(a, b): 0 for a in range(6) for b in range(6)})])
    first = choose(puzzle, Effort(seed=3))
    assert first == choose(puzzle, Effort(seed=3))


def test_two_factors_more_never_set_one_twice() -> None:
    """A form that starts at a level of its own takes two other factors, not the level again."""
    palette = Palette(Brief(), [126.0])
    start = palette.form(palette.source.move("knee-lift"), ((Factor.LEVEL, "grounded"),))
    others = palette.forms_of(start.move, 126.0, palette.form(start.move))
    layered = palette.layered(start, others, 126.0)
    assert layered
    for rated in layered:
        factors = [factor for factor, _ in rated.form.variation.changes]
        assert len(factors) == len(set(factors)) == 3
