"""Whether a plan holds together: counts, phrases, beats, parts, and what a block names.

Limits are common practice and judgement, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from plan_making import heard
from review_making import Song, block_of, read_songs

from aquatempo.moves import catalogue
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.plan import (
    Block,
    Brief,
    ClassPlan,
    Intervals,
    IntervalUnit,
    PlannedPhrase,
    PlannedTrack,
)
from aquatempo.records.review import Fault, Severity
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.review.structure import allowed, bridges, parts, phrases

JACK, JOG = block_of("jack"), block_of("jog", lead="right")


def track(
    *blocks: tuple[Block, ...],
    starts: Sequence[int] = (),
    hears: Sequence[int] = (),
    part: str = "main",
    counts: int = 32,
) -> PlannedTrack:
    """Return a track of phrases of 32 counts; hears: counts of the phrases heard in it."""
    told = tuple(
        PlannedPhrase(at, counts, PhraseKind.PHRASE, EnergyLevel.MEDIUM, row)
        for at, row in zip(starts or range(0, 32 * len(blocks), 32), blocks, strict=True)
    )
    analysis = heard([("phrase", one) for one in hears], 128.0) if hears else None
    return PlannedTrack("Lane", "lane.ogg", part, 128.0, told, analysis=analysis)


def structural(*tracks: PlannedTrack) -> list[tuple[Fault, int, int, str]]:
    """Return what is wrong with phrases, where and why."""
    plan = ClassPlan(Brief(), tracks)
    assert all(one.block == 0 for one in phrases(plan))  # they are of the phrase
    return [(one.fault, one.track, one.phrase, one.reason) for one in phrases(plan)]


def test_blocks_fill_their_phrase() -> None:
    """31 and 33 counts do not fill 32, nor does a block of none; what was not read is left out."""
    for row, total in (((31,), 31), ((33,), 33), ((32, 0), 32), ((33, -1), 32)):
        one = track((JACK,), tuple(replace(JACK, counts=n) for n in row))
        words = f"its blocks take {total} counts, the phrase has 32"
        assert structural(one) == [(Fault.COUNTS, 1, 2, words)]
        plan = ClassPlan(Brief(), (one,))
        assert list(phrases(plan, {(1, 2)})) == []
        assert len(list(phrases(plan, {(2, 2)}))) == 1
    assert structural(track((JACK,), (replace(JACK, counts=31), replace(JACK, counts=1)))) == []


def test_phrases_follow_one_another() -> None:
    """After beat 32 comes beat 33: not 31, not 41. The second and the third are told."""
    assert structural(track((JACK,), (JACK,), (JACK,), starts=(0, 30, 70))) == [
        (Fault.PHRASES, 1, 2, "overlaps the phrase ahead: it starts on beat 31, not 33"),
        (Fault.PHRASES, 1, 3, "leaves a gap: it starts on beat 71, not 63"),
    ]
    assert structural(track((JACK,), (JACK,), starts=(8, 40))) == []


def test_phrases_lie_where_the_track_has_them() -> None:
    """Within its beats, from where one was heard, as long as that; the last may end early."""
    assert structural(track((JACK,), (JACK,), hears=(32, 32))) == []
    assert structural(track((JACK,), (JACK,), hears=(32, 31))) == [
        (Fault.BEATS, 1, 2, "ends on beat 64, the track has 63")
    ]
    assert structural(track((JACK,), (JACK,), hears=(32, 40))) == []  # faded out
    assert structural(track((JACK,), (JACK,), hears=(40, 32))) == [
        (Fault.PLACE, 1, 1, "32 counts from beat 1: it is cut otherwise in the track"),
        (Fault.PLACE, 1, 2, "32 counts from beat 33: no phrase starts there in the track"),
    ]
    silent = replace(track((JACK,), (JACK,), hears=(40, 32)), file="")
    assert structural(silent) == []  # counted by the clock
    assert structural(track((JACK,), hears=(24, 16))) == [
        (Fault.PLACE, 1, 1, "32 counts from beat 1: it is cut otherwise in the track")
    ]


def ordered(*names: str) -> list[tuple[int, str]]:
    """Return what is wrong with the order of parts: track and reason."""
    plan = ClassPlan(Brief(), tuple(track((JACK,), part=name) for name in names))
    assert all((one.phrase, one.block) == (0, 0) for one in parts(plan))
    return [(one.track, one.reason) for one in parts(plan)]


def test_parts_come_in_their_order() -> None:
    """Warm-up, main part, cool-down, stretch; main part and intervals in either order."""
    assert ordered("warm-up", "main", "main", "cool-down", "stretch") == []
    assert ordered("warm-up", "intervals", "main", "intervals", "cool-down") == []
    assert ordered("main", "warm-up", "cool-down") == [(2, "warm-up comes after main")]
    assert ordered("warm-up", "main", "stretch", "cool-down") == [
        (4, "cool-down comes after stretch")
    ]
    assert ordered("warm-up", "main", "cool-down", "main") == [(4, "main comes after cool-down")]


def test_work_is_warmed_up_for_and_cooled_down_from() -> None:
    """A class with work needs both; a stretch alone needs neither."""
    assert ordered("main") == [
        (0, "there is work but no warm-up"), (0, "there is work but no cool-down"),
    ]  # fmt: skip
    assert ordered("warm-up", "intervals") == [(0, "there is work but no cool-down")]
    assert ordered("stretch") == ordered("warm-up", "stretch") == []


def let(block: Block, brief: Brief) -> list[tuple[Fault, str, str]]:
    """Return what a block is not allowed for: fault, reason, remedy."""
    found = list(allowed(read_songs([Song("main", [block])], brief)))
    assert all(one.severity is Severity.ERROR for one in found)
    return [(one.fault, one.reason, one.remedy) for one in found]


DEEP = Brief(depth=ClassDepth.DEEP, pool=Pool(depth_m=2.0, kind=ClassDepth.DEEP))


def test_moves_are_those_that_the_brief_lets_through() -> None:
    """Banned by name, or not among the allowed; what holds and stretches is always allowed."""
    assert let(JACK, Brief(banned_moves=("jack",))) == [
        (Fault.NOT_ALLOWED, "the brief bans jack", "take another move")
    ]
    few = Brief(allowed_moves=("jog",))
    reason = "jack is not among the moves that the brief allows"
    assert let(JACK, few) == [(Fault.NOT_ALLOWED, reason, "take one of them, or add it there")]
    for free in (JOG, block_of("easy-jog"), block_of("calf-stretch")):
        assert let(free, few) == let(free, Brief()) == []
    assert let(block_of("easy-jog"), Brief(banned_moves=("easy-jog",))) != []


def test_a_combination_brings_its_partner() -> None:
    """A jack with jog in it is a jog too where jogs are banned."""
    both = replace(JACK, variation=(("combination", "with-jog"),))
    found = let(both, Brief(banned_moves=("jog",)))
    assert (Fault.NOT_ALLOWED, "the brief bans jog", "take another move") in found
    assert let(both, Brief(banned_moves=("leap",))) == []


@pytest.mark.parametrize(("move", "brief", "told"), [
    ("pendulum", DEEP, ("pendulum needs the floor", "take side kick instead")),
    ("back-kick", DEEP, ("back kick needs the floor", "take another move")),
    ("bicycle", Brief(), ("bicycle needs deep water and a belt", "take another move")),
])  # fmt: skip
def test_moves_are_of_the_depth(move: str, brief: Brief, told: tuple[str, str]) -> None:
    """What needs the floor names its counterpart in deep water, where it has one."""
    level = "III" if brief is DEEP else "I"
    block = replace(JOG, move=move, level=level, pattern=catalogue().moves[move].pattern)
    assert (Fault.DEPTH, *told) in let(block, brief)


def test_a_level_is_one_that_the_move_is_taught_at() -> None:
    """A walk is grounded or at level II, never a jump at level I."""
    walk = replace(block_of("walk", lead="right"), level="I")
    assert let(walk, Brief()) == [
        (Fault.LEVEL, "walk is not taught at level I", "its levels are grounded, II")
    ]
    assert let(replace(walk, level="II"), Brief()) == []


def test_an_option_fits_the_move() -> None:
    """Quick and recover does not fit a jog, fists do; told is why, and what lists the others."""
    quick = replace(JOG, variation=(("tempo", "quick-recover"),), pattern="1-1+2h")
    found = let(quick, Brief())
    assert [(fault, remedy) for fault, _, remedy in found] == [
        (Fault.UNFIT, "take an option that `aquatempo vary` lists")
    ]
    assert "quick and recover does not fit jog" in found[0][1]
    fist = replace(JOG, variation=(("hands", "fist"), ("tempo", "quick-recover")), pattern="1-1+2h")
    assert len(let(fist, Brief())) == 1


@pytest.mark.parametrize(("move", "kind", "told"), [
    ("jack", "bridge", True), ("jack", "break", True), ("jack", "intro", False),
    ("jog", "bridge", False), ("easy-jog", "break", False), ("calf-stretch", "bridge", False),
])  # fmt: skip
def test_what_lies_between_is_carried_by_what_holds(move: str, kind: str, told: bool) -> None:
    """A holding move, a jog or a stretch carries bridges and breaks; other kinds ask nothing."""
    block = block_of(move, 8, "right")
    found = list(bridges(read_songs([Song("main", [JACK, block], kinds={1: kind})])))
    assert [one.phrase for one in found] == ([2] if told else [])
    for one in found:
        assert one.reason == f"a {kind} of 8 counts is carried by {move}"
    timed = Brief(intervals=Intervals(20, 10, 2, IntervalUnit.SECONDS))
    clock = read_songs([Song("intervals", [JACK, block], kinds={1: kind})], timed)
    assert list(bridges(clock)) == []
