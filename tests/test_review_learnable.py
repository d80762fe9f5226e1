"""Whether a class can follow and learn: new moves, changes, ways of varying, stillness, ends.

At 128 beats/min 32 counts last 15 s. Limits are common practice and judgement, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from review_making import Filling, Song, block_of, read_songs

from aquatempo.records.brief import Experience
from aquatempo.records.plan import Block, Brief, Intervals, IntervalUnit
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.changes import arms, changes, holding
from aquatempo.review.learning import learning
from aquatempo.review.spots import ReadPlan

JACK, JOG, ROW = block_of("jack"), block_of("jog", lead="right"), block_of("row")
EASY, CALF = block_of("easy-jog"), block_of("calf-stretch", lead="right")
KNOWN = Brief(known_moves=("jack", "jog", "row", "front-kick", "leg-curl", "knee-lift", "twist"))


def varied(block: Block, *options: tuple[str, str]) -> Block:
    """Return a block with options; its own level and travel follow them."""
    level = dict(options).get("level", block.level)
    return replace(block, variation=options, level=level)


FIST = varied(JACK, ("hands", "fist"))


def reading(*phrases: Filling, brief: Brief = KNOWN, part: str = "main") -> ReadPlan:
    """Return a class of one song, read."""
    return read_songs([Song(part, phrases)], brief)


def at(found: list[Finding]) -> list[tuple[Fault, int, int]]:
    """Return what was found where."""
    return [(one.fault, one.phrase, one.block) for one in found]


def cut(block: Block, *counts: int) -> tuple[Block, ...]:
    """Return a phrase of the same block in several lengths."""
    return tuple(replace(block, counts=one) for one in counts)


NEW = Brief(known_moves=("jog",))
KICK = block_of("front-kick", lead="right")


@pytest.mark.parametrize(("phrases", "wrong"), [
    ([JACK], []),  # 16 movements of both legs in 32 counts
    ([cut(JACK, 31)], [(Fault.NEW_MOVE, 1, 1)]),
    ([cut(JACK, 24), JACK], []),  # 56 in a row
    ([replace(JACK, pattern="4")], []),  # eight movements of four counts
    ([replace(KICK, pattern="4")], [(Fault.NEW_MOVE, 1, 1)]),  # four a leg
    ([replace(KICK, pattern="4")] * 2, []),
    ([(*cut(JOG, 16), *cut(JACK, 16))], [(Fault.COUNT_ONE, 1, 2), (Fault.NEW_MOVE, 1, 2)]),
    ([(*cut(JOG, 16), *cut(JACK, 16)), JACK], [(Fault.COUNT_ONE, 1, 2)]),
    ([KICK], []),  # eight a leg
    ([EASY, CALF, ROW], []),  # what holds, stretches or works the arms alone is not taught
])  # fmt: skip
def test_a_new_move_has_a_phrase_and_eight_movements_a_side(
    phrases: list[Filling], wrong: list[tuple[Fault, int, int]]
) -> None:
    """From count 1 of a phrase; what goes on over the phrase's end counts as one."""
    assert at(list(holding(reading(*phrases, brief=NEW)))) == wrong


def test_a_new_move_that_is_short_says_how_short() -> None:
    """16 counts of jack are 8 movements, of a front kick 4 a side; 8 more counts begin off 1."""
    found = list(holding(reading(cut(JACK, 16), *[cut(JOG, 32)], brief=NEW)))
    assert [one.reason for one in found] == ["jack is new and lasts 16 counts, 8 movements"]
    kick = block_of("front-kick", 16, "right")
    late = list(holding(reading((*cut(JOG, 16), kick), brief=NEW)))
    assert [one.reason for one in late] == [
        "front kick is new to the class and starts on count 17 of a phrase",
        "front kick is new and lasts 16 counts, 4 movements on one side",
    ]
    assert late[1].remedy == "hold it for a whole phrase and 8 movements a side the first time"


@pytest.mark.parametrize(("counts", "wrong"), [(16, False), (15, True)])
def test_a_new_factor_of_a_known_move_has_16_counts(counts: int, wrong: bool) -> None:
    """And a pattern of its own is one; once it was there it may be short, a plain form may too."""
    for new in (FIST, replace(JACK, pattern="4")):
        row = (*cut(JACK, 32 - counts), *cut(new, counts))
        assert at(list(holding(reading(row)))) == ([(Fault.NEW_FACTOR, 1, 2)] if wrong else [])
    assert at(list(holding(reading(FIST, (*cut(JACK, 24), *cut(FIST, 8)))))) == []
    assert at(list(holding(reading((*cut(FIST, 28), *cut(JACK, 4)))))) == []


def test_what_is_new_is_known_after_it_was_met() -> None:
    """A jack in the first phrase is new, in the third it may be short; so may its fist."""
    assert at(list(holding(reading(JACK, JOG, cut(JACK, 8), brief=NEW)))) == []
    found = list(holding(reading(JACK, cut(FIST, 8), cut(JACK, 8), cut(FIST, 8), brief=NEW)))
    assert at(found) == [(Fault.NEW_FACTOR, 2, 1)]
    assert found[0].reason == "jack, fists is new and lasts 8 counts"
    assert found[0].remedy == "hold it for at least 16 counts the first time"


def test_what_carries_a_bridge_is_not_met_there() -> None:
    """A jog in a bridge of 8 counts teaches nothing and is no new move; in a phrase it is."""
    none = Brief()
    song = Song("main", [replace(JOG, counts=8)], kinds={0: "bridge"})
    assert list(holding(read_songs([song], none))) == []
    assert at(list(holding(read_songs([Song("main", [replace(JOG, counts=8)])], none)))) == [
        (Fault.NEW_MOVE, 1, 1)
    ]


def changed(*phrases: Filling, brief: Brief = KNOWN, part: str = "main") -> list[Finding]:
    """Return what is wrong with the changes of a song, but for their costs."""
    some = changes(reading(*phrases, brief=brief, part=part))
    return [one for one in some if one.fault is not Fault.TRANSITION]


@pytest.mark.parametrize(("first", "told"), [(8, False), (16, False), (12, True), (9, True)])
def test_a_change_comes_on_count_one_of_an_eight(first: int, told: bool) -> None:
    """After 8 or 16 counts it does; after 12 it is on count 5, after 9 on count 2."""
    row = (*cut(JOG, first), *cut(JACK, 32 - first))
    found = changed(row)
    assert at(found) == ([(Fault.COUNT_ONE, 1, 2)] if told else [])
    if told:
        assert found[0].reason == f"jack starts on count {first % 8 + 1} of an eight"
        assert found[0].remedy == "start a change on count 1"


def test_what_may_begin_off_the_eight() -> None:
    """The last steps of a pyramid, fewer than eight counts; turns by the clock; what is new."""
    off = (*cut(JOG, 12), *cut(JACK, 20))
    assert at(changed((*cut(JOG, 28), *cut(JACK, 4)))) == []
    assert at(changed((*cut(JOG, 20), *cut(JACK, 8), *cut(JOG, 4)))) == [(Fault.COUNT_ONE, 1, 2)]
    timed = replace(KNOWN, intervals=Intervals(20, 10, 2, IntervalUnit.SECONDS))
    assert at(changed(off, brief=timed, part="intervals")) == []
    assert at(changed(off, brief=NEW)) == []  # told as a new move
    assert at(changed((*cut(JOG, 12), *cut(replace(JOG, lead="left"), 20)))) == []
    assert at(changed((*cut(CALF, 12), *cut(JACK, 20)))) == []
    assert at(changed((*cut(JACK, 12), *cut(CALF, 20)))) == []


@pytest.mark.parametrize(("options", "named"), [
    ((("hands", "fist"), ("range", "small")), "hands, range"),
    ((("hands", "fist"),), ""),
    ((("level", "II"), ("hands", "fist")), "hands, level"),
    ((("range", "small"), ("hands", "fist"), ("level", "II")), "hands, level, range"),
])  # fmt: skip
def test_one_factor_changes_at_a_time(options: tuple[tuple[str, str], ...], named: str) -> None:
    """Of the same move; the factors are named in the order of the alphabet, there and back."""
    more = varied(JACK, *options)
    for rows in ((JACK, more), (more, JACK)):
        found = changed(*rows)
        assert at(found) == ([(Fault.FACTORS, 2, 1)] if named else [])
        for one in found:
            assert one.reason.endswith(f" changes {named}")
            assert one.remedy == "change one factor at a time, the others a half phrase later"
    assert changed(JOG, more) == []
    if named:  # what comes after a stretch, or goes on, is looked at all the same
        assert at(changed(CALF, JACK, JACK, more)) == [(Fault.FACTORS, 4, 1)]


def test_a_pattern_without_its_option_counts_as_tempo() -> None:
    """Fists and a pattern of four at once are two factors; the pattern alone is one."""
    both = replace(FIST, pattern="2-2-4")
    (found,) = changed(JACK, both)
    assert found.reason.endswith("changes hands, tempo")
    assert changed(FIST, both) == []
    assert changed(JACK, replace(JACK, pattern="4")) == []
    assert at(changed(both, JACK)) == [(Fault.FACTORS, 2, 1)]


def test_a_change_that_costs_more_than_a_movement_is_told() -> None:
    """Two counts for a regular group, four for a trained one; four into and out of a hold.

    Told is the worst of its reasons and what helps.
    """
    every = ("jack", "twist", "tuck", "frog", "leap", "lunge", "back-kick")
    regular = replace(KNOWN, experience=Experience.REGULAR)
    trained = replace(KNOWN, experience=Experience.TRAINED)
    told: dict[str, set[int]] = {"regular": set(), "trained": set(), "hold": set()}
    for first in every:
        for second in every:
            if first == second:
                continue
            rows = [block_of(first, lead="right"), block_of(second, lead="right")]
            for name, brief, middle in (
                ("regular", regular, ()), ("trained", trained, ()), ("hold", regular, (EASY,)),
            ):  # fmt: skip
                some = changes(reading(rows[0], *middle, rows[1], brief=brief))
                for one in some:
                    assert one.fault is Fault.TRANSITION
                    assert " costs " in one.reason
                    assert one.remedy.startswith("put a move between that both meet in the centre")
                    told[name].add(int(one.reason.split(" costs ")[1].split()[0]))
    assert min(told["regular"]) > 2
    assert not told["trained"] or min(told["trained"]) > 4
    assert not told["hold"] or min(told["hold"]) > 4
    assert told["regular"]


def test_arms_stay_in_or_out_of_the_water_for_a_phrase() -> None:
    """Arms that reach up in mid-phrase are told once, at the first change, with both places.

    From one phrase to the next they may change.
    """
    out = varied(JACK, ("arms", "reach"))
    assert not reading(out).spots[0].form.arms_in_water
    row = (*cut(JACK, 8), *cut(out, 8), *cut(JACK, 16))
    found = list(arms(reading(JACK, row, out, JACK)))
    assert at(found) == [(Fault.ARMS, 2, 2)]
    assert found[0].reason == "the arms go from in the water to out of it within a phrase"
    back = list(arms(reading((*cut(out, 16), *cut(JACK, 16)), row)))
    assert at(back) == [(Fault.ARMS, 1, 2), (Fault.ARMS, 2, 2)]
    assert back[0].reason == "the arms go from out of it to in the water within a phrase"


BASES = [
    block_of(key, lead="right")
    for key in (
        *("jog", "knee-lift", "leg-curl", "front-kick", "side-kick", "cross-country-ski", "jack"),
        *("mogul", "twist", "tuck", "frog", "star", "leap", "lunge", "pendulum", "walk"),
    )
]


@pytest.mark.parametrize(("experience", "most", "severity"), [
    (Experience.FIRST_WEEK, 4, Severity.WARNING),
    (Experience.BEGINNERS, 5, Severity.WARNING),
    (Experience.REGULAR, 8, Severity.ADVICE),
    (Experience.TRAINED, 10, Severity.ADVICE),
])  # fmt: skip
def test_a_group_learns_so_many_base_moves_and_two_more(
    experience: Experience, most: int, severity: Severity
) -> None:
    """4, 5, 8 or 10 in 45 minutes and two more; the next is told once. Known ones do not count."""
    brief = Brief(experience=experience)
    told = [
        one
        for one in learning(reading(*BASES[: most + 2], BASES[0], EASY, ROW, brief=brief))
        if "base move" in one.reason
    ]
    assert told == []
    one, *more = [
        one
        for one in learning(reading(*BASES[: most + 3], *BASES, brief=brief))
        if "base move" in one.reason
    ]
    assert more == []
    assert (one.severity, one.phrase) == (severity, most + 3)
    assert one.reason.endswith(
        f" is base move {most + 3} of the class, for a group that is {experience.value}"
    )
    assert one.remedy == f"keep to {most} or so, and vary them"
    known = replace(brief, known_moves=(BASES[2].move,))
    again = [*BASES[:2], BASES[0], BASES[2], *BASES[3 : most + 3]]
    some = list(learning(reading(*again, BASES[most + 3], brief=known)))
    assert [f.phrase for f in some if "base move" in f.reason] == [most + 5]
    assert not any("base move" in f.reason for f in learning(reading(*BASES[: most + 3],
                                                                     brief=known)))  # fmt: skip


WAYS = [("hands", "fist"), ("hands", "open"), ("range", "small"), ("arms", "press"),
        ("arms", "fly"), ("arms", "reach"), ("turn", "half"), ("hands", "slice")]  # fmt: skip


def test_a_song_teaches_so_many_ways_and_one_more() -> None:
    """Three for a regular group, four are let through, the fifth is told once; the next begins.

    What the group knows does not count, nor does what the song before has taught.
    """
    brief = replace(KNOWN, experience=Experience.REGULAR)
    rows = [varied(JACK, way) for way in WAYS]

    def told(*songs: list[Block], brief: Brief = brief) -> list[tuple[int, int]]:
        some = learning(read_songs([Song("main", song) for song in songs], brief))
        return [(one.track, one.phrase) for one in some if "new ways" in one.reason]

    assert told(rows[:4]) == []
    assert told(rows[:5]) == [(1, 5)]
    assert told(rows[:7]) == [(1, 5)]
    assert told(rows[:4], rows[:4]) == []
    assert told(rows[:4], rows[4:8]) == []
    assert told(rows[:4], rows[:8]) == []
    known = replace(brief, known_forms=(("jog", "hands", "fist"),))
    assert told(rows[:5], brief=known) == []
    first = next(iter(learning(reading(*rows[:5], brief=brief))))
    assert first.reason == "5 new ways of varying in one song by here"
    assert first.remedy == "teach 3 or so in a song, and use them in the next"
    levels = [varied(JACK, ("level", level)) for level in ("II", "III", "grounded", "power")]
    assert told([*rows[:4], *levels]) == []  # a level is not learned


def test_a_song_has_so_many_sets_and_two_more() -> None:
    """Five for a regular group, seven are let through, the eighth is told once."""
    brief = replace(KNOWN, experience=Experience.REGULAR, known_moves=tuple(b.move for b in BASES))
    for size, told in ((7, []), (8, [8]), (11, [8])):
        some = list(learning(reading(*BASES[:size], *BASES[:3], brief=brief)))
        assert [one.phrase for one in some if "different sets" in one.reason] == told
        for one in some:
            assert one.reason == "8 different sets in one song by here"
            assert one.remedy == "keep to 5 or so, and let them come back"


def test_variations_that_come_once_are_told_from_six_on() -> None:
    """More than half of at least six; what comes again, or goes on with more, is not alone.

    Ways that the group knows are no new ways.
    """
    known = tuple(("jack", *way) for way in WAYS)
    brief = replace(KNOWN, known_forms=known, experience=Experience.TRAINED)
    rows = [varied(JACK, way) for way in WAYS]

    def told(*phrases: Filling) -> list[tuple[int, str]]:
        some = learning(reading(*phrases, brief=brief))
        return [(one.phrase, one.reason) for one in some if one.fault is Fault.ONCE]

    once = "{} of {} variations come in one phrase only, this one first"
    assert told(*rows[:5]) == []
    assert told(*rows[:6]) == [(1, once.format(6, 6))]
    assert told(*rows[:6], *rows[:2]) == [(3, once.format(4, 6))]
    assert told(*rows[:6], *rows[:3]) == []  # three of six are half
    assert told(*rows[:6], JACK) == [(1, once.format(6, 6))]
    twice = tuple(replace(rows[0], counts=16, lead=lead) for lead in ("right", "left"))
    assert told(twice, *rows[1:6]) == [(1, once.format(6, 6))]  # one phrase
    other = [varied(JOG, WAYS[0], WAYS[2]), *rows[:6]]
    assert told(*other) == [(1, once.format(7, 7))]  # another move goes on in nothing
    layer = varied(JACK, WAYS[0], WAYS[2])
    assert told(*rows[:6], layer) == [(2, once.format(5, 7))]  # fist and small go on in it
