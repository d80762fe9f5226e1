"""What the forms of a song cost: each by itself, one after another, and as a song comes back.

The promises are those of docs/design/planning.md. The weights are judgement, no source; they are
held here by what they add up to, so that none changes by a slip.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise, product
from typing import Any, cast

import pytest
from planning_costs import cost_of
from planning_forms import PassagesByHand, rated, slot

from aquatempo.planning.moves.factors import choose_forms, forms_puzzle
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.menus import Taste
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.moves.windows import STUCK
from aquatempo.planning.solver.choosing import Puzzle
from aquatempo.planning.solver.solving import Effort
from aquatempo.planning.songs.sections import Role
from aquatempo.records.brief import Experience
from aquatempo.records.moves import Factor
from aquatempo.records.plan import Block, BuildWay, PartName

JACK, JOG, JUMP, STAR = (rated(key) for key in ("jack", "jog", "jump", "star"))
OPEN = rated("jack", changes=[(Factor.HANDS, "open")])  # asks nothing but to be learned
FIST = rated("jack", changes=[(Factor.HANDS, "fist")])
SMALL = rated("jack", changes=[(Factor.RANGE, "small")])
BOTH = rated("jack", changes=[(Factor.HANDS, "open"), (Factor.RANGE, "small")])
MET: dict[str, Counter[tuple[tuple[str, str], ...]]] = {
    "jack": Counter({(("hands", "open"),): 1})
}  # learned
CHORUS = Role.CHORUS


def puzzle(
    slots: Sequence[MoveSlot],
    domains: Mapping[int, Sequence[Rated]],
    ledger: Ledger | None = None,
    passages: PassagesByHand | None = None,
    starts: Mapping[int, Rated] | None = None,
    **asked: Any,
) -> Puzzle:
    """Return the puzzle of a song; each place starts with the first option of its first tie.

    asked: of the main part of a linear class that comes regularly, unless told.
    """
    usual = {"part": PartName.MAIN, "way": BuildWay.LINEAR, "experience": Experience.REGULAR}
    first: dict[int, Rated] = {}
    for one in slots:
        first.setdefault(one.place, domains[one.tie][0])
    return forms_puzzle(
        slots,
        starts or first,
        domains,
        Taste(**(usual | asked)),
        ledger or Ledger({"jack", "jog", "jump", "star"}),
        cast("Passages", passages or PassagesByHand()),
    )[0]


def price(slots: Sequence[MoveSlot], one: Rated, start: Rated = JACK, **told: Any) -> int:
    """Return what a form costs by itself where its tie comes first."""
    found = puzzle(slots, {s.tie: [one] for s in slots}, starts={0: start}, **told)
    return found.options[0][0]


@pytest.mark.parametrize(("rpe", "slots", "asked", "cost"), [
    (12.0, [slot(0)], {}, 0),
    (14.0, [slot(0)], {}, 8),  # 4 a phrase and point
    (11.0, [slot(0)], {}, 4),
    (14.0, [slot(0), slot(0)], {}, 16),
    (14.0, [slot(0, 16)], {}, 4),
    (11.0, [slot(0)], {"drive": 3.0}, 12),  # below is dearer for a class that works
    (13.0, [slot(0)], {"drive": 3.0}, 4),  # above is not
    (13.0, [slot(0), slot(0, wanted=15.0)], {"drive": 2.0}, 20),  # 4 above and 2 x 8 below
    (11.0, [slot(0)], {"part": PartName.WARM_UP}, 4),
])  # fmt: skip
def test_effort_costs_by_point_and_phrase(
    rpe: float, slots: list[MoveSlot], asked: dict[str, Any], cost: int
) -> None:
    """Four a point and phrase off what is wanted; below it as much more as the class is driven."""
    assert price(slots, rated("jack", rpe), **asked) == cost


@pytest.mark.parametrize(("form", "slots", "asked", "cost"), [
    (JACK, [slot(0)], {}, 0),
    (OPEN, [slot(0)], {}, 27),  # new 5, in one phrase 4, the only one 14, before it was plain 4
    (OPEN, [slot(0), slot(0)], {}, 9),
    (OPEN, [slot(0)], {"drive": 2.0}, 27),  # drive forgives what is known, not what is new
    (OPEN, [slot(0, turn=1)], {}, 23),  # it has been plain
    (BOTH, [slot(0), slot(0)], {}, 16),  # two at once: 2, small 6, two things before plain 8
    (BOTH, [slot(0)], {}, 34),
    (OPEN, [slot(0, plain=True), slot(0)], {}, 39),  # where it should be plain: 30
    (SMALL, [slot(0), slot(0)], {"part": PartName.WARM_UP}, 15),  # small is dear by itself: 6
    (FIST, [slot(0), slot(0)], {}, 13),  # 4
])  # fmt: skip
def test_a_form_that_is_new_costs_its_learning(
    form: Rated, slots: list[MoveSlot], asked: dict[str, Any], cost: int
) -> None:
    """What is new is learned, in more than one phrase, after the move has come plain."""
    assert price(slots, form, **asked) == cost


def test_what_was_learned_costs_only_where_it_comes_before_the_plain_move() -> None:
    """Known open hands begin a move for 4, for nothing where the class works; later for nothing."""
    ledger = Ledger({"jack"}, forms=MET)
    assert price([slot(0)], OPEN, ledger=ledger) == 4
    assert price([slot(0)], OPEN, ledger=ledger, drive=1.5) == 0
    later = puzzle([slot(0), slot(0, tie=1)], {0: [JACK], 1: [JACK, OPEN]}, ledger)
    assert later.options == [[0], [0, 0]]
    new = puzzle([slot(0), slot(0, tie=1)], {0: [JACK], 1: [JACK, OPEN]})
    assert new.options == [[0], [0, 9]]


def test_a_form_is_told_from_how_its_move_starts() -> None:
    """A move that starts small is plain when small; open hands beyond that are one thing."""
    assert price([slot(0), slot(0)], SMALL, start=SMALL) == 0
    assert price([slot(0), slot(0)], BOTH, start=SMALL) == 9  # as open hands on the plain move
    slots = [slot(7), slot(7), slot(3, tie=4)]
    found = puzzle(slots, {7: [JACK], 4: [JOG]}, starts={7: OPEN, 3: JOG})
    assert found.options == [[9], [0]]


@pytest.mark.parametrize(("way", "part", "experience", "turn", "cost"), [
    (BuildWay.BLOCK, PartName.MAIN, Experience.FIRST_WEEK, 1, 12),
    (BuildWay.LAYER, PartName.WARM_UP, Experience.BEGINNERS, 2, 12),
    (BuildWay.ADD_ON, PartName.MAIN, Experience.TRAINED, 1, 12),
    (BuildWay.ADD_ON, PartName.MAIN, Experience.TRAINED, 0, 0),
    (BuildWay.LINEAR, PartName.MAIN, Experience.REGULAR, 1, 8),
    (BuildWay.PYRAMID, PartName.MAIN, Experience.TRAINED, 1, 8),
    (BuildWay.LINEAR, PartName.MAIN, Experience.REGULAR, 0, 0),
    (BuildWay.LINEAR, PartName.MAIN, Experience.BEGINNERS, 1, 0),
    (BuildWay.LINEAR, PartName.INTERVALS, Experience.REGULAR, 1, 0),
])  # fmt: skip
def test_another_round_asks_for_something_more(
    way: BuildWay, part: PartName, experience: Experience, turn: int, cost: int
) -> None:
    """Plain again costs 12 in rounds, 8 in a verse of those who know their way about."""
    told: dict[str, Any] = {"way": way, "part": part, "experience": experience}
    assert price([slot(0, turn=turn)], JACK, **told) == cost
    varied = price([slot(0, turn=turn)] * 2, OPEN, ledger=Ledger(set(), forms=MET), **told)
    assert varied == (0 if turn else 4)


@pytest.mark.parametrize(("form", "variation", "cost"), [
    (JACK, (), 0), (OPEN, (), 10), (OPEN, (("hands", "open"),), 0),
    (JACK, (("hands", "open"),), 10), (OPEN, (("hands", "fist"),), 20),
    (BOTH, (("range", "small"),), 10),
])  # fmt: skip
def test_following_a_plan_costs_each_thing_that_is_otherwise(
    form: Rated, variation: tuple[tuple[str, str], ...], cost: int
) -> None:
    """Ten for each factor in which a phrase is not as the plan has it; another move is free."""
    slots = [slot(0, phrase=3, offset=0), slot(0, phrase=5)]
    alone = price(slots, form)
    there = {(3, 0): Block(32, "jack", variation)}
    assert price(slots, form, follow=there) == alone + cost
    both = {**there, (5, 0): Block(32, "jack", variation)}
    assert price(slots, form, follow=both) == alone + 2 * cost
    assert price(slots, form, follow={(3, 0): Block(32, "jog", variation)}) == alone


def test_jumps_cost_by_the_phrase_and_stretches_nothing() -> None:
    """Six a phrase of jumps where that is their price, three for half of one; no stretch costs."""
    assert price([slot(0)], JUMP, start=JUMP, hop_cost=6) == 6
    assert price([slot(0), slot(0, 16)], JUMP, start=JUMP, hop_cost=6) == 9
    assert price([slot(0)], JACK, hop_cost=6) == 0
    assert price([slot(0, turn=1)], rated("calf-stretch", 18.0), start=JACK) == 0


def change(first: Rated, second: Rated, after: MoveSlot, before: MoveSlot, **told: Any) -> int:
    """Return what it costs to go from one form of a place to another, -1 where it is forbidden."""
    found = puzzle([before, after], {0: [first], 1: [second]}, starts={0: JACK, 1: second}, **told)
    (link,) = found.links
    assert (link.first, link.second) == (0, 1)
    return link.costs.get((0, 0), -1)


NEXT, HALF = slot(0, tie=1), slot(0, 16, offset=16, tie=1)
VERSE_2 = slot(0, tie=1, turn=1)


@pytest.mark.parametrize(("first", "second", "after", "cost"), [
    (JACK, JACK, NEXT, 0),
    (OPEN, OPEN, HALF, 0),
    (JACK, OPEN, NEXT, 26),  # its passage, 10 here, and 2; it is new, and ends there: 14
    (OPEN, JACK, NEXT, 132),  # what is on is kept while a section lasts: 120
    (OPEN, JACK, VERSE_2, 22),  # 10 to lose it where the song turns
    (OPEN, FIST, NEXT, 146),  # one way of the hands for another, and 14
    (OPEN, FIST, VERSE_2, 30),  # where the song turns 4
    (OPEN, BOTH, NEXT, 146),  # a small range makes it easier: given up, too
    (JACK, OPEN, HALF, 30),  # half way through a phrase: 4
    (OPEN, SMALL, NEXT, -1),  # two things at once
    (JACK, BOTH, NEXT, -1),
    (SMALL, BOTH, NEXT, 26),
    (JACK, JACK, slot(0, tie=1, bridge=8), 10),  # a bridge has a passage, and is no change
    (JACK, OPEN, slot(0, tie=1, bridge=8), 26),
])  # fmt: skip
def test_inside_a_run_one_thing_changes_at_a_time(
    first: Rated, second: Rated, after: MoveSlot, cost: int
) -> None:
    """What stays costs nothing, one thing more a little, one less more, and two are forbidden."""
    assert change(first, second, after, slot(0, 16 if after is HALF else 32)) == cost


def test_half_way_nothing_changes_that_needs_the_count_of_one() -> None:
    """Neither a move with one side nor arms that leave the water change within a phrase."""
    step, wide = rated("side-step"), rated("side-step", changes=[(Factor.HANDS, "open")])
    assert change(step, wide, HALF, slot(0, 16)) == -1
    assert change(step, wide, NEXT, slot(0)) == 12
    up = replace(OPEN, form=replace(OPEN.form, arms_in_water=False))
    assert change(JACK, up, HALF, slot(0, 16)) == -1
    assert change(JACK, up, NEXT, slot(0)) == 26


def test_a_change_that_no_passage_allows_is_forbidden_unless_it_is_kept() -> None:
    """What is settled stays, also where it does not fit, at the price of a broken rule."""
    never = PassagesByHand({("jack", "jack"), ("jack", "jog")})
    assert change(JACK, OPEN, NEXT, slot(0), passages=never) == -1
    assert never.asked == [("jack", "jack", 0, False)]
    held = replace(NEXT, fixed=OPEN.form)
    assert change(JACK, OPEN, held, slot(0), passages=never) == STUCK
    assert change(JACK, JOG, replace(held, place=1), slot(0), passages=never) == STUCK
    both = [slot(0, fixed=JACK.form), held]
    assert puzzle(both, {0: [JACK], 1: [OPEN]}, passages=never).links == []


@pytest.mark.parametrize(("slots", "known", "spare"), [
    ([slot(0), slot(1)], {"jack"}, True),  # known: an eight may be given away
    ([slot(0), slot(1)], set(), False),  # new, and one phrase is what it takes to be learned
    ([slot(0), slot(0), slot(1)], set(), True),
    ([slot(0), slot(2), slot(0), slot(1)], set(), True),  # it was learned before
    ([slot(0, 16), slot(1)], {"jack"}, False),  # less than a phrase: nothing to spare
])  # fmt: skip
def test_an_eight_is_to_spare_once_a_move_is_learned(
    slots: list[MoveSlot], known: set[str], spare: bool
) -> None:
    """Eight movements a side first; from then on the last eight of a phrase may be given away."""
    passages = PassagesByHand()
    puzzle(slots, {0: [JACK], 1: [JOG], 2: [JUMP]}, Ledger(known), passages)
    assert ("jack", "jog", 0, spare) in passages.asked
    slow = rated("front-kick", changes=[(Factor.TEMPO, "half")])  # two phrases to be learned in
    for times, enough in ((2, False), (3, True)):
        puzzle([slot(0)] * times + [slot(1)], {0: [slow], 1: [JOG]}, Ledger(set()), passages)
        assert passages.asked[-1] == ("front-kick", "jog", 0, enough)


@pytest.mark.parametrize(("role", "other", "rpe", "asked", "cost"), [
    (Role.VERSE, CHORUS, 13.0, {}, 18),  # 6 x (14 + 0.3 - 13) = 7.8 beyond the passage
    (Role.MIDDLE, CHORUS, 13.0, {}, 18),
    (Role.VERSE, CHORUS, 13.0, {"drive": 2.0}, 26),
    (Role.VERSE, CHORUS, 14.0, {}, 12),
    (Role.VERSE, CHORUS, 14.3, {}, 10),
    (CHORUS, CHORUS, 13.0, {}, 10),
    (CHORUS, Role.VERSE, 13.0, {}, 10),
    (Role.VERSE, CHORUS, 13.0, {"part": PartName.WARM_UP}, 10),
])  # fmt: skip
def test_a_chorus_is_harder_than_what_leads_to_it(
    role: Role, other: Role, rpe: float, asked: dict[str, Any], cost: int
) -> None:
    """By 0.3 points at least; each point less costs 6. A gentle part goes one way by itself."""
    slots, hard = [slot(0, role=role), slot(1, role=other)], rated("jack", 14.0)
    found = puzzle(slots, {0: [hard], 1: [rated("jog", rpe), JOG]}, **asked).links[0]
    assert found.costs[0, 0] == cost
    lesson = puzzle(slots, {0: [hard], 1: [rated("jog", rpe)]}, **asked).links[0]
    assert lesson.costs == {(0, 0): 10}  # a lesson is as hard as it is


def test_big_jumps_do_not_go_over_into_others() -> None:
    """From jumps to stars costs 400 more, not over a bridge, nor from a jog."""
    told = {0: [JUMP, JOG], 1: [STAR, JACK]}
    costs = puzzle([slot(0), slot(1)], told).links[0].costs
    assert costs == {(0, 0): 410, (0, 1): 10, (1, 0): 10, (1, 1): 10}
    parted = puzzle([slot(0), slot(1, bridge=8)], told).links[0].costs
    assert set(parted.values()) == {10}
    more = rated("jump", changes=[(Factor.HANDS, "open")])
    same = puzzle([slot(0), slot(0, tie=1)], {0: [JUMP], 1: [more]}).links[0].costs
    assert same == {(0, 0): 26}


def test_each_change_is_weighed_once_however_often_it_comes() -> None:
    """A B A B: two links, A to B and B to A; over a bridge it is another one."""
    domains = {0: [JACK], 1: [JOG]}
    found = puzzle([slot(0), slot(1), slot(0), slot(1)], domains).links
    assert [(one.first, one.second) for one in found] == [(0, 1), (1, 0)]
    bridged = puzzle([slot(0), slot(1), slot(0), slot(1, bridge=8)], domains).links
    assert [(one.first, one.second) for one in bridged] == [(0, 1), (1, 0), (0, 1)]


def back(way: BuildWay, slots: Sequence[MoveSlot], **told: Any) -> list[dict[tuple[int, int], int]]:
    """Return what a return of place 0 costs beside its passages; with jack, open, small each."""
    options = {one.tie: [JACK, OPEN, SMALL] if one.place == 0 else [JOG] for one in slots}
    found = puzzle(slots, told.pop("domains", options), way=way, **told).links
    passages = sum(1 for one, other in pairwise(slots) if one.tie != other.tie)
    return [dict(one.costs) for one in found[passages:]]


AWAY = [slot(0), slot(5), slot(0, tie=1, turn=1)]  # a verse, something else, and the verse again


@pytest.mark.parametrize(("way", "again", "plainer", "otherwise"), [
    (BuildWay.BLOCK, 8, 20, 12), (BuildWay.ADD_ON, 8, 20, 20), (BuildWay.LAYER, 0, 20, 20),
    (BuildWay.PYRAMID, 0, 20, 12), (BuildWay.LINEAR, 12, 14, 12),
])  # fmt: skip
def test_what_comes_back_is_not_plainer_than_it_was(
    way: BuildWay, again: int, plainer: int, otherwise: int
) -> None:
    """Rounds bring something new; what is lost, or made easier, costs more than staying as it was.

    What is new and comes for one phrase only, the last of its move, costs 14.
    """
    (costs,) = back(way, AWAY)
    same, less = {(0, 0): again, (1, 1): again, (2, 2): again}, {(1, 0): plainer, (2, 0): plainer}
    new = {(0, 1): 14, (0, 2): otherwise + 14, (1, 2): otherwise + 14, (2, 1): 14}
    assert costs == new | same | less


def test_returns_are_weighed_where_a_move_has_been_away() -> None:
    """Not of stretches, not where it is settled, and of linear songs for verses only."""
    rounds, near = BuildWay.BLOCK, [slot(0), slot(0, tie=1)]
    assert back(rounds, AWAY, part=PartName.STRETCH) == []
    (warm,) = back(rounds, AWAY, part=PartName.WARM_UP)  # verses and choruses, in no hurry
    assert (warm[0, 0], warm[1, 0]) == (0, 14)
    assert len(back(BuildWay.LINEAR, [slot(0), slot(5), slot(0, tie=1)])) == 1  # one section
    assert len(back(rounds, AWAY, part=PartName.INTERVALS)) == 1
    assert back(rounds, AWAY, domains={0: [JACK, OPEN], 5: [JOG], 1: [JACK]}) == []
    assert len(back(rounds, near)) == 1
    assert back(BuildWay.LINEAR, near) == []
    assert back(BuildWay.LINEAR, [*AWAY[:2], slot(0, tie=1, role=CHORUS)]) == []
    assert back(rounds, [slot(0), slot(5), slot(0)]) == []  # done alike
    assert (
        len(back(rounds, [*AWAY, slot(5), slot(0, tie=2, turn=2)])) == 2 + 1
    )  # and no third as the first


def test_in_less_than_two_eights_nothing_new_is_met() -> None:
    """A return of 8 counts is what it was, or what is learned; in 16 all may come."""
    ledger = Ledger({"jack"}, forms=MET)
    for counts in (8, 15):
        short = back(BuildWay.BLOCK, [*AWAY[:2], slot(0, counts, tie=1)], ledger=ledger)[0]
        assert set(short) == {(0, 0), (1, 1), (2, 2), (0, 1), (2, 1)}
    assert len(back(BuildWay.BLOCK, [*AWAY[:2], slot(0, 16, tie=1)], ledger=ledger)[0]) == 9


def test_the_cheapest_forms_of_all_are_chosen() -> None:
    """Of all 27 choices of three ties of three forms, what is chosen costs least."""
    hard = [rated("jack", 11.0), rated("jack", 12.4, changes=[(Factor.HANDS, "open")]),
            rated("jack", 13.5, changes=[(Factor.RANGE, "large")])]  # fmt: skip
    slots = [slot(0, wanted=11.0), slot(0, tie=1, wanted=12.5), slot(0, tie=2, wanted=13.5)] * 2
    domains = dict.fromkeys(range(3), hard)
    whole = puzzle(slots, domains)
    costs = {pick: cost_of(whole, pick) for pick in product(range(3), repeat=3)}
    least = min(cost for cost in costs.values() if cost is not None)
    taste = Taste(PartName.MAIN, BuildWay.LINEAR, Experience.REGULAR)
    told = (slots, {0: hard[0]}, domains, taste, Ledger({"jack"}))
    found = choose_forms(*told, cast("Passages", PassagesByHand()), Effort())
    assert found is not None
    choice, solved = found
    assert solved.cost == least
    assert costs[cast("Any", tuple(hard.index(choice[tie]) for tie in range(3)))] == least
    never = cast("Passages", PassagesByHand({("jack", "jack")}))
    fixed = {0: [hard[0]], 1: [hard[1]], 2: [hard[0]]}
    assert choose_forms(slots, {0: hard[0]}, fixed, taste, told[4], never, Effort()) is None
