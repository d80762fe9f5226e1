"""Whether a class keeps its times, tempos and rules, and how findings are told.

At 128 beats/min 32 counts last 15 s. Limits are common practice and judgement, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from review_making import Filling, Song, block_of, read_songs, with_efforts

from aquatempo.records.brief import HouseRules
from aquatempo.records.moves import ImpactLevel
from aquatempo.records.people import ClassDepth, Group, Intensity, Pool
from aquatempo.records.plan import (
    Block,
    Brief,
    PartBrief,
    PartName,
)
from aquatempo.records.review import CallLoad, Fault, Finding, Severity
from aquatempo.records.verdict import ImpactBand
from aquatempo.review.jumping import jumps
from aquatempo.review.permits import permits, space_known
from aquatempo.review.plan_review import review_plan
from aquatempo.review.time import class_length, songs

JACK, JOG, JUMP = block_of("jack"), block_of("jog", lead="right"), block_of("jump")


DEEP = Brief(depth=ClassDepth.DEEP, pool=Pool(depth_m=2.0, kind=ClassDepth.DEEP))


def test_a_class_over_or_under_its_time_says_by_how_much() -> None:
    """Eight phrases are 2.0 min: 1.1 more than 0.9, and too few of 2.5."""
    reading = read_songs([Song("main", [JACK] * 8)], Brief(minutes=0.9))
    (over,) = class_length(reading)
    assert over.reason == "the class takes 2.0 minutes, 1.1 more than 0.9"
    assert (over.fault, over.severity, over.phrase) == (Fault.OVER_TIME, Severity.WARNING, 4)
    (at,) = class_length(read_songs([Song("main", [JACK] * 8)], Brief(minutes=0.5)))
    assert at.phrase == 3  # the second ends at half a minute, the third passes it
    assert list(class_length(read_songs([Song("main", [JACK] * 9)], Brief(minutes=2.5)))) == []
    (under,) = class_length(read_songs([Song("main", [JACK] * 8)], Brief(minutes=2.5)))
    assert under.reason == "the class takes 2.0 of 2.5 minutes"


OWN = Brief(parts=(PartBrief(PartName.MAIN, 2.0, (120.0, 130.0)),))


def played(*tempos: float, brief: Brief = OWN, part: str = "main") -> list[Finding]:
    """Return what is wrong with the tempos of some tracks."""
    return list(songs(read_songs([Song(part, [JACK], tempo) for tempo in tempos], brief)))


@pytest.mark.parametrize(("tempo", "told"), [
    (120.0, False), (130.0, False), (119.5, False), (130.5, False), (119.4, True), (130.6, True),
])  # fmt: skip
def test_a_tempo_lies_in_its_range_to_half_a_beat(tempo: float, told: bool) -> None:
    """A range of the brief's own warns; a part that it does not have says nothing."""
    found = played(tempo)
    assert [(one.fault, one.severity, one.track) for one in found] == (
        [(Fault.TEMPO, Severity.WARNING, 1)] if told else []
    )
    for one in found:
        assert one.reason == f"track 1 is played at {tempo:.0f} bpm, main is 120 to 130"
    assert played(tempo, part="warm-up") == []


def test_usual_ranges_are_told_once_for_all_tracks() -> None:
    """The cool-down is usually at 50 to 100: two tracks of three in one piece of advice."""
    brief = Brief(parts=(PartBrief(PartName.COOL_DOWN, 2.0),))
    (found,) = played(90.0, 110.0, 120.0, brief=brief, part="cool-down")
    assert (found.severity, found.track) == (Severity.ADVICE, 2)
    words = "track {} is played at {} bpm, cool-down is usually 50 to 100"
    assert found.reason == f"{words.format(2, 110)}; {words.format(3, 120)}"
    assert len(played(110.0, 125.0, 140.0)) == 2
    reading = read_songs([Song("main", [JACK], 125.0)], OWN)
    fast = replace(reading.plan.tracks[0], speed=1.05)  # 131 of 130
    (found, _) = songs(replace(reading, plan=replace(reading.plan, tracks=(fast,))))
    assert found.reason == "track 1 is played at 131 bpm, main is 120 to 130"


@pytest.mark.parametrize(("speed", "why", "severity", "words"), [
    (1.04, "", None, ""), (0.96, "", None, ""),
    (1.05, "", Severity.WARNING, "played +5.0 %, which is heard (no reason is given)"),
    (0.95, "too fast", Severity.ADVICE, "played -5.0 %, which is heard (too fast)"),
    (1.08, "", Severity.WARNING, "played +8.0 %, which is heard (no reason is given)"),
    (0.91, "too fast", Severity.ERROR, "played -9.0 %: more than 8 % spoils a song"),
])  # fmt: skip
def test_a_song_is_played_at_nearly_its_speed(
    speed: float, why: str, severity: Severity | None, words: str
) -> None:
    """4 % pass, up to 8 % is heard and needs a reason, more is wrong; faster and slower alike."""
    reading = read_songs([Song("cool-down", [JACK], 128.0)])
    plan = replace(
        reading.plan, tracks=(replace(reading.plan.tracks[0], speed=speed, speed_reason=why),)
    )
    found = [one for one in songs(replace(reading, plan=plan)) if one.fault is Fault.SPEED]
    assert [(one.severity, one.reason) for one in found] == (
        [(severity, words)] if severity else []
    )
    assert all((one.track, one.phrase, one.block) == (1, 0, 0) for one in found)


def jumped(*songs_of: Sequence[Filling], brief: Brief) -> list[tuple[Fault, int, str]]:
    """Return fault, track and reason of what is wrong with the jumps of some main songs."""
    found = jumps(read_songs([Song("main", song) for song in songs_of], brief))
    return [(one.fault, one.phrase, one.reason) for one in found]


HARD = Brief(group=Group(intensity=Intensity.HARD), jump_minutes=0.5)


def test_jumps_say_where_and_how_many() -> None:
    """Early ones their part, many their minutes, long ones their counts, shown ones the limit."""
    assert jumped([JACK, JUMP], brief=HARD) == [
        (Fault.JUMP_EARLY, 2, "jump in the first song of the main part")
    ]
    row = [JUMP, JUMP, JACK, JUMP, JUMP]
    assert jumped([JACK], row, brief=HARD) == [
        (Fault.JUMPS, 4, "1.0 minutes of jumps, the limit on deck is 0.5; it is passed here"),
        (Fault.JUMP_MANY, 5, "the group jumps for 1.0 minutes: 0.5 are enough for it; that is"
         " passed here"),
    ]  # fmt: skip
    long = replace(JUMP, counts=40, show="arms only")
    assert jumped([JACK], [long, replace(long, counts=25)], brief=HARD) == [
        (Fault.JUMP_LONG, 1, "65 counts of big jumps in a row")
    ]
    warm = jumps(read_songs([Song("warm-up", [JUMP]), Song("main", [JACK])], HARD))
    assert [one.reason for one in warm] == ["jump in the warm-up"]
    turns = [Song("intervals", [JUMP]), Song("main", [JACK])]
    assert list(jumps(read_songs(turns, HARD))) == []


def test_a_group_that_should_not_jump_has_no_slack() -> None:
    """Easy effort has no minute of jumps: told at the first; in deep water nothing jumps."""
    easy = replace(HARD, group=Group(intensity=Intensity.EASY))
    arms = replace(JUMP, show="arms only")
    reason = "the group jumps for 0.2 minutes: this group should have none; that is passed here"
    assert jumped([JACK], [arms], brief=easy) == [(Fault.JUMP_MANY, 1, reason)]
    tuck = block_of("tuck", depth=ClassDepth.DEEP)
    assert jumped([tuck], brief=replace(DEEP, jump_minutes=0.0)) == []


def permitted(brief: Brief, *blocks: Block, impact: ImpactBand = ImpactBand.LOW) -> list[Finding]:
    """Return what a brief leaves out of a class whose forms all have one impact."""
    reading = read_songs([Song("main", blocks)], brief)
    known = with_efforts(reading, {block.move: 10.0 for block in blocks})
    return list(permits(reading, {key: replace(f, impact=impact) for key, f in known.items()}))


def test_what_is_left_out_is_told_once_a_track_with_its_source() -> None:
    """A level above the ceiling, three times: the first, and two more; from the brief itself."""
    brief = Brief(max_level=ImpactLevel.II)
    (one,) = permitted(brief, JACK, JACK, JACK)
    assert (one.fault, one.severity, one.phrase) == (Fault.CEILING, Severity.ERROR, 1)
    assert one.reason == "jack is above max_level II (level: I); so it is in 2 more here"
    assert one.source == "the brief"
    part = Brief(parts=(PartBrief(PartName.MAIN, 2.0, max_level=ImpactLevel.II),))
    (one,) = permitted(part, JACK)
    assert one.reason == "jack is above max_level II (level: I)"
    assert one.source == "the brief, for the part or song"
    found = permitted(Brief(group_notes=("they are in their first week",)), JACK)
    assert [one.source for one in found if one.fault is Fault.CEILING] == [
        "notes: they are in their first week"
    ]


def test_impact_above_its_ceiling_is_told() -> None:
    """Medium impact where the brief has low as its most."""
    brief = Brief(max_impact=ImpactBand.LOW)
    (one,) = permitted(brief, JACK, impact=ImpactBand.MEDIUM)
    assert one.reason == "jack is above max_impact low (impact: more)"
    assert one.source == "the brief"
    assert permitted(brief, JACK) == []


def test_bans_are_told_by_who_bans() -> None:
    """The brief's own are errors, a health note is one, another note a warning, a rule an error."""
    twist = block_of("twist", lead="right")
    (ban,) = permitted(Brief(banned=("twists",)), twist)
    assert (ban.fault, ban.severity, ban.source) == (
        Fault.NOT_ALLOWED, Severity.ERROR, "the brief",
    )  # fmt: skip
    assert ban.reason == "twist: no twisting, as the brief says (banned)"
    for note, severity in (("osteoporosis", Severity.ERROR), ("back", Severity.WARNING)):
        found = permitted(Brief(group_notes=(f"one with {note}",)), twist)
        assert [(one.fault, one.severity) for one in found] == [(Fault.PEOPLE, severity)]
        assert found[0].reason.startswith("twist: no ")
        assert f"({note}: " in found[0].reason
    (rule,) = permitted(Brief(rules=HouseRules(title="Lindenbad", banned=("twists",))), twist)
    assert (rule.fault, rule.severity, rule.source) == (
        Fault.RULES, Severity.ERROR, "the rules of Lindenbad",
    )  # fmt: skip
    levels = HouseRules(levels=(ImpactLevel.II,))
    (rule,) = permitted(Brief(rules=levels), JACK)
    assert rule.reason == "jack: level I is not among the allowed"
    assert rule.source == "the rules of the coordinator"


@pytest.mark.parametrize(("travels", "words"), [
    ([0], None),
    ([1], "jog, travel forward travels"),
    ([0, 1, 1, 1], "jog, travel forward and 2 more blocks travel"),
    ([0, 1, 1], "jog, travel forward and 1 more blocks travel"),
])  # fmt: skip
def test_unknown_room_is_told_at_the_first_that_travels(
    travels: list[int], words: str | None
) -> None:
    """With how many more; a pool with its room says nothing."""
    away = replace(JOG, variation=(("travel", "forward"),), travel="forward")
    rows = [away if one else JOG for one in travels]
    found = list(space_known(read_songs([Song("main", rows)], Brief(pool=Pool()))))
    assert [one.reason.partition(";")[0] for one in found] == ([words] if words else [])
    assert list(space_known(read_songs([Song("main", rows)], Brief(pool=Pool(space_m2=4.0))))) == []


def test_a_step_of_the_moves_own_is_not_sent_away() -> None:
    """A side step travels sideways of itself; a jog that is told to stay in place goes nowhere."""
    step = block_of("side-step", lead="right")
    stay = replace(step, variation=(("travel", "in-place"),), travel="in place")
    for block in (step, stay):
        assert list(space_known(read_songs([Song("main", [block])], Brief(pool=Pool())))) == []


def reviewed(calls: Sequence[CallLoad]) -> list[Finding]:
    """Return the findings about calls of a class of four phrases."""
    plan = read_songs([Song("main", [JACK] * 4)]).plan
    told = review_plan(plan, calls=calls).findings
    return [one for one in told if one.fault in (Fault.CALLS, Fault.CALL_MISSING)]


def test_words_beyond_a_quarter_more_than_the_budget_warn_each() -> None:
    """Of 20 words 25 are a quarter more: advice, told once at the thickest; 26 warn."""
    found = reviewed([CallLoad(1, 1, 21, 20), CallLoad(1, 2, 25, 20), CallLoad(1, 3, 20, 20)])
    assert [(one.phrase, one.severity, one.reason) for one in found] == [
        (2, Severity.ADVICE, "25 words are called in it, more than 20; so it is in 1 more")
    ]
    thick = reviewed([CallLoad(1, 2, 26, 20), CallLoad(1, 4, 30, 20)])
    assert [(one.phrase, one.severity, one.minute) for one in thick] == [
        (2, Severity.WARNING, 0.25), (4, Severity.WARNING, 0.75),
    ]  # fmt: skip
    assert thick[0].reason == "26 words are called in it, more than 20"
    assert all(one.block == 0 for one in (*found, *thick))
    (mild,) = reviewed([CallLoad(1, 1, 21, 20)])
    assert mild.reason == "21 words are called in it, more than 20"
    (worst,) = reviewed([CallLoad(1, 1, 42, 40), CallLoad(1, 3, 24, 20)])
    assert worst.phrase == 3


def test_calls_that_have_no_room_say_which() -> None:
    """Each where the music plays on; in breaks once, with how many more."""
    lost = ("no count for jack", "none for jog")
    plain = reviewed([CallLoad(1, 2, 5, 20, lost), CallLoad(1, 3, 5, 20, lost)])
    assert [(one.phrase, one.reason) for one in plain] == [
        (2, "no count for jack; none for jog"), (3, "no count for jack; none for jog"),
    ]  # fmt: skip
    quiet = reviewed([CallLoad(1, n, 5, 20, lost[:1], after_break=True) for n in (2, 3, 4)])
    assert [(one.phrase, one.reason) for one in quiet] == [
        (2, "no count for jack; so it is in 2 more")
    ]


def test_a_review_tells_its_parts_on_the_clock() -> None:
    """Two songs of the main part are one part; minutes add up song by song."""
    some = [Song("warm-up", [JOG] * 2), Song("main", [JACK]), Song("main", [JOG]),
            Song("cool-down", [JACK])]  # fmt: skip
    found = review_plan(read_songs(some).plan)
    assert found.parts == (("warm-up", 0.0, 0.5), ("main", 0.5, 1.0), ("cool-down", 1.0, 1.25))
    assert found.minutes == 1.25
    odd = review_plan(read_songs([Song("main", [JACK, replace(JUMP, counts=11)])]).plan)
    assert odd.jump_minutes == 0.086  # 11/128 min
    third = read_songs([Song("main", [replace(JACK, counts=n) for n in (11, 5)])]).plan
    later = review_plan(third, calls=[CallLoad(1, 2, 40, 20)]).findings
    assert [one.minute for one in later if one.fault is Fault.CALLS] == [0.086]
    order = [(list(Severity).index(one.severity), one.track, one.phrase, one.block)
             for one in found.findings]  # fmt: skip
    assert order == sorted(order)
