"""Counts on the beats, turns and places of calls, worked by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from cue_cases import heard, planned

from aquatempo.cues.count_grid import Grid, make_grid
from aquatempo.cues.language import load_language
from aquatempo.cues.placing import PlacedCalls, place
from aquatempo.cues.turns import Turn, find_turns, level_changes
from aquatempo.cues.wording import CallText, other_side
from aquatempo.errors import InputError, RangeError
from aquatempo.records.cues import CueKind, CueOptions, CuePhrase
from aquatempo.records.plan import Block
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

JOG, JACK = Block(32, "jog"), Block(32, "jack")


def phrase(start: int, counts: int, kind: str = "phrase") -> CuePhrase:
    """Return a phrase by its first beat and counts."""
    return CuePhrase(0.0, 0.0, start, counts, PhraseKind(kind), EnergyLevel.MEDIUM)


def test_times_go_on_after_the_last_beat() -> None:
    """Beats at 1, 1.5 and 2.1 s: the next would be 2.7, the one after it 3.3."""
    grid = Grid((1.0, 1.5, 2.1), ())
    assert [grid.time_s(beat) for beat in range(5)] == pytest.approx([1.0, 1.5, 2.1, 2.7, 3.3])


def test_counts_start_with_their_phrase() -> None:
    """Phrases on beats 3 and 14: counts 1 to 8 from each; before the first they count back."""
    grid = Grid((0.0, 1.0), (phrase(3, 11), phrase(14, 32)))
    assert [grid.count(beat) for beat in (0, 2, 3, 10, 11, 13, 14, 22)] == [6, 8, 1, 8, 1, 3, 1, 1]
    assert [grid.phrase(beat) for beat in (0, 2, 3, 13, 14, 99)] == [-1, -1, 0, 0, 1, 1]
    bare = Grid((0.0, 1.0), ())
    assert [bare.count(beat) for beat in (0, 7, 8, 20)] == [1, 8, 1, 5]


@pytest.mark.parametrize(
    ("low", "high", "open_breaks", "first"),
    [
        (0, 96, (), 64),
        (0, 32, (), 0),
        (0, 33, (), 33),
        (63, 96, (), 64),
        (64, 96, (), 64),
        (0, 96, (32,), 0),
        (0, 50, (), 50),
        (70, 200, (), 128),
        (0, 200, (96,), 64),
        (0, 96, (96,), 64),
    ],
)
def test_calls_come_after_a_closed_breakdown(
    low: int, high: int, open_breaks: tuple[int, ...], first: int
) -> None:
    """Breakdowns on 32 to 63 and 96 to 127 push calls to their ends, unless they are open."""
    parts = (phrase(0, 32), phrase(32, 32, "break"), phrase(64, 32), phrase(96, 32, "break"))
    assert Grid((0.0, 1.0), parts).after_closed(low, high, open_breaks) == first


def test_the_grid_has_planned_phrases_and_what_else_was_heard() -> None:
    """Planned phrases count; heard ones that overlap them do not; all are in order.

    At 1.25 times the speed a beat of 0.5 s lasts 0.4 s.
    """
    analysis = heard([("intro", 8), ("phrase", 32), ("phrase", 32), ("outro", 8)], 120.0, 1.0)
    track = planned(analysis, [(), (JOG,), (), ()], speed=1.25)
    some = with_phrases(track, track.phrases[2:3])
    grid = make_grid(analysis, some)
    assert [(p.start_beat, p.counts, str(p.kind)) for p in grid.phrases] == [
        (0, 8, "intro"),
        (8, 32, "phrase"),
        (40, 32, "phrase"),
        (72, 8, "outro"),
    ]
    assert grid.beats_s[:2] == pytest.approx((0.8, 1.2))
    assert [p.start_s for p in grid.phrases] == pytest.approx([0.8, 4.0, 16.8, 29.6])
    assert [p.end_s for p in grid.phrases] == pytest.approx([4.0, 16.8, 29.6, 32.8])
    shifted = with_phrases(track, (moved(track.phrases[1], 12),))
    assert [p.start_beat for p in make_grid(analysis, shifted).phrases] == [0, 12, 72]
    with pytest.raises(RangeError):
        make_grid(analysis, planned(analysis, [(), (), (), ()], speed=2.1))


def with_phrases(track: Any, phrases: Any) -> Any:
    """Return a track with other phrases."""
    return replace(track, phrases=tuple(phrases))


def moved(one: Any, start_beat: int) -> Any:
    """Return a phrase on another beat."""
    return replace(one, start_beat=start_beat)


def test_a_track_without_beats_has_no_calls() -> None:
    """One beat is none to count: the message tells what to give."""
    analysis = heard([("phrase", 1)])
    with pytest.raises(InputError) as caught:
        make_grid(analysis, planned(analysis, [()]))
    assert str(caught.value) == (
        "Lindenbad 1: no beat was found to place calls on; give the tempo and first count 1 in a "
        "track sheet (is it speech, or free time?)"
    )


def turns_of(spans: list[tuple[str, int]], fillings: list[list[Block]], known: Any = ()) -> Any:
    """Return the turns of a track."""
    analysis = heard(spans)
    return find_turns(planned(analysis, fillings), len(analysis.beats_s), known)


def test_turns_last_until_the_next() -> None:
    """Jog, jog on, jack, a bridge held by jack, jack again: four turns, with counts to the next."""
    found = turns_of(
        [("phrase", 32), ("phrase", 32), ("phrase", 32), ("bridge", 8), ("phrase", 32)],
        [[JOG], [JOG], [Block(16, "jack"), Block(16, "jog")], [Block(8, "jog")], [JACK]],
        ("jack",),
    )
    assert [(t.beat, t.counts, t.offset, t.phrase, t.span) for t in found] == [
        (0, 64, 0, 0, 32),
        (64, 16, 0, 2, 32),
        (80, 16, 16, 2, 32),
        (96, 8, 0, 3, 8),
        (104, 32, 0, 4, 32),
    ]
    assert [t.new_move for t in found] == [True, False, False, False, False]
    assert [t.reason for t in found] == ["new base move", "", "", "", ""]
    assert [t.goes_on for t in found] == [False, False, False, True, False]
    assert found[0].before is None
    assert found[2].before == Block(16, "jack")


@pytest.mark.parametrize(
    ("fillings", "message"),
    [
        (
            [[Block(30, "jog")]],
            "Lindenbad 1, phrase 1: blocks of 30 counts in a phrase of 32: they need to add up to "
            "it (was a block added or cut?)",
        ),
        (
            [[Block(34, "jog")]],
            "Lindenbad 1, phrase 1: blocks of 34 counts in a phrase of 32: they need to add up to "
            "it (was a block added or cut?)",
        ),
        (
            [[Block(33, "jog"), Block(-1, "jack")]],
            "Lindenbad 1, phrase 1: blocks of 32 counts in a phrase of 32: they need to add up to "
            "it (was a block added or cut?)",
        ),
    ],
)
def test_blocks_fill_their_phrase(fillings: list[list[Block]], message: str) -> None:
    """Too few, too many and negative counts are told."""
    with pytest.raises(InputError) as caught:
        turns_of([("phrase", 32)], fillings)
    assert str(caught.value) == message


def test_phrases_follow_each_other_within_the_track() -> None:
    """A phrase a beat early and one a beat too long are refused; exact ones are not."""
    analysis = heard([("phrase", 32), ("phrase", 32)])
    track = planned(analysis, [[JOG], [JACK]])
    assert len(find_turns(track, 64, ())) == 2
    with pytest.raises(InputError) as caught:
        find_turns(track, 63, ())
    assert str(caught.value) == (
        "Lindenbad 1, phrase 2 ends on beat 64: the track has 63 "
        "(was the plan made for another version of the song?)"
    )
    with pytest.raises(InputError) as caught:
        find_turns(with_phrases(track, (track.phrases[0], moved(track.phrases[1], 31))), 64, ())
    assert str(caught.value) == (
        "Lindenbad 1, phrase 2 starts on beat 32, before the one ahead of it ends: "
        "phrases need to follow each other (is one in the plan twice?)"
    )


OFF_THE_EIGHT = "phrase 3: jack starts on count 5; a change inside a phrase starts an eight"


def turn(offset: int, counts: int, block: Block, new: bool = False) -> Turn:
    """Return a turn of the third phrase."""
    return Turn(64 + offset, counts, PhraseKind.PHRASE, 32, offset, 2, JOG, block, new, "")


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (turn(0, 32, JACK, True), ""),
        (turn(8, 24, JACK), ""),
        (turn(4, 28, JACK), OFF_THE_EIGHT),
        (turn(4, 8, JACK), OFF_THE_EIGHT),
        (turn(28, 4, JACK), ""),
        (turn(28, 7, JACK), ""),
        (
            turn(8, 24, JACK, True),
            "phrase 3: jack starts on count 9; a move new to the class starts on count 1 of a "
            "phrase",
        ),
        (turn(4, 28, Block(28, "jack", variation=(("combination", "two"),)), True), ""),
        (turn(4, 28, Block(28, "jack", variation=(("arms", "press"),))), OFF_THE_EIGHT),
    ],
)
def test_where_habit_has_a_change(one: Turn, said: str) -> None:
    """New moves on count 1, other changes on an eight; last steps and marked ones anywhere."""
    assert one.broken_habit == said


@pytest.mark.parametrize(
    ("before", "after", "reason"),
    [
        (Block(8, "jog", travel="forward"), Block(8, "jog", travel="back"), "reversal of travel"),
        (Block(8, "jog", travel="back"), Block(8, "jog", travel="forward"), "reversal of travel"),
        (Block(8, "jog", travel="forward"), Block(8, "jog", travel="sideways"), ""),
        (
            Block(8, "jog", travel="sideways", lead="left"),
            Block(8, "jog", travel="sideways", lead="right"),
            "reversal of travel",
        ),
        (Block(8, "jog", lead="left"), Block(8, "jog", lead="right"), ""),
        (Block(8, "jog", level="I"), Block(8, "jog", level="II"), "change of impact level"),
        (Block(8, "jog", level="I"), Block(8, "jack", level="grounded"), ""),
        (Block(8, "jog", level="II"), Block(8, "jog", level="I"), "change of impact level"),
        (
            Block(8, "jog", (("arms", "press"),), level="I"),
            Block(8, "jack", (("arms", "press"),), level="grounded"),
            "",
        ),
        (
            Block(8, "jog", level="I"),
            Block(8, "jack", (("level", "grounded"),), level="grounded"),
            "change of impact level",
        ),
        (Block(8, "jog", level="I"), Block(8, "jack", level="II"), "change of impact level"),
    ],
)
def test_what_needs_a_longer_notice(before: Block, after: Block, reason: str) -> None:
    """Reversals of travel and changes of impact level that do not go without saying."""
    found = turns_of([("phrase", 16)], [[before, after]], ("jog", "jack"))
    assert found[-1].reason == reason
    assert level_changes(before, after) is (reason == "change of impact level")


GRID = Grid(tuple(0.5 * beat for beat in range(65)), (phrase(0, 64),))
TEXT = CallText("jack", ("arms apart",), ("jack",), "arms apart")


def placed(room: int, **given: Any) -> PlacedCalls:
    """Return the calls of a change on beat 32 of a song of 120 bpm, three syllables a second."""
    options = CueOptions(syllables_per_second=4.0)
    return place(
        GRID,
        load_language("en"),
        options,
        room=room,
        beat=32,
        text=given.pop("text", TEXT),
        warns=given.pop("warns", ("next jack",)),
        stretched=given.pop("stretched", False),
        preview=given.pop("preview", False),
    )


def calls(found: PlacedCalls) -> list[tuple[str, int, int, str]]:
    """Return kind, start, end and words of each call."""
    return [(slot.kind.value, slot.start, slot.end, slot.words) for slot in found.slots]


COUNTDOWN = [
    ("countdown", 28, 29, "four"),
    ("countdown", 29, 30, "three"),
    ("countdown", 30, 31, "two"),
]
NAME = ("name", 31, 32, "jack")


@pytest.mark.parametrize(
    ("room", "expected"),
    [
        (0, [("warn", 24, 28, "next jack"), *COUNTDOWN, NAME]),
        (24, [("warn", 24, 28, "next jack"), *COUNTDOWN, NAME]),
        (26, [("warn", 26, 28, "next jack"), *COUNTDOWN, NAME]),
        (27, [*COUNTDOWN, NAME]),
        (28, [*COUNTDOWN, NAME]),
        (29, [*COUNTDOWN[1:], NAME]),
        (30, [*COUNTDOWN[2:], NAME]),
        (31, [NAME]),
        (32, []),
    ],
)
def test_the_richest_form_that_fits(room: int, expected: list[Any]) -> None:
    """Warn eight counts ahead, four, three, two and the name; less the less room there is."""
    found = placed(room)
    assert calls(found) == expected
    assert found.named is (room < 32)
    assert found.complete is (room <= 26)
    assert found.warn == ("next jack" if room <= 26 else "")
    assert found.stretched is False


def test_a_stretched_form_takes_twice_the_counts() -> None:
    """Warn sixteen counts ahead, two counts a word; short where there is no room for that."""
    found = placed(0, stretched=True)
    assert calls(found) == [
        ("warn", 16, 24, "next jack"),
        ("countdown", 24, 26, "four"),
        ("countdown", 26, 28, "three"),
        ("countdown", 28, 30, "two"),
        ("name", 30, 32, "jack"),
    ]
    assert (found.stretched, found.complete) == (True, True)
    short = placed(25, stretched=True)
    assert calls(short)[0] == ("warn", 25, 28, "next jack")
    assert (short.stretched, short.named, short.complete) == (False, True, False)


@pytest.mark.parametrize(("stretched", "counts"), [(True, 4), (False, 2)])
def test_a_new_move_is_shown_before_its_countdown(stretched: bool, counts: int) -> None:
    """A look of four counts where eight are ahead of the countdown, of two where four are."""
    found = placed(0, stretched=stretched, preview=True)
    start = 24 if stretched else 28
    warn, look = found.slots[:2]
    assert (look.kind, look.start, look.end) == (CueKind.PREVIEW, start - counts, start)
    assert warn.end == look.start


def test_the_other_side() -> None:
    """An instructor who faces the class shows left for right; no side has none."""
    assert [other_side(side) for side in ("left", "right", "")] == ["right", "left", ""]
