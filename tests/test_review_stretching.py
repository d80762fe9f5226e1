"""Stillness, filling and stretches, each rule on both sides of where it is broken.

At 128 beats/min 32 counts last 15 s. Limits are common practice, no source, but for how long a
stretch is held: 10 to 30 s (Garber et al. 2011, as docs/science.md has it).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from review_making import Filling, Song, block_of, places, read_songs, with_efforts

from aquatempo.moves import catalogue
from aquatempo.records.moves import Factor
from aquatempo.records.plan import Block, Brief, Stint
from aquatempo.records.review import Fault, Severity
from aquatempo.review.stillness import fillers, stillness, stretches

JACK = block_of("jack")
CALF = block_of("calf-stretch", lead="right")
QUAD = block_of("quad-stretch", lead="right")
EASY = block_of("easy-jog")


def short(*blocks: Block, part: str = "stretch") -> list[tuple[int, int, int]]:
    """Return where the stretches of one song are told as too short, a block a phrase."""
    return places(stretches(read_songs([Song(part, blocks)]), {}), Fault.STRETCH_SHORT)


@pytest.mark.parametrize(("counts", "told"), [(21, False), (20, True)])
def test_a_stretch_is_held_for_ten_seconds(counts: int, told: bool) -> None:
    """21 counts at 128 last 9.84 s, 20 last 9.375 s: half a second short of ten is let through."""
    reading = read_songs([Song("stretch", [JACK, replace(CALF, counts=counts)])])
    found = list(stretches(reading, {}))
    assert places(found, Fault.STRETCH_SHORT) == ([(1, 2, 1)] if told else [])
    for one in found:
        assert (one.reason, one.source) == ("calf stretch for 9 s", "garber-2011: 10 to 30 s")
        assert one.remedy == "hold a stretch for 10 to 30 s a side"


def test_a_stretch_that_goes_on_is_one_stretch() -> None:
    """11 and 11 counts of one side are 10.3 s; the other side, move or song begins anew."""
    right = replace(CALF, counts=11)
    left = replace(right, lead="left")
    assert short(right, right) == []
    assert short(right, left) == [(1, 1, 1), (1, 2, 1)]
    assert short(right, replace(QUAD, counts=11)) == [(1, 1, 1), (1, 2, 1)]
    two = read_songs([Song("stretch", [right]), Song("stretch", [right])])
    assert places(stretches(two, {}), Fault.STRETCH_SHORT) == [(1, 1, 1), (2, 1, 1)]
    assert short(right, right, left, left) == []
    assert short(right, left, left) == [(1, 1, 1)]


@pytest.mark.parametrize(("rpe", "told"), [(11.0, False), (11.1, True)])
def test_no_work_among_the_stretches(rpe: float, told: bool) -> None:
    """What is above RPE 11 is work; the same in the main part, or as a stretch, is none."""
    songs = [Song("main", [JACK]), Song("stretch", [JACK, CALF])]
    reading = read_songs(songs)
    known = with_efforts(reading, {"jack": rpe, "calf-stretch": 15.0})
    found = [one for one in stretches(reading, known) if one.fault is Fault.HARD_STRETCH]
    assert places(found, Fault.HARD_STRETCH) == ([(2, 1, 1)] if told else [])
    assert [one.reason for one in found] == ["jack at RPE 11.1 among the stretches"] * told


@pytest.mark.parametrize(("last", "told"), [
    ("easy-jog", True), ("jog", True), ("march", True), ("jack", False),
    ("stand-and-breathe", False),
])  # fmt: skip
def test_a_class_that_stretches_does_not_end_jogging(last: str, told: bool) -> None:
    """A jog or march at the very end is no ending; without a stretch part nothing is asked."""
    end = block_of(last)
    found = [
        one
        for one in stretches(read_songs([Song("stretch", [CALF, end])]), {})
        if one.fault is Fault.ENDING
    ]
    assert places(found, Fault.ENDING) == ([(1, 2, 1)] if told else [])
    assert [one.reason for one in found] == [
        f"the class ends with {end.move.replace('-', ' ')}"
    ] * told
    for part in ("main", "cool-down"):
        assert places(stretches(read_songs([Song(part, [CALF, end])]), {}), Fault.ENDING) == []
    assert list(stretches(read_songs([]), {})) == []


def test_a_jog_between_stretches_is_told() -> None:
    """A jog after a held stretch is filling, unless the class ends with it or another move is."""

    def told(*blocks: Block) -> list[tuple[int, int, int]]:
        return places(fillers(read_songs([Song("stretch", blocks)])), Fault.FILLER)

    assert told(CALF, EASY, QUAD) == [(1, 2, 1)]
    assert told(CALF, block_of("jog"), QUAD) == [(1, 2, 1)]
    assert told(CALF, JACK, QUAD) == []
    assert told(EASY, CALF, QUAD) == []
    assert told(CALF, QUAD, EASY) == []
    assert told(CALF, EASY, CALF, EASY) == [(1, 2, 1)]
    (found,) = fillers(read_songs([Song("stretch", [CALF, EASY, QUAD])]))
    assert (found.severity, found.reason) == (Severity.ADVICE, "easy jog between held stretches")


def filled(*phrases: Filling) -> list[tuple[int, int, int]]:
    """Return where a class of one main song is told to fill too much."""
    return places(fillers(read_songs([Song("main", phrases)])), Fault.FILLER)


def test_eight_in_a_hundred_of_the_time_may_fill() -> None:
    """Of 400 counts 32 are let through, of 399 they are too many; the longest is named."""
    jacks, eight, longest = [JACK] * 11, replace(EASY, counts=8), replace(EASY, counts=24)
    assert filled(eight, *jacks, longest, replace(JACK, counts=16)) == []
    assert filled(eight, *jacks, longest, replace(JACK, counts=15)) == [(1, 13, 1)]
    (found,) = fillers(read_songs([Song("main", [*[JACK] * 7, EASY])]))
    assert found.reason == "12 % of the time only fills; the longest is here"
    assert found.remedy == "give the phrases moves of their own: 8 % is enough"


def test_less_than_eight_phrases_say_nothing_of_a_share() -> None:
    """A count less than eight phrases is not judged; eight phrases are."""
    assert filled(*[JACK] * 6, replace(JACK, counts=31), EASY) == []
    assert filled(*[JACK] * 7, EASY) == [(1, 8, 1)]


def test_rest_in_intervals_and_what_the_stretch_part_holds_is_no_filling() -> None:
    """A holding move that is the rest of a set is asked for; as work it fills all the same."""
    rest = replace(EASY, stint=Stint(works=False, number=1, of=4, seconds=15.0))
    work = replace(EASY, stint=Stint(works=True, number=1, of=4, seconds=15.0))
    assert filled(*[JACK] * 8, rest, rest) == []
    assert filled(*[JACK] * 8, work, work) == [(1, 9, 1)]
    songs = [Song("main", [JACK] * 8), Song("stretch", [EASY, EASY])]
    assert places(fillers(read_songs(songs)), Fault.FILLER) == []


def test_fillers_are_weighed_by_their_time_not_their_counts() -> None:
    """32 counts at 64 beats/min are 30 s of 135 + 30: 18 %; at 256 they are 7.5 s of 142.5: 5 %."""
    for tempo, told in ((64.0, True), (256.0, False)):
        songs = [Song("main", [JACK] * 9), Song("main", [EASY], tempo)]
        found = places(fillers(read_songs(songs)), Fault.FILLER)
        assert found == ([(2, 1, 1)] if told else [])


@pytest.mark.parametrize(("part", "told"), [
    ("warm-up", True), ("main", True), ("intervals", True), ("cool-down", False),
    ("stretch", False),
])  # fmt: skip
def test_stretches_have_no_place_in_the_work(part: str, told: bool) -> None:
    """A stretch in the warm-up, the main part or the intervals is told in its place."""
    found = list(stillness(read_songs([Song(part, [JACK, CALF])])))
    assert places(found, Fault.STILL) == ([(1, 2, 1)] if told else [])
    said = [("calf stretch is held here", "keep stretches for the end")]
    assert [(one.reason, one.remedy) for one in found] == said * told


@pytest.mark.parametrize(("part", "themes", "key", "told"), [
    ("main", (), "hold", True),
    ("main", (), "recover", True),
    ("main", (), "half", False),
    ("main", ("balance",), "hold", False),
    ("warm-up", (), "hold", False),
    ("cool-down", (), "hold", False),
])  # fmt: skip
def test_holds_have_their_place(part: str, themes: tuple[str, ...], key: str, told: bool) -> None:
    """A held form stands still in the middle of the work, unless balance is the theme."""
    kick = replace(block_of("knee-lift"), variation=(("tempo", key),))
    pattern = str(dict(catalogue().option(Factor.TEMPO, key).effect)["pattern"])
    reading = read_songs([Song(part, [replace(kick, pattern=pattern)])], Brief(themes=themes))
    assert reading.broken == ()
    found = list(stillness(reading))
    assert places(found, Fault.STILL) == ([(1, 1, 1)] if told else [])
    for one in found:
        assert one.reason.endswith("stands still in the middle of the work")
        assert one.remedy == "take a moving form, or say that balance is the theme"
