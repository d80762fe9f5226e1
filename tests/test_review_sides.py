"""Sides, planes and muscles over a class, and blocks as a review reads them: counted by hand.

Which muscles a move works and in which plane stands in the catalogue; limits are common practice.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from review_making import Filling, Song, block_of, read_songs

from aquatempo.moves import catalogue
from aquatempo.records.brief import SongBrief
from aquatempo.records.moves import ImpactLevel
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.plan import Block, Brief, Intervals, IntervalUnit, PartBrief, PartName
from aquatempo.records.review import Fault, Severity
from aquatempo.review.balance import balance, balance_shares
from aquatempo.review.spots import ReadPlan, Spot, finding, read

JACK, ROW, PRESS = block_of("jack"), block_of("row"), block_of("arm-press")
STEP, KICK = block_of("side-step"), block_of("front-kick", lead="right")
RIGHT, LEFT = replace(STEP, lead="right"), replace(STEP, lead="left")


def reading(*phrases: Filling, brief: Brief | None = None) -> ReadPlan:
    """Return a class of one song of the main part."""
    return read_songs([Song("main", phrases)], brief)


def told(*phrases: Filling, brief: Brief | None = None) -> list[tuple[Fault, int, int]]:
    """Return what is out of balance, and where."""
    return [(one.fault, one.phrase, one.block) for one in balance(reading(*phrases, brief=brief))]


def words(fault: Fault, *phrases: Filling, brief: Brief | None = None) -> list[tuple[str, str]]:
    """Return reason and remedy of each finding of a fault."""
    some = balance(reading(*phrases, brief=brief))
    return [(one.reason, one.remedy) for one in some if one.fault is fault]


def test_shares_are_of_the_worked_counts() -> None:
    """Right 32, left 16: two thirds and a third; 48 of 112 counts are in the frontal plane.

    Side steps work hip abductors and adductors and quadriceps, 48 counts; a row the upper back,
    shoulder extensors and elbow flexors, 64; an easy jog works nobody.
    """
    found = dict(
        balance_shares(reading(RIGHT, replace(LEFT, counts=16), ROW, ROW, block_of("easy-jog", 64)))
    )
    assert found["right"] == pytest.approx(2 / 3, abs=1e-4)
    assert found["left"] == pytest.approx(1 / 3, abs=1e-4)
    assert found["frontal"] == pytest.approx(48 / 112, abs=1e-4)
    assert found["sagittal"] == pytest.approx(64 / 112, abs=1e-4)
    assert found["quadriceps"] == pytest.approx(48 / 112, abs=1e-4)
    assert found["elbow flexors"] == pytest.approx(64 / 112, abs=1e-4)
    assert "calves" not in found


def test_shares_come_largest_first_after_the_sides() -> None:
    """Right and left, then planes, then muscles, each from the largest; none of an empty class."""
    names = [name for name, _ in balance_shares(reading(JACK, ROW, ROW))]
    assert names[:4] == ["right", "left", "sagittal", "frontal"]
    assert set(names[4:7]) == {"upper back", "shoulder extensors", "elbow flexors"}
    assert balance_shares(reading()) == (("right", 0.0), ("left", 0.0))
    assert dict(balance_shares(reading(block_of("easy-jog", 32)))) == {"right": 0.0, "left": 0.0}


def test_a_lead_has_to_be_named_where_a_move_works() -> None:
    """Of a side step, not of a jack, an easy jog, or a stretch, whose sides are told elsewhere."""
    assert (Fault.LEAD_MISSING, 2, 1) in told(JACK, STEP)
    for move in ("jack", "easy-jog", "calf-stretch"):
        assert told(block_of(move)) == []
    assert words(Fault.LEAD_MISSING, STEP) == [
        ("side step has a leading side and none is named", 'name it: lead = "right" or "left"')
    ]


@pytest.mark.parametrize(("counts", "wrong"), [
    ([32, 32, 32, 32], False), ([32, 32, 32, 32, 1], True), ([128], False), ([129], True),
])  # fmt: skip
def test_a_lead_stays_for_128_counts_at_most(counts: list[int], wrong: bool) -> None:
    """Four phrases on one lead are let through, a count more is told at the first of them."""
    row = tuple(replace(RIGHT, counts=one) for one in counts)
    found = [one for one in told(JACK, row) if one[0] is Fault.LEAD]
    assert found == ([(Fault.LEAD, 2, 1)] if wrong else [])


def test_a_swap_of_lead_begins_anew_and_what_works_alike_is_no_swap() -> None:
    """Four phrases right, one left, four right are fine; a kick between two legs parts nothing."""
    assert Fault.LEAD not in [one[0] for one in told(*[RIGHT] * 4, LEFT, *[RIGHT] * 4)]
    found = told(*[RIGHT] * 2, replace(KICK, lead="left"), *[RIGHT] * 3)
    assert (Fault.LEAD, 1, 1) in found
    text = "the right works more for 160 counts from here without a swap"
    assert words(Fault.LEAD, *[RIGHT] * 5, LEFT) == [(text, "swap the lead every phrase or set")]
    both = [one for one in told(*[RIGHT] * 5, *[LEFT] * 5) if one[0] is Fault.LEAD]
    assert both == [(Fault.LEAD, 1, 1), (Fault.LEAD, 6, 1)]


@pytest.mark.parametrize(("right", "left", "wrong"), [
    (32, 16, False), (32, 15, True), (16, 32, False), (15, 32, True), (40, 40, False),
])  # fmt: skip
def test_a_move_may_leave_a_side_behind_by_16_counts(right: int, left: int, wrong: bool) -> None:
    """By 17 it is told where the other side had it last."""
    found = told(JACK, replace(RIGHT, counts=right), replace(LEFT, counts=left), JACK)
    assert found == ([(Fault.ONE_SIDE, 2 if right > left else 3, 1)] if wrong else [])


def test_a_side_left_behind_is_named() -> None:
    """96 counts right and 32 left: the left gets 64 less, the right has it last in the fourth."""
    assert words(Fault.ONE_SIDE, RIGHT, RIGHT, LEFT, RIGHT) == [(
        "side step: the left gets 64 counts less over the class; the other side has it last here",
        "let the left do it here, or once more elsewhere",
    )]  # fmt: skip
    assert told(RIGHT, RIGHT, LEFT, RIGHT) == [(Fault.ONE_SIDE, 4, 1)]
    assert words(Fault.ONE_SIDE, LEFT, LEFT)[0][0].startswith("side step: the right gets 64")


def test_a_class_may_be_lopsided_by_a_phrase_over_all_its_moves() -> None:
    """Three moves, each 12 counts off to the right, are 36; two are 24. The last is told.

    24 counts right, 12 left of side step, shuffle and rocking horse: 72 and 36.
    """
    rows = []
    for key in ("side-step", "shuffle", "rocking-horse"):
        rows += [block_of(key, 24, "right"), block_of(key, 12, "left")]
    assert told(*rows[:4]) == []
    even = (block_of("side-step", 17, "right"), block_of("side-step", 1, "left"))
    assert told(even, (block_of("shuffle", 17, "right"), block_of("shuffle", 1, "left"))) == []
    assert told(*rows) == [(Fault.SIDES, 1, 1)]
    assert words(Fault.SIDES, *rows) == [(
        "the right works 72 counts, the left 36; side step adds most to it, here last",
        "let the left do it here, or once more elsewhere",
    )]  # fmt: skip
    other = [replace(one, lead={"right": "left"}.get(one.lead, "right")) for one in rows]
    assert words(Fault.SIDES, *other)[0][0].startswith("the left works 72 counts, the right 36")


FAR = block_of("front-kick", lead="right")


def test_a_plane_may_have_eight_tenths_of_the_work() -> None:
    """Of ten phrases eight may be sagittal, of eleven nine are 82 %; seven phrases say nothing.

    Where the plane is not sagittal a knee lift is proposed.
    """
    eight = [FAR] * 8
    assert Fault.PLANES not in [one[0] for one in told(*eight, JACK, JACK)]
    assert (Fault.PLANES, 2, 1) in told(JACK, *eight, FAR, JACK)
    assert words(Fault.PLANES, JACK, *eight, FAR, JACK) == [
        ("82 % of the work is sagittal", "give another plane its share, such as jack or side kick")
    ]
    assert told(*[FAR] * 7, replace(FAR, counts=31)) == []
    assert words(Fault.PLANES, *[JACK] * 8) == [
        ("100 % of the work is frontal",
         "give another plane its share, such as knee lift or front kick")
    ]  # fmt: skip


def test_what_is_worked_little_is_no_imbalance() -> None:
    """Three phrases of leg curl of nine are a third of the counts and told; of ten they are less.

    A jack works both muscles of its pairs.
    """
    curl = block_of("leg-curl", lead="right")
    assert words(Fault.MUSCLES, *[JACK] * 6, *[curl] * 3) != []
    assert words(Fault.MUSCLES, *[JACK] * 7, *[curl] * 3) == []


def test_the_pair_of_muscles_that_is_furthest_apart_is_told() -> None:
    """Leg curls for eight phrases work hamstrings 256 counts, quadriceps none."""
    curl = block_of("leg-curl", lead="right")
    found = words(Fault.MUSCLES, JACK, *[curl] * 8)
    assert found == [("hamstrings work 256 counts, quadriceps 0", "add moves for the quadriceps")]
    assert (Fault.MUSCLES, 2, 1) in told(JACK, *[curl] * 8)
    kick = block_of("front-kick", lead="right")
    assert words(Fault.MUSCLES, *[curl] * 6, kick, kick) == []  # 192 are three times 64
    assert words(Fault.MUSCLES, *[curl] * 7, replace(kick, counts=75)) == []  # 225
    assert words(Fault.MUSCLES, *[curl] * 7, replace(kick, counts=74)) != []  # 222 of 224
    less = words(Fault.MUSCLES, *[curl] * 7, kick, kick)
    assert less == [("hamstrings work 224 counts, quadriceps 64", "add moves for the quadriceps")]


@pytest.mark.parametrize(("banned", "allowed"), [
    (("front-kick", "jump", "tuck", "leap", "lunge", "side-step"), ()),
    ((), ("leg-curl", "jack")),
])  # fmt: skip
def test_no_muscle_is_asked_for_that_no_move_left_works(
    banned: tuple[str, ...], allowed: tuple[str, ...]
) -> None:
    """Without any base move for the quadriceps, leg curls alone are no imbalance."""
    curl = block_of("leg-curl", lead="right")
    brief = Brief(banned_moves=banned, allowed_moves=allowed)
    assert words(Fault.MUSCLES, *[curl] * 8, brief=brief) == []
    assert words(Fault.MUSCLES, *[curl] * 8, brief=Brief(banned_moves=banned[1:])) != []


def spots(*phrases: Filling) -> tuple[Spot, ...]:
    """Return the blocks of a song as they are read."""
    return reading(*phrases).spots


def test_a_block_lies_at_its_place_and_minute() -> None:
    """At 128 beats/min 32 counts are 0.25 min; a second block of 16 begins 16 counts later."""
    half = replace(JACK, counts=16)
    first, second, third = spots(JACK, (half, replace(ROW, counts=16)))
    assert (first.track, first.phrase, first.block, first.offset) == (1, 1, 1, 0)
    assert (second.phrase, second.block, second.offset) == (2, 1, 0)
    assert (third.phrase, third.block, third.offset) == (2, 2, 16)
    assert [one.minute for one in (first, second, third)] == [0.0, 0.25, 0.375]
    assert [one.minutes for one in (first, second, third)] == [0.25, 0.125, 0.125]
    assert reading(JACK, JACK).minutes == 0.5
    assert (third.name, third.move.key, third.tempo_bpm) == ("row", "row", 128.0)


@pytest.mark.parametrize(("block", "sides"), [
    (JACK, (0, 0)), (STEP, (0, 0)), (RIGHT, (32, 0)), (LEFT, (0, 32)), (KICK, (16, 16)),
    (replace(KICK, variation=(("sides", "one"),)), (32, 0)),
    (replace(KICK, counts=2), (2, 0)), (replace(KICK, counts=3), (2, 1)),
    (replace(KICK, counts=6, lead="left"), (2, 4)),
    (replace(KICK, counts=12, pattern="4"), (8, 4)),
    (replace(KICK, counts=8, pattern="2-2-4"), (6, 2)),  # lead 2, other 2, lead 4
])  # fmt: skip
def test_counts_fall_on_the_legs_movement_by_movement(
    block: Block, sides: tuple[float, float]
) -> None:
    """Legs take turns: of 6 counts in twos the lead has 4, of 12 in fours 8."""
    (spot,) = spots(block)
    assert spot.side_counts() == sides


def test_what_rests_works_or_lies_between() -> None:
    """A jog carries a bridge as well as an easy jog, and works in a phrase; a stretch neither."""
    song = Song("main", [block_of("jog", lead="right")] * 2, kinds={1: "bridge"})
    inside, bridge = read_songs([song]).spots
    assert (inside.rests, inside.between, inside.works) == (True, False, True)
    assert (bridge.rests, bridge.between, bridge.works) == (True, True, False)
    jack, easy, calf, row = spots(JACK, block_of("easy-jog"), block_of("calf-stretch"), ROW)
    assert [one.rests for one in (jack, easy, calf, row)] == [False, True, False, False]
    assert [one.works for one in (jack, easy, calf, row)] == [True, False, False, True]
    assert [one.stretches for one in (jack, easy, calf, row)] == [False, False, True, False]


def test_neighbours_and_runs_end_with_the_song() -> None:
    """Two songs of two blocks: one pair each; a run goes on while the class does the same."""
    found = read_songs([Song("main", [RIGHT, LEFT, JACK]), Song("main", [JACK, ROW])])
    pairs = [(a.track, a.phrase, b.phrase) for a, b in found.neighbours()]
    assert pairs == [(1, 1, 2), (1, 2, 3), (2, 1, 2)]
    runs = [[(one.track, one.phrase) for one in run] for run in found.runs()]
    assert runs == [[(1, 1), (1, 2)], [(1, 3)], [(2, 1)], [(2, 2)]]
    assert list(reading().runs()) == []
    part = read_songs([Song("main", [JACK]), Song("main", [JACK])])
    assert [len(run) for run in part.runs()] == [1, 1]


def test_the_clock_rules_in_intervals_of_seconds_only() -> None:
    """Not in phrases, not in other parts, not where none are asked for."""
    timed = Brief(intervals=Intervals(20, 10, 2, IntervalUnit.SECONDS))
    for brief, part, rules in (
        (timed, "intervals", True), (timed, "main", False), (Brief(), "intervals", False),
        (Brief(intervals=Intervals()), "intervals", False),
    ):  # fmt: skip
        one = read_songs([Song(part, [JACK])], brief)
        assert one.by_clock(one.spots[0]) is rules


def test_what_a_block_says_of_itself_becomes_a_factor() -> None:
    """Level, travel and pattern that the move does not have of itself are read as options."""
    said = replace(JACK, level="II", travel="forward", pattern="4")
    (spot,) = spots(said)
    assert {(factor.value, key) for factor, key in spot.form.variation.changes} == {
        ("level", "II"), ("travel", "forward"), ("tempo", "half"),
    }  # fmt: skip
    assert spot.pattern.text == "4"
    assert spots(JACK)[0].form.variation.changes == ()


@pytest.mark.parametrize(("block", "fault", "part"), [
    (replace(JACK, move="jakc"), Fault.UNKNOWN, "jakc"),
    (replace(JACK, pattern="2-x"), Fault.UNKNOWN, "2-x"),
    (replace(JACK, variation=(("tempo", "half"),), pattern="1"), Fault.CONTRADICTION,
     "but the pattern 1"),
    (replace(JACK, variation=(("level", "II"),), level="III"), Fault.CONTRADICTION,
     "but level III in its own words"),
])  # fmt: skip
def test_what_cannot_be_read_is_told_at_its_place(block: Block, fault: Fault, part: str) -> None:
    """Its track, phrase, block and minute; the blocks around it are read all the same."""
    found = reading(JACK, (replace(JACK, counts=16), replace(block, counts=16)))
    (one,) = found.broken
    assert (one.fault, one.severity) == (fault, Severity.ERROR)
    assert (one.track, one.phrase, one.block, one.minute) == (1, 2, 2, 0.375)
    assert part in one.reason
    assert len(found.spots) == 2


def test_a_track_without_tempo_takes_no_time() -> None:
    """A tempo of 0 is told elsewhere; here it divides nothing."""
    found = read_songs([Song("main", [JACK], tempo_bpm=0.0), Song("main", [JACK])])
    assert found.minutes == 0.25
    track = replace(found.plan.tracks[1], tempo_bpm=128.0, speed=0.8)
    slow = read(replace(found.plan, tracks=(track,)), catalogue())
    assert slow.minutes == pytest.approx(0.25 / 0.8)
    assert [one.minutes for one in found.spots] == [0.0, 0.25]


def test_limits_are_those_of_class_part_and_song() -> None:
    """A ceiling of the part holds in its tracks, one of a song in that song only."""
    parts = (PartBrief(PartName.MAIN, 5.0, max_level=ImpactLevel.II),)
    brief = Brief(parts=parts, songs=(SongBrief("Lane 2", max_level=ImpactLevel.GROUNDED),))
    found = read_songs([Song("main", [JACK]), Song("main", [JACK]), Song("warm-up", [JACK])], brief)
    tracks = found.plan.tracks
    assert [found.limits_at(one).max_level for one in tracks] == [
        ImpactLevel.II, ImpactLevel.GROUNDED, ImpactLevel.POWER,
    ]  # fmt: skip
    assert found.limits.max_level is ImpactLevel.POWER


def test_a_plan_is_read_with_the_catalogue_of_its_depth() -> None:
    """A deep class has the pool of a deep class, whatever kind its brief names."""
    deep = Brief(depth=ClassDepth.DEEP, pool=Pool(depth_m=2.0))
    one = read_songs([Song("main", [block_of("jack", depth=ClassDepth.DEEP)])], deep)
    assert one.pool.kind is ClassDepth.DEEP
    assert one.broken == ()
    assert read(one.plan, catalogue()).spots[0].form.level is ImpactLevel.III


def test_a_finding_stands_at_its_spot_or_at_none() -> None:
    """Place and minute of the spot; 0, 0, 0 for the whole plan."""
    _, spot = spots(JACK, ROW)
    one = finding(Fault.LEAD, Severity.WARNING, spot, "why", "do", "a source")
    assert (one.track, one.phrase, one.block, one.minute) == (1, 2, 1, 0.25)
    assert (one.reason, one.remedy, one.source) == ("why", "do", "a source")
    whole = finding(Fault.LEAD, Severity.WARNING, None, "why", "do")
    assert (whole.track, whole.phrase, whole.block) == (0, 0, 0)
