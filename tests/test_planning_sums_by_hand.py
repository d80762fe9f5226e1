"""What planning counts over a song: rows, windows, landings, slots, the ledger; worked by hand.

The promises are those of the docstrings and of docs/design/planning.md; which numbers hold is
common practice, no source. Where a weight is a matter of taste, only its direction is held.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from planning_forms import form_of, rated, slot, sums_price

from aquatempo.moves import catalogue
from aquatempo.moves.rules import rules
from aquatempo.planning.moves.landings import firm_share, firm_sums, note_landings
from aquatempo.planning.moves.ledger import Ledger, leaning
from aquatempo.planning.moves.move_costs import longest_row, one_sided, phrases_to_learn
from aquatempo.planning.moves.palette import Rated, firm
from aquatempo.planning.moves.slots import Fixed, Kept, parted, slots_of
from aquatempo.planning.moves.structure import Design, Slice
from aquatempo.planning.moves.windows import HOP_COUNTS, TAIL_SECONDS, jump_rows, moment, windows
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import Factor, MoveKind
from aquatempo.records.people import Group, Intensity
from aquatempo.records.plan import Block, Brief, PartName
from aquatempo.records.verdict import ImpactBand


@pytest.mark.parametrize(("counts", "bridges", "mine", "most"), [
    ([32, 32, 32], [0, 0, 0], [1, 1, 1], 96),
    ([32, 32, 32], [0, 8, 0], [1, 1, 1], 64),  # the bridge parts one from two
    ([32, 16, 32], [0, 0, 0], [1, 0, 1], 32),
    ([16, 32, 8], [4, 0, 0], [1, 1, 0], 48),  # a bridge before the first parts nothing of it
    ([32, 8, 8], [0, 0, 4], [0, 1, 1], 8),
    ([32], [0], [0], 0),
])  # fmt: skip
def test_the_longest_row_ends_at_a_bridge(
    counts: list[int], bridges: list[int], mine: list[int], most: int
) -> None:
    """Counts in a row of some slots; a bridge between two begins the row anew, with the second."""
    slots = [slot(0, *pair) for pair in zip(counts, bridges, strict=True)]
    assert longest_row(slots, [bool(one) for one in mine]) == most


@pytest.mark.parametrize(("key", "changes", "phrases"), [
    ("jack", (), 1),  # two counts a movement, both sides at once: 16 in a phrase
    ("front-kick", (), 1),  # 8 a side in a phrase
    ("front-kick", ((Factor.TEMPO, "half"),), 2),  # 4 a side in a phrase
    ("jack", ((Factor.TEMPO, "half"),), 1),  # 8 in a phrase
])  # fmt: skip
def test_a_new_form_takes_the_phrases_of_eight_movements_a_side(
    key: str, changes: tuple[tuple[Factor, str], ...], phrases: int
) -> None:
    """32 counts over the counts of a movement, halved where sides take turns (docs/design)."""
    assert phrases_to_learn(rated(key, changes=changes)) == phrases


def test_one_sided_moves_are_sided_and_do_not_alternate() -> None:
    """Of the whole catalogue, those that work the leading side only, by its own two marks."""
    for move in catalogue().moves.values():
        assert one_sided(move) is (move.sided and not move.alternates)
    assert one_sided(catalogue().moves["side-step"]) is not one_sided(catalogue().moves["jog"])


def test_what_a_form_works_is_its_plane_muscles_and_efforts() -> None:
    """At RPE 15.5 it is near 15 and 16 (a point below is near), not 17; a hold works nothing."""
    names, seconds = moment(rated("jack", 15.5, ("shoulder",)), 15.0)
    assert names == {"frontal", "shoulder", "RPE 15", "RPE 16"}
    assert seconds == 15.0
    assert moment(rated("jack", 14.0), 1.0)[0] == {"frontal"}  # a whole point below is a rest
    assert moment(rated("jack", 16.01), 1.0)[0] == {"frontal", "RPE 15", "RPE 16", "RPE 17"}
    assert moment(rated("easy-jog", 19.0), 4.0) == (frozenset(), 4.0)


def too_long(choice: Sequence[int], options: Sequence[Rated], limit_s: float, name: str) -> int:
    """Return in how many stretches just longer than a limit a name is in every slot, naively."""
    rows = [name in moment(options[one], 0.0)[0] for one in choice]
    found = 0
    for first in range(len(rows)):
        last = first
        while last < len(rows) and 16.0 * (last - first) <= limit_s:
            last += 1
        if 16.0 * (last - first) > limit_s:
            found += all(rows[first:last])
    return found


@given(st.lists(st.integers(0, 1), min_size=6, max_size=12))
def test_windows_cost_where_an_effort_goes_on_too_long(choice: list[int]) -> None:
    """60 a stretch of more than 60 s at RPE 17, told by going through all stretches.

    Phrases of 16 s at 120 beats/min; an option at 17, one at rest; planes and muscles apart.
    """
    options = [rated("jack", 17.0), rated("easy-jog", 8.0)]
    slots = [slot(place) for place in range(len(choice))]
    domains, rows = dict.fromkeys(range(len(choice)), options), {p: p for p in range(len(choice))}
    found = windows(slots, domains, rows, [])
    each = {"RPE 17": 60.0, "RPE 16": 120.0, "RPE 15": 240.0, "frontal": 150.0}
    wrong = sum(too_long(choice, options, limit, name) for name, limit in each.items())
    price = {one.over for one in found}
    assert len(price) <= 1
    assert sums_price(found, choice) == (price.pop() if price else 0) * wrong


def test_windows_look_back_into_the_song_before() -> None:
    """48 s at RPE 17 before the song leave 12 s: its first phrase of 16 s is too long already."""
    options, slots = [rated("jack", 17.0), rated("easy-jog", 8.0)], [slot(0)]
    hard = moment(options[0], 16.0)
    found = windows(slots, {0: options}, {0: 0}, [hard] * 3)
    assert sums_price(found, [0]) > 0 == sums_price(found, [1])
    assert sums_price(windows(slots, {0: options}, {0: 0}, [hard] * 2), [0]) == 0
    rested = [hard, moment(options[1], 16.0), hard]
    assert sums_price(windows(slots, {0: options}, {0: 0}, rested), [0]) == 0


def test_a_muscle_may_work_hard_for_ninety_seconds() -> None:
    """Five phrases of 16 s are 80 s, six are 96: only the sixth costs; a plane has 150 s."""
    options = [rated("jack", 12.0, ("shoulder",)), rated("jog", 12.0)]
    for size, wrong in ((5, False), (6, True)):
        slots = [slot(place) for place in range(size)]
        domains = dict.fromkeys(range(size), options)
        found = windows(slots, domains, {p: p for p in range(size)}, [])
        assert (sums_price(found, [0] * size) > 0) is wrong
        assert sums_price(found, [1, *[0] * (size - 1)]) == 0


@pytest.mark.parametrize(("counts", "bridges", "wrong"), [
    ([32, 32], [0, 0], 0),
    ([32, 32, 32], [0, 0, 0], 32),  # 96 of 64
    ([32, 32, 32], [0, 0, 8], 0),  # a bridge is a rest
    ([32, 32, 16], [0, 0, 0], 16),
    ([64, 32], [0, 0], 32),
])  # fmt: skip
def test_big_jumps_cost_beyond_two_phrases_in_a_row(
    counts: list[int], bridges: list[int], wrong: int
) -> None:
    """Each count over 64 in a row costs the same; what is not a jump costs nothing."""
    assert HOP_COUNTS == 64
    slots = [slot(p, *pair) for p, pair in enumerate(zip(counts, bridges, strict=True))]
    domains = {key: [rated("jump"), rated("jog")] for key in range(len(slots))}
    found = jump_rows(slots, domains, {p: p for p in range(len(slots))})
    price = {one.over for one in found} or {0}
    assert sums_price(found, [0] * len(slots)) == wrong * price.pop()
    assert sums_price(found, [1] * len(slots)) == 0


def test_counts_that_lead_in_are_part_of_a_row_of_jumps() -> None:
    """32 and 32 counts with 8 that lead into the first are 72: 8 over two phrases."""
    slots = [slot(0, lead_in=8), slot(1)]
    domains = {key: [rated("jump"), rated("jog")] for key in range(2)}
    found = jump_rows(slots, domains, {0: 0, 1: 1})
    assert sums_price(found, [0, 0]) == 8 * found[0].over > 0


FIRM, SOFT = rated("jump", impact=ImpactBand.MEDIUM), rated("jog", impact=ImpactBand.LOW)


@pytest.mark.parametrize(("worked", "landed", "choice", "wrong"), [
    (0, 0, (0, 0), 2),  # 8 eights of 8 are firm, at most ceil(0.7 x 8) = 6
    (0, 0, (0, 1), 0),
    (0, 0, (1, 1), 2),  # none of at least floor(0.3 x 8) = 2
    (64, 64, (0, 1), 0),  # 12 of 16 eights, at most ceil(11.2) = 12
    (64, 64, (0, 0), 4),
    (64, 0, (1, 1), 4),  # none of at least floor(4.8)
])  # fmt: skip
def test_the_share_that_lands_firmly_counts_over_the_main_part(
    worked: int, landed: int, choice: tuple[int, int], wrong: int
) -> None:
    """Of all eights of the main part so far and of this song, 30 to 70 % at medium impact."""
    assert firm(FIRM)
    assert not firm(SOFT)
    slots = [slot(0), slot(1)]
    ledger = Ledger(set(), worked=worked, firm=landed)
    domains = {key: [FIRM, SOFT] for key in range(2)}
    found = firm_sums(slots, domains, {0: 0, 1: 1}, (0.3, 0.7), ledger)
    assert sums_price(found, choice) == wrong * found[0].over
    assert found[0].over == found[0].under > 0


def test_any_share_of_firm_landings_asks_nothing() -> None:
    """Nothing is weighed where any share is right, or where no option lands firmly."""
    ledger, rows, slots = Ledger(set()), {0: 0}, [slot(0)]
    assert firm_sums(slots, {0: [FIRM]}, rows, (0.0, 1.0), ledger) == []
    assert firm_sums(slots, {0: [SOFT]}, rows, (0.0, 0.7), ledger) == []
    assert firm_sums([slot(0, 16), slot(0, 16)], {0: [FIRM]}, rows, (0.0, 0.7), ledger)[
        0
    ].amounts == {(0, 0): 4}


def test_firm_landings_are_asked_of_the_main_part_only() -> None:
    """An easy class lands softly, a hard one nearly always firmly; other parts as they like."""
    shares = [
        firm_share(PartName.MAIN, Brief(group=Group(intensity=one)))
        for one in (Intensity.EASY, Intensity.STEADY, Intensity.HARD)
    ]
    assert shares == sorted(shares)
    assert shares[0] == (0.0, 0.0)
    assert firm_share(PartName.WARM_UP, Brief()) == (0.0, 1.0)


def test_landings_are_noted_in_counts() -> None:
    """32 firm and 16 soft counts after 8 of which 8 were firm: 56 worked, 40 of them firm."""
    ledger = Ledger(set(), worked=8, firm=8)
    note_landings(ledger, [slot(0, 32), slot(1, 16)], [FIRM, SOFT])
    assert (ledger.worked, ledger.firm) == (56, 40)


def test_a_ledger_writes_down_what_a_class_did() -> None:
    """Phrases, planes and leanings of moves that work; a hold is known and counted, no more."""
    ledger = Ledger.starting_with(["jog"], [("jog", "hands", "open"), ("jog", "arms", "raise")])
    assert ledger.learned("jog") == [(("hands", "open"),), (("arms", "raise"),)]
    assert ("jog", (("hands", "open"),)) in ledger.old
    jack = catalogue().moves["jack"]
    for _ in range(2):
        ledger.add_phrase(jack)
    ledger.add_phrase(catalogue().moves["easy-jog"])
    assert ledger.known == {"jog", "jack", "easy-jog"}
    assert ledger.phrases == {"jack": 2, "easy-jog": 1}
    assert ledger.planes == {"frontal": 2}
    for first, second in rules().opposed_muscles:
        assert ledger.leans[first] == 2 * leaning(jack, first, second)


def test_a_move_leans_to_the_muscle_of_a_pair_that_it_works_alone() -> None:
    """One, minus one, or none where it works both or neither."""
    jack = replace(catalogue().moves["jack"], muscles=("a", "b"))
    assert [leaning(jack, *pair) for pair in ("ax", "xa", "ab", "xy")] == [1, -1, 0, 0]


def test_a_ledger_counts_forms_and_options_of_variations_only() -> None:
    """A form with two factors is one way of its move; a plain one is none."""
    ledger = Ledger(set())
    ledger.add_form(form_of("jack"))
    assert (ledger.forms, ledger.options) == ({}, {})
    varied = form_of("jack", (Factor.RANGE, "small"), (Factor.HANDS, "fist"))
    ledger.add_form(varied)
    ledger.add_form(varied)
    assert ledger.learned("jack") == [(("range", "small"), ("hands", "fist"))]
    assert ledger.forms["jack"].total() == 2
    assert ledger.options == {("jack", "range", "small"): 2, ("jack", "hands", "fist"): 2}
    assert ledger.learned("jog") == []


def test_a_ledger_tells_the_songs_before() -> None:
    """The last song, the one before it, and nothing where there was none."""
    ledger = Ledger(set(), recent=[frozenset({"jog"}), frozenset({"jack"})])
    assert [set(ledger.before(n)) for n in range(3)] == [{"jack"}, {"jog"}, set()]


DESIGN = Design(
    (
        (Slice(32, 0, 0),),
        (Slice(16, 0, 1, 1), Slice(16, 1, 2, pyramid=True, plain=True)),
        (Slice(32, 1, 2),),
    ),
    ("a", "b", "c"),
    (Role.VERSE, Role.CHORUS),
)


def test_slots_lie_in_the_song_as_the_design_has_them() -> None:
    """Offsets add up, a bridge goes before the first slice of its phrase, the tail after the last.

    16 counts at half a second last 8 s.
    """
    found = slots_of(
        DESIGN, [1, 2, 5], [11.0, 12.0, 13.0], [4, 8, 0], 0.5, tail=6, resting=frozenset({1})
    )
    assert [(s.phrase, s.offset, s.counts, s.bridge, s.tail) for s in found] == [
        (1, 0, 32, 4, 0), (2, 0, 16, 8, 0), (2, 16, 16, 0, 0), (5, 0, 32, 0, 6),
    ]  # fmt: skip
    assert [s.wanted for s in found] == [11.0, 12.0, 12.0, 13.0]
    assert [s.seconds for s in found] == [16.0, 8.0, 8.0, 16.0]
    assert [(s.place, s.tie, s.turn) for s in found] == [(0, 0, 0), (0, 1, 1), (1, 2, 0), (1, 2, 0)]
    assert [s.only for s in found] == [(), (), (MoveKind.HOLDING,), (MoveKind.HOLDING,)]
    assert [(s.pyramid, s.plain) for s in found] == [
        (False, False), (False, False), (True, True), (False, False),
    ]  # fmt: skip
    assert [s.role for s in found] == [Role.VERSE, Role.VERSE, Role.VERSE, Role.CHORUS]


def test_kept_blocks_get_places_and_ties_of_their_own() -> None:
    """What stays is alike to nothing else; free counts between keep the place of their phrase."""
    form = form_of("jack")
    kept: dict[int, Sequence[Kept | Fixed | int]] = {
        2: [Kept(Block(8, "jack"), form), 16, Fixed(8, form)],
        5: [32],
    }
    found = slots_of(DESIGN, [1, 2, 5], [11.0] * 3, [0, 8, 0], 0.5, kept=kept)
    assert [(s.counts, s.place, s.offset) for s in found] == [
        (32, 0, 0), (8, 2, 0), (16, 0, 8), (8, 3, 24), (32, 1, 0),
    ]  # fmt: skip
    assert [s.tie for s in found] == [0, 3, 4, 5, 6]
    assert [s.fixed is not None for s in found] == [False, True, False, True, False]
    assert [s.kept is not None for s in found] == [False, True, False, False, False]
    assert [s.bridge for s in found] == [0, 8, 0, 0, 0]


def test_a_design_without_slices_has_no_slots() -> None:
    """Nothing is drawn: no slot, and a tail that nothing carries is no error."""
    assert slots_of(Design((), (), ()), [], [], [], 0.5, tail=4) == []


def test_places_are_parted_where_less_than_a_phrase_lies_before() -> None:
    """No eight is to spare after half a phrase or a pyramid; after a whole one there is."""
    slots = [slot(0), slot(1, 16), slot(2), slot(3, pyramid=True), slot(4, 32, 8), slot(0, 16)]
    assert parted(slots) == {(1, 2, 0), (3, 4, 8)}


def test_the_tail_is_newest_last() -> None:
    """A hard phrase long before, with rest after it, does not lengthen what comes now."""
    options = [rated("jog", 17.0)]
    rest, hard = (frozenset[str](), 16.0), moment(options[0], 48.0)
    assert sums_price(windows([slot(0)], {0: options}, {0: 0}, [hard, rest]), [0]) == 0
    assert sums_price(windows([slot(0)], {0: options}, {0: 0}, [rest, hard]), [0]) > 0
    assert TAIL_SECONDS == 250.0  # the longest that an effort may go on, 240 s, and some more
