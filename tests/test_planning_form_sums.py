"""What the forms of a song cost together: things overdone, jumps, contrast, sets, ways of varying.

The promises are those of docs/design/planning.md; weights are judgement, no source, and held by
what they add up to.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast

import pytest
from planning_forms import PassagesByHand, rated, slot, sums_price

from aquatempo.planning.moves.factors import forms_puzzle
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.menus import Taste
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.solver.choosing import Puzzle, Sum
from aquatempo.records.brief import Experience
from aquatempo.records.moves import Factor
from aquatempo.records.plan import BuildWay, PartName
from aquatempo.records.rhythm import EnergyLevel
from aquatempo.records.verdict import ImpactBand

JACK, JOG, JUMP, HOLD = (rated(key) for key in ("jack", "jog", "jump", "easy-jog"))
OPEN = rated("jack", changes=[(Factor.HANDS, "open")])
LOW, HIGH, MEDIUM = EnergyLevel.LOW, EnergyLevel.HIGH, EnergyLevel.MEDIUM


def puzzle(
    slots: Sequence[MoveSlot],
    domains: Mapping[int, Sequence[Rated]],
    ledger: Ledger | None = None,
    **asked: Any,
) -> Puzzle:
    """Return the puzzle of a song; each place starts with the first option of its first tie."""
    usual = {"part": PartName.MAIN, "way": BuildWay.LINEAR, "experience": Experience.REGULAR}
    starts: dict[int, Rated] = {}
    for one in slots:
        starts.setdefault(one.place, domains[one.tie][0])
    taste = Taste(**(usual | {"hop_room": 99.0} | asked))
    passages = cast("Passages", PassagesByHand())
    return forms_puzzle(slots, starts, domains, taste, ledger or Ledger(set()), passages)[0]


def row(size: int, **others: Any) -> list[MoveSlot]:
    """Return phrases of places of their own, each told to last a second: no window is full."""
    return [slot(place, seconds=1.0, **others) for place in range(size)]


def sums(slots: Sequence[MoveSlot], options: Sequence[Rated], *choice: int, **told: Any) -> int:
    """Return what the sums of a song cost at a choice; each tie has the same options."""
    found = puzzle(slots, {one.tie: options for one in slots}, **told).sums
    return sums_price(found, choice)


@pytest.mark.parametrize(("size", "varied", "cost"), [
    (10, 4, 0), (10, 5, 3), (10, 7, 9),  # four tenths of ten, three each beyond
    (3, 1, 0), (3, 2, 3),  # one of three
    (1, 1, 0),  # one is never too many
    (6, 2, 0), (6, 3, 3),  # 2.4 of six
])  # fmt: skip
def test_a_factor_is_overdone_beyond_four_tenths(size: int, varied: int, cost: int) -> None:
    """Of all slices two fifths may change one factor, whatever the move; each more costs three."""
    choice = [1] * varied + [0] * (size - varied)
    assert sums(row(size), [JACK, OPEN], *choice) == cost


def test_factors_are_weighed_one_by_one() -> None:
    """Two with open hands and two small of six are none overdone; a start is no variation."""
    small = rated("jack", changes=[(Factor.RANGE, "small")])
    deep = rated("jack", changes=[(Factor.LEVEL, "II")])
    options = [JACK, OPEN, small, deep]
    assert sums(row(6), options, 1, 1, 2, 2, 3, 3) == 0
    assert sums(row(6), options, 1, 1, 1, 2, 2, 2) == 6
    assert sums(row(6), options, 3, 3, 3, 0, 0, 0) == 3
    assert sums(row(6), [OPEN, JACK], *[0] * 6) == 0
    assert sums(row(6), [JACK], *[0] * 6) == 0  # its usual level is nothing that is changed


@pytest.mark.parametrize(("room", "choice", "over"), [
    (1.5, (0, 0, 1), 16), (1.5, (0, 1, 1), 0), (2.0, (0, 0, 1), 0), (0.0, (1, 1, 0), 32),
    (0.0, (1, 1, 1), 0), (1.99, (0, 0, 1), 1),
])  # fmt: skip
def test_jumps_keep_to_their_room(room: float, choice: tuple[int, ...], over: int) -> None:
    """Counts of jumps beyond the phrases left for them cost 5000 a phrase, each its part."""

    def told(slots: list[MoveSlot], most: float) -> list[Sum]:
        found = puzzle(slots, {one.tie: [JUMP, JOG] for one in slots}, hop_room=most).sums
        return [one for one in found if one.over > 100]  # beside them: that they are varied

    assert sums_price(told(row(3), room), choice) == 156 * over  # 5000 / 32
    twice = [*row(1), slot(9, seconds=1.0), *row(1)]
    assert sums_price(told(twice, 1.0), [0, 1]) == 156 * 32  # one tie, two phrases


@pytest.mark.parametrize(("phrases", "cost"), [
    ([(LOW, 12.0), (HIGH, 12.0)], 0),
    ([(LOW, 12.0), (HIGH, 11.7)], 0),  # 0.3 is not heard
    ([(LOW, 12.0), (HIGH, 11.5)], 20),
    ([(LOW, 11.5), (HIGH, 12.0)], 0),  # as it should be
    ([(LOW, 12.0), (HIGH, 11.0), (HIGH, 12.0)], 20),  # 11.5 in the mean
    ([(LOW, 12.0), (MEDIUM, 9.0), (HIGH, 11.5)], 20),
    ([(LOW, 12.0), (MEDIUM, 9.0)], 0),  # nothing loud to compare with
    ([(HIGH, 9.0), (MEDIUM, 12.0)], 0),
])  # fmt: skip
def test_a_song_does_not_fall_where_its_music_rises(
    phrases: list[tuple[EnergyLevel, float]], cost: int
) -> None:
    """Loud phrases more than 0.3 below quiet ones cost one each hundredth of a point."""
    slots = [slot(p, seconds=1.0, energy=energy) for p, (energy, _) in enumerate(phrases)]
    domains = {p: [rated("jog", rpe)] for p, (_, rpe) in enumerate(phrases)}
    choice = [0] * len(slots)
    assert sums_price(puzzle(slots, domains).sums, choice) == cost
    other = puzzle(slots, domains, part=PartName.INTERVALS)
    assert sums_price(other.sums, choice) == 0


def test_contrast_is_weighed_by_counts() -> None:
    """32 loud counts at 11 and 16 at 14 are 12 in the mean: a point below the quiet ones at 13."""
    slots = [slot(0, energy=LOW), slot(1, energy=HIGH), slot(2, 16, energy=HIGH, seconds=1.0)]
    domains = {p: [rated("jog", rpe)] for p, rpe in enumerate((13.0, 11.0, 14.0))}
    assert sums_price(puzzle(slots, domains).sums, [0, 0, 0]) == 100 - 30
    tied = [slot(0, energy=LOW), slot(1, energy=HIGH), slot(0, energy=LOW)]
    told = puzzle(tied, {0: [rated("jog", 13.0)], 1: [rated("jog", 12.0)]})
    assert sums_price(told.sums, [0, 0]) == 70  # both quiet phrases of the tie are one mean


@pytest.mark.parametrize(("ties", "plain", "cost"), [
    (4, 4, 4), (4, 3, 2), (4, 2, 0), (3, 3, 2), (2, 2, 0),
])  # fmt: skip
def test_beyond_two_phrases_plain_a_run_goes_on_to_something(
    ties: int, plain: int, cost: int
) -> None:
    """Two each beyond two slices of a place that stay plain, where it has more than two."""
    slots = [slot(0, tie=tie, seconds=1.0) for tie in range(ties)]
    choice = [0] * plain + [tie % 3 + 1 for tie in range(ties - plain)]
    ways = (("hands", "open"), ("range", "small"), ("travel", "forward"))
    options = [JACK, *(rated("jack", changes=[(Factor(f), key)]) for f, key in ways)]
    assert sums(slots, options, *choice) == cost
    hold = [HOLD, rated("easy-jog")]
    assert sums(slots, hold, *[0] * ties) == 0


def test_landings_rows_of_jumps_and_windows_are_weighed_over_forms() -> None:
    """Half of 8 eights may land firmly, 64 counts of jumps follow one another, 150 s go one way."""
    firm = rated("jog", impact=ImpactBand.MEDIUM)
    assert sums(row(2), [firm, JOG], 0, 0, firm=(0.0, 0.5)) == 24  # four eights, six each
    assert sums(row(2), [firm, JOG], 0, 1, firm=(0.0, 0.5)) == 0
    assert sums(row(3), [JUMP, JOG], 0, 0, 0) == 156 * 32  # 96 counts
    long = [slot(place, seconds=51.0) for place in range(3)]
    assert sums(long, [JACK, JOG], 0, 0, 0) == 60  # 153 s in the frontal plane
    assert sums(long, [JACK, JOG], 0, 1, 0) == 0
    tail = Ledger(set(), tail=[(frozenset({"frontal"}), 60.0)])
    assert sums(long[:2], [JACK, JOG], 0, 0, ledger=tail) == 60
    assert sums([slot(0, seconds=76.0), slot(0, tie=1, seconds=76.0)], [JACK, OPEN], 0, 1) == 60


def kinds_price(found: Puzzle, *choice: int) -> int:
    """Return what the kinds of a puzzle cost at a choice: each group beyond the free ones."""
    taken = set(enumerate(choice))
    return sum(
        one.price * max(0, sum(bool(taken & set(cells)) for cells in one.groups) - one.free)
        for one in found.kinds
    )


KEYS = ("jack", "jog", "jump", "star", "knee-lift", "leg-curl", "front-kick", "twist")


@pytest.mark.parametrize(("way", "experience", "sets", "cost"), [
    (BuildWay.LINEAR, Experience.REGULAR, 5, 0),
    (BuildWay.LINEAR, Experience.REGULAR, 6, 20),
    (BuildWay.LINEAR, Experience.REGULAR, 7, 40),
    (BuildWay.LINEAR, Experience.REGULAR, 8, 3 * 20 + 60),  # three more than review allows
    (BuildWay.BLOCK, Experience.REGULAR, 6, 0),
    (BuildWay.BLOCK, Experience.REGULAR, 8, 2 * 20 + 60),
    (BuildWay.LINEAR, Experience.FIRST_WEEK, 4, 20),
])  # fmt: skip
def test_a_song_has_few_sets(way: BuildWay, experience: Experience, sets: int, cost: int) -> None:
    """Five for those who come regularly, one more in blocks; beyond two more each costs 60 too."""
    domains = {place: [rated(key)] for place, key in enumerate(KEYS[:sets])}
    found = puzzle(row(sets), domains, way=way, experience=experience)
    assert kinds_price(found, *[0] * sets) == cost
    held = puzzle(row(sets), {p: [HOLD if p else JACK] for p in range(sets)}, way=way)
    assert kinds_price(held, *[0] * sets) == 0
    assert [len(one.groups) for one in held.kinds] == [1, 1, 0]
    stretched = puzzle(row(1), {0: [rated("calf-stretch")]})
    assert [len(one.groups) for one in stretched.kinds] == [0, 0, 0]


def test_one_set_counts_once_however_often_it_comes() -> None:
    """Eight phrases of jacks are one set; every other one with open hands makes two."""
    found = puzzle(row(8), {key: [JACK, OPEN] for key in range(8)})
    assert [sorted(map(len, one.groups)) for one in found.kinds] == [[8, 8], [8, 8], [8]]
    assert kinds_price(found, *[0, 1] * 4) == 0


def test_a_song_teaches_few_ways_of_varying() -> None:
    """Three for those who come regularly, 30 each beyond; what open hands are is learned once."""
    ways = (("hands", "open"), ("range", "small"), ("travel", "forward"), ("turn", "quarter"))
    jacks = [JACK, *(rated("jack", changes=[(Factor(f), key)]) for f, key in ways)]
    jogs = [JOG, *(rated("jog", changes=[(Factor(f), key)]) for f, key in ways)]
    domains = dict.fromkeys(range(4), jacks) | {4: jogs}
    assert kinds_price(puzzle(row(5), domains), 1, 2, 3, 4, 1) == 30
    assert kinds_price(puzzle(row(5), domains), 1, 2, 3, 0, 1) == 0
    had = Ledger(set())
    had.options["front-kick", "turn", "quarter"] = 1  # on whatever move it was
    assert kinds_price(puzzle(row(5), domains, had), 1, 2, 3, 4, 1) == 0
    first = puzzle(row(5), domains, experience=Experience.BEGINNERS)
    assert kinds_price(first, 1, 2, 3, 4, 0) == 2 * 30 + 20  # two are free, and four sets
    sides = rated("jog", changes=[(Factor.SIDES, "one")])
    assert puzzle(row(1), {0: [JOG, sides]}).kinds[2].groups == []
