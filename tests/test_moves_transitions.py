"""Changes that work in water cost nothing, those that fail come out costly.

What works and what fails is common practice, no source.
"""

from __future__ import annotations

from itertools import product

import pytest

from aquatempo.moves import (
    catalogue,
    parse_pattern,
    resolve,
    transition,
    variation_of,
    variations,
)
from aquatempo.moves.rules import rules
from aquatempo.records.moves import MoveForm, MoveKind, Transition

Changes = dict[str, str]


def form_of(key: str, changes: Changes | None = None) -> MoveForm:
    """Resolve a move with changes given as {factor: option}."""
    move = catalogue().move(key)
    return resolve(move, variation_of(move, (changes or {}).items()))


def change(
    first: str,
    second: str,
    before: Changes | None = None,
    after: Changes | None = None,
    pattern: str = "2",
) -> Transition:
    """Return the transition between two moves, the first done in a pattern."""
    return transition(form_of(first, before), parse_pattern(pattern), form_of(second, after), None)


def words(found: Transition) -> str:
    """Return all reasons of a transition in one text."""
    return "; ".join(reason for reason, _ in found.reasons)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("jog", "knee-lift"),  # same place, plane and lever
        ("jog", "jack"),  # from one foot to the centre
        ("jack", "jog"),
        ("jack", "star"),
        ("front-kick", "side-kick"),  # one leg comes in as the other goes
        ("front-kick", "cross-country-ski"),
        ("jack", "cross-country-ski"),  # other plane, from the centre
        ("knee-lift", "leg-curl"),
    ],
)
def test_clean_changes_cost_nothing(first: str, second: str) -> None:
    """The next move starts where the last ended: nothing to allow for."""
    assert change(first, second) == Transition(0, (), True)


@pytest.mark.parametrize("key", [move.key for move in catalogue().of_kind(MoveKind.BASE)])
def test_going_on_is_free(key: str) -> None:
    """A move after itself costs nothing."""
    assert change(key, key).counts == 0


@pytest.mark.parametrize(
    ("first", "second", "before", "after", "pattern", "because"),
    [
        ("ski", "jack", {}, {}, "2", "long lever to long lever across planes"),
        ("ski", "side-kick", {}, {}, "2", "with no centre between"),
        ("pendulum", "ski", {}, {}, "2", "long lever to long lever across planes"),
        ("knee-lift", "jack", {}, {}, "1-1-2-4", "never swaps the lead"),
        ("jog", "jack", {}, {}, "2-4", "fills no whole eight"),
        ("jack", "jog", {}, {}, "2-2-4", "ends half-way"),
        ("ski", "jog", {"level": "III"}, {"level": "grounded"}, "2", "straight legs come down"),
        ("ski", "ski", {"level": "III"}, {}, "2", "straight legs come down from suspended"),
        ("jog", "jog", {"travel": "forward"}, {"travel": "back"}, "2", "reverses travel"),
        (
            *("jog", "jog", {}, {"turn": "quarter", "arms": "punch", "tempo": "half"}, "2"),
            "turn, arms and tempo change at once",
        ),
    ],
)
def test_failing_changes_are_costly(
    first: str, second: str, before: Changes, after: Changes, pattern: str, because: str
) -> None:
    """What fails in practice does not count as working, and says why."""
    found = change(first, second, before, after, pattern)
    assert not found.works
    assert found.counts >= 4
    assert because in words(found)


@pytest.mark.parametrize(("key", "counts"), [("jog", 4), ("walk", 8)])
def test_reversing_travel_costs_4_to_8_counts(key: str, counts: int) -> None:
    """Turning round costs 4 counts from a small step and 8 from a long one."""
    before = {"travel": "forward"} if key == "jog" else {}
    assert change(key, key, before, {"travel": "back"}).counts == counts


def test_swapping_the_lead_by_pattern_is_free() -> None:
    """2-2-4 on a knee lift swaps the lead each eight, so the change after it is clean."""
    assert change("knee-lift", "jack", pattern="2-2-4").counts == 0


def test_suspended_moves_follow_each_other_freely() -> None:
    """In deep water all is suspended: no cost of level between jog and jack."""
    deep = [resolve(catalogue().move(key), depth=catalogue().move("tuck-hold").depths[0])
            for key in ("jog", "jack")]  # fmt: skip
    assert transition(deep[0], None, deep[1], None).counts == 0


def test_one_factor_is_free_and_two_are_not() -> None:
    """One factor changed costs nothing by itself, a second one does."""
    assert change("jog", "jog", {}, {"arms": "punch"}).counts == 0
    both = change("jog", "jog", {}, {"arms": "punch", "hands": "open"})
    assert (both.counts, both.works) == (rules().costs["second_factor"], True)


def test_a_new_move_with_its_own_tempo_is_one_change() -> None:
    """Stand and breathe is slow by itself; that is not a second factor."""
    assert "tempo" not in words(change("march", "stand-and-breathe"))


def test_arms_in_and_out_of_the_water_are_told() -> None:
    """Going from arms in the water to arms above it is a cost."""
    assert "in and out of the water" in words(change("jack", "jack", {}, {"arms": "reach"}))


def test_costs_add_up_from_their_reasons() -> None:
    """Over all pairs of base moves: the total is the sum of reasons, each above zero."""
    base = [resolve(move) for move in catalogue().of_kind(MoveKind.BASE)]
    for a, b in product(base, base):
        found = transition(a, None, b, None)
        assert found.counts == sum(counts for _, counts in found.reasons)
        assert all(counts > 0 and reason for reason, counts in found.reasons)
        assert found.works == (found.counts <= rules().works_up_to_counts)


def test_single_variations_of_a_move_are_cheap_unless_they_say_why() -> None:
    """From a base move to its own variation at most what its level or travel asks for."""
    for move in catalogue().of_kind(MoveKind.BASE):
        for variation in variations(move):
            found = transition(resolve(move), None, resolve(move, variation), None)
            assert found.works or "travel" in words(found), (variation, found)
