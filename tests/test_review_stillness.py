"""Where a class stands still, what only fills its time, how it stretches and ends.

At 128 beats/min 32 counts last 15 s. Limits are common practice and judgement, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from review_making import Filling, Song, block_of, read_songs, with_efforts

from aquatempo.records.plan import Brief, Stint
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.spots import ReadPlan
from aquatempo.review.stillness import fillers, stillness, stretches

JACK, ROW = block_of("jack"), block_of("row")
EASY, CALF = block_of("easy-jog"), block_of("calf-stretch", lead="right")
KNOWN = Brief(known_moves=("jack", "row"))


def reading(*phrases: Filling, brief: Brief = KNOWN, part: str = "main") -> ReadPlan:
    """Return a class of one song, read."""
    return read_songs([Song(part, phrases)], brief)


def at(found: list[Finding]) -> list[tuple[Fault, int, int]]:
    """Return what was found where."""
    return [(one.fault, one.phrase, one.block) for one in found]


def test_holds_in_the_middle_of_the_work_are_told() -> None:
    """A stretch before the cool-down; a hold in the main part, unless balance is wanted."""
    hold = replace(JACK, variation=(("tempo", "hold"),), pattern="2+2h")
    still = list(stillness(reading(JACK, hold, CALF)))
    assert at(still) == [(Fault.STILL, 2, 1), (Fault.STILL, 3, 1)]
    assert still[0].reason == "jack, move and hold stands still in the middle of the work"
    assert still[0].remedy == "take a moving form, or say that balance is the theme"
    assert (still[1].reason, still[1].remedy) == (
        "calf stretch is held here", "keep stretches for the end",
    )  # fmt: skip
    assert at(list(stillness(reading(hold, CALF, part="warm-up")))) == [(Fault.STILL, 2, 1)]
    assert list(stillness(reading(hold, CALF, part="cool-down"))) == []
    assert list(stillness(reading(hold, brief=replace(KNOWN, themes=("balance",))))) == []


def test_fillers_may_take_eight_hundredths_of_the_time() -> None:
    """Of 400 counts 32 are let through, of 399 not; less than 256 counts say nothing.

    Rest of intervals and the stretch part do not count. Told is the longest.
    """
    short, long = replace(EASY, counts=8), replace(EASY, counts=24)
    work = [JACK] * 11

    def told(*phrases: Filling, part: str = "main") -> list[tuple[Fault, int, int]]:
        return at(list(fillers(reading(*phrases, part=part))))

    assert told(*work, replace(JACK, counts=16), short, long) == []
    assert told(*work, replace(JACK, counts=15), short, long) == [(Fault.FILLER, 14, 1)]
    assert told(*[JACK] * 6, replace(JACK, counts=31), EASY) == []
    assert told(*[JACK] * 7, EASY) == [(Fault.FILLER, 8, 1)]
    rest = replace(EASY, stint=Stint(False, 1, 2, 15.0))
    assert told(*[JACK] * 7, rest) == []
    assert told(*[JACK] * 7, replace(rest, stint=Stint(True, 1, 2, 15.0))) != []
    assert told(*[JACK] * 7, EASY, part="stretch") == []
    (found,) = fillers(reading(*[JACK] * 7, EASY))
    assert found.reason == "12 % of the time only fills; the longest is here"
    assert found.remedy == "give the phrases moves of their own: 8 % is enough"


def test_a_jog_between_stretches_is_told_but_not_at_the_end() -> None:
    """After a stretch, in the stretch part, with more to come."""
    (found,) = fillers(reading(CALF, EASY, CALF, EASY, part="stretch"))
    assert (found.fault, found.severity, found.phrase) == (Fault.FILLER, Severity.ADVICE, 2)
    assert found.reason == "easy jog between held stretches"
    assert list(fillers(reading(EASY, CALF, block_of("scull"), CALF, part="stretch"))) == []
    assert list(fillers(reading(EASY, EASY, CALF, part="stretch"))) == []


@pytest.mark.parametrize(("rpe", "hard"), [(11.0, False), (11.1, True)])
def test_work_among_stretches_is_up_to_rpe_11(rpe: float, hard: bool) -> None:
    """More is told, with its effort; a stretch and what has no figures are not weighed."""
    one = reading(CALF, JACK, CALF, ROW, part="stretch")
    known = with_efforts(one, {"jack": rpe, "calf-stretch": 15.0})
    found = [f for f in stretches(one, known) if f.fault is Fault.HARD_STRETCH]
    assert [f.phrase for f in found] == ([2] if hard else [])
    if hard:
        assert found[0].reason == "jack at RPE 11.1 among the stretches"


def test_a_class_does_not_end_with_a_jog() -> None:
    """Where it has stretches; with a scull, or without a stretch part, nothing is said."""
    one = reading(CALF, EASY, part="stretch")
    found = [f for f in stretches(one, {}) if f.fault is Fault.ENDING]
    assert [(f.phrase, f.reason) for f in found] == [(2, "the class ends with easy jog")]
    assert list(stretches(reading(CALF, block_of("scull"), part="stretch"), {})) == []
    assert list(stretches(reading(CALF, EASY, part="cool-down"), {})) == []
    assert list(stretches(reading(), {})) == []


@pytest.mark.parametrize(("counts", "short"), [(21, False), (20, True)])
def test_a_stretch_is_held_for_ten_seconds_a_side(counts: int, short: bool) -> None:
    """Half a second less is let through (garber-2011: 10 to 30 s): 21 counts are 9.8 s, 20 9.4 s.

    Blocks of one side in a row are one stretch, the other side is another, a new song too.
    """
    one = replace(CALF, counts=counts)
    found = list(stretches(reading(one, part="stretch"), {}))
    assert [(f.fault, f.phrase) for f in found] == ([(Fault.STRETCH_SHORT, 1)] if short else [])
    for f in found:
        assert (f.reason, f.source) == ("calf stretch for 9 s", "garber-2011: 10 to 30 s")
        assert f.remedy == "hold a stretch for 10 to 30 s a side"
    half = replace(CALF, counts=11)
    left = replace(half, lead="left")
    assert list(stretches(reading(half, half, part="stretch"), {})) == []
    assert [f.phrase for f in stretches(reading(half, left, part="stretch"), {})] == [1, 2]
    assert [f.phrase for f in stretches(reading(half, left, left, part="stretch"), {})] == [1]
    quad = block_of("quad-stretch", 11, "right")
    assert [f.phrase for f in stretches(reading(half, quad, part="stretch"), {})] == [1, 2]
    songs = read_songs([Song("stretch", [half]), Song("stretch", [half])], KNOWN)
    assert [f.track for f in stretches(songs, {})] == [1, 2]
