"""A track folded for a card: what is told once for all, cut, left out and numbered, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from deck_forms import WORDS, block, folded, rows

from aquatempo.deck.folding import fold
from aquatempo.records.cues import CuePhrase
from aquatempo.records.deck import DeckLine, DeckSet
from aquatempo.records.plan import Stint
from aquatempo.records.rhythm import EnergyLevel, PhraseKind


def line(beat: int, counts: int, name: str = "Jog", **others: object) -> DeckLine:
    """Return a line of a move that takes four counts a repetition, at half a second a count."""
    usual = DeckLine(
        clock_s=100.0 + beat / 2, counts=counts, phrase=0, kind=PhraseKind.PHRASE, name=name,
        short_name=f"{name} s", tempo="water (2)", sign=f"{name} sign", beat=beat,
        spelled="1-4 up", repetition_counts=4, figure=f"{name} figure",
    )  # fmt: skip
    return replace(usual, **others)  # type: ignore[arg-type]


def strip(*counts: int, kinds: str = "") -> list[CuePhrase]:
    """Return phrases in turn; kinds: a letter each, p by default, i, b, o for others."""
    names = {"p": "phrase", "i": "intro", "b": "bridge", "o": "outro", "k": "break"}
    found, at = [], 0
    for number, count in enumerate(counts):
        kind = PhraseKind(names[(kinds or "p" * len(counts))[number]])
        found.append(CuePhrase(at / 2, (at + count) / 2, at, count, kind, EnergyLevel.LOW))
        at += count
    return found


def sets(lines: list[DeckLine], phrases: list[CuePhrase], beats: int = 400) -> list[DeckSet]:
    """Return the sets of lines."""
    return list(fold(lines, phrases, [n / 2 for n in range(beats)], WORDS).sets)


def test_a_set_has_its_place_in_the_song() -> None:
    """Beats 0 and 32 fall at 0 and 16 s; names, signs and figures are those of the first line."""
    first, second = sets([line(0, 32), line(32, 64, "Jack")], strip(32, 32, 32))
    assert (first.number, first.name, first.short_name, first.sign, first.figure) == (
        1, "Jog", "Jog s", "Jog sign", "Jog figure",
    )  # fmt: skip
    assert (first.clock_s, first.beat, first.counts, first.total) == (0.0, 0, 32, "32")
    assert (second.number, second.clock_s, second.beat, second.counts) == (2, 16.0, 32, 64)
    assert second.total == "2 × 32"


@pytest.mark.parametrize(("beats", "clock_s"), [(33, 16.0), (32, 116.0), (0, 116.0)])
def test_a_set_after_the_last_beat_has_the_clock_of_its_line(beats: int, clock_s: float) -> None:
    """Where beat 32 has no time the line's own is taken."""
    assert sets([line(0, 32), line(32, 32, "Jack")], strip(32, 32), beats)[1].clock_s == clock_s


def test_a_line_is_cut_where_phrases_start() -> None:
    """64 counts from beat 16 on lie in three phrases: 16, 32 and 16 of them."""
    first, second = sets([line(0, 16, "Jack"), line(16, 64)], strip(32, 32, 32))
    assert (first.total, second.total) == ("16", "16 + 32 + 16")


def test_lines_without_phrases_are_one_each() -> None:
    """A song of which no phrases are known has a set a line, of the line's own phrase."""
    first, second = sets([line(0, 40), line(40, 24, "Jack", phrase=1)], [])
    assert (first.total, second.total, second.beat) == ("40", "24", 40)


def test_counts_outside_all_phrases_are_told_too() -> None:
    """A line beyond the strip keeps its own counts."""
    assert [one.total for one in sets([line(0, 32), line(64, 8, "Jack")], strip(32))] == ["32", "8"]


@pytest.mark.parametrize(
    ("moves", "shared"),
    [
        (["a", "a", "a", "a"], True),
        (["a", "a", "a"], False),  # of fewer than four lines nothing is told at the head
        (["a", "a", "a", "b"], False),
        (["a", "a", "a", "-"], False),  # of four lines three are taught
        (["a", "-", "a", "a", "a"], True),  # a move to wait in does not count
    ],
)
def test_what_all_moves_have_is_told_once(moves: list[str], shared: bool) -> None:
    """Open hands of all four moves stand at the head of the card, no longer in its rows."""
    lines = [
        line(32 * n, 32, f"Move {n}", style=("open hands",) if one == "a" else (),
             holding=one == "-")
        for n, one in enumerate(moves)
    ]  # fmt: skip
    made = fold(lines, strip(*[32] * len(moves)), [n / 2 for n in range(400)], WORDS)
    assert ("all through: open hands" in made.start) is shared
    texts = [text for one in made.sets for text in rows(one)]
    assert any("open hands" in text for text in texts) is not shared


def test_the_head_of_a_side_has_several_things() -> None:
    """What is shared first or last, and the introduction; other styles stay in the rows."""
    blocks = [("intro", [block(8, "Easy jog")])]
    for name in ("Jack", "Kick", "Ski", "Curl"):
        extra = ("fists",) if name == "Ski" else ()
        blocks.append(("phrase", [block(32, name, "", "forward", "wide", *extra)]))
    made = folded(*blocks)
    assert made.start == "intro 8: easy jog · all through: forward, wide"
    assert [rows(one) for one in made.sets] == [[], [], ["fists"], []]


@pytest.mark.parametrize(
    ("outro", "ending", "told"),
    [
        ([(16, "Jog")], "", ["outro 16"]),
        ([(15, "Jog")], "ends on 7", ["outro 8"]),
        ([(1, "Jog")], "ends on 1", []),
        ([(8, "Jog"), (3, "Easy jog")], "ends on 3", ["outro 8"]),
        # Nineteen counts: three stray ones take all of the last two and one of those before.
        ([(17, "Jog"), (2, "Easy jog")], "ends on 3", ["outro 16"]),
        ([(17, "Jog"), (3, "Easy jog")], "ends on 4", ["outro 16"]),
        ([(16, "Jog"), (3, "Easy jog")], "ends on 3", ["outro 16"]),
        ([(16, "Jog"), (8, "Easy jog")], "", ["outro 16", "outro 8: easy jog"]),
    ],
)
def test_counts_that_make_no_eight_are_the_ending(
    outro: list[tuple[int, str]], ending: str, told: list[str]
) -> None:
    """A song that ends on a count of its last eight says so; what is told has whole eights."""
    made = folded(
        ("phrase", [block(32, "Jog")]), ("outro", [block(counts, name) for counts, name in outro])
    )
    assert (made.ending, made.sets[0].total, rows(made.sets[0])) == (ending, "32", told)


@pytest.mark.parametrize("kind", ["phrase", "bridge", "break"])
def test_only_an_outro_ends_on_stray_counts(kind: str) -> None:
    """A phrase of odd counts at the end of a song is told as it is."""
    made = folded(("phrase", [block(32, "Jog")]), (kind, [block(13, "Jack")]))
    assert made.ending == ""
    assert made.sets[-1].total == "13"


@pytest.mark.parametrize(
    ("between", "joint"),
    [
        ((8, "Easy jog"), True),  # a holding move
        ((32, "Easy jog"), True),
        ((7, "Jack"), True),  # less than an eight
        ((8, "Jack"), False),  # an eight of a move to teach
        ((16, "Jog"), True),  # the move before goes on
        ((16, "Kick"), True),  # the move after begins
    ],
)
def test_a_bridge_is_a_joint_unless_a_move_is_taught_in_it(
    between: tuple[int, str], joint: bool
) -> None:
    """A bridge of a holding move, of few counts or of a move beside it is no set of its own."""
    made = folded(
        ("phrase", [block(32, "Jog")]),
        ("bridge", [block(*between)]),
        ("phrase", [block(32, "Kick")]),
    )
    assert [one.name for one in made.sets] == (
        ["Jog", "Kick"] if joint else ["Jog", "Jack", "Kick"]
    )


@pytest.mark.parametrize(("counts", "sets_"), [(4, 2), (8, 2), (9, 3), (16, 3)])
def test_up_to_eight_counts_to_wait_in_a_phrase_are_no_set(counts: int, sets_: int) -> None:
    """Eight counts of easy jog at the end of a phrase are a slim row; more are a set."""
    made = folded(
        ("phrase", [block(32 - counts, "Jog"), block(counts, "Easy jog")]),
        ("phrase", [block(32, "Jack")]),
    )
    assert len(made.sets) == sets_
    assert made.sets[0].total == f"{32 - counts}"


def test_a_holding_move_that_goes_on_is_a_set() -> None:
    """Eight counts of easy jog beside a phrase of it belong to that set."""
    made = folded(
        ("phrase", [block(24, "Jog"), block(8, "Easy jog")]),
        ("phrase", [block(32, "Easy jog", "", "fists")]),
    )
    assert [(one.name, one.total) for one in made.sets] == [("Jog", "24"), ("Easy jog", "8 + 32")]


def test_eight_counts_of_rest_are_a_turn_of_their_own() -> None:
    """A holding move that is a turn of work or rest is told as one, however short."""
    rest = line(24, 8, "Easy jog", holding=True, stint=Stint(False, 1, 2, 4.0))
    made = sets([line(0, 24, stint=Stint(True, 1, 2, 12.0)), rest], strip(32))
    assert [(one.name, one.total) for one in made] == [("Jog", "24"), ("Easy jog", "8")]
    assert [rows(one) for one in made] == [["WORK 1/2 · 12 s"], ["REST 1/2 · 4 s"]]


def test_the_counts_of_a_turn_are_one_number() -> None:
    """A turn of 40 counts over two phrases is 40, because its seconds are counted, not phrases."""
    work = line(0, 40, lead="right", stint=Stint(True, 1, 2, 20.0))
    (one,) = sets([work], strip(32, 8))
    assert one.total == "40"
    assert rows(one) == ["WORK 1/2 · 20 s · R"]
    assert one.rows[0].spelled == "1-4 up: 10 times"


def test_a_turn_with_nothing_to_add_keeps_how_it_is_counted() -> None:
    """Of a plain turn the row says the turn alone, and its counts written out."""
    (one,) = sets([line(0, 32, stint=Stint(True, 1, 2, 16.0))], strip(32))
    assert [(row.text, row.spelled) for row in one.rows] == [("WORK 1/2 · 16 s", "1-4 up: 8 times")]


def test_a_turn_with_more_rows_begins_with_itself() -> None:
    """The first row says the turn; what comes later in it, a bridge too, is told below."""
    stint = Stint(True, 1, 2, 32.0)
    lines = [line(0, 32, lead="right", stint=stint),
             line(32, 32, lead="right", stint=stint, style=("fists",))]  # fmt: skip
    (one,) = sets(lines, strip(32, 32))
    assert rows(one) == ["WORK 1/2 · 32 s · R", "▸ fists"]
    jog = line(32, 4, "Easy jog", holding=True, kind=PhraseKind.BRIDGE)
    (one,) = sets([line(0, 32, stint=stint), jog], strip(32, 4, kinds="pb"))
    assert [(row.text, row.spelled) for row in one.rows] == [
        ("WORK 1/2 · 32 s", "1-4 up: 8 times"), ("bridge 4: easy jog", ""),
    ]  # fmt: skip


def test_a_bridge_after_the_introduction_is_no_part_of_it() -> None:
    """The head of the side tells the counts of the introduction alone."""
    made = folded(
        ("intro", [block(8, "Easy jog")]), ("bridge", [block(4, "Easy jog")]),
        ("phrase", [block(32, "Jog")]),
    )  # fmt: skip
    assert made.start == "intro 8: easy jog"


def test_an_introduction_of_two_moves_is_made_of_sets() -> None:
    """The head of a side tells one move to wait in; two are taught as they come."""
    two = folded(
        ("intro", [block(8, "Easy jog"), block(4, "Walk")]), ("phrase", [block(32, "Jog")])
    )
    assert two.start == ""
    one = folded(("intro", [block(8, "Easy jog"), block(8, "Easy jog", "", "fists")]))
    assert (one.start, one.sets) == ("intro 16: easy jog", ())


def test_rows_that_add_nothing_are_left_out() -> None:
    """A plain move in one phrase needs no words: its total says all; its counts are kept."""
    (one,) = sets([line(0, 32)], strip(32))
    assert [(row.text, row.spelled) for row in one.rows] == [("", "1-4 up: 8 times")]
    (one,) = sets([line(0, 32, spelled="")], strip(32))
    assert one.total == "32"


def test_plain_is_said_where_something_is_new_later() -> None:
    """``plain``, then ``▸ fists``: without the first the second would hold for both."""
    (one,) = sets([line(0, 32), line(32, 32, style=("fists",))], strip(32, 32))
    assert rows(one) == ["plain", "▸ fists"]


def test_each_phrase_of_the_strip_has_the_number_of_its_set() -> None:
    """Sets from beats 0, 32 and 96; an introduction, and counts after the last, have none."""
    made = fold(
        [line(0, 16, "Easy jog", kind=PhraseKind.INTRO, holding=True), line(16, 64),
         line(80, 32, "Jack")],
        strip(16, 32, 32, 32, 8, kinds="ippp" + "o"),
        [n / 2 for n in range(400)],
        WORDS,
    )  # fmt: skip
    assert made.strip_sets == (0, 1, 1, 2, 0)


def test_a_set_that_comes_back_alone_names_the_one_before() -> None:
    """Rows of two phrases or more are told by a number; a single row is as short itself."""
    twice = [line(0, 32, lead="right"), line(32, 32, lead="right", style=("fists",))]
    again = [replace(one, beat=one.beat + 96) for one in twice]
    lines = [*twice, line(64, 32, "Jack"), *again]
    assert rows(sets(lines, strip(*[32] * 5))[2]) == ["as 1"]
    alone = [line(0, 32, lead="right"), line(32, 32, "Jack"), line(64, 32, lead="right")]
    assert rows(sets(alone, strip(32, 32, 32))[2]) == ["R"]
    other = [*lines[:3], again[0], replace(again[1], style=("open",))]
    assert rows(sets(other, strip(*[32] * 5))[2]) == ["R", "▸ open"]
    longer = [*lines[:3], again[0], replace(again[1], counts=64)]
    assert rows(sets(longer, strip(*[32] * 6))[2])[0] == "R"


def test_a_set_that_comes_back_is_looked_for_among_all() -> None:
    """Behind a set of another move, with rows of three phrases; other totals are no return."""
    styles = ((), ("fists",), ("open",))
    three = [line(32 + 32 * n, 32, lead="right", style=one) for n, one in enumerate(styles)]
    again = [replace(one, beat=one.beat + 128) for one in three]
    lines = [line(0, 32, "Jack"), *three, line(128, 32, "Kick"), *again]
    assert rows(sets(lines, strip(*[32] * 8))[3]) == ["as 2"]
    two = [line(0, 32, lead="right"), line(32, 16, lead="right", style=("fists",))]
    longer = [line(80, 32, lead="right"), line(112, 32, lead="right", style=("fists",))]
    made = sets([*two, line(48, 32, "Jack"), *longer], strip(32, 16, 32, 32, 32))
    assert [one.total for one in made] == ["32 + 16", "32", "2 × 32"]
    assert rows(made[2]) == ["R", "▸ fists"]


def test_the_last_phrase_tells_the_stray_counts() -> None:
    """15 counts after two phrases: an eight and seven stray ones."""
    made = folded(
        ("phrase", [block(32, "Jog")]), ("phrase", [block(32, "Jack")]),
        ("outro", [block(15, "Jack")]),
    )  # fmt: skip
    assert made.ending == "ends on 7"
