"""What may follow what, with the counts that each change takes told by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import cast

import pytest
from planning_forms import form_of

from aquatempo.class_shape.limits import Limits, limits_of
from aquatempo.class_shape.standards import CHANGE_COUNTS
from aquatempo.planning.moves import passages as module
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.moves.passages import HOLD_COUNTS, Passages, passages_for
from aquatempo.records.brief import Brief, Experience
from aquatempo.records.moves import Factor, MoveForm, Transition

JACK, JOG, SHUFFLE = form_of("jack"), form_of("jog"), form_of("shuffle")
OPEN = form_of("jack", (Factor.HANDS, "open"))
EASY, SCULL = form_of("easy-jog"), form_of("scull")


class Changes:
    """Counts from one form to another by hand, 0 unless told, and how often each was asked."""

    def __init__(self, **counts: int) -> None:
        self.counts = counts
        self.asked: list[tuple[MoveForm, MoveForm]] = []

    def __call__(self, before: MoveForm, _: object, after: MoveForm, __: object) -> Transition:
        """Return a transition of so many counts."""
        self.asked.append((before, after))
        key = f"{before.move.key}_{after.move.key}".replace("-", "")
        return Transition(self.counts.get(key, 0), (), True)


def made(
    monkeypatch: pytest.MonkeyPatch,
    holds: Sequence[MoveForm] = (EASY,),
    most: int = 2,
    **counts: int,
) -> Passages:
    """Return passages with changes of so many counts."""
    monkeypatch.setattr(module, "transition", Changes(**counts))
    return Passages(holds, most)


@pytest.mark.parametrize(("counts", "most", "straight", "held"), [
    (0, 2, True, True), (2, 2, True, True), (3, 2, False, True), (4, 2, False, True),
    (5, 2, False, False), (4, 4, True, True), (5, 4, False, False), (6, 6, True, True),
])  # fmt: skip
def test_a_change_works_up_to_what_the_class_takes(
    monkeypatch: pytest.MonkeyPatch, counts: int, most: int, straight: bool, held: bool
) -> None:
    """Into or out of a hold, which has no shape to miss, four counts work for everyone."""
    ways = made(monkeypatch, most=most, jack_jog=counts, jack_easyjog=counts, easyjog_jack=counts)
    assert HOLD_COUNTS == 4
    assert ways.works(JACK, JOG) is straight
    assert ways.works(JACK, EASY) is held
    assert ways.works(EASY, JACK) is held


def test_what_stays_the_same_always_works(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many counts it would take; another option of the move is not the same."""
    ways = made(monkeypatch, jack_jack=9)
    assert ways.works(JACK, JACK)
    assert not ways.works(JACK, OPEN)
    assert Passages(()).most == CHANGE_COUNTS[Experience.REGULAR]


def test_each_change_is_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """There and back are two changes; asked again, both are known."""
    changes = Changes(jack_jog=1, jog_jack=2)
    monkeypatch.setattr(module, "transition", changes)
    ways = Passages(())
    for _ in range(2):
        assert ways.between(JACK, JOG).counts == 1
        assert ways.between(JOG, JACK).counts == 2
    assert changes.asked == [(JACK, JOG), (JOG, JACK)]


def test_a_hold_leads_in_and_out() -> None:
    """For all counts into it, out of it and of it: in within two, or within its own up to four.

    Out of it as anything goes out of a hold, in four counts at most.
    """
    with pytest.MonkeyPatch.context() as patch:
        for into, out, counts in product(range(6), range(6), (1, 2, 3, 4, 8)):
            ways = made(patch, jack_easyjog=into, easyjog_jog=out)
            enters = into in (0, 1, 2) or (into == 3 and counts >= 3) or (into == 4 and counts >= 4)
            leaves = out in (0, 1, 2, 3, 4)
            assert (ways.hold(JACK, counts, JOG) is EASY) is (enters and leaves)
            assert (ways.hold(JACK, counts, None) is EASY) is enters
            assert (ways.hold(None, counts, JOG) is EASY) is leaves
            assert ways.hold(None, counts, None) is EASY


def test_the_best_hold_that_works_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first of them; a second one where the first leads nowhere; none where none does."""
    both = made(monkeypatch, (EASY, SCULL))
    assert both.hold(JACK, 8, JOG) is EASY
    second = made(monkeypatch, (EASY, SCULL), easyjog_jog=5)
    assert second.hold(JACK, 8, JOG) is SCULL
    neither = made(monkeypatch, (EASY, SCULL), easyjog_jog=5, jack_scull=5)
    assert neither.hold(JACK, 8, JOG) is None
    assert made(monkeypatch, ()).hold(None, 8, None) is None


@pytest.mark.parametrize(("counts", "costs"), [(0, 0), (1, 2), (2, 4), (3, None)])
def test_a_straight_passage_costs_its_counts_twice(
    monkeypatch: pytest.MonkeyPatch, counts: int, costs: int | None
) -> None:
    """What takes longer than the class can is no passage, unless an eight may be given up."""
    ways = made(monkeypatch, jack_jog=counts)
    assert ways.cost(JACK, JOG, 0, set_up=False) == costs
    given_up = ways.cost(JACK, JOG, 0, set_up=True)
    assert given_up is not None
    assert (given_up == costs) is (counts < 3)
    assert given_up > 8 or counts < 3  # dearer than four counts, the most that go straight


def test_an_eight_is_given_up_only_where_a_hold_fits_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not without a hold, nor after a move of one side, whose other side would lack it.

    A jog is sided and alternates, so that it may; a shuffle is sided and does not.
    """

    def far(holds: Sequence[MoveForm] = (EASY,), into: int = 0) -> Passages:
        told = {"jack_jog": 9, "jog_jack": 9, "shuffle_jack": 9, "jack_easyjog": into}
        return made(monkeypatch, holds, 2, **told)

    ways = far()
    assert ways.cost(JACK, JOG, 0, set_up=True) == 150
    assert ways.cost(JOG, JACK, 0, set_up=True) == ways.cost(JACK, JOG, 0, set_up=True)
    assert ways.cost(SHUFFLE, JACK, 0, set_up=True) is None
    none = far(())
    assert none.cost(JACK, JOG, 0, set_up=True) is None
    late = far(into=4)
    assert late.cost(JACK, JOG, 0, set_up=True) is not None  # four counts of its eight
    too_late = far(into=5)
    assert too_late.cost(JACK, JOG, 0, set_up=True) is None


def test_a_bridge_costs_nothing_where_a_hold_carries_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Also between moves that could not follow one another; a hold has to get there in time."""
    ways = made(monkeypatch, jack_jog=9, jack_easyjog=4)
    assert [ways.cost(JACK, JOG, bridge, set_up=False) for bridge in (2, 3, 4, 8)] == [
        None, None, 0, 0,
    ]  # fmt: skip
    assert made(monkeypatch, jack_jog=1, jack_easyjog=5).cost(JACK, JOG, 8, set_up=True) is None


@dataclass
class Class:
    """Stands for the palette of a class."""

    limits: Limits
    holds: Sequence[MoveForm] = (EASY, SCULL)


@pytest.mark.parametrize("experience", list(Experience))
def test_passages_are_what_the_group_takes(experience: Experience) -> None:
    """By what it has done before; those who have trained take more than the others."""
    ways = passages_for(cast("Palette", Class(limits_of(Brief(experience=experience)))))
    assert ways.most == CHANGE_COUNTS[experience]
    assert ways.holds == (EASY, SCULL)
    others = [one for one in Experience if one is not Experience.TRAINED]
    assert max(CHANGE_COUNTS[one] for one in others) < CHANGE_COUNTS[Experience.TRAINED]
