"""What a base move costs at a place, and which may follow which; worked by hand.

Weights are judgement (docs/design/planning.md): what costs nothing, what costs more than what,
and what breaks a rule is held here, not by how much.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any, cast

import pytest
from planning_forms import KNOWN as ALL
from planning_forms import PassagesByHand, rated, slot, sums_price
from planning_forms import move_price as price

from aquatempo.planning.moves.base_moves import moves_puzzle
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.move_costs import Terms, stuck_at, sums_over
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.moves.windows import STUCK
from aquatempo.planning.solver.choosing import Sum
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import Factor, MoveKind, Plane
from aquatempo.records.plan import Block, BuildWay

JACK, JOG, KICK, JUMP = (rated(key) for key in ("jack", "jog", "front-kick", "jump"))


def test_a_known_move_at_its_effort_costs_nothing() -> None:
    """What the class knows, at the effort wanted, where nothing was done before: no cost."""
    assert price([slot(0), slot(0), slot(1)]) == 0


def test_effort_costs_the_further_it_is_off_and_by_the_phrase() -> None:
    """Off by one, two, six points; further is no worse. Two phrases cost twice, a half half."""
    costs = [price([slot(0)], rated("jack", rpe)) for rpe in (12.0, 13.0, 14.0, 18.0, 19.0)]
    assert costs[:4] == sorted(set(costs[:4]))
    assert costs[4] == costs[3]
    assert price([slot(0)], rated("jack", 11.0)) == pytest.approx(costs[1], abs=1)
    two = rated("jack", 14.0)
    assert price([slot(0), slot(0)], two) == 2 * costs[2]
    assert price([slot(0, 16)], two) == pytest.approx(costs[2] / 2, abs=1)
    assert price([slot(0), slot(1)], two) == costs[2]


def test_a_move_that_can_be_varied_to_the_effort_costs_less() -> None:
    """From 10 to 14 it reaches 12: only that it has to be varied costs, not that it is off."""
    near = price([slot(0)], rated("jack", 14.0), reach=lambda form: (10.0, 14.0))
    far = price([slot(0)], rated("jack", 14.0))
    assert 0 < near < far


def test_new_moves_cost_most_in_a_chorus_and_least_where_they_are_taught() -> None:
    """A chorus is no place to meet a move; the warm-up is."""
    none = Ledger(set())
    plain = price([slot(0)], ledger=none)
    chorus = price([slot(0, role=Role.CHORUS)], ledger=none)
    begun = Ledger({"jog"}, phrases=Counter(jog=1))
    taught = price([slot(0)], ledger=begun, teaching=True)
    assert 0 < taught < plain < chorus


def test_a_new_move_has_to_have_its_phrases_in_a_row() -> None:
    """A kick in half water tempo takes two phrases: one, or two with a bridge, are too few."""
    slow = rated("front-kick", changes=[(Factor.TEMPO, "half")])
    none = Ledger(set())
    assert price([slot(0), slot(0)], slow, none) < STUCK
    assert price([slot(0), slot(1)], slow, none) >= STUCK
    assert price([slot(0), slot(0, bridge=8)], slow, none) >= STUCK
    assert price([slot(1), slot(0, bridge=8), slot(0)], slow, none) < STUCK
    assert price([slot(1, 16), slot(0, 16, offset=16)], ledger=none) >= STUCK  # no whole phrase
    assert price([slot(0)], slow) < STUCK  # it is known


@pytest.mark.parametrize(("slots", "terms", "fits"), [
    ([slot(0, role=Role.CHORUS)], {"hop_room": 1.0}, True),
    ([slot(0, role=Role.CHORUS)], {"hop_room": 0.9}, False),
    ([slot(0)], {"hop_room": 9.0}, False),  # a verse
    ([slot(0, role=Role.CHORUS)] * 2, {"hop_room": 2.0}, True),
    ([slot(0, role=Role.CHORUS)] * 3, {"hop_room": 9.0}, False),  # 96 counts in a row
    ([*[slot(0, role=Role.CHORUS)] * 2, slot(0, 32, 8, role=Role.CHORUS)], {"hop_room": 9.0}, True),
    ([slot(0, role=Role.CHORUS)], {"hop_room": 1.0, "jumps_allowed": False}, False),
])  # fmt: skip
def test_big_jumps_fit_in_a_chorus_of_two_phrases(
    slots: list[MoveSlot], terms: dict[str, Any], fits: bool
) -> None:
    """Where they are allowed, have room and do not go on for more than 64 counts in a row."""
    found = price(slots, JUMP, **({"jumps_allowed": True, "hop_cost": 7} | terms))
    assert (found < STUCK) is fits
    if fits:
        assert found == 7 * len(slots)


def test_what_came_in_the_songs_before_costs_by_the_phrase() -> None:
    """More from the last song than from the one before it; what was long ago, nothing."""
    jack, jog = frozenset({"jack"}), frozenset({"jog"})
    last, before, long_ago = (
        price([slot(0)], ledger=Ledger(set(ALL), recent=recent))
        for recent in ([jog, jack], [jack, jog], [jack, jog, jog])
    )
    assert last > before > long_ago == 0
    again = Ledger(set(ALL), recent=[jack])
    assert price([slot(0), slot(0)], ledger=again) == 2 * last
    # A cool-down takes what is known: there only the rebound of a jack costs.
    assert price([slot(0)], ledger=again, gentle=True) == price([slot(0)], gentle=True)


def test_a_move_comes_back_until_it_has_had_its_share() -> None:
    """Up to 1.3 times its share nothing; beyond ever more, to a most."""
    costs = []
    for phrases in (10, 13, 14, 15, 40, 50):
        ledger = Ledger(set(ALL))
        ledger.phrases["jack"] = phrases
        costs.append(price([slot(0)], ledger=ledger, share=10.0))
    assert costs[:2] == [0, 0]
    assert 0 < costs[2] < costs[3] < costs[4] == costs[5]


def test_holding_costs_unless_the_place_is_for_rest() -> None:
    """A holding move in a base move's place costs by the slot; where only it may be, nothing."""
    hold = rated("easy-jog")
    one = price([slot(0)], hold)
    assert one > 0
    assert price([slot(0), slot(0)], hold) == 2 * one
    assert price([slot(0, only=(MoveKind.HOLDING,))], hold) == 0


def test_following_another_plan_costs_where_the_move_is_another() -> None:
    """A phrase with another move costs, half of one half as much, the same move nothing."""
    there = {(0, 0): Block(32, "jog"), (5, 0): Block(32, "jog")}
    assert price([slot(0)], JOG, follow=there) == 0
    whole = price([slot(0)], JACK, follow=there)
    assert 0 < whole < STUCK
    assert price([slot(0, 16)], JACK, follow=there) == pytest.approx(whole / 2, abs=1)
    assert price([slot(0, phrase=2)], JACK, follow=there) == 0
    assert price([slot(0), slot(0, phrase=5)], JACK, follow=there) == 2 * whole


def test_a_pyramid_wants_a_move_with_one_side() -> None:
    """Sides are counted down: a move that has none, or does both in turn, costs."""
    step = rated("side-step")
    assert price([slot(0, pyramid=True)]) > price([slot(0)]) == 0
    assert price([slot(0, pyramid=True)], JOG) > 0
    assert price([slot(0, pyramid=True)], step) == price([slot(0)], step)


def test_a_slowed_move_costs_something() -> None:
    """Half water tempo to fit a song costs more than the move as it is."""
    slow = rated("jack", changes=[(Factor.TEMPO, "half")])
    assert price([slot(0)], slow) > price([slot(0)]) == 0


def test_stretches_that_nothing_carries_are_counted() -> None:
    """A bridge within the place and a tail after it are two; a bridge before it is none."""
    slots = [slot(0, bridge=8), slot(0, bridge=8), slot(1, bridge=8), slot(1, tail=4)]
    passages = cast("Passages", PassagesByHand())
    assert [stuck_at(slots, place, JACK, passages) for place in (0, 1)] == [1, 1]
    assert stuck_at([slot(0), slot(0)], 0, JACK, passages) == 0


def puzzle_of(
    slots: Sequence[MoveSlot],
    options: Sequence[Rated],
    passages: PassagesByHand,
    known: set[str] = ALL,
    **terms: Any,
) -> Any:
    """Return the puzzle of a song in which each place has the same options."""
    told = {"reach": lambda form: (form.rpe, form.rpe)} | terms
    domains = {one.place: options for one in slots}
    asked = Terms(BuildWay.LINEAR, 2, **told)
    return moves_puzzle(slots, domains, asked, Ledger(set(known)), cast("Passages", passages))[0]


def test_each_passage_is_paid_as_often_as_it_comes() -> None:
    """A B A B: A to B comes twice, B to A once; planes and muscles that differ cost nothing."""
    slots = [slot(0), slot(1), slot(0), slot(1)]
    found = puzzle_of(slots, [JACK, JOG], PassagesByHand())
    assert [(one.first, one.second, one.costs[0, 1]) for one in found.links] == [
        (0, 1, 20), (1, 0, 10),
    ]  # fmt: skip
    assert all(set(one.costs) == {(0, 1), (1, 0)} for one in found.links)
    assert [sorted(cells) for cells in found.once] == [[(0, 0), (1, 0)], [(0, 1), (1, 1)]]
    again = puzzle_of(slots, [JACK, JOG], PassagesByHand(), may_repeat=True)
    assert all(len(one.costs) == 4 for one in again.links)
    assert again.once == []
    barred = puzzle_of(slots, [JACK, JOG], PassagesByHand({("jack", "jog")}))
    assert all(set(one.costs) == {(1, 0)} for one in barred.links)


@pytest.mark.parametrize(("slots", "known", "spare"), [
    ([slot(0), slot(1)], {"jack"}, True),  # known: an eight may be given away
    ([slot(0), slot(1)], set(), False),  # new, and one phrase is what it takes to be learned
    ([slot(0), slot(0), slot(1)], set(), True),
    ([slot(0), slot(1, bridge=8)], set(), False),
    ([slot(2), slot(0), slot(1)], set(), False),  # what another place did does not count
    ([slot(0, 16), slot(1)], {"jack"}, False),  # less than a phrase: nothing to spare
])  # fmt: skip
def test_an_eight_is_to_spare_after_what_is_learned(
    slots: list[MoveSlot], known: set[str], spare: bool
) -> None:
    """A new move keeps the phrases that it is learned in; a known one may give its last eight."""
    passages = PassagesByHand()
    puzzle_of(slots, [JACK, JOG], passages, known)
    bridge = slots[-1].bridge
    told = passages.asked[-4:]
    assert ("jack", "jog", bridge, spare) in told


def test_two_kinds_of_big_jumps_do_not_follow_one_another() -> None:
    """Jumps that go over into others cost more than after a jog, unless a bridge parts them."""
    star = rated("star")
    straight = puzzle_of([slot(0), slot(1)], [JUMP, star, JOG], PassagesByHand()).links[0].costs
    parted = (
        puzzle_of([slot(0), slot(1, bridge=8)], [JUMP, star, JOG], PassagesByHand()).links[0].costs
    )
    assert straight[0, 1] > parted[0, 1] + 100
    assert straight[2, 1] == parted[2, 1]


def test_a_chorus_is_no_easier_than_its_verse() -> None:
    """From a verse at 14 to a chorus at 11 costs, from 11 to 14 does not, nor back."""
    hard, easy = rated("jack", 14.0), rated("jog", 11.0)
    chorus = slot(1, role=Role.CHORUS)
    costs = puzzle_of([slot(0), chorus], [hard, easy], PassagesByHand()).links[0].costs
    assert costs[0, 1] > costs[1, 0] == 10
    back = puzzle_of([chorus, slot(0)], [hard, easy], PassagesByHand()).links[0].costs
    assert back[0, 1] == back[1, 0] == 10


def test_a_warm_up_goes_up_and_a_cool_down_goes_down() -> None:
    """The wrong way costs by the point, the right way nothing."""
    hard, easy = rated("jack", 14.0), rated("jog", 11.0)
    slots = [slot(0), slot(1)]
    down = puzzle_of(slots, [hard, easy], PassagesByHand(), gentle=True).links[0].costs
    assert down[1, 0] > down[0, 1] == 10
    up = puzzle_of(slots, [hard, easy], PassagesByHand(), gentle=True, teaching=True).links[0].costs
    assert up[0, 1] > up[1, 0] == 10


def test_one_sided_moves_are_not_split() -> None:
    """Half a phrase of a move with one side is stuck; a pyramid is made of its halves."""
    step = rated("side-step")
    half, pyramid = slot(0, 16), slot(0, 16, pyramid=True)
    for first, stuck in ((half, True), (pyramid, False), (slot(0), False)):
        costs = puzzle_of([first, slot(1)], [step, JOG], PassagesByHand()).options[0]
        assert (costs[0] >= STUCK) is stuck
        assert costs[1] < STUCK


def wishes(slots: Sequence[MoveSlot], options: Sequence[Rated], ledger: Ledger) -> list[Sum]:
    """Return the sums of a song whose places have the same options; one new move is welcome."""
    rows = {place: place for place in range(1 + max(one.place for one in slots))}
    terms = Terms(BuildWay.LINEAR, 1, reach=lambda form: (form.rpe, form.rpe))
    return sums_over(slots, dict.fromkeys(rows, tuple(options)), rows, terms, ledger)


def test_planes_have_their_share_of_a_song() -> None:
    """Of ten phrases five jogs and five jacks are even; ten of either cost, twenty cost more."""

    def told(phrases: int, *choice: int) -> int:
        slots = [slot(place) for place in (0, 1) for _ in range(phrases)]
        return sums_price(wishes(slots, [JACK, JOG], Ledger(set(ALL)))[: len(Plane)], choice)

    assert told(5, 0, 1) == told(5, 1, 0) == 0
    assert 0 < told(5, 1, 1) < told(10, 1, 1)
    assert 0 < told(5, 0, 0) < told(10, 0, 0)
    done = Ledger(set(ALL))
    done.planes["frontal"] = 10
    slots = [slot(place) for place in (0, 1) for _ in range(5)]
    found = wishes(slots, [JACK, JOG], done)[: len(Plane)]
    costs = [sums_price(found, choice) for choice in ((1, 1), (0, 1), (0, 0))]
    assert costs == sorted(set(costs))  # what was done before counts: jogs are wanted now


def test_more_new_moves_than_are_welcome_cost() -> None:
    """One new move is welcome: none or one costs nothing, two cost."""
    slots, none = [slot(0), slot(1)], Ledger({"jog"})
    by_choice = [
        sums_price(wishes(slots, [JACK, JOG], none), choice) for choice in ((1, 1), (0, 1))
    ]
    assert by_choice == [0, 0]
    assert sums_price(wishes(slots, [JACK, KICK], none), (0, 1)) > 0


@pytest.mark.parametrize(("keys", "known", "cost"), [
    (("jack", "jog"), ALL, 10),  # the passage alone
    (("jog", "knee-lift"), {"jog"}, 15),  # the same plane 2, the same first muscle 3
    (("jog", "leg-curl"), {"jog"}, 12),
    (("jack", "jog"), {"twist"}, 16),  # both new: 6
    (("jack", "jog"), {"jog"}, 10),
    (("jump", "star"), ALL, 410),  # one kind of big jumps after another
    (("calf-stretch", "hamstring-stretch"), {"jog"}, 10),
])  # fmt: skip
def test_two_moves_in_a_row_are_not_alike(
    keys: tuple[str, str], known: set[str], cost: int
) -> None:
    """Plane, muscle, newness and jumps twice in a row add to what the passage costs."""
    first, second = (rated(key) for key in keys)
    link = puzzle_of([slot(0), slot(1)], [first, second], PassagesByHand(), known).links[0]
    assert link.costs == {(0, 1): cost, (1, 0): cost}


@pytest.mark.parametrize(("before", "after", "terms", "cost"), [
    (Role.VERSE, Role.CHORUS, {}, 39),  # 6 x (14 + 0.5 - 11) and 4 x (14 - 11 - 1)
    (Role.MIDDLE, Role.CHORUS, {}, 10), (Role.CHORUS, Role.VERSE, {}, 10),
    (Role.VERSE, Role.CHORUS, {"reach": lambda form: (11.0, 11.4)}, 19),  # 6 x 0.1 and 8
    (Role.VERSE, Role.CHORUS, {"reach": lambda form: (11.0, 11.0)}, 21),
    (Role.VERSE, Role.VERSE, {"gentle": True}, 10),
    (Role.VERSE, Role.VERSE, {"gentle": True, "teaching": True}, 46),  # 12 x 3, the wrong way
])  # fmt: skip
def test_effort_goes_the_way_of_the_song(
    before: Role, after: Role, terms: dict[str, Any], cost: int
) -> None:
    """From 14 down to 11: wrong into a chorus and in a warm-up, right in a cool-down."""
    slots = [slot(0, role=before), slot(1, role=after)]
    options = [rated("jack", 14.0), rated("jog", 11.0)]
    assert puzzle_of(slots, options, PassagesByHand(), **terms).links[0].costs[0, 1] == cost


def test_what_is_kept_stays_at_the_price_of_a_broken_rule() -> None:
    """A passage that does not work is 5000 where one side is settled; both settled: no link."""
    never = PassagesByHand({("jack", "jog")})
    held = slot(1, fixed=JOG.form)
    assert puzzle_of([slot(0), held], [JACK, JOG], never).links[0].costs[0, 1] == STUCK
    both = [slot(0, fixed=JACK.form), held]
    assert puzzle_of(both, [JACK, JOG], never).links == []
    assert puzzle_of([slot(0), held], [JACK, JOG], never).links[0].costs[0, 0] == 15  # alike
    assert puzzle_of([slot(0)], [JACK], never).options == [[0]]
    halves = [slot(0, 16), slot(0, 16, offset=16), slot(1)]
    assert puzzle_of(halves, [rated("side-step"), JOG], never).options[0] == [2 * STUCK, 0]
    inside = [slot(0), slot(0, bridge=8), slot(1)]
    assert puzzle_of(inside, [JACK, JOG], never).options[0] == [STUCK, STUCK]
