"""What a base move at a place of a song adds up to, weight by weight.

The weights are judgement, no source: they are held by what they add up to, each with its reason, so
that none changes by a slip.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

import pytest
from planning_forms import KNOWN, move_price, rated, slot, sums_price

from aquatempo.moves import catalogue
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.move_costs import Terms, sums_over
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.moves.windows import STUCK
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import Factor
from aquatempo.records.plan import BuildWay
from aquatempo.records.verdict import ImpactBand

JACK, JOG, KICK, JUMP, STEP = (
    rated(key) for key in ("jack", "jog", "front-kick", "jump", "side-step")
)
CHORUS = slot(0, role=Role.CHORUS)
MOVES = catalogue().moves


def knows(known: set[str] | None = None, **had: Any) -> Ledger:
    """Return a ledger of a class that knows some moves, all unless told."""
    return Ledger(set(KNOWN) if known is None else known, **had)


@pytest.mark.parametrize(("form", "slots", "terms", "cost"), [
    (rated("jack", 14.0), [slot(0)], {}, 11),  # two points off: 4 each, and 1.5 each to be varied
    (rated("jack", 18.0), [slot(0)], {}, 33),
    (rated("jack", 19.0), [slot(0)], {}, 33),  # further than six is no worse
    (rated("jack", 10.0), [slot(0)], {}, 11),
    (rated("jack", 14.0), [slot(0)] * 2, {}, 22),
    (rated("side-step", 14.0), [slot(0)], {"gentle": True}, 16),  # 6 and 2 where it is quiet
    (rated("jack", 14.0), [slot(0)], {"reach": lambda form: (10.0, 14.0)}, 3),
    (rated("jack", 14.0), [slot(0)], {"reach": lambda form: (13.0, 15.0)}, 7),  # one short
    (rated("jack", 9.0), [slot(0)], {"reach": lambda form: (8.0, 10.5)}, 10),  # 6 and 4.5, even
    (rated("easy-jog", 12.0), [slot(0)] * 2, {}, 120),  # a holding move fills no phrase for less
    (rated("easy-jog", 10.0), [slot(0)], {}, 71),
])  # fmt: skip
def test_effort_off_what_is_wanted(
    form: Rated, slots: list[MoveSlot], terms: dict[str, Any], cost: int
) -> None:
    """What no form of a move reaches costs by point and phrase, what a variation has to do less."""
    assert move_price(slots, form, **terms) == cost


@pytest.mark.parametrize(("form", "slots", "terms", "cost"), [
    (JACK, [slot(0)], {}, 10),
    (JACK, [slot(0)], {"way": BuildWay.ADD_ON}, 34),  # it stays plain to the end
    (STEP, [slot(0)], {"way": BuildWay.ADD_ON, "gentle": True}, 10),
    (JACK, [CHORUS], {}, 22),
    (JACK, [CHORUS], {"teaching": True}, 1),  # where moves are met
    (JACK, [slot(0, 16)], {}, 10 + STUCK),  # no room to learn it
])  # fmt: skip
def test_a_move_that_is_new(
    form: Rated, slots: list[MoveSlot], terms: dict[str, Any], cost: int
) -> None:
    """Ten, 12 more in a chorus and 24 more in a row; where moves are taught next to nothing."""
    begun = knows({"jog"}, phrases=Counter(jog=1))
    assert move_price(slots, form, begun, **terms) == cost


@pytest.mark.parametrize(("phrases", "terms", "cost"), [
    (15, {}, 4),  # two beyond 1.3 x 10, two each
    (27, {}, 28), (28, {}, 30), (40, {}, 30),  # 30 at most
    (15, {"gentle": True}, 0),  # a cool-down comes back to what is known
    (15, {"gentle": True, "teaching": True, "met_all": True}, 4),
    (1, {"teaching": True}, 14),  # the warm-up brings one move after the other
    (1, {"teaching": True, "met_all": True}, 0),
    (0, {"teaching": True}, 0),
])  # fmt: skip
def test_a_move_that_has_come_before(phrases: int, terms: dict[str, Any], cost: int) -> None:
    """Up to 1.3 times its share is free, then two a phrase; met already in a warm-up 14."""
    ledger = knows(phrases=Counter({"side-step": phrases, "jog": 1}))
    assert move_price([slot(0)], STEP, ledger, share=10.0, **terms) == cost


@pytest.mark.parametrize(("songs", "slots", "cost"), [
    (["jog", "jack"], [slot(0)], 5), (["jack", "jog"], [slot(0)], 3),
    (["jack", "jack"], [slot(0)], 8), (["jack", "jog", "jog"], [slot(0)], 0),
    (["jack", "jack"], [slot(0), slot(0, 16)], 12),
])  # fmt: skip
def test_a_move_of_the_songs_before(songs: list[str], slots: list[MoveSlot], cost: int) -> None:
    """Five a phrase from the last song, three from the one before it."""
    ledger = knows(recent=[frozenset({key}) for key in songs])
    assert move_price(slots, JACK, ledger) == cost
    gentle = move_price(slots, STEP, knows(recent=[frozenset({"side-step"})]), gentle=True)
    assert gentle == 0


@pytest.mark.parametrize(("times", "cost"), [(1, 0), (2, 8), (3, 16), (4, 24), (9, 24)])
def test_a_move_that_was_the_chorus_often(times: int, cost: int) -> None:
    """Eight a phrase for each song beyond two, this one counted, three at most; verses are free."""
    ledger = knows(choruses=Counter({"jack": times, "side-step": times}))
    assert move_price([CHORUS], JACK, ledger) == cost
    assert move_price([CHORUS, CHORUS], JACK, ledger) == 2 * cost
    assert move_price([slot(0)], JACK, ledger) == 0
    assert move_price([CHORUS], STEP, ledger, gentle=True) == 0


@pytest.mark.parametrize(("form", "terms", "cost"), [
    (JACK, {}, 13),  # 7 to rebound, 6 for both legs at once
    (JACK, {"teaching": True}, 7), (JOG, {}, 7), (STEP, {}, 0), (rated("arm-press"), {}, 0),
])  # fmt: skip
def test_a_gentle_part_has_no_rebound(form: Rated, terms: dict[str, Any], cost: int) -> None:
    """Seven a phrase for a hop; in a cool-down six for legs that do not go one by one."""
    ledger = knows({*KNOWN, "arm-press"}, phrases=Counter(twist=1))
    assert move_price([slot(0)], form, ledger, gentle=True, **terms) == cost
    assert move_price([slot(0)] * 2, form, ledger, gentle=True, **terms) == 2 * cost


@pytest.mark.parametrize(("form", "ledger", "slots", "cost"), [
    # Under a jack lie side-step, march and standing: two beyond one, eight each.
    (JACK, knows(phrases=Counter(twist=1)), [slot(0)], 8),  # half where something is known
    (JACK, knows(set(), phrases=Counter(twist=1)), [slot(0)], 17),  # and 1 as it is new
    (JACK, knows(), [slot(0)], 48 + 24),  # thrice to open with; both legs, and long: 12 each
    (JACK, knows(), [slot(1), slot(0)], 8),  # another one opens
    (JOG, knows(), [slot(0)], 24),  # leg after leg and short
    (KICK, knows(), [slot(0)], 72 + 12),  # knee-lift, jog, easy jog, standing; long
])  # fmt: skip
def test_what_is_easy_is_taught_first(
    form: Rated, ledger: Ledger, slots: list[MoveSlot], cost: int
) -> None:
    """Each easier move under one costs, most at the very beginning of a class."""
    assert move_price(slots, form, ledger, teaching=True, moves=MOVES) == cost
    assert move_price(slots, form, knows(), moves=MOVES) == 0


def test_pyramids_slow_moves_and_plans_that_are_followed() -> None:
    """Sixty a slot without a side, three to slow down, 40 a phrase with another move than there."""
    assert move_price([slot(0, pyramid=True)] * 2) == 120
    assert move_price([slot(0, pyramid=True)], STEP) == 0
    slow = rated("jack", changes=[(Factor.TEMPO, "half")])
    assert move_price([slot(0)] * 2, slow) == 3
    fist = rated("jack", changes=[(Factor.HANDS, "fist")])
    assert move_price([slot(0)], fist) == 0


def wishes(slots: Sequence[MoveSlot], options: Sequence[Rated], *choice: int, **told: Any) -> int:
    """Return what the sums of a song cost at a choice; two new moves are welcome unless told."""
    rows = {place: place for place in range(len(choice))}
    ledger = told.pop("ledger", None) or knows()
    asked: dict[str, Any] = {"way": BuildWay.LINEAR, "new_moves": 2} | told
    terms = Terms(**asked, reach=lambda form: (form.rpe, form.rpe))
    domains = dict.fromkeys(rows, tuple(options))
    return sums_price(sums_over(slots, domains, rows, terms, ledger), choice)


TEN = [slot(place, seconds=1.0) for place in (0, 1) for _ in range(5)]


@pytest.mark.parametrize(("forms", "planes", "cost"), [
    ((JACK, JACK), {}, 15),  # ten of at most ceil(0.4 x 10) + 1 = 5, three each
    ((JACK, JOG), {}, 0),
    ((JOG, JOG), {}, 9),  # ten of at most ceil(5.5) + 1 = 7
    ((JUMP, JOG), {}, 18),  # five of at most 2 + 1; and jumps lean to two muscles, six each
    ((JACK, JOG), {"frontal": 10}, 18),  # 15 of at most ceil(0.4 x 20) + 1 = 9
    ((rated("easy-jog"), rated("easy-jog")), {}, 0),  # what holds has no plane
])  # fmt: skip
def test_planes_beyond_their_share(
    forms: tuple[Rated, Rated], planes: dict[str, int], cost: int
) -> None:
    """55 % sagittal, 40 % frontal, 20 % of each other plane, and one phrase more, are free."""
    assert wishes(TEN, forms, 0, 1, ledger=knows(planes=Counter(planes))) == cost


@pytest.mark.parametrize(("keys", "leans", "cost"), [
    (("leg-curl", "leg-curl"), 0, 21),  # ten lean to the hamstrings, three may: three each
    (("leg-curl", "knee-lift"), 0, 12),  # five to the hamstrings, five to the abdominals
    (("leg-curl", "knee-lift"), 5, 6),  # five to the quadriceps before make the first even
    (("leg-curl", "knee-lift"), 13, 21),  # 13 - 5 is five too many
    (("jack", "jack"), 0, 0),  # both sides of the hip, and of the shoulder
])  # fmt: skip
def test_opposed_muscles_stay_near_each_other(keys: tuple[str, str], leans: int, cost: int) -> None:
    """Three phrases apart are free, each more costs three; planes aside."""
    ledger = knows(set(keys), leans=Counter(quadriceps=leans))
    planes = 15 if keys[0] == "jack" else 9  # ten of a plane, as above
    forms = [rated(key) for key in keys]
    assert wishes(TEN, forms, 0, 1, ledger=ledger) == planes + cost


def test_new_moves_beyond_those_welcome() -> None:
    """Fourteen for each place with a new move more."""
    for welcome, cost in ((0, 28), (1, 14), (2, 0)):
        assert wishes(TEN, (JACK, JOG), 0, 1, ledger=knows(set()), new_moves=welcome) == cost
    assert wishes(TEN, (JACK, JOG), 0, 1, new_moves=0) == 0


def test_landings_and_windows_are_wishes_over_a_song() -> None:
    """Half of 40 eights may land firmly: 20 more cost six each; 153 s in one plane 60."""
    firm = rated("jog", impact=ImpactBand.MEDIUM), rated("jack", impact=ImpactBand.MEDIUM)
    assert wishes(TEN, firm, 0, 1, firm=(0.0, 0.5)) == 120
    long = [slot(place, 8, seconds=51.0) for place in range(3)]
    assert wishes(long, (JACK, JOG), 0, 1, 0) == 0
    assert wishes(long, (JACK, JOG), 0, 0, 0) == 60
