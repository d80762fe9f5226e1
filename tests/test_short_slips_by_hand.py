"""A plan in its short form read in spite of its slips: each with its line, the rest as written."""

from __future__ import annotations

import pytest
from test_plan_slips_by_hand import read, slips

from aquatempo.documents.plan_slips import plan_with_slips
from aquatempo.documents.short_form import SHORT_MARK

SHORT = f"""\
{SHORT_MARK}
[brief]
title = "Tuesday group"
minutes = 45
====
warm-up: "First Lengths", 118.0 bpm, from 16
  32 low: 16 jog; 16 jack
  8 low bridge: easy-jog
main: "Odd Lane", 130.0 bpm
  32 high: jack
"""


def test_a_short_plan_without_slips_is_read() -> None:
    """Both forms of the plan say the same."""
    found = plan_with_slips("a.plan", SHORT)
    assert found.slips == ()
    assert found.plan is not None
    assert [len(track.phrases) for track in found.plan.tracks] == [2, 1]


def test_each_line_of_a_short_plan_that_is_wrong_is_told() -> None:
    """Each line gets a stand-in, so that all others can be read."""
    found = read(
        ("16 jack\n", "16 jakc\n"), ("  8 low", "  8 lo"), ('main: "Odd', 'maim: "Odd'),
        content=SHORT,
    )  # fmt: skip
    assert [line for line, _ in slips(found)] == [7, 8, 9]
    assert found.plan is not None
    first, second = found.plan.tracks
    assert (second.title, second.tempo_bpm) == ("unread", 120.0)
    assert [block.move for block in second.phrases[0].blocks] == ["jack"]
    # Counts are kept, so that what comes after starts where it did; blocks are left out.
    assert [(p.start_beat, p.counts, p.blocks) for p in first.phrases] == [
        (16, 32, ()), (48, 8, ()),
    ]  # fmt: skip
    assert found.unread == {(1, 1), (1, 2)}


@pytest.mark.parametrize(
    ("line", "counts"), [("  2x 16 lo: jog", [16, 16]), ("  15 lo: jog", [32]), ("  jog", [32])]
)
def test_a_phrase_line_that_is_wrong_keeps_the_counts_that_it_tells(
    line: str, counts: list[int]
) -> None:
    """How often and how many, where that is plain; else 32."""
    found = read(("  32 high: jack", line), content=SHORT)
    assert [at for at, _ in slips(found)] == [10]
    assert found.plan is not None
    assert [phrase.counts for phrase in found.plan.tracks[1].phrases] == counts
    assert found.unread == {(2, number) for number in range(1, len(counts) + 1)}


@pytest.mark.parametrize("name", ["unread", "verse", "a"])
def test_a_phrase_that_is_read_is_not_unread_by_its_name(name: str) -> None:
    """Whatever it is called, and where it has no blocks yet."""
    found = read(("  32 high: jack", f'  32 high "{name}": jack'), content=SHORT)
    assert (found.slips, found.unread) == ((), frozenset())
    if name != "unread":
        found = read(("  32 high: jack", f'  32 high "{name}":'), content=SHORT)
        assert found.unread == frozenset()


def test_a_song_of_a_short_plan_without_phrases_is_left_out() -> None:
    """It is told at its own line, once, wherever it stands."""
    found = read(("  32 high: jack\n", ""), content=SHORT)
    assert slips(found) == [(9, "'Odd Lane' has no phrases: needs at least one line below it")]
    assert found.plan is not None
    assert [track.title for track in found.plan.tracks] == ["First Lengths"]
    both = "  32 low: 16 jog; 16 jack\n  8 low bridge: easy-jog\n"
    found = read((both, ""), content=SHORT)
    assert [line for line, _ in slips(found)] == [6]


def test_a_slip_above_the_rule_of_a_short_plan_is_told() -> None:
    """A line of the brief that is wrong is left out, and those below are read."""
    found = read(("minutes = 45", "minutes = 999"), ("32 high", "32 hihg"), content=SHORT)
    assert [line for line, _ in slips(found)] == [4, 10]
    found = read(("minutes = 45", "minutes = 999"), content=SHORT)
    assert [line for line, _ in slips(found)] == [4]
    assert found.plan is not None
    assert found.plan.brief.title == "Tuesday group"


def test_a_line_that_is_no_toml_above_the_rule_is_left_out() -> None:
    """It is no phrase, even where it is indented."""
    found = read(("minutes = 45", "  minutes = 45 min"), content=SHORT)
    assert [line for line, _ in slips(found)] == [4]
    assert found.plan is not None
    assert len(found.plan.tracks) == 2


def test_a_mark_within_a_text_is_no_end_of_a_line() -> None:
    """A title with a line separator of another alphabet stays whole, in both forms."""
    found = read(("Odd Lane", "Odd\u2028Lane"))
    assert (found.slips, found.plan is not None) == ((), True)
    assert read(("Odd Lane", "Odd\u2028Lane"), content=SHORT).slips == ()


def test_a_short_plan_without_its_rule_cannot_be_read() -> None:
    """The slip has no line, because the line is what is missing."""
    found = read(("====\n", ""), content=SHORT)
    assert (found.plan, len(found.slips)) == (None, 1)
    assert found.slips[0].line is None


def test_a_short_plan_without_songs_ends() -> None:
    """Told once, at the rule; nothing is gained by leaving the rule out."""
    found = plan_with_slips("a.plan", SHORT[: SHORT.index("warm-up")])
    assert found.plan is None
    assert slips(found) == [(5, "no track below: a plan needs at least one")]
