"""The rules of effort, each on both sides of where it is broken, with efforts set by hand.

A phrase is 32 counts at 128 beats/min: 15 s, a quarter of a minute. Limits are common practice
and judgement, no source: what the constants of the rules say in words.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from review_making import Song, block_of, klass, places, read_songs, with_efforts

from aquatempo.class_shape.limits import limits_of
from aquatempo.records.people import Group, Intensity
from aquatempo.records.plan import Brief, PartBrief, PartName
from aquatempo.records.review import Fault, Severity
from aquatempo.review.effort import effort, effort_curve, exertion_curve, mean_efforts
from aquatempo.review.figures import mean_rpe, phrases_of

STEADY = Brief(rpe=(12.0, 14.0))


def test_phrases_are_yielded_one_by_one() -> None:
    """Blocks of a phrase stay together; the same phrase number of the next song is another."""
    jack = block_of("jack", 16)
    reading = read_songs([Song("main", [(jack, jack), jack]), Song("main", [(jack, jack)])])
    rows = [[(s.track, s.phrase, s.block) for s in one] for one in phrases_of(reading.spots)]
    assert rows == [[(1, 1, 1), (1, 1, 2)], [(1, 2, 1)], [(2, 1, 1), (2, 1, 2)]]
    assert list(phrases_of([])) == []
    one_each = read_songs([Song("main", [jack]), Song("main", [jack])])
    assert [len(one) for one in phrases_of(one_each.spots)] == [1, 1]


def test_a_mean_effort_is_over_time_and_leaves_the_unknown_out() -> None:
    """24 counts at 16 and 8 at 12 are (24 x 16 + 8 x 12) / 32 = 15; what has no figure is not 0."""
    blocks = (block_of("jack", 24), block_of("jog", 8), block_of("twist", 32))
    reading = read_songs([Song("main", [blocks])])
    known = with_efforts(reading, {"jack": 16.0, "jog": 12.0})
    assert mean_rpe(reading.spots, known) == pytest.approx(15.0)
    assert mean_rpe(reading.spots[2:], known) is None


def test_curves_tell_each_phrase_at_its_minute() -> None:
    """Four phrases a minute at 128: minutes 0, 0.25, 0.5; MET is half the effort set here.

    The second phrase is (16 x 16 + 16 x 10) / 32 = 13; one without figures is left out.
    """
    half = (block_of("jack", 16), block_of("jog", 16))
    reading = read_songs([Song("main", [block_of("jack"), half, block_of("twist")])])
    known = with_efforts(reading, {"jack": 16.0, "jog": 10.0})
    assert exertion_curve(reading, known) == ((0.0, 16.0), (0.25, 13.0))
    assert effort_curve(reading, known) == ((0.0, 8.0), (0.25, 6.5))
    rounded = with_efforts(reading, {"jack": 10.0, "twist": 10.0 + 2.0 / 3.0})
    assert exertion_curve(reading, rounded)[-1] == (0.5, 10.67)  # two decimals
    assert effort_curve(reading, rounded)[-1] == (0.5, 5.333)  # three


def test_curves_round_their_minute_to_four_decimals() -> None:
    """A phrase at 130 lasts 32 / 130 = 0.24615 min, told as 0.2462."""
    reading, known = klass([Song("main", [12.0, 13.0], 130.0)])
    assert exertion_curve(reading, known)[1][0] == effort_curve(reading, known)[1][0] == 0.2462


def test_mean_efforts_are_told_by_song_and_by_part() -> None:
    """Each song's mean is that of its own blocks; a part's is that of its songs over time."""
    jack, jog = block_of("jack"), block_of("jog")
    songs = [Song("main", [jack, jack]), Song("main", [jog]), Song("stretch", [jog])]
    of_songs, of_parts = mean_efforts(read_songs(songs))
    alone, light = of_songs[0], of_songs[1]
    assert alone is not None
    assert light is not None
    assert alone > light
    assert of_parts["main"] == pytest.approx((2 * alone + light) / 3)
    assert of_songs[2] == of_parts["stretch"] == light


@pytest.mark.parametrize(("part", "halves", "at"), [
    ("warm-up", (13.0, 12.0), None),  # a point less is not felt
    ("warm-up", (13.1, 12.0), (1, 3, 1)),
    ("warm-up", (10.0, 13.0), None),
    ("cool-down", (12.0, 13.0), None),
    ("cool-down", (12.0, 13.1), (1, 3, 1)),
    ("cool-down", (13.0, 10.0), None),
])  # fmt: skip
def test_a_warm_up_rises_and_a_cool_down_falls(
    part: str, halves: tuple[float, float], at: tuple[int, int, int] | None
) -> None:
    """More than a point the wrong way from half to half is told where the second half begins."""
    first, second = halves
    reading, known = klass([Song(part, [first - 1, first + 1, second - 1, second + 1])])
    found = list(effort(reading, known))
    assert places(found, Fault.EFFORT) == ([] if at is None else [at])
    assert all(f"{first:.1f}" in one.reason and f"{second:.1f}" in one.reason for one in found)


def test_a_part_of_three_phrases_has_no_direction() -> None:
    """Fewer than four phrases say nothing of a direction; blocks do not count as phrases."""
    short, known = klass([Song("warm-up", [16.0, 14.0, 10.0])])
    assert places(effort(short, known), Fault.EFFORT) == []
    halves = (block_of("jack", 16), block_of("jog", 16))
    blocks = read_songs([Song("warm-up", [halves, halves])])
    known = with_efforts(blocks, {"jack": 16.0, "jog": 8.0})
    assert places(effort(blocks, known), Fault.EFFORT) == []


def test_halves_are_told_by_time_and_go_over_songs() -> None:
    """Of 1.25 min, the second half begins with the phrase whose middle lies past 0.625 min.

    Four phrases at 128 (0.25 min each) and a fifth of the next song: the middle of the third lies
    at 0.625, which is not past it, so the fourth is the first of the second half.
    """
    songs = [Song("warm-up", [14.0, 14.0, 14.0]), Song("warm-up", [12.0, 12.0])]
    reading, known = klass(songs)
    assert places(effort(reading, known), Fault.EFFORT) == [(2, 1, 1)]


def test_a_bridge_has_no_part_in_the_direction() -> None:
    """A hard break at the end of a cool-down is no rise: it stands outside the phrases."""
    reading, known = klass([Song("cool-down", [12.0, 12.0, 12.0, 12.0, 18.0], kinds={4: "break"})])
    assert places(effort(reading, known), Fault.EFFORT) == []


@pytest.mark.parametrize(("cooled", "told"), [(14.0, False), (14.1, True), (9.0, False)])
def test_a_cool_down_is_no_harder_than_the_main_part(cooled: float, told: bool) -> None:
    """Over a point above main part and intervals (12 and 14: 13) is told at its start."""
    songs = [Song("main", [12.0]), Song("intervals", [14.0]), Song("cool-down", [cooled] * 2)]
    reading, known = klass(songs)
    assert places(effort(reading, known), Fault.EFFORT) == ([(3, 1, 1)] if told else [])


@pytest.mark.parametrize(("rpe", "fault", "severity"), [
    (15.5, None, None),  # 14 was the most asked, 1.5 is let through
    (15.6, Fault.TOO_HARD, Severity.WARNING),
    (10.5, None, None),
    (10.4, Fault.TOO_EASY, Severity.ADVICE),
])  # fmt: skip
def test_a_main_part_is_as_hard_as_asked(
    rpe: float, fault: Fault | None, severity: Severity | None
) -> None:
    """12 to 14 was asked: up to 1.5 beyond passes, too hard is a warning and too easy advice."""
    reading, known = klass(
        [Song("main", [rpe] * 4)], replace(STEADY, group=Group(intensity=Intensity.HARD))
    )
    found = list(effort(reading, known))
    wanted = [] if fault is None else [(fault, severity)]
    assert [(one.fault, one.severity) for one in found] == wanted
    assert all((one.track, one.phrase) == (1, 1) and "12 to 14" in one.reason for one in found)


def test_three_phrases_or_bridges_say_nothing_of_what_was_asked() -> None:
    """A main part of three phrases, or one with a fourth that is a break, is too short to judge."""
    for rpes, kinds in (([8.0] * 3, {}), ([8.0] * 4, {3: "break"})):
        reading, known = klass([Song("main", rpes, kinds=kinds)], STEADY)
        assert places(effort(reading, known), Fault.TOO_EASY) == []
    reading, known = klass([Song("main", [8.0] * 4)], STEADY)
    assert places(effort(reading, known), Fault.TOO_EASY) == [(1, 1, 1)]


def test_a_part_may_ask_for_its_own_effort() -> None:
    """What the main part of the brief asks goes before what the class asks."""
    own = (PartBrief(PartName.MAIN, 10.0, rpe=(8.0, 10.0)),)
    for brief, told in ((STEADY, False), (replace(STEADY, parts=own), True)):
        reading, known = klass([Song("main", [13.0] * 4)], brief)
        assert bool(places(effort(reading, known), Fault.TOO_HARD)) is told


def test_the_most_of_a_class_is_told_once_a_song() -> None:
    """More than a point above the most that this class may be asked, first in each song."""
    brief = Brief(rpe=(12.0, 17.0))
    most = limits_of(brief).max_rpe
    songs = [Song("main", [12.0, most + 1.1, most + 1.1]), Song("main", [most + 1.0, most + 1.1])]
    reading, known = klass(songs, brief)
    assert places(effort(reading, known), Fault.TOO_HARD) == [(1, 2, 1), (2, 2, 1)]


@pytest.mark.parametrize(("rpes", "at"), [
    ([15.0] * 16, []),  # 240 s at 15, the most
    ([15.0] * 17, [(1, 1, 1)]),
    ([15.5] * 17, [(1, 1, 1)]),
    ([14.5, *[15.0] * 16], []),  # a run begins at its level
    ([*[15.0] * 8, 14.5, *[15.0] * 8], [(1, 1, 1)]),  # half a point less is no rest
    ([*[15.0] * 8, 14.0, *[15.0] * 8], []),  # a whole one is
    ([*[15.0] * 16, 14.1], [(1, 1, 1)]),
    ([16.0] * 8, []),  # 120 s at 16
    ([12.0, *[16.0] * 9], [(1, 2, 1)]),
    ([17.0] * 4, []),  # 60 s at 17
    ([17.0] * 5, [(1, 1, 1)]),
    ([*[17.0] * 5, 12.0, *[17.0] * 5], [(1, 1, 1), (1, 7, 1)]),
    ([*[17.0] * 20], [(1, 1, 1)]),  # too long at each level, told once
])  # fmt: skip
def test_hard_work_has_an_easier_phrase_in_time(
    rpes: list[float], at: list[tuple[int, int, int]]
) -> None:
    """At 15 for 4 min, at 16 for 2, at 17 for 1; a phrase a point easier ends it."""
    hard = Brief(group=Group(intensity=Intensity.HARD))
    reading, known = klass([Song("main", rpes)], hard)
    assert places(effort(reading, known), Fault.HARD_LONG) == at


def test_what_has_no_figure_ends_a_hard_stretch() -> None:
    """A phrase of which nothing is known counts as rest, and a run may begin right after it."""
    reading, known = klass([Song("main", [*[17.0] * 4, block_of("jog"), *[17.0] * 5])])
    known = {key: one for key, one in known.items() if key != reading.spots[4].form_key}
    assert places(effort(reading, known), Fault.HARD_LONG) == [(1, 6, 1)]


@pytest.mark.parametrize(("ended", "begins", "told"), [
    ((10.0, 10.0), (13.0, 13.0), False),  # three points are the most
    ((10.0, 10.0), (13.1, 13.1), True),
    ((10.0, 10.0), (12.0, 14.4), True),  # two phrases together: 13.2
    ((10.0, 12.0), (13.9, 13.9), False),  # from 11
    ((10.0, 12.0), (14.1, 14.1), True),
])  # fmt: skip
def test_the_main_part_begins_where_the_warm_up_ended(
    ended: tuple[float, float], begins: tuple[float, float], told: bool
) -> None:
    """The last two phrases of the warm-up against the first two of the main part: 3 at most."""
    songs = [Song("warm-up", [7.0, *ended]), Song("main", [*begins, 18.0, 18.0])]
    reading, known = klass(songs)
    assert places(effort(reading, known), Fault.LEAP) == ([(2, 1, 1)] if told else [])


def test_a_leap_is_told_from_whole_phrases() -> None:
    """An intro before the main part is passed over: the leap is told at the first phrase."""
    songs = [Song("warm-up", [9.0, 9.0]), Song("main", [8.0, 14.0, 14.0], kinds={0: "intro"})]
    reading, known = klass(songs)
    assert places(effort(reading, known), Fault.LEAP) == [(2, 2, 1)]


@pytest.mark.parametrize(("loud", "told"), [(12.0, False), (11.9, True), (14.0, False)])
def test_loud_phrases_are_no_easier_than_quiet_ones(loud: float, told: bool) -> None:
    """More than a point easier where the song is loud is advice at its first loud phrase."""
    energies = {0: "low", 1: "high", 2: "medium", 3: "high"}
    quiet = Song("main", [13.0, 13.0])
    song = Song("main", [13.0, loud, 19.0, loud], energies=energies)
    reading, known = klass([song, quiet, song])
    found = [one for one in effort(reading, known) if one.fault is Fault.LOUD]
    assert places(found, Fault.LOUD) == ([(1, 2, 1), (3, 2, 1)] if told else [])
    assert all(one.severity is Severity.ADVICE for one in found)


def test_loud_and_quiet_are_told_within_a_song_of_the_main_part() -> None:
    """A quiet song may be harder than a loud one, a warm-up does as it likes, a break too."""
    loud, quiet = {0: "high"}, {0: "low"}
    both = {0: "high", 1: "low"}
    for songs in (
        [Song("main", [9.0], energies=loud), Song("main", [13.0], energies=quiet)],
        [Song("warm-up", [9.0, 13.0], energies=both)],
        [Song("main", [9.0, 13.0], energies=both, kinds={0: "break"})],
    ):
        assert places(effort(*klass(songs)), Fault.LOUD) == []
