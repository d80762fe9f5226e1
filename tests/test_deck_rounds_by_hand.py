"""Rounds of moves that come again: which are found, and how the second time is told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from deck_forms import WORDS, part, run

from aquatempo.deck.move_runs import MoveRun, RoundAgain, again_rows, move_runs
from aquatempo.deck.rounds import fold_rounds
from aquatempo.records.deck import DeckRow
from aquatempo.records.plan import Stint

R, L = "right", "left"
HALF = "half water (4)"


def one(
    name: str, lead: str = "", *style: str, counts: int = 32, tempo: str = "water (2)",
    beat: int = 0,
) -> MoveRun:  # fmt: skip
    """Return a run of one phrase."""
    return run(part(0, counts, lead, *style, name=name, tempo=tempo, beat=beat))


def news(first: list[MoveRun], second: list[MoveRun]) -> str | None:
    """Return how the second round is told from the first as a whole; None where it is not."""
    told, _ = fold_rounds([*first, *second], WORDS)
    agains = told[len(first) - 1].again
    whole = [again.news for again in agains if (again.first, again.last) == (1, len(first))]
    return whole[0] if whole else None


SIDED = [one("Jack"), one("Kick", R), one("Curl", R)]


@pytest.mark.parametrize(
    ("first", "second", "wanted"),
    [
        ([one("Jack"), one("Kick")], [one("Jack"), one("Kick")], ""),
        (SIDED, SIDED, ""),
        # Of sides: all swapped, one of three named, more than half is another round.
        (SIDED, [one("Jack"), one("Kick", L), one("Curl", L)], "sides swapped"),
        (SIDED, [one("Jack"), one("Kick", L), one("Curl", R)], "Kick L"),
        (SIDED, [one("Jack"), one("Kick", ""), one("Curl", R)], None),  # no side before: anew
        ([one("Jack"), one("Kick", L)], [one("Jack"), one("Kick", R)], "sides swapped"),
        # Of styles: all alike, one named, what ends; a tempo option is told as a style.
        (SIDED, [one("Jack", "", "a"), one("Kick", R, "a"), one("Curl", R, "a")], "▸ a"),
        (SIDED, [one("Jack"), one("Kick", R, "a"), one("Curl", R)], "Kick ▸ a"),
        (SIDED, [one("Jack"), one("Kick", R, "a"), one("Curl", R, "a")], None),
        (SIDED, [one("Jack"), one("Kick", R, tempo=HALF), one("Curl", R)], f"Kick ▸ {HALF}"),
        (
            SIDED,
            [one("Jack"), one("Kick", R, "a", "b", tempo=HALF), one("Curl", R)],
            f"Kick ▸ {HALF}, a, b",
        ),
        (
            [one("Jack", "", "a"), one("Kick", "", "a")],
            [one("Jack"), one("Kick")],
            "▸ plain again",
        ),
        ([one("Jack", "", "a"), one("Kick")], [one("Jack"), one("Kick")], "Jack ▸ plain again"),
        (
            [one("Jack", "", "a"), one("Kick", "", "a")],
            [one("Jack", "", "b"), one("Kick", "", "b")],
            "▸ b",
        ),
        (
            [one("Jack", "", "a"), one("Kick", "", "b")],
            [one("Jack", "", "b"), one("Kick", "", "a")],
            None,
        ),
        # Of counts: all alike, one named.
        (SIDED, [one(r.name, r.pieces[0].line.lead, counts=16) for r in SIDED], "16 each"),
        (SIDED, [one("Jack", counts=8), one("Kick", R), one("Curl", R)], "Jack 8"),
        (
            SIDED,
            [one("Jack", counts=8), one("Kick", R, counts=16), one("Curl", R)],
            None,
        ),
        # Several at once.
        (
            SIDED,
            [one("Jack", "", "a"), one("Kick", L, "a"), one("Curl", L, "a")],
            "sides swapped ▸ a",
        ),
        (
            SIDED,
            [one("Jack", counts=16), one("Kick", L, counts=16), one("Curl", L, counts=16)],
            "sides swapped · 16 each",
        ),
        (SIDED, [one("Jack"), one("Kick", L, "a", counts=8), one("Curl", R)], "Kick L 8 ▸ a"),
        # Of four moves two may be named.
        (
            [one(name) for name in "ABCD"],
            [one("A", "", "x"), one("B", "", "y"), one("C"), one("D")],
            "A ▸ x · B ▸ y",
        ),
        ([one(name) for name in "ABCD"], [one(name) for name in "ABDC"], None),
    ],
)
def test_a_round_that_comes_again_tells_what_is_new(
    first: list[MoveRun], second: list[MoveRun], wanted: str | None
) -> None:
    """What holds for all moves is told of all, of half of them at most by name."""
    assert news(first, second) == wanted


def two_sides(name: str, first: str, second: str, counts: int = 16) -> MoveRun:
    """Return a run that is done on one side, then on the other."""
    return run(part(0, counts, first, name=name), part(0, counts, second, name=name))


def test_sides_in_turn_that_are_swapped_begin_with_the_other() -> None:
    """R then L, next time L then R; of one move of two, with its name."""
    first = [two_sides("Kick", R, L), one("Jack")]
    assert news(first, [two_sides("Kick", L, R), one("Jack")]) == "sides swapped"
    pair = [two_sides("Kick", R, L), one("Curl", R)]
    told = news(pair, [two_sides("Kick", L, R), one("Curl", R)])
    assert told == "Kick other side first"


def test_pieces_that_change_differently_are_told_anew() -> None:
    """A run whose halves gain different arms, or of which one alone turns, is no repetition."""
    first = [two_sides("Kick", R, L), one("Jack")]
    arms = run(part(0, 16, R, "a", name="Kick"), part(0, 16, L, "b", name="Kick"))
    assert news(first, [arms, one("Jack")]) is None
    both_right = two_sides("Kick", R, R)
    assert news(first, [both_right, one("Jack")]) is None


def test_other_counts_are_told_of_a_move_that_goes_on_without_change() -> None:
    """32 counts of one side may be 16 next time; a run of two sides has no one number."""
    first = [two_sides("Kick", R, L), one("Jack"), one("Curl")]
    shorter = [two_sides("Kick", R, L, 8), one("Jack"), one("Curl")]
    assert news(first, shorter) is None
    halves = run(part(0, 16, R, name="Kick"), part(1, 16, R, name="Kick"))
    first = [one("Kick", R), one("Jack"), one("Curl")]
    assert news(first, [halves, *first[1:]]) == "Kick 2 × 16"
    assert news([halves, *first[1:]], first) == "Kick 32"


def test_several_phrases_each_have_no_single_number() -> None:
    """``2 × 16 each`` would be misread: with more than half of the moves it is told anew."""
    first = [one("Kick"), one("Jack")]
    halves = [run(part(0, 16, name=n), part(1, 16, name=n)) for n in ("Kick", "Jack")]
    assert news(first, halves) is None


def bridged(name: str, kind: str = "bridge", beat: int = 0) -> MoveRun:
    """Return a run of a phrase with four counts of a holding move after it."""
    jog = part(1, 4, name="Easy jog", kind=kind, joint=True, beat=beat + 32)
    return MoveRun(name, (part(0, 32, name=name, beat=beat), jog))


def test_bridges_are_told_of_the_round_that_has_them() -> None:
    """They stand in the rows of the repetition; where none is this time a word says so."""
    first, second = [bridged("Kick"), one("Jack")], [one("Kick"), bridged("Jack")]
    told, _ = fold_rounds([*first, *second], WORDS)
    (again,) = told[-1].again
    assert (again.news, [(number, piece.counts) for number, piece in again.joints]) == (
        "", [(2, 4)],
    )  # fmt: skip
    assert news(first, [one("Kick"), one("Jack")]) == "no bridge"
    # After the last set nothing is expected again: the song may end there.
    assert news([one("Kick"), bridged("Jack")], [one("Kick"), one("Jack")]) == ""


def test_a_filled_eight_is_part_of_the_move() -> None:
    """Counts of a holding move within a phrase have to come again as they were."""

    def filled(counts: int) -> MoveRun:
        piece = part(0, counts, name="Easy jog", joint=True)
        return MoveRun("Kick", (part(0, 32 - counts, name="Kick"), piece))

    assert news([filled(8), one("Jack")], [filled(8), one("Jack")]) == ""
    assert news([filled(8), one("Jack")], [filled(4), one("Jack")]) is None


def test_eight_sets_are_the_longest_round() -> None:
    """Nine moves done twice: eight are told again, the ninth has a set of its own."""
    names = [one(name) for name in "ABCDEFGHI"]
    told, numbers = fold_rounds([*names, *names], WORDS)
    assert [(again.first, again.last) for one_ in told for again in one_.again] == [(1, 8)]
    assert numbers == [1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 2, 3, 4, 5, 6, 7, 8, 10]


def test_a_single_move_is_no_round() -> None:
    """A move that comes back alone has a set of its own."""
    told, numbers = fold_rounds([one("Jack"), one("Kick"), one("Jack")], WORDS)
    assert (len(told), numbers) == (3, [1, 2, 3])


def test_the_longest_round_is_told_then_the_nearest() -> None:
    """A, B, C again is one round of three; of two rounds that fit, the later one is named."""
    told, numbers = fold_rounds([one(name) for name in "ABCABC"], WORDS)
    assert [again.last for again in told[-1].again] == [3]
    assert numbers == [1, 2, 3, 1, 2, 3]
    rounds = [one("A"), one("B", "", "a"), one("A", "", "b"), one("B", "", "c")]
    again = [one("A", "", "x"), one("B", "", "x")]
    told, numbers = fold_rounds([*rounds, *again], WORDS)
    assert [(a.first, a.last, a.news) for a in told[-1].again] == [(3, 4, "▸ x")]
    assert numbers == [1, 2, 3, 4, 3, 4]


def test_part_of_what_follows_may_be_the_round() -> None:
    """After A, B, C the moves A, B, D are the round of two, then a new one."""
    told, numbers = fold_rounds([one(name) for name in "ABCABD"], WORDS)
    assert [(again.first, again.last) for run_ in told for again in run_.again] == [(1, 2)]
    assert numbers == [1, 2, 3, 1, 2, 4]


def test_a_round_does_not_run_over_what_was_told_by_numbers() -> None:
    """After A, B, again 1-2, C the next B, C is no round: sets came between them."""
    told, numbers = fold_rounds([one(name) for name in "ABABCBC"], WORDS)
    assert [len(run_.again) for run_ in told][:2] == [0, 1]
    assert numbers == [1, 2, 1, 2, 3, 4, 5]


def test_a_round_starts_where_its_first_move_does() -> None:
    """The clock of the repetition is that of its first beat."""
    first = [one("A"), one("B", beat=32)]
    told, _ = fold_rounds([*first, one("A", beat=64), one("B", beat=96)], WORDS)
    assert told[-1].again[0].beat == 64
    assert [piece.beat for run_ in told for piece in run_.pieces] == [0, 32, 64, 96]
    halves = [
        run(part(0, 16, name="A", beat=n), part(1, 16, name="A", beat=n + 16)) for n in (0, 64)
    ]
    told, _ = fold_rounds([halves[0], first[1], halves[1], one("B", beat=96)], WORDS)
    assert told[-1].again[0].beat == 64
    assert [piece.beat for piece in told[-1].own] == [32]


def turn(works: bool, number: int, seconds: float = 30.0) -> Stint:
    """Return a turn of work or rest, one of three."""
    return Stint(works, number, 3, seconds)


def timed(name: str, stint: Stint | None) -> MoveRun:
    """Return a run that is a turn of work or rest."""
    return run(part(0, 32, name=name, stint=stint))


def test_turns_of_work_are_alike_in_whole_seconds() -> None:
    """Work of 30 s and rest of 15 s come again, whichever their numbers; 31 s are others."""
    first = [timed("Jack", turn(True, 1)), timed("Jog", turn(False, 1, 15.0))]
    second = [timed("Jack", turn(True, 2, 30.4)), timed("Jog", turn(False, 2, 15.0))]
    told, _ = fold_rounds([*first, *second], WORDS)
    assert told[-1].again[0].turns == (turn(True, 2, 30.4), turn(False, 2, 15.0))
    longer = [timed("Jack", turn(True, 2, 31.0)), second[1]]
    assert news(first, longer) is None
    swapped = [timed("Jack", turn(False, 2)), second[1]]
    assert news(first, swapped) is None
    untimed = [timed("Jack", None), second[1]]
    assert news(first, untimed) is None


AGAIN = RoundAgain(1, 3, 10)
BEATS_S = [n / 2 for n in range(20)]


@pytest.mark.parametrize(
    ("again", "wanted"),
    [
        (AGAIN, "again 1-3"),
        (replace(AGAIN, times=2), "2 × again 1-3"),
        (replace(AGAIN, news="sides swapped"), "again 1-3 · sides swapped"),
        (replace(AGAIN, news="▸ fists"), "again 1-3 ▸ fists"),
        (replace(AGAIN, turns=(turn(True, 2),)), "set 2 of 3: again 1-3"),
        (replace(AGAIN, turns=(turn(True, 2), turn(False, 2))), "set 2 of 3: again 1-3"),
        (
            replace(AGAIN, times=2, turns=(turn(True, 2), turn(False, 2), turn(True, 3))),
            "set 2-3 of 3: 2 × again 1-3",
        ),
    ],
)
def test_a_round_is_told_by_its_numbers(again: RoundAgain, wanted: str) -> None:
    """How often, which sets of work, what is new; it starts at beat 10, at 5 s."""
    assert again_rows(again, "Curl", BEATS_S, WORDS) == [DeckRow(wanted, again=True, clock_s=5.0)]


@pytest.mark.parametrize(("beat", "clock_s"), [(0, 0.0), (19, 9.5), (20, None), (25, None)])
def test_a_round_after_the_last_beat_has_no_clock(beat: int, clock_s: float | None) -> None:
    """Beats 0 to 19 have a time."""
    (row,) = again_rows(replace(AGAIN, beat=beat), "Curl", BEATS_S, WORDS)
    assert row.clock_s == clock_s


def test_joints_of_a_round_say_after_which_set_they_stand() -> None:
    """After the last set of the round that goes without saying."""
    jog = part(0, 4, name="Easy jog", kind="bridge", joint=True)
    again = replace(AGAIN, joints=((2, jog), (3, jog)))
    assert again_rows(again, "Curl", BEATS_S, WORDS)[1:] == [
        DeckRow("bridge 4: easy jog, after 2", joint=True),
        DeckRow("bridge 4: easy jog", joint=True),
    ]


def test_rounds_that_follow_each_other_are_counted() -> None:
    """Twice the same is ``2 ×`` from the first beat on; other news, or joints before, are apart."""
    start = one("Curl")
    more = [one("Jack")]
    once = start.followed_by(more, AGAIN)
    later = replace(AGAIN, beat=50, turns=(turn(True, 3),))
    assert once.followed_by(more, later).again == (replace(AGAIN, times=2, turns=(turn(True, 3),)),)
    assert len(once.followed_by(more, replace(AGAIN, news="sides swapped")).again) == 2
    assert len(once.followed_by(more, replace(AGAIN, first=2)).again) == 2
    third = once.followed_by(more, replace(AGAIN, first=2)).followed_by(more, later)
    assert [one_.times for one_ in third.again] == [1, 1, 1]
    twice = once.followed_by(more, replace(AGAIN, first=2))
    assert [one_.times for one_ in twice.followed_by(more, replace(AGAIN, first=2)).again] == [1, 2]
    assert len(once.followed_by(more, replace(AGAIN, last=2)).again) == 2
    jog = part(0, 4, name="Easy jog", kind="bridge", joint=True)
    last, within = replace(AGAIN, joints=((3, jog),)), replace(AGAIN, joints=((2, jog),))
    assert [one_.times for one_ in once.followed_by(more, last).again] == [2]
    assert len(once.followed_by(more, within).again) == 2
    assert len(start.followed_by(more, last).followed_by(more, AGAIN).again) == 2


def test_what_is_told_by_numbers_is_not_told_again() -> None:
    """Pieces of the runs that come again take counts but no rows."""
    followed = one("Curl").followed_by([one("Jack"), bridged("Kick")], AGAIN)
    assert [piece.told for piece in followed.pieces] == [True, False, False, False]
    assert [piece.line.name for piece in followed.own] == ["Curl"]
    assert [piece.line.name for piece in followed.taught] == ["Curl", "Jack", "Kick"]


def test_runs_go_on_over_joints_and_end_with_a_turn() -> None:
    """A run is one move and one turn of work; joints belong to the run before them."""
    jog = part(1, 4, name="Easy jog", kind="bridge", joint=True)
    pieces = [part(0, 32), jog, part(2, 32), part(3, 32, name="Jack"), part(4, 32)]
    assert [len(one_.pieces) for one_ in move_runs(pieces)] == [3, 1, 1]
    assert [one_.name for one_ in move_runs(pieces)] == ["Jog", "Jack", "Jog"]
    turns = [part(0, 32, stint=turn(True, 1)), part(1, 32, stint=turn(True, 1))]
    turns.append(part(2, 32, stint=turn(False, 1)))
    assert [len(one_.pieces) for one_ in move_runs(turns)] == [2, 1]
    assert [len(one_.pieces) for one_ in move_runs([jog, part(2, 32)])] == [1, 1]
