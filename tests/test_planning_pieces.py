"""Forms become pieces and blocks: holds between, sides in turn, pyramids; counted by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate, product
from typing import cast

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from planning_forms import form_of, slot

from aquatempo.planning.blocks.leads import MOST_IN_A_ROW, balanced_leads
from aquatempo.planning.blocks.pieces import (
    Piece,
    block_of,
    led,
    parted,
    row_pieces,
    tail_counts,
    with_holds,
)
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.slots import Kept, MoveSlot
from aquatempo.records.moves import Factor, MoveForm
from aquatempo.records.plan import Block, PlannedPhrase, Stint
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

JACK, JOG, KICK = form_of("jack"), form_of("jog"), form_of("front-kick")
STEP, EASY = form_of("side-step"), form_of("easy-jog")


class Ways:
    """Stands for what may follow what: all, but for some pairs; a hold, or none, between."""

    def __init__(self, *barred: tuple[MoveForm, MoveForm], hold: MoveForm | None = EASY) -> None:
        self.barred, self.carries, self.holds = barred, hold, (EASY,)
        self.asked: list[tuple[MoveForm | None, int, MoveForm | None]] = []

    def works(self, before: MoveForm, after: MoveForm) -> bool:
        """Return whether one form may follow another."""
        return (before, after) not in self.barred

    def hold(self, before: MoveForm | None, counts: int, after: MoveForm | None) -> MoveForm | None:
        """Return what holds between two forms, and note what was asked."""
        self.asked.append((before, counts, after))
        return self.carries


def ways(*barred: tuple[MoveForm, MoveForm], hold: MoveForm | None = EASY) -> Passages:
    """Return what may follow what."""
    return cast("Passages", Ways(*barred, hold=hold))


def told(row: Sequence[Piece]) -> list[tuple[int, str, str]]:
    """Return counts, move and lead of pieces."""
    return [(one.counts, one.form.move.key, one.lead) for one in row]


def row_of(
    slots: Sequence[MoveSlot],
    forms: dict[int, MoveForm],
    follows: MoveForm | None = None,
    passages: Passages | None = None,
) -> dict[int, list[tuple[int, str, str]]]:
    """Return the pieces that begin with phrase 0."""
    by_phrase: dict[int, list[MoveSlot]] = {}
    for one in slots:
        by_phrase.setdefault(one.phrase, []).append(one)
    found = row_pieces(by_phrase, 0, forms, follows, passages or ways())
    return {index: told(row) for index, row in found.items()}


def test_a_slot_is_a_piece_and_two_where_one_side_works() -> None:
    """Legs that alternate need no side; of a side step's 17 counts right gets 8, left 9."""
    slots = [slot(0, 16, phrase=0), slot(1, 17, phrase=0)]
    assert row_of(slots, {0: JACK, 1: STEP}) == {
        0: [(16, "jack", ""), (8, "side-step", "right"), (9, "side-step", "left")]
    }
    assert row_of([slot(0, 32, phrase=0, pyramid=True)], {0: JOG}) == {0: [(32, "jog", "")]}


def test_the_last_eight_goes_to_a_hold_where_the_next_cannot_follow() -> None:
    """24 and 8 counts; a piece of eight has none to give, nor one that is settled or kept."""
    barred = ways((JACK, KICK))
    assert row_of([slot(0, 32, phrase=0)], {0: JACK}, KICK, barred) == {
        0: [(24, "jack", ""), (8, "easy-jog", "")]
    }
    assert cast("Ways", barred).asked == [(JACK, 8, KICK)]
    for counts, given_up in ((8, False), (9, True)):
        found = row_of([slot(0, counts, phrase=0)], {0: JACK}, KICK, barred)
        assert (len(found[0]) == 2) is given_up
    assert row_of([slot(0, 32, phrase=0)], {0: JACK}, None, barred)[0] == [(32, "jack", "")]
    assert row_of([slot(0, 32, phrase=0)], {0: JACK}, JOG, barred)[0] == [(32, "jack", "")]
    no_hold = ways((JACK, KICK), hold=None)
    assert row_of([slot(0, 32, phrase=0)], {0: JACK}, KICK, no_hold)[0] == [(32, "jack", "")]
    side = ways((STEP, KICK))
    assert len(row_of([slot(0, 32, phrase=0)], {0: STEP}, KICK, side)[0]) == 2
    kept = slot(0, 32, phrase=0, kept=Kept(Block(32, "jack"), JACK))
    assert len(row_of([kept], {0: JACK}, KICK, barred)[0]) == 1


def test_a_kept_block_stays_what_it_is() -> None:
    """With its lead and all it says; a plan gets it back to the letter."""
    block = Block(32, "side-step", (("hands", "fist"),), lead="left", words="mine", show="full")
    by_phrase = {0: [slot(0, 32, phrase=0, kept=Kept(block, STEP))]}
    ((piece,),) = row_pieces(by_phrase, 0, {0: STEP}, None, ways()).values()
    assert (piece.counts, piece.lead, piece.kept) == (32, "left", block)
    assert block_of(piece, "right") == block
    assert block_of(replace(piece, counts=8)) == replace(block, counts=8)


SIDE = form_of("jog", (Factor.SIDES, "one"))


def test_a_pyramid_goes_on_over_the_phrases_of_its_place() -> None:
    """A jog on one side takes 4 counts: 4, 4, 2, 2, 1, 1, 1, 1 times are 64 counts.

    A phrase of another place, tie or after a bridge is not part of it, nor is one that is none.
    """
    assert len(SIDE.movements) * 2 == 4
    first = slot(0, 32, phrase=0, pyramid=True)
    two = [first, slot(0, 32, phrase=1, pyramid=True)]
    long = [(16, "jog", "right"), (16, "jog", "left")]
    rest = [(n, "jog", side) for n in (8, 4, 4) for side in ("right", "left")]
    assert row_of(two, {0: SIDE}) == {0: long, 1: rest}
    short = [(n, "jog", side) for n in (8, 4, 4) for side in ("right", "left")]
    for other in (
        slot(1, 32, phrase=1, pyramid=True), slot(0, 32, phrase=1), slot(0, 32, 8, phrase=1,
        pyramid=True), slot(0, 32, phrase=1, pyramid=True, tie=5), slot(0, 32, phrase=2,
        pyramid=True),
    ):  # fmt: skip
        assert row_of([first, other], {0: SIDE, 1: SIDE, 5: SIDE}) == {0: short}
    three = [*two, slot(0, 32, phrase=2, pyramid=True)]
    assert row_of(three, {0: SIDE}) == {0: long, 1: rest, 2: short}


def test_a_pyramid_that_is_not_of_whole_phrases_is_parted_in_halves() -> None:
    """24 counts are 12 right and 12 left, 17 are 8 and 9."""
    for counts, halves in ((24, (12, 12)), (17, (8, 9))):
        found = row_of([slot(0, counts, phrase=0, pyramid=True)], {0: SIDE})
        assert found == {0: [(halves[0], "jog", "right"), (halves[1], "jog", "left")]}
    odd = form_of("jog", (Factor.TEMPO, "mixed"), (Factor.SIDES, "one"))
    found = row_of([slot(0, 32, phrase=0, pyramid=True)], {0: odd})  # 5 1/3 counts a repetition
    assert found == {0: [(16, "jog", "right"), (16, "jog", "left")]}


def phrases(*spans: tuple[int, str]) -> list[PlannedPhrase]:
    """Return bare stretches of (counts, kind)."""
    return [PlannedPhrase(0, n, PhraseKind(kind), EnergyLevel.LOW, ()) for n, kind in spans]


def test_what_lies_between_is_held() -> None:
    """A bridge of two stretches by one move, asked for over all their counts, between its sides."""
    music = phrases((16, "intro"), (32, "phrase"), (4, "bridge"), (8, "break"), (32, "phrase"),
                    (16, "outro"))  # fmt: skip
    passages = ways()
    filled = {1: [Piece(32, JACK)], 4: [Piece(32, KICK)]}
    rows = with_holds(music, filled, passages)
    assert [told(row) for row in rows] == [
        [(16, "easy-jog", "")], [(32, "jack", "")], [(4, "easy-jog", "")], [(8, "easy-jog", "")],
        [(32, "front-kick", "")], [(16, "easy-jog", "")],
    ]  # fmt: skip
    asked = cast("Ways", passages).asked
    assert [(a and a.move.key, n, b and b.move.key) for a, n, b in asked] == [
        (None, 16, "jack"), ("jack", 12, "front-kick"), ("front-kick", 16, None),
    ]  # fmt: skip


@pytest.mark.parametrize(("spans", "held"), [
    ([(15, "intro")], False), ([(16, "intro")], True), ([(8, "intro"), (7, "bridge")], False),
    ([(8, "intro"), (8, "bridge")], True),
])  # fmt: skip
def test_a_short_intro_begins_with_what_comes(spans: list[tuple[int, str]], held: bool) -> None:
    """Fewer than 16 counts do what the first phrase does, unless one side leads there."""
    music = phrases(*spans, (32, "phrase"))
    at = len(spans)
    key = "easy-jog" if held else "jack"
    rows = with_holds(music, {at: [Piece(32, JACK)]}, ways())
    assert [told(row) for row in rows[:at]] == [[(n, key, "")] for n, _ in spans]
    sided = with_holds(music, {at: [Piece(16, STEP, "right")]}, ways())
    assert sided[0][0].form is EASY
    first = with_holds(music, {at: [Piece(16, STEP, "right"), Piece(16, JACK)]}, ways())
    assert first[0][0].form is EASY
    none = with_holds(music, {at: [Piece(32, JACK)]}, ways(hold=None))
    assert (none[0][0].form is EASY) is held  # where nothing fits, what holds best
    assert with_holds(phrases((8, "intro")), {}, ways())[0][0].form is EASY


@pytest.mark.parametrize(("tail", "held"), [
    ([(7, "outro")], False), ([(8, "outro")], True), ([(3, "outro"), (4, "outro")], False),
    ([(4, "outro"), (4, "outro")], True), ([(4, "bridge")], True),
    ([(3, "bridge"), (4, "outro")], True),
])  # fmt: skip
def test_a_few_counts_of_outro_carry_on(tail: list[tuple[int, str]], held: bool) -> None:
    """Fewer than an eight of outro go on with the last move; a bridge or an eight are held."""
    total = sum(counts for counts, _ in tail)
    assert tail_counts(phrases(*tail)) == (total if held else 0)
    rows = with_holds(phrases((32, "phrase"), *tail), {0: [Piece(32, JACK)]}, ways())
    key = "easy-jog" if held else "jack"
    assert [told(row) for row in rows[1:]] == [[(n, key, "")] for n, _ in tail]
    assert tail_counts([]) == 0


def test_pieces_are_parted_where_stretches_end() -> None:
    """24, 24 and 8 counts over 32 and 16 and 16: 24 + 8, 16, and 8 of what is left."""
    pieces = [Piece(24, JACK, stint=Stint(True, 1, 2, 9.0)), Piece(24, KICK, "left"), Piece(8, JOG)]
    rows = parted(pieces, [32, 16, 16])
    assert [told(row) for row in rows] == [
        [(24, "jack", ""), (8, "front-kick", "left")], [(16, "front-kick", "left")],
        [(8, "jog", "")],
    ]  # fmt: skip
    assert rows[0][0].stint == pieces[0].stint
    assert parted([], [8]) == [[]]
    assert [told(row) for row in parted([Piece(16, JACK)], [4, 4, 8])] == [
        [(4, "jack", "")], [(4, "jack", "")], [(8, "jack", "")],
    ]  # fmt: skip


def leads(*rows: Sequence[Piece], apart: int = 0) -> tuple[list[list[str]], int]:
    """Return the leads of rows of pieces, and how far right is ahead."""
    blocks, ahead = led(rows, apart)
    return [[block.lead for block in row] for row in blocks], ahead


def test_sides_lead_in_turn_and_what_goes_on_keeps_its_lead() -> None:
    """Two phrases of one move may change between; within a phrase the same move does not.

    What has no side, or is settled, has no say.
    """
    jog = Piece(32, JOG)
    found, ahead = leads([jog], [Piece(32, JACK)], [replace(jog, form=KICK)])
    assert [row[0] for row in found] in (["left", "", "right"], ["right", "", "left"])
    assert ahead == 0
    halves = [Piece(16, JOG), Piece(16, JOG)]
    found, ahead = leads(halves, [replace(jog, form=KICK)])
    assert found[0][0] == found[0][1] != found[1][0]
    assert ahead == 0
    for two in ((KICK, JOG), (JOG, KICK)):  # two moves in a phrase lead in turn
        (sides,), ahead = leads([Piece(16, one) for one in two], apart=0)
        assert sides[0] != sides[1]
        assert ahead == 0
    settled = [Piece(16, STEP, "right"), Piece(16, STEP, "left")]
    assert leads(settled) == ([["right", "left"]], 0)
    between, ahead = leads([Piece(16, JOG), Piece(8, JACK), Piece(8, JOG)])
    assert between[0][0] in ("right", "left")
    assert between[0][1] == ""
    assert leads([Piece(32, JOG)], apart=32)[0] == [["left"]]
    assert leads([Piece(32, JOG)], apart=-32)[0] == [["right"]]
    kept = Piece(32, JOG, "right", kept=Block(32, "jog", lead="right"))
    assert leads([kept], [kept]) == ([["right"], ["right"]], 0)
    assert leads() == ([], 0)


def test_a_piece_is_written_as_a_block() -> None:
    """Move, options, pattern, level and travel of its form; stint and seconds that it has."""
    form = form_of("jog", (Factor.HANDS, "fist"), (Factor.TRAVEL, "forward"))
    stint = Stint(True, 1, 2, 15.0)
    found = block_of(Piece(16, form, stint=stint, held_s=4.5), "left")
    assert found == Block(
        16, "jog", (("hands", "fist"), ("travel", "forward")), "2", "left", "I", "forward",
        stint=stint, held_s=4.5,
    )  # fmt: skip
    assert block_of(Piece(16, form, "right"), "left").lead == "right"
    assert block_of(Piece(16, form, pattern="4+12h")).pattern == "4+12h"
    assert block_of(Piece(16, form_of("jog", (Factor.TEMPO, "half")))).pattern == "4"


def price(groups: Sequence[tuple[int, bool]], sides: Sequence[int]) -> tuple[int, int] | None:
    """Return the swaps inside a run of pieces, then the runs that begin on the side before.

    None where one side leads for more than six phrases in a row.
    """
    inside, kept, row = 0, 0, 0
    for place, ((counts, begins), side) in enumerate(zip(groups, sides, strict=True)):
        same = place > 0 and sides[place - 1] == side
        row = row + counts if same else counts
        if same and row > MOST_IN_A_ROW:
            return None
        inside += not same and not begins
        kept += same and begins
    return inside, kept


@given(
    st.lists(st.tuples(st.sampled_from([8, 16, 32, 64]), st.booleans()), max_size=6),
    st.sampled_from([-48, -8, 0, 32, 64]),
)
@example(
    [(64, True), (64, False), (16, True), (32, True), (32, True), (32, True), (16, True)], 0
)  # three runs on the side before are taken rather than a swap inside one
def test_leads_end_even_with_as_few_swaps_as_that_takes(
    groups: list[tuple[int, bool]], apart: int
) -> None:
    """No other choice of sides ends nearer to within a phrase, nor as near with fewer swaps.

    Of those that never part further than the longest piece and two phrases more than before.
    """
    groups = [(counts, begins or not place) for place, (counts, begins) in enumerate(groups)]
    found, ahead = balanced_leads(groups, apart)
    signs = [1 if side == "right" else -1 for side in found]
    assert ahead == apart + sum(s * n for s, (n, _) in zip(signs, groups, strict=True))
    best = []
    for sides in product((-1, 1), repeat=len(groups)):
        cost = price(groups, sides)
        off = apart + sum(s * n for s, (n, _) in zip(sides, groups, strict=True))
        ways = accumulate((s * n for s, (n, _) in zip(sides, groups, strict=True)), initial=apart)
        most = abs(apart) + max((n for n, _ in groups), default=0) + 64
        if cost is not None and max(map(abs, ways)) <= most:
            best.append((max(0, abs(off) - 32), cost, abs(off)))
    mine = price(groups, signs)
    assert mine is not None
    assert (max(0, abs(ahead) - 32), mine, abs(ahead)) == min(best)


def test_one_side_leads_for_six_phrases_at_most() -> None:
    """Seven phrases of one run swap once inside it, though the sides are even before.

    A single piece of more than that has no choice.
    """
    assert MOST_IN_A_ROW == 192
    run = [(32, place == 0) for place in range(7)]
    sides, _ = balanced_leads(run)
    assert set(sides) == {"right", "left"}
    assert balanced_leads([(224, True)])[0] in (["left"], ["right"])
    assert balanced_leads([], 5) == ([], 5)


def test_the_last_counts_that_right_may_be_ahead_are_asked() -> None:
    """With 8 allowed, 32 and 24 part to 8; with 0 allowed a swap inside pays."""
    sides, ahead = balanced_leads([(32, True), (24, True)], most_apart=8)
    assert sides[0] != sides[1]
    assert abs(ahead) == 8
    assert abs(balanced_leads([(16, True), (16, False)], most_apart=0)[1]) == 0
    assert abs(balanced_leads([(16, True), (16, False)], most_apart=32)[1]) == 32
