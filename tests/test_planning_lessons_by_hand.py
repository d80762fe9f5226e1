"""How a class meets a move before it works with it, phrase by phrase, and what is new to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from planning_forms import KNOWN, form_of, rated, slot

from aquatempo.class_shape.limits import limits_of
from aquatempo.moves import catalogue
from aquatempo.planning.moves.ledger import Ledger, leaning
from aquatempo.planning.moves.lessons import drive_of, is_new, met_then_varied
from aquatempo.planning.moves.menus import VIGOROUS
from aquatempo.planning.moves.slots import Fixed, Kept, MoveSlot, parted, slots_of
from aquatempo.planning.moves.structure import Design, Slice
from aquatempo.planning.songs.sections import Role
from aquatempo.records.brief import Brief
from aquatempo.records.moves import Factor, MoveKind
from aquatempo.records.plan import Block

JACK, JOG = rated("jack"), rated("jog")
SLOW_JOG = rated("jog", changes=[(Factor.TEMPO, "half")])  # 8 of 4 counts a side: two phrases


def ties(slots: Sequence[MoveSlot], known: set[str], moves: dict[int, object]) -> list[int]:
    """Return the ties after a class that knows some moves has met the others."""
    return [one.tie for one in met_then_varied(slots, moves, Ledger(known))]  # type: ignore[arg-type]


@pytest.mark.parametrize(("counts", "tied", "known", "first", "after"), [
    # A verse of four phrases, all of one tie: the first is the lesson, the rest are alike.
    ([32, 32, 32, 32], [5, 5, 5, 5], set(), JACK, [5, 6, 6, 6]),
    ([32, 32, 32, 32], [5, 5, 5, 5], {"jack"}, JACK, [5, 5, 5, 5]),
    # Slowed, 8 movements a side fill two phrases.
    ([32, 32, 32, 32], [5, 5, 5, 5], set(), SLOW_JOG, [5, 5, 6, 6]),
    # Ties of their own stay; only what was like a lesson is made unlike it.
    ([32, 32, 32, 32], [0, 1, 1, 0], set(), JACK, [0, 1, 1, 2]),
    ([32, 32, 32, 32], [1, 0, 1, 0], set(), JACK, [1, 0, 2, 0]),
    # What a row shorter than a phrase shares with a verse stays as it was met.
    ([16, 16, 32, 32, 32, 32], [3, 4, 3, 4, 4, 3], set(), JACK, [3, 4, 3, 4, 4, 3]),
    ([32, 16, 16, 32], [5, 5, 5, 5], set(), JACK, [5, 5, 5, 5]),
    ([16, 16, 32, 32], [3, 3, 5, 5], set(), JACK, [3, 3, 5, 5]),
    # Two ties of one lesson come back as two new ones.
    ([16, 32, 32, 32], [1, 3, 4, 3], set(), SLOW_JOG, [1, 3, 4, 5]),
    # A lesson is over when its counts are: 24 + 8 are a phrase, 16 and 31 are not.
    ([24, 8, 32, 32], [1, 1, 0, 0], set(), JACK, [1, 1, 0, 0]),
    ([16, 32, 32], [1, 0, 0], set(), JACK, [1, 0, 2]),
    ([31, 32, 32], [1, 0, 0], set(), JACK, [1, 0, 2]),
    ([32, 48, 32], [0, 0, 0], set(), JACK, [0, 0, 1]),
])  # fmt: skip
def test_what_comes_after_the_lesson_may_be_varied(
    counts: list[int], tied: list[int], known: set[str], first: object, after: list[int]
) -> None:
    """So many phrases as 8 movements a side take are as they were met; then a tie of its own."""
    slots = [slot(0, n, tie=tie) for n, tie in zip(counts, tied, strict=True)]
    assert ties(slots, known, {0: first}) == after


def test_each_place_has_its_own_lesson() -> None:
    """The verse's jack and the chorus's jog are met apart, and each is varied when it returns."""
    slots = [slot(place, tie=tie) for place, tie in [(0, 7), (1, 8), (0, 7), (1, 8), (1, 8)]]
    assert ties(slots, set(), {0: JACK, 1: JOG}) == [7, 8, 9, 10, 10]
    assert ties(slots, {"jack"}, {0: JACK, 1: JOG}) == [7, 8, 7, 9, 9]


def test_what_is_kept_or_settled_is_not_parted_from_its_lesson() -> None:
    """Of three phrases alike one is kept and one settled: both stay as they are."""
    form = form_of("jack")
    kept = slot(0, tie=2, kept=Kept(Block(32, "jack"), form))
    settled = slot(0, tie=2, fixed=form)
    assert ties([slot(0, tie=2), kept, settled, slot(0, tie=2)], set(), {0: JACK}) == [2, 2, 2, 3]


@pytest.mark.parametrize(("rpe", "more"), [
    (9.0, 1.0), (11.8, 1.0), (11.9, 3.0), (13.4, 3.0), (13.5, VIGOROUS), (15.0, VIGOROUS),
])  # fmt: skip
def test_those_who_work_are_driven(rpe: float, more: float) -> None:
    """Moderate work is RPE 12 to 14, vigorous 14 to 17 (garber-2011); the least of it tells."""
    assert drive_of(replace(limits_of(Brief()), rpe=(rpe, 17.0))) == more
    assert VIGOROUS > 3.0


def test_a_form_is_new_until_it_was_done() -> None:
    """Another move, another option or one option more is another form."""
    ledger = Ledger.starting_with(KNOWN, [("jack", "hands", "open"), ("jack", "arms", "raise")])
    opened, raised = (Factor.HANDS, "open"), (Factor.ARMS, "raise")
    assert not is_new(rated("jack", changes=[opened]), ledger)
    assert is_new(rated("jog", changes=[opened]), ledger)
    assert is_new(rated("jack", changes=[(Factor.HANDS, "fist")]), ledger)
    assert is_new(rated("jack", changes=[opened, raised]), ledger)
    assert ledger.forms["jack"] == {(("hands", "open"),): 1, (("arms", "raise"),): 1}
    assert ledger.old == {("jack", (("hands", "open"),)), ("jack", (("arms", "raise"),))}
    again = Ledger.starting_with((), [("jack", "hands", "open")] * 2)
    assert again.forms["jack"] == {(("hands", "open"),): 2}


def test_a_ledger_counts_what_was_done() -> None:
    """Phrases, planes, options and which of two opposed muscles was worked more; none for holds.

    A front kick works the hip flexors and the hip extensors, 0, and the quadriceps, not the
    hamstrings, 1; a leg curl the hamstrings, -1.
    """
    moves, ledger = catalogue().moves, Ledger(set())
    assert (ledger.firm, ledger.worked, ledger.songs, ledger.jumped) == (0, 0, 0, 0.0)
    assert not ledger.jumped_before
    for key in ("front-kick", "front-kick", "leg-curl", "jack", "easy-jog", "calf-stretch"):
        ledger.add_phrase(moves[key])
    assert ledger.known == {"front-kick", "leg-curl", "jack", "easy-jog", "calf-stretch"}
    assert ledger.phrases["front-kick"] == 2
    assert ledger.planes == {"sagittal": 3, "frontal": 1}
    assert ledger.leans["quadriceps"] == 2 - 1
    assert leaning(moves["front-kick"], "quadriceps", "hamstrings") == 1
    assert leaning(moves["leg-curl"], "quadriceps", "hamstrings") == -1
    assert leaning(moves["front-kick"], "hip flexors", "hip extensors") == 0
    pair = ((Factor.ARMS, "raise"), (Factor.HANDS, "open"))
    for changes in (pair, pair[1:], pair[1:], ()):
        ledger.add_form(form_of("jack", *changes))
    assert ledger.options == {("jack", "arms", "raise"): 1, ("jack", "hands", "open"): 3}
    both = (("arms", "raise"), ("hands", "open"))
    assert ledger.learned("jack") == [both, both[1:]]
    assert ledger.forms["jack"][both[1:]] == 2
    assert ledger.learned("jog") == []


def test_a_ledger_looks_back_over_the_songs() -> None:
    """0 is the last song, 1 the one before it; before the first one there was nothing."""
    ledger = Ledger(set(), recent=[frozenset({"jog"}), frozenset({"jack"})])
    assert [ledger.before(songs) for songs in range(4)] == [{"jack"}, {"jog"}, set(), set()]


def test_moves_that_go_on_from_less_than_a_phrase_are_parted() -> None:
    """After a half phrase, or 48 counts, or a pyramid, no eight is to spare for a hold."""
    whole, half, long = slot(0), slot(1, 16), slot(2, 48)
    pyramid = slot(3, pyramid=True)
    row = [whole, half, long, pyramid, slot(4, bridge=8), slot(5)]
    assert parted(row) == {(1, 2, 0), (2, 3, 0), (3, 4, 8)}
    assert parted([whole]) == set()


ROW = Design(
    ((Slice(32, 0, 4),), (Slice(16, 0, 4, 1, plain=True), Slice(16, 1, 6, pyramid=True))),
    ("verse", "chorus"),
    (Role.VERSE, Role.CHORUS),
)


def test_slots_are_the_slices_in_the_order_in_which_they_are_played() -> None:
    """Half a second a count: 16 and 8 s; the bridge lies before the first slice of a phrase only.

    Of a phrase the role of its first place counts, and the tail belongs to the last slot.
    """
    first, second, third = slots_of(ROW, [3, 5], [12.0, 14.0], [4, 8], 0.5, 6, frozenset({1}))
    assert first == MoveSlot(3, 0, 32, 12.0, 4, 0, 4, 0, Role.VERSE, 16.0)
    assert (first.lead_in, first.tail, first.pyramid, first.plain) == (0, 0, False, False)
    assert second == MoveSlot(5, 0, 16, 14.0, 8, 0, 4, 1, Role.VERSE, 8.0, plain=True)
    assert third == MoveSlot(
        5, 16, 16, 14.0, 0, 1, 6, 0, Role.VERSE, 8.0, pyramid=True, tail=6, only=(MoveKind.HOLDING,)
    )
    assert slots_of(Design((), (), ()), [], [], [], 0.5, tail=6) == []
    assert [one.tail for one in slots_of(ROW, [3, 5], [12.0, 14.0], [0, 0], 0.5)] == [0, 0, 0]


def test_what_is_kept_has_places_and_ties_of_its_own() -> None:
    """Places go on from 2, ties from 7; what is free between stays with its place, tied anew."""
    form = form_of("jack")
    kept = Kept(Block(8, "jack"), form)
    found = slots_of(
        ROW, [3, 5], [12.0, 14.0], [0, 0], 0.5, kept={3: [8, kept, Fixed(16, form)], 9: [32]}
    )
    told = [(one.offset, one.counts, one.place, one.tie, one.kept, one.fixed) for one in found]
    assert told[:3] == [
        (0, 8, 0, 7, None, None), (8, 8, 2, 8, kept, form), (16, 16, 3, 9, None, form),
    ]  # fmt: skip
    assert [one[:4] for one in told[3:]] == [(0, 16, 0, 4), (16, 16, 1, 6)]
    pyramid = Design(((Slice(32, 0, 0, pyramid=True),),), ("pyramid",), (Role.CHORUS,))
    parts: dict[int, list[Kept | Fixed | int]] = {3: [24, kept]}
    assert [one.pyramid for one in slots_of(pyramid, [3], [12.0], [0], 0.5, kept=parts)] == [
        False, False,
    ]  # fmt: skip
