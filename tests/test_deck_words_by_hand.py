"""Words of a line on the deck: what differs, tempo options, counts written out, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from deck_forms import WORDS
from test_deck_folds_by_hand import line

from aquatempo.deck.line_words import spelled, style, tempo
from aquatempo.exports.deck_details import times
from aquatempo.records.cues import Change


def change(**others: object) -> Change:
    """Return a change to a jog in neutral position, in place."""
    usual = Change(
        0.0, 16.0, 0, 32, 0, "jog", "Jog", (), "2", "", "II", "in place", False, False,
    )  # fmt: skip
    return replace(usual, **others)  # type: ignore[arg-type]


VARIED = {
    "variation": (("tempo", "half"), ("arms", "press"), ("hands", "fist"), ("travel", "forward")),
    "variation_names": ("Half water", "Press", "Fists", "Forward"),
}


@pytest.mark.parametrize(
    ("others", "usual", "wanted"),
    [
        ({}, ("II", "in place"), ()),
        ({}, ("II", "forward"), ("in place",)),
        ({}, ("", ""), ("in place", "level II")),
        ({"level": "III"}, ("II", "in place"), ("level III",)),
        ({"level": "I"}, ("II", "in place"), ("level I",)),
        ({"level": ""}, ("II", "in place"), ()),
        ({"travel": ""}, ("II", "in place"), ()),
        ({"travel": "sideways", "level": "I"}, ("II", "in place"), ("sideways", "level I")),
        (VARIED, ("II", "in place"), ("press", "fists")),
    ],
)
def test_a_line_says_what_differs_from_the_usual_move(
    others: dict[str, object], usual: tuple[str, str], wanted: tuple[str, ...]
) -> None:
    """Arms and hands, then travel, then level; the tempo option has a place of its own."""
    assert style(change(**others), *usual, "en") == wanted


def test_levels_without_a_number_have_a_word() -> None:
    """Grounded and power moves are said as the language says them, and once."""
    grounded = style(change(level="grounded"), "II", "in place", "en")
    assert len(grounded) == 1
    assert "level" not in grounded[0]


@pytest.mark.parametrize(
    ("pattern", "wanted"),
    [
        ("1", "land (1)"), ("2", "water (2)"), ("4", "half water (4)"),
        ("2+2h", "2, hold 2"), ("2+7h", "2, hold 7"), ("2+8h", "hold 8"), ("4+28h", "hold 28"),
        ("2+2b", "2, bounce 2"), ("1-1-2", "1-1-2"), ("2-2+2h", "2, 2, hold 2"),
        ("1+1h-2+10h", "hold 10"),
    ],
)  # fmt: skip
def test_a_tempo_option_in_few_letters(pattern: str, wanted: str) -> None:
    """From eight counts on it is the hold that counts, not the way there."""
    assert tempo(pattern, "en") == wanted


UP = ("lead knee up", "other knee up")


@pytest.mark.parametrize(
    ("pattern", "movements", "counts", "wanted"),
    [
        ("2", UP, 32, ("1-2 right knee up, 3-4 left knee up", 4)),
        ("1", UP, 32, ("1 right knee up, 2 left knee up", 2)),
        ("4", UP, 32, ("1-4 right knee up, 5-8 left knee up", 8)),
        ("2", UP[:1], 32, ("1-2 right knee up", 2)),
        ("2+2h", UP[:1], 32, ("1-2 right knee up, 3-4 hold", 4)),
        ("2+1h", UP[:1], 32, ("1-2 right knee up, 3 hold", 3)),
        # Two movements, three steps: six movements until both are at their start again.
        ("1-1-2", UP, 32, (
            "1 right knee up, 2 left knee up, 3-4 right knee up, "
            "5 left knee up, 6 right knee up, 7-8 left knee up", 8)),
        # What the change leaves no counts for is not told; the length is that of the repetition.
        ("4", UP, 6, ("1-4 right knee up, 5-6 left knee up", 8)),
        ("4", UP, 5, ("1-4 right knee up, 5 left knee up", 8)),
        ("4", UP, 4, ("1-4 right knee up", 8)),
        ("2+2h", UP[:1], 3, ("1-2 right knee up, 3 hold", 4)),
        ("2", (), 32, (WORDS["eight_one"], 8)),
    ],
)  # fmt: skip
def test_a_repetition_is_written_out_in_counts(
    pattern: str, movements: tuple[str, ...], counts: int, wanted: tuple[str, int]
) -> None:
    """Counts of each movement and hold, and how many a repetition takes."""
    assert spelled(change(pattern=pattern, lead="right", counts=counts), movements, "en") == wanted


@pytest.mark.parametrize(
    ("counts", "wanted"),
    [
        (3, "3 counts"), (4, "once"), (5, "once and 1 count"), (6, "once and 2 counts"),
        (8, "2 times"), (9, "2 times and 1 count"), (11, "2 times and 3 counts"), (32, "8 times"),
    ],
)  # fmt: skip
def test_how_often_a_repetition_fits(counts: int, wanted: str) -> None:
    """A repetition of four counts; what is left over is told in counts."""
    assert times(line(0, 32), counts, WORDS) == wanted
