"""What a set's rows say of its phrases, each case worked from the rules of docs/design/deck.md."""

from __future__ import annotations

from dataclasses import replace

import pytest
from deck_forms import WORDS, part

from aquatempo.deck.move_runs import total
from aquatempo.deck.set_rows import LinePart, joint_row, phrase_rows
from aquatempo.records.deck import DeckRow
from aquatempo.records.plan import Stint

R, L = "right", "left"
HALF = "half water (4)"


def told(*pieces: LinePart, before: LinePart | None = None) -> list[str]:
    """Return the texts of the rows of pieces."""
    return [row.text for row in phrase_rows(pieces, before, set(), WORDS)]


def phrases(*leads: str) -> list[LinePart]:
    """Return a phrase of 32 counts for each lead."""
    return [part(number, 32, lead) for number, lead in enumerate(leads)]


def divided(phrase: int, *pieces: tuple[int, str], style: tuple[str, ...] = ()) -> list[LinePart]:
    """Return the pieces of a phrase: counts and lead of each."""
    return [part(phrase, counts, lead, *style) for counts, lead in pieces]


HALVES = (16, R), (16, L)


@pytest.mark.parametrize(
    ("leads", "wanted"),
    [
        ([""], ["plain"]),  # nothing else can be said
        ([R], ["R"]),
        ([R, R, R], ["R"]),  # the counts of the set say how many
        (["", ""], ["plain"]),
        ([R, L], ["R / L"]),
        ([R, L, R, L], ["2 × (R / L)"]),
        ([R, L, R], ["R / L / R"]),
        ([R, R, L], ["2 × R", "L"]),  # two of a side are no turn of sides
        ([R, R, R, L], ["3 × R", "L"]),
        ([R, L, L], ["R / L", "same"]),  # the side stays: nothing is new
        ([R, L, L, L], ["R / L", "2 × same"]),
        ([R, L, R, R, L], ["R / L / R", "same", "L"]),
    ],
)
def test_sides_of_whole_phrases_share_rows(leads: list[str], wanted: list[str]) -> None:
    """Sides in turn share a row; a side that stays counts up; other rows stay apart."""
    assert told(*phrases(*leads)) == wanted


@pytest.mark.parametrize(
    ("pieces", "wanted"),
    [
        (HALVES, "16 R / 16 L"),
        (((8, R), (8, L), (16, R)), "8 R / 8 L, 16 R"),
        (((8, R), (8, L), (4, R), (4, L), (4, R), (4, L)), "8 R / 8 L, 2 × (4 R / 4 L)"),
        (((8, R), (8, L)) * 2, "2 × (8 R / 8 L)"),
        (((4, R), (4, L)) * 3, "3 × (4 R / 4 L)"),
        (((4, R), (4, L)) * 2 + ((16, R),), "2 × (4 R / 4 L), 16 R"),
        (((16, R), (8, L), (8, R)), "16 R, 8 L / 8 R"),  # 16 and 8 are no pair of sides
        (((16, R), (12, L), (4, R)), "16 R, 12 L, 4 R"),
        (((24, R), (8, L)), "24 R / 8 L"),  # two pieces alone are told as a pair
        (((16, ""), (16, R)), "16 / 16 R"),
    ],
)
def test_a_divided_phrase_tells_who_does_how_many(
    pieces: tuple[tuple[int, str], ...], wanted: str
) -> None:
    """Pairs of sides of the same counts are joined, pairs that come again are counted."""
    assert told(*divided(0, *pieces)) == [wanted]


def test_what_changes_within_a_phrase_is_marked() -> None:
    """Sixteen counts, then sixteen with fists; the first piece is the measure."""
    pieces = [part(0, 16), part(0, 16, "", "fists")]
    assert told(*pieces) == ["16 / 16 ▸ fists"]
    assert told(pieces[1], pieces[0]) == ["fists · 16 / 16 ▸ plain again"]
    changing = [part(0, 8, R), part(0, 8, L), part(0, 16, L, tempo=HALF)]
    assert told(*changing) == [f"8 R / 8 L, 16 L ▸ {HALF}"]


def test_divided_phrases_that_are_alike_are_counted() -> None:
    """Twice the same halves are counted even where they are all of the set."""
    alike = [*divided(0, *HALVES), *divided(1, *HALVES)]
    assert told(*alike) == ["2 × (16 R / 16 L)"]
    assert told(*alike, *divided(2, *HALVES)) == ["3 × (16 R / 16 L)"]
    assert told(*alike, *divided(2, (8, R), (24, L))) == ["2 × (16 R / 16 L)", "8 R / 24 L"]
    turned = divided(1, (16, L), (16, R))
    assert told(*divided(0, *HALVES), *turned) == ["16 R / 16 L", "16 L / 16 R"]


def test_counts_that_stay_while_something_is_new_are_the_same() -> None:
    """Each phrase is seen from the one before it; the halves are written out once."""
    arms, fists = divided(1, *HALVES, style=("arms",)), divided(2, *HALVES, style=("fists",))
    assert told(*divided(0, *HALVES), *arms, *fists) == [
        "16 R / 16 L", "same ▸ arms", "same ▸ fists",
    ]  # fmt: skip
    other = divided(1, (8, R), (24, L), style=("arms",))
    assert told(*divided(0, *HALVES), *other) == ["16 R / 16 L", "▸ arms · 8 R / 24 L"]
    other = divided(1, (12, R), (20, L), style=("arms",))
    assert told(*divided(0, *HALVES), *other) == ["16 R / 16 L", "▸ arms · 12 R / 20 L"]


def test_whole_and_divided_phrases_do_not_share_a_row() -> None:
    """After halves that end on the left a phrase of the right side says so; left is the same."""
    assert told(*divided(0, *HALVES), part(1, 32, R)) == ["16 R / 16 L", "R"]
    assert told(*divided(0, *HALVES), part(1, 32, L)) == ["16 R / 16 L", "same"]
    assert told(part(0, 32, R), *divided(1, *HALVES)) == ["R", "16 R / 16 L"]


def test_rows_that_say_several_things_are_counted_in_brackets() -> None:
    """``2 × (fists · R)``: without brackets the count would seem to belong to the fists."""
    first, second = part(0, 32, R, "fists"), part(1, 32, R, "fists")
    assert told(first, second, part(2, 32, L, "fists")) == ["2 × (fists · R)", "L"]
    alone = [replace(one, line=replace(one.line, lead="")) for one in (first, second)]
    assert told(*alone, part(2, 32)) == ["2 × fists", "▸ plain again"]


JACK = part(0, 32, name="Jack")


@pytest.mark.parametrize(
    ("before", "now", "wanted"),
    [
        (None, part(1, 32), "plain"),
        (part(0, 32), part(1, 32), "same"),
        (JACK, part(1, 32), "plain"),
        (part(0, 32, R), part(1, 32, R), "same"),
        (part(0, 32, L), part(1, 32, R), "R"),
        (part(0, 32, R, name="Jack"), part(1, 32, R), "R"),  # another move: its side is told
        (None, part(1, 32, tempo=HALF), HALF),
        (None, part(1, 32, "", "fists"), "fists"),
        (part(0, 32), part(1, 32, tempo=HALF), f"▸ {HALF}"),
        (part(0, 32, tempo=HALF), part(1, 32, tempo=HALF), "same"),
        (part(0, 32, tempo=HALF), part(1, 32), "▸ water (2)"),
        (part(0, 32, name="Jack", tempo=HALF), part(1, 32), "water (2)"),
        (part(0, 32, name="Jack", tempo=HALF), part(1, 32, tempo=HALF), "plain"),
        (part(0, 32, "", "a", name="Jack"), part(1, 32, "", "a"), "a"),
        (part(0, 32, "", "a"), part(1, 32, "", "a"), "same"),
        (part(0, 32, "", "a"), part(1, 32), "▸ plain again"),
        (part(0, 32, "", "a"), part(1, 32, "", "a", "b"), "▸ b"),
        (part(0, 32, "", "a"), part(1, 32, "", "b"), "▸ b"),
        # What ends is told by what is left: of two arms and hands, the hands stay.
        (part(0, 32, "", "a", "b"), part(1, 32, "", "b"), "▸ b"),
        (part(0, 32, "", "a", "b"), part(1, 32, "", "a", "c"), "▸ c · a"),
        (part(0, 32, "", "a"), part(1, 32, tempo=HALF), f"▸ {HALF}"),
        (part(0, 32, "", "a"), part(1, 32, "", "b", tempo=HALF), f"▸ {HALF} · b"),
        (part(0, 32, L, "a"), part(1, 32, R, "b"), "▸ b · R"),
        (part(0, 32, "", "a", name="Jack"), part(1, 32, R, "b"), "b · R"),
    ],
)
def test_a_row_tells_what_is_new(before: LinePart | None, now: LinePart, wanted: str) -> None:
    """Seen from the phrase before, marked where the move stays; water tempo is usual."""
    assert told(now, before=before) == [wanted]


def test_what_ends_is_told_in_the_row_after() -> None:
    """Fists for one phrase, then none: the last row says that they are over."""
    pieces = [part(0, 32), part(1, 32, "", "fists"), part(2, 32), part(3, 32)]
    assert told(*pieces[:3]) == ["plain", "▸ fists", "▸ plain again"]
    assert told(*pieces) == ["plain", "▸ fists", "2 × ▸ plain again"]


def test_a_way_to_count_is_written_out_once() -> None:
    """32 counts are eight repetitions of four, told with the first phrase and never again."""
    spelled: set[str] = set()
    first = phrase_rows(phrases("", ""), None, spelled, WORDS)
    assert [row.spelled for row in first] == ["1-2 up, 3-4 down: 8 times"]
    (again,) = phrase_rows(phrases(R), None, spelled, WORDS)
    assert again.spelled == ""
    slower = replace(JACK, line=replace(JACK.line, steps=((4, 4),)))
    for piece in (JACK, slower):
        assert phrase_rows([piece], None, spelled, WORDS)[0].spelled != ""


def test_a_new_way_to_count_takes_a_row_of_its_own() -> None:
    """A second phrase of a move that is counted otherwise does not fold into the first."""
    second = part(1, 32)
    second = replace(second, line=replace(second.line, steps=((4, 4),), spelled="1-4 up"))
    rows = phrase_rows([part(0, 32), second], None, set(), WORDS)
    assert [row.text for row in rows] == ["plain", "same"]
    assert [row.spelled for row in rows] == ["1-2 up, 3-4 down: 8 times", "1-4 up: 8 times"]


def test_counts_are_written_out_for_the_piece_that_lies_in_the_phrase() -> None:
    """Of a line of 64 counts in two phrases the first row has 32; a turn of work has all 64."""
    piece = part(0, 32)
    whole = replace(piece.line, counts=64)
    (row,) = phrase_rows([replace(piece, line=whole)], None, set(), WORDS)
    assert row.spelled == "1-2 up, 3-4 down: 8 times"
    turn = replace(whole, stint=Stint(True, 1, 2, 30.0))
    (row,) = phrase_rows([replace(piece, line=turn)], None, set(), WORDS)
    assert row.spelled == "1-2 up, 3-4 down: 16 times"


@pytest.mark.parametrize(
    ("kind", "name", "wanted"),
    [
        ("bridge", "Easy jog", "bridge 4: easy jog"),
        ("break", "Easy jog", "break 4: easy jog"),
        ("bridge", "Jog", "bridge 4"),
        ("phrase", "Easy jog", "4 easy jog"),
        ("bridge", "Scull", "bridge 4: scull"),
        ("phrase", "Jog", "4"),
    ],
)
def test_a_joint_says_its_counts_and_what_is_done(kind: str, name: str, wanted: str) -> None:
    """What stands between phrases has its kind; a move that goes on is not named anew."""
    piece = part(1, 4, name=name, kind=kind, joint=True)
    assert joint_row(piece, "Jog", WORDS) == DeckRow(wanted, joint=True)


@pytest.mark.parametrize(
    ("counts", "wanted"),
    [
        ([(0, 32)], "32"),
        ([(0, 32), (1, 32), (2, 32)], "3 × 32"),
        ([(0, 16), (1, 32), (2, 32)], "16 + 2 × 32"),
        ([(0, 32), (1, 16), (2, 32)], "32 + 16 + 32"),
        ([(0, 16), (0, 16), (1, 32)], "2 × 32"),  # pieces of a phrase are one
        ([(0, 32), (1, 32), (2, 8)], "2 × 32 + 8"),
    ],
)
def test_the_counts_of_a_set_are_told_phrase_by_phrase(
    counts: list[tuple[int, int]], wanted: str
) -> None:
    """Phrases of the same counts that follow each other are counted."""
    assert total([part(phrase, number) for phrase, number in counts]) == wanted
