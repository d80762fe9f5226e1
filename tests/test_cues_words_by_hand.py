"""What is said of a change, how long it takes to say, and where it may fall: by hand."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from cue_cases import WORDS, heard, planned

from aquatempo.cues.count_grid import Grid, make_grid
from aquatempo.cues.language import load_language
from aquatempo.cues.syllables import SyllableRule
from aquatempo.cues.wording import CallText, Wording
from aquatempo.errors import InputError
from aquatempo.records.cues import CueOptions, CuePhrase
from aquatempo.records.plan import Block
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

SAID = Wording(load_language("en"), WORDS, CueOptions())
PRESS, FIST = ("arms", "press"), ("hands", "fist")


@pytest.mark.parametrize(("value", "told"), [(0, "0"), (1, "one"), (2, "two"), (-1, "-1")])
def test_small_numbers_are_words(value: int, told: str) -> None:
    """One is the first that has a word; none before it has."""
    assert load_language("en").number(value) == told


def test_numbers_without_a_word_are_figures() -> None:
    """The last that a language names is a word, the next one a figure."""
    pack = load_language("en")
    last = len(pack.numbers)
    assert pack.number(last) == pack.numbers[-1]
    assert pack.number(last + 1) == str(last + 1)


@pytest.mark.parametrize(
    ("word", "syllables"),
    [
        ("make", 1),  # the e at the end is struck out
        ("table", 2),  # kept: it ends in "le"
        ("hm", 1),  # a word has one at least
        ("idea", 2),  # i, ea
        ("ioea", 3),  # i, o, ea
        ("queue", 7),  # counted by hand, in this invented rule
        ("make table 4", 3),
    ],
)
def test_syllables_by_an_invented_rule(word: str, syllables: int) -> None:
    """Groups of vowels count once, a silent e not, a word of no vowels one, figures none."""
    rule = SyllableRule("aeiou", ("ea",), (re.compile("e$"),), (re.compile("le$"),), {"queue": 7})
    assert rule.count(word) == syllables
    assert rule.speaking_s(word, 4.0) == syllables / 4
    assert replace(rule, together=()).count("ioea") == 1


CALL = CallText("knee lift", ("left leg", "sideways"), ("knee lift", "lift"), "palm")


@pytest.mark.parametrize(
    ("text", "following", "wanted"),
    [
        (
            CALL,
            "",
            ("next knee lift, left leg, sideways", "next knee lift, left leg", "next knee lift",
             "next lift", "lift"),
        ),
        (
            replace(CALL, announcement="bridge, eight"),
            "after it jog",
            ("bridge, eight, knee lift, after it jog", "bridge, eight, knee lift",
             "bridge, eight", "bridge"),
        ),
        (
            replace(CALL, announcement="bridge"),
            "",
            ("bridge, knee lift", "bridge", "bridge"),
        ),
        (replace(CALL, planned="now the lift"), "", ("now the lift", "lift")),
    ],
)  # fmt: skip
def test_wordings_of_a_warn(text: CallText, following: str, wanted: tuple[str, ...]) -> None:
    """Fullest first, a detail less each, at last the shortest name; planned words come first."""
    assert text.warns(following, "next") == wanted


@pytest.mark.parametrize(
    ("before", "after", "what", "details"),
    [
        (Block(32, "jog"), Block(32, "jog", (PRESS,)), "press down", ()),
        (Block(32, "jog", (PRESS,)), Block(32, "jog", (PRESS, FIST)), "make fists", ()),
        (Block(32, "jog", (PRESS, FIST)), Block(32, "jog", (FIST,)), "back to jog", ()),
        (Block(32, "jog", (FIST,)), Block(32, "jog", (FIST,)), "jog", ()),
        (Block(32, "jog", (FIST,)), Block(32, "jack", (FIST,)), "jack", ("make fists",)),
        (Block(32, "jog"), Block(32, "jack", lead="left"), "jack", ("left leg",)),
        (Block(32, "jog", lead="left"), Block(32, "jog", lead="left"), "jog", ()),
        (None, Block(32, "jog", (PRESS,)), "jog", ("press down",)),
        (None, Block(32, "jog", pattern="4"), "jog", ("half water tempo",)),
    ],
)
def test_what_differs_is_said(
    before: Block | None, after: Block, what: str, details: tuple[str, ...]
) -> None:
    """A new option alone, a style again with a new move, going back where one is taken away."""
    text = SAID.change(before, after)
    assert (text.what, text.details) == (what, details)


def span(start: int, counts: int, kind: str) -> CuePhrase:
    """Return a phrase at half a second a beat."""
    end_s = (start + counts) / 2
    return CuePhrase(start / 2, end_s, start, counts, PhraseKind(kind), EnergyLevel.LOW)


@pytest.mark.parametrize(
    ("low", "high", "open_breaks", "wanted"),
    [
        (0, 96, (), 64),
        (0, 96, (32,), 0),
        (0, 32, (), 0),
        (0, 33, (), 33),
        (0, 48, (), 48),
        (63, 96, (), 64),
        (64, 96, (), 64),
        (70, 96, (), 70),
        (0, 200, (), 136),
        (0, 200, (128,), 64),
    ],
)
def test_no_call_before_a_closed_breakdown(
    low: int, high: int, open_breaks: tuple[int, ...], wanted: int
) -> None:
    """Breakdowns lie at 32 to 64 and 128 to 136: room begins after the last that lies between."""
    phrases = (span(0, 32, "phrase"), span(32, 32, "break"), span(64, 64, "phrase"))
    grid = Grid(tuple(n / 2 for n in range(160)), (*phrases, span(128, 8, "break")))
    assert grid.after_closed(low, high, open_breaks) == wanted


def test_a_grid_takes_two_beats() -> None:
    """Two beats give the third; with one there is no grid, and the song is named."""
    two = heard((("phrase", 2),), 120.0, 1.0)
    grid = make_grid(two, planned(two, [[Block(2, "jog")]]))
    assert [grid.time_s(n) for n in range(4)] == pytest.approx([1.0, 1.5, 2.0, 2.5])
    with pytest.raises(InputError) as caught:
        make_grid(replace(two, beats_s=(1.0,)), planned(two, [[Block(2, "jog")]]))
    assert str(caught.value) == (
        "Lindenbad 1: no beat was found to place calls on; give the tempo and first count 1 in a "
        "track sheet (is it speech, or free time?)"
    )
