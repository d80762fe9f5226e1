"""How long a move, a plane, a muscle, big jumps, turns and the class go on, at both sides.

At 128 beats/min 32 counts last 15 s. Limits are common practice and judgement, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from review_making import Filling, Song, block_of, klass, read_songs, with_efforts

from aquatempo.records.brief import HouseRules
from aquatempo.records.people import Group, Intensity
from aquatempo.records.plan import Block, Brief, Intervals, IntervalUnit, Stint
from aquatempo.records.review import Fault, Severity
from aquatempo.review.agreed import agreed
from aquatempo.review.intervals import intervals
from aquatempo.review.jumping import high_hops, jump_minutes, jumps
from aquatempo.review.loads import loads
from aquatempo.review.time import class_length

JACK, JOG, JUMP = block_of("jack"), block_of("jog"), block_of("jump")
EASY = block_of("easy-jog")


def loaded(*phrases: Filling, part: str = "main") -> list[tuple[Fault, int]]:
    """Return each fault of going on too long in one song, with its phrase."""
    reading = read_songs([Song(part, phrases)])
    known = with_efforts(reading, {"jack": 12.0, "jog": 12.0}, {"jack": ("shoulder",)})
    return [(one.fault, one.phrase) for one in loads(reading, known)]


def test_one_muscle_plane_and_move_have_their_most() -> None:
    """At 15 s a phrase: a muscle 108 s (7), a plane 180 s (12), a move 180 s (12 phrases)."""
    assert loaded(*[JACK] * 7) == []
    assert loaded(*[JACK] * 8) == [(Fault.ONE_MUSCLE, 1)]
    assert (Fault.ONE_PLANE, 1) not in loaded(*[JACK] * 12)
    found = loaded(JOG, *[JACK] * 13)
    assert sorted(found) == sorted(
        [(Fault.ONE_MOVE, 2), (Fault.ONE_PLANE, 2), (Fault.ONE_MUSCLE, 2)]
    )
    assert sorted(loaded(*[JOG] * 13)) == sorted([(Fault.ONE_MOVE, 1), (Fault.ONE_PLANE, 1)])


def test_another_move_or_a_holding_one_ends_what_goes_on() -> None:
    """Seven phrases, a change, and seven more are within every limit; a stretch part is free."""
    assert loaded(*[JACK] * 7, JOG, *[JACK] * 7) == []
    assert loaded(*[JACK] * 7, EASY, *[JACK] * 7) == []
    assert loaded(*[JACK] * 13, part="stretch") == []
    assert loaded(*[JACK] * 8, JOG, *[JACK] * 8) == [(Fault.ONE_MUSCLE, 1), (Fault.ONE_MUSCLE, 10)]


REGULAR = Brief(group=Group(intensity=Intensity.HARD), jump_minutes=5.0)


def jumped(
    *phrases: Filling, brief: Brief = REGULAR, before: bool = True, part: str = "main"
) -> list[tuple[Fault, int, int]]:
    """Return each fault of jumping in a song that comes after one of the main part."""
    songs = [Song("main", [JACK])] if before else []
    found = jumps(read_songs([*songs, Song(part, phrases)], brief))
    return [(one.fault, one.track, one.phrase) for one in found]


def test_big_jumps_come_after_the_first_song_of_the_main_part() -> None:
    """In the first song of the main part, the warm-up or the cool-down they are too early."""
    assert jumped(JUMP) == []
    assert jumped(JACK, JUMP, JUMP, before=False) == [(Fault.JUMP_EARLY, 1, 2)]
    assert jumped(JUMP, part="cool-down") == [(Fault.JUMP_EARLY, 2, 1)]
    assert jumped(JUMP, part="warm-up", before=False) == [(Fault.JUMP_EARLY, 1, 1)]


def test_two_phrases_of_jumps_in_a_row_and_no_more() -> None:
    """64 counts are let through, 72 are not; a phrase of something else parts them."""
    assert jumped(JUMP, JUMP) == []
    assert jumped(JACK, JUMP, JUMP, replace(JUMP, counts=8)) == [(Fault.JUMP_LONG, 2, 2)]
    assert jumped(JUMP, JUMP, JACK, JUMP, JUMP) == []
    assert jumped(*[JUMP] * 3, JACK, *[JUMP] * 3) == [
        (Fault.JUMP_LONG, 2, 1), (Fault.JUMP_LONG, 2, 5),
    ]  # fmt: skip


def test_jumps_on_deck_pass_their_limit_where_they_pass_it() -> None:
    """A limit of half a minute holds two phrases shown in full; arms only are not shown."""
    brief = replace(REGULAR, jump_minutes=0.5)
    arms = replace(JUMP, show="arms only")
    rows = [JUMP, JACK, JUMP, JACK]
    assert Fault.JUMPS not in [fault for fault, _, _ in jumped(*rows, brief=brief)]
    assert (Fault.JUMPS, 2, 5) in jumped(*rows, JUMP, JACK, JUMP, brief=brief)
    shown = read_songs([Song("main", [JUMP, arms, JACK])])
    assert jump_minutes(shown) == pytest.approx(0.25)
    assert [spot.phrase for spot in high_hops(shown)] == [1, 2]


def test_a_group_jumps_as_long_as_it_should_and_a_phrase_more() -> None:
    """Half a minute is the most, a phrase of slack: the fourth quarter of a minute is told."""
    brief = replace(REGULAR, jump_minutes=0.5)
    arms = replace(JUMP, show="arms only")
    assert jumped(arms, JACK, arms, JACK, arms, brief=brief) == []
    rows = [arms, JACK, arms, JACK, arms, JACK, arms, JACK, arms]
    assert jumped(*rows, brief=brief) == [(Fault.JUMP_MANY, 2, 7)]


@pytest.mark.parametrize(("minutes", "fault", "at"), [
    (1.0, None, 0),  # two minutes last a minute more: let through
    (0.9, Fault.OVER_TIME, 4),  # 0.75 to 1 min is the phrase in which 0.9 is passed
    (2.2, None, 0),  # 1.98 is the least
    (2.25, Fault.UNDER_TIME, 0),
])  # fmt: skip
def test_a_class_fits_its_minutes(minutes: float, fault: Fault | None, at: int) -> None:
    """Eight phrases are 2 min: a minute more than asked at most, a tenth less at most."""
    reading = read_songs([Song("main", [JACK] * 8)], Brief(minutes=minutes))
    found = [(one.fault, one.phrase) for one in class_length(reading)]
    assert found == ([] if fault is None else [(fault, at)])


def turn(block: Block, works: bool, number: int, counts: int = 32) -> Block:
    """Return a block as a turn of a set of two."""
    return replace(block, counts=counts, stint=Stint(works, number, 2, 15.0))


def turned(*blocks: Block, unit: str = "seconds", rest: float = 8.0) -> list[tuple[Fault, int]]:
    """Return what is wrong with two sets of 16 s work at RPE 15, 8 s rest at ``rest``; 120 bpm."""
    work, easy = (16.0, 8.0) if unit == "seconds" else (1.0, 1.0)
    brief = Brief(intervals=Intervals(work, easy, 2, IntervalUnit(unit)))
    reading = read_songs([Song("intervals", blocks, 120.0)], brief)
    known = with_efforts(reading, {"jack": 15.0, "easy-jog": rest})
    return [(one.fault, one.phrase) for one in intervals(reading, known)]


def sets(work: int = 32, rest: int = 16) -> list[Block]:
    """Return two sets of work and rest of so many counts."""
    return [
        turn(JACK, True, 1, work), turn(EASY, False, 1, rest),
        turn(JACK, True, 2, work), turn(EASY, False, 2, rest),
    ]  # fmt: skip


def test_turns_last_as_asked_to_two_seconds() -> None:
    """32 counts at 120 are 16 s: 36 are 18 s and pass, 37 do not; a turn may be two blocks."""
    assert turned(*sets()) == []
    assert turned(*sets(work=36)) == turned(*sets(work=28)) == []
    assert turned(*sets(work=37)) == [(Fault.INTERVAL, 1), (Fault.INTERVAL, 3)]
    assert turned(*sets(rest=11)) == [(Fault.INTERVAL, 2), (Fault.INTERVAL, 4)]
    halves = [turn(JACK, True, 1, 16), turn(JACK, True, 1, 16), *sets()[1:]]
    assert turned(*halves) == []
    assert turned(*halves, unit="phrases") == [(Fault.INTERVAL, 1)]
    assert turned(*sets(), unit="phrases") == []


def test_all_sets_come_and_are_marked() -> None:
    """One set of two is told at the first block, as is a part without any mark."""
    assert turned(*sets()[:2]) == [(Fault.INTERVAL, 1)]
    assert turned(JACK, EASY) == [(Fault.INTERVAL, 1)]


def test_rest_is_two_points_easier_than_work() -> None:
    """13 against 15 is rest, 13.1 is work in another name: told at each rest."""
    assert turned(*sets(), rest=13.0) == []
    assert turned(*sets(), rest=13.1) == [(Fault.INTERVAL_EFFORT, 2), (Fault.INTERVAL_EFFORT, 4)]


@pytest.mark.parametrize(("minutes", "told"), [(2.5, False), (2.51, True)])
def test_a_warm_up_lasts_as_the_rules_ask(minutes: float, told: bool) -> None:
    """Two minutes may be half a minute less than the rules ask, for a cool-down as well."""
    rules = HouseRules(warm_up_minutes=minutes, cool_down_minutes=minutes)
    songs = [Song("warm-up", [JACK] * 8), Song("main", [JACK]), Song("cool-down", [JACK] * 8)]
    found = list(agreed(read_songs(songs, Brief(rules=rules))))
    assert [one.track for one in found] == ([1, 3] if told else [])
    assert list(agreed(read_songs(songs[1:2], Brief(rules=rules)))) == []


@pytest.mark.parametrize(("ago", "told"), [(3, True), (4, False)])
def test_songs_are_approved_and_rest_their_weeks(ago: int, told: bool) -> None:
    """Used three weeks ago with three between is too soon, four is not; file or title approve."""
    rules = HouseRules(songs=("Lane 1", "lane-2.ogg"), songs_after=3)
    songs = [Song("main", [JACK])] * 3
    brief = Brief(rules=rules, songs_used=(("lane-1.ogg", ago),))
    found = list(agreed(read_songs(songs, brief)))
    assert [one.track for one in found] == ([1, 3] if told else [3])
    assert all(one.fault is Fault.RULES and one.severity is Severity.WARNING for one in found)
    assert list(agreed(read_songs(songs, Brief()))) == []


def test_efforts_by_hand_are_what_the_tests_say() -> None:
    """The helper gives each effort a move of its own, so that figures cannot mix."""
    reading, known = klass([Song("main", [10.0, 11.0, 10.0])])
    assert [known[spot.form_key].rpe for spot in reading.spots] == [10.0, 11.0, 10.0]
