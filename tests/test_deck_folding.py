"""Lines folded for a card: a move once, its phrases only where they add something."""

from __future__ import annotations

import re

import pytest
from deck_forms import block, folded, rows
from plan_making import make_plan

from aquatempo.deck.book import deck_book
from aquatempo.deck.folding import FoldedTrack
from aquatempo.moves import catalogue
from aquatempo.records.cues import CueOptions
from aquatempo.workflow.exporting import timelines_of

LATER = [pytest.param(seed, marks=pytest.mark.long) for seed in range(3, 12)]


def test_a_move_stands_once_and_its_phrases_tell_what_is_new() -> None:
    """Three phrases of a jog are one set: its side, then the arms, then plain again."""
    (one,) = folded(
        ("phrase", [block(32, "Jog", "right")]),
        ("phrase", [block(32, "Jog", "right", "arms pump")]),
        ("phrase", [block(32, "Jog", "right")]),
    ).sets
    assert (one.name, one.total) == ("Jog", "3 × 32")
    assert rows(one) == ["R", "▸ arms pump", "▸ plain again"]


def test_sides_within_a_phrase_are_told_and_a_phrase_alike_is_the_same() -> None:
    """16 R / 16 L, then the same with the arms out (the example of a card that reads well)."""
    (one,) = folded(
        ("phrase", [block(16, "Rocking horse", "right"), block(16, "Rocking horse", "left")]),
        (
            "phrase",
            [
                block(16, "Rocking horse", "right", "arms out"),
                block(16, "Rocking horse", "left", "arms out"),
            ],
        ),
    ).sets
    assert rows(one) == ["16 R / 16 L", "same ▸ arms out"]


def test_the_last_steps_of_a_pyramid_take_one_row() -> None:
    """8 R, 8 L and twice 4 R, 4 L stand in one row of their phrase."""
    sides = [(8, "right"), (8, "left"), (4, "right"), (4, "left"), (4, "right"), (4, "left")]
    (one,) = folded(("phrase", [block(n, "Lunge", side) for n, side in sides])).sets
    assert rows(one) == ["8 R / 8 L, 2 × (4 R / 4 L)"]


def test_phrases_that_are_alike_share_a_row() -> None:
    """Four phrases of one side are told by the counts alone; sides in turn share a row."""
    (one,) = folded(*[("phrase", [block(32, "Jog", "right")])] * 4).sets
    assert (one.total, rows(one)) == ("4 × 32", ["R"])
    (turns,) = folded(
        ("phrase", [block(32, "Calf stretch", "right", tempo="hold 28")]),
        ("phrase", [block(32, "Calf stretch", "left", tempo="hold 28")]),
    ).sets
    assert rows(turns) == ["hold 28 · R / L"]


def test_the_tempo_option_is_told_only_where_it_changes() -> None:
    """Water tempo goes without saying; half water is told, and water again after it."""
    first, second = folded(
        ("phrase", [block(32, "Jog")]),
        ("phrase", [block(32, "Jog", tempo="half water (4)")]),
        ("phrase", [block(32, "Jack", tempo="half water (4)")]),
        ("phrase", [block(32, "Jack")]),
    ).sets
    assert rows(first) == ["plain", "▸ half water (4)"]
    assert rows(second) == ["plain", "▸ water (2)"]


def test_a_bridge_stands_inside_the_set_that_goes_on_after_it() -> None:
    """A holding move over a bridge is no move to teach: the set runs on, the bridge is a joint."""
    (one,) = folded(
        ("phrase", [block(32, "Jog")]),
        ("bridge", [block(4, "Easy jog")]),
        ("phrase", [block(32, "Jog", "", "fists")]),
    ).sets
    assert [(row.text, row.joint) for row in one.rows] == [
        ("plain", False), ("bridge 4: easy jog", True), ("▸ fists", False),
    ]  # fmt: skip


def test_eight_counts_of_a_holding_move_are_no_set() -> None:
    """A phrase that ends in eight counts of easy jog says so in a slim row."""
    first, second = folded(
        ("phrase", [block(24, "Jog"), block(8, "Easy jog")]), ("phrase", [block(32, "Jack")])
    ).sets
    assert (first.total, rows(first), second.name) == ("24", ["8 easy jog"], "Jack")


def test_a_stray_last_count_belongs_to_the_ending() -> None:
    """A song of one count, or 17, after its last phrase has no line of 33 or 17 counts."""
    track = folded(("phrase", [block(32, "Jog")]), ("outro", [block(1, "Jog")]))
    assert ([one.total for one in track.sets], track.ending) == (["32"], "ends on 1")
    track = folded(("phrase", [block(32, "Jog")]), ("outro", [block(17, "Easy jog")]))
    assert rows(track.sets[0]) == ["outro 16: easy jog"]
    assert track.ending == "ends on 1"
    assert folded(("phrase", [block(32, "Jog")])).ending == ""


def test_an_intro_in_a_holding_move_stands_before_the_sets() -> None:
    """The head of the side says how long to wait for count 1."""
    track = folded(("intro", [block(16, "Easy jog")]), ("phrase", [block(32, "Jog")]))
    assert track.start == "intro 16: easy jog"
    assert [one.name for one in track.sets] == ["Jog"]


def test_a_round_of_moves_that_comes_again_is_told_once() -> None:
    """Four moves of eight counts, done three times, the last with fists, are four sets.

    What is new is told from how they stand on the card, whatever came between.
    """
    moves = ("Jog", "Jack", "Ski", "Kick")
    plain = [block(8, name) for name in moves]
    fists = [block(8, name, "", "fists") for name in moves]
    track = folded(("phrase", plain), ("phrase", plain), ("phrase", fists))
    assert [one.name for one in track.sets] == list(moves)
    assert rows(track.sets[-1]) == ["again 1-4", "again 1-4 ▸ fists"]
    times = [row.clock_s for row in track.sets[-1].rows if row.again]
    assert times == [16.0, 32.0]  # after 32 and 64 counts of half a second


ROUND = ("Jack", ""), ("Side kick", "right"), ("Leg curl", "right")


def song(*rounds: tuple[tuple[str, str], ...], counts: int = 32) -> FoldedTrack:
    """Return a song of moves with their sides, a phrase each, folded."""
    moves = [one for round_ in rounds for one in round_]
    return folded(*(("phrase", [block(counts, name, lead)]) for name, lead in moves))


def test_a_round_with_the_sides_swapped_is_told_once() -> None:
    """Where all that have a side change it, the row says so; a move without a side stays."""
    swapped = ("Jack", ""), ("Side kick", "left"), ("Leg curl", "left")
    track = song(ROUND, swapped, ROUND[1:])
    assert [one.name for one in track.sets] == ["Jack", "Side kick", "Leg curl"]
    assert rows(track.sets[-1])[1:] == ["again 1-3 · sides swapped", "again 2-3"]
    assert track.strip_sets == (1, 2, 3, 1, 2, 3, 2, 3)


def test_a_round_in_which_one_move_changes_names_it() -> None:
    """Of three moves one may differ, by its side, counts or style; with two it is another round."""
    one = ("Jack", ""), ("Side kick", "left"), ("Leg curl", "right")
    assert rows(song(ROUND, one).sets[-1])[1:] == ["again 1-3 · Side kick L"]
    fists = [block(32, "Jack"), block(32, "Side kick", "right", "fists")]
    third = block(32, "Leg curl", "right")
    track = folded(*(("phrase", [one]) for one in [
        *(block(32, name, lead) for name, lead in ROUND), *fists, third,
    ]))  # fmt: skip
    assert rows(track.sets[-1])[1:] == ["again 1-3 · Side kick ▸ fists"]
    many = [block(32, "Jack", "", "fists"), block(16, "Side kick", "left"), third]
    track = folded(*(("phrase", [one]) for one in [
        *(block(32, name, lead) for name, lead in ROUND), *many,
    ]))  # fmt: skip
    assert len(track.sets) > 3


def test_a_round_of_half_the_counts_says_how_many_each() -> None:
    """Three moves of a phrase, then of 16 counts each."""
    halves = [("phrase", [block(16, name, lead)]) for name, lead in ROUND]
    whole = [("phrase", [block(32, name, lead)]) for name, lead in ROUND]
    assert rows(folded(*whole, *halves).sets[-1])[1:] == ["again 1-3 · 16 each"]


def test_bridges_in_a_round_that_comes_again_are_told_where_they_are() -> None:
    """A bridge after another move this time says after which; none this time is said too."""
    jog, whole = block(4, "Easy jog"), [("phrase", [block(32, *one)]) for one in ROUND]
    bridge = ("bridge", [jog])
    track = folded(*whole[:2], bridge, whole[2], whole[0], bridge, *whole[1:], *whole)
    assert rows(track.sets[1])[-1] == "bridge 4: easy jog"
    assert rows(track.sets[2])[1:] == [
        "again 1-3", "bridge 4: easy jog, after 1", "again 1-3 · no bridge",
    ]  # fmt: skip


def test_a_set_that_comes_back_names_the_one_before() -> None:
    """The same move with the same rows, later in the song, says ``as 1``."""
    jog = [
        ("phrase", [block(32, "Jog", "right")]),
        ("phrase", [block(32, "Jog", "right", "fists")]),
    ]
    track = folded(*jog, ("phrase", [block(32, "Jack")]), *jog)
    assert rows(track.sets[2]) == ["as 1"]


def test_counts_are_spelled_once_a_song() -> None:
    """For a day without sound a way to count is written out where it comes first."""
    first, second = folded(
        ("phrase", [block(32, "Jog", "right")]),
        ("phrase", [block(32, "Jog", "left")]),
        ("phrase", [block(32, "Jack")]),
    ).sets
    assert [row.spelled for row in first.rows] == ["1-2 up, 3-4 down: 8 times"]
    assert [row.spelled for row in second.rows] == ["1-2 up, 3-4 down: 8 times"]


@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(1, 12))]
)
def test_no_count_of_a_class_is_lost(seed: int) -> None:
    """Sets with their joints, the start and the ending add up to the counts of the lines."""
    plan = make_plan(seed)
    options = CueOptions()
    for track in deck_book(
        plan, timelines_of(plan, catalogue(), options), catalogue(), options
    ).tracks:
        lost = re.search(r"intro (\d+):", track.start)
        start = int(lost[1]) if lost else 0
        ending = int(track.ending.split()[-1]) if track.ending else 0
        assert start + sum(one.counts for one in track.sets) + ending == sum(
            line.counts for line in track.lines
        )
        for one in track.sets:
            taught = sum(
                int(part.split("×")[0]) * int(part.split("×")[1]) if "×" in part else int(part)
                for part in one.total.split("+")
            )
            joints = sum(
                int(n) for row in one.rows if row.joint for n in re.findall(r"\d+", row.text)
            )
            again = any(row.again for row in one.rows)
            assert again or taught + joints == one.counts
