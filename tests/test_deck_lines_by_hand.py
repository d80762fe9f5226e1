"""Lines, facts and moves of a class on the deck, worked by hand from a small song."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cue_cases import heard, planned
from test_deck_files_by_hand import BLOCKS, CALLS, HEARD, MADE, PLANNED, a_class, book_of

from aquatempo.cues import timeline
from aquatempo.deck.book import _short, deck_book, deck_track
from aquatempo.moves import catalogue
from aquatempo.records.cues import CallWords, CueOptions, CueTimeline
from aquatempo.records.deck import DeckTrack
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.plan import Block, Brief, ClassPlan


def facts(brief: Brief) -> dict[str, str]:
    """Return what is told of a class."""
    return dict(book_of(a_class(brief=brief)).facts)


def track(made: CueTimeline = MADE) -> DeckTrack:
    """Return the lines of the track."""
    return deck_track(PLANNED, made, catalogue(), ClassDepth.SHALLOW)


def test_lines_of_a_track() -> None:
    """An introduction of four counts has no line; the others say what is done from when on.

    Beats are half a second apart from 0.5 s on: beats 4, 36 and 46 at 2.5, 18.5 and 23.5 s.
    """
    first, second, third = track().lines
    assert [(one.clock_s, one.beat, one.counts, one.phrase) for one in track().lines] == [
        (2.5, 4, 32, 1), (18.5, 36, 10, 2), (23.5, 46, 32, 3),
    ]  # fmt: skip
    assert (first.name, first.tempo, first.lead, first.holding) == (
        "Knee lift", "water (2)", "right", False,
    )  # fmt: skip
    assert (second.kind, second.holding, second.stint_end_s) == ("bridge", True, 23.5)
    assert (third.name, third.tempo, third.lead) == ("Jack", "half water (4)", "")
    assert third.style[0] == "press"
    assert (first.steps, third.steps) == (((2, 2),), ((4, 4),))
    assert first.movements == ("right knee up", "left knee up")
    assert first.spelled == "1-2 right knee up, 3-4 left knee up"
    assert first.repetition_counts == 4


@pytest.mark.parametrize(
    ("spoken", "short", "wanted"),
    [
        ("cross-country ski", "ski", "ski"),
        ("the ski", "", "the ski"),  # what is spoken is shorter than the name
        ("cross-country ski", "", ""),  # as long as the name
        ("the cross-country ski", "", ""),
    ],
)
def test_a_name_has_a_short_form_where_there_is_one(spoken: str, short: str, wanted: str) -> None:
    """For lines of a card that have little room: what is said when time is short."""
    words = CallWords("ski", "Cross-country ski", spoken, "arms swing", short=short)
    assert _short(words) == wanted


@pytest.mark.parametrize("own", ["A star", "Zebra"])
def test_a_name_of_ones_own_is_not_shortened(own: str) -> None:
    """The short form is that of the name in the catalogue."""
    made = timeline(
        HEARD, planned(HEARD, [*BLOCKS[:3], [Block(32, "cross-country-ski")]]),
        (*CALLS, CallWords("cross-country-ski", "Cross-country ski", "cross-country ski", "x")),
    )  # fmt: skip
    *_, last = track(made).lines
    assert (last.name, last.short_name != "") == ("Cross-country ski", True)
    mine = replace(made, changes=(*made.changes[:-1], replace(made.changes[-1], name=own)))
    *_, last = track(mine).lines
    assert (last.name, last.short_name) == (own, "")


def test_steps_of_a_movement_with_a_hold() -> None:
    """Two counts moving and two held are four, of which two move."""
    held = planned(HEARD, [*BLOCKS[:3], [Block(32, "jack", (), "2+2h")]])
    *_, last = track(timeline(HEARD, held, CALLS)).lines
    assert last.steps == ((4, 2),)


def test_an_introduction_of_eight_counts_has_a_line() -> None:
    """From there on it is taught; a song without phrases has all its lines."""
    spans = (("intro", 8), ("phrase", 32))
    analysis = heard(spans, 120.0)
    blocks = [[Block(8, "easy-jog")], [Block(32, "jack")]]
    made = timeline(analysis, planned(analysis, blocks), CALLS)
    assert [one.counts for one in track(made).lines] == [8, 32]
    assert [one.counts for one in track(replace(MADE, phrases=())).lines] == [4, 32, 10, 32]


def test_a_track_has_a_head() -> None:
    """Its title on one line, or a word for it; the name of its file without the folder."""
    made = replace(MADE, title=" Odd\n Lane ", file="songs/odd.ogg", speed=1.02)
    assert (track(made).title, track(made).file_name, track(made).speed) == (
        "Odd Lane", "odd.ogg", 1.02,
    )  # fmt: skip
    assert track(replace(MADE, title=" ")).title != ""
    assert track().strip_sets == (0, 1, 1, 2)


def test_facts_of_a_class() -> None:
    """How long what is planned lasts, the pool, the people.

    The last count ends at 0.5 + 78 x 0.5 s = 39.5 s; 20 such songs would be 13 minutes.
    """
    told = facts(Brief(pool=Pool(1.05, 1.4, 28.5), group=Group(18, 11, (1.5, 1.85), (55, 78))))
    assert list(told) == ["Class", "Pool", "Group", "Depth on them"]
    assert told["Class"] == "shallow, 1 track, 1 minute of music"
    assert told["Pool"] == "1.05-1.4 m, 28.5 °C"
    assert told["Group"] == "18 people, 1.50-1.85 m, 55-78 years"
    ends = told["Depth on them"].split("; ")
    assert [end.split(":")[0] for end in ends] == ["1.05 m", "1.4 m"]
    # At either end everyone from 1.50 to 1.85 m is told of, whoever they are together with.
    for end in ends:
        assert "1.50" in end
        assert "1.85 m" in end
    # Each end is told as a pool of that depth would be.
    for depth_m, end in zip((1.05, 1.4), ends, strict=True):
        alone = Brief(pool=Pool(depth_m), group=Group(18, 11, (1.5, 1.85), (55, 78)))
        assert facts(alone)["Depth on them"] == end
    assert facts(Brief(pool=Pool(1.234, 1.456)))["Pool"] == "1.23-1.46 m, 29 °C"
    assert facts(Brief(pool=Pool(1.234)))["Pool"] == "1.23 m, 29 °C"
    plan = a_class(*[PLANNED] * 20)
    assert book_of(plan).facts[0][1] == "shallow, 20 tracks, 13 minutes of music"
    assert facts(Brief())["Pool"] == "1.2 m, 29 °C"
    german = deck_book(a_class(), [MADE], catalogue(), CueOptions(language="de"))
    assert "1,2 m, 29 °C" in [text for _, text in german.facts]


def test_facts_of_a_class_that_is_deep_or_has_notes() -> None:
    """A deep class has its own; notes of the group stand together."""
    plain, noted = facts(Brief()), facts(Brief(group_notes=("two new knees", "one back")))
    assert set(noted) - set(plain) == {"Notes"}
    assert noted["Notes"] == "two new knees; one back"
    assert "Deep water" not in plain
    pool = Pool(2.0, kind=ClassDepth.DEEP)
    deep = deck_book(
        ClassPlan(Brief(depth=ClassDepth.DEEP, pool=pool), ()), [], catalogue(), CueOptions()
    )
    assert [name for name, _ in deep.facts][:4] == ["Class", "Pool", "Group", "Deep water"]
    children = facts(Brief(group=Group(10, 5, (1.2, 1.4), (8, 10))))
    assert set(plain) - set(children) == {"Depth on them"}  # no published table tells theirs


def test_moves_are_described_once_in_order() -> None:
    """With the instructor's own name and sign, and the name of the catalogue beside it."""
    options = CueOptions(own_names=(("jack", "Star"),), own_signs=(("jack", "fan"),))
    notes = book_of(a_class(PLANNED, PLANNED), options=options).moves
    assert [one.name for one in notes] == ["Easy jog", "Knee lift", "Star"]
    assert (notes[2].also, notes[2].sign, notes[1].also) == ("Jack", "fan", "")
    easier = catalogue().move("knee-lift").easier
    assert (notes[1].easier != "") is bool(easier)
