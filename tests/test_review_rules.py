"""Rules of the review, on both sides of where each is broken.

Limits are common practice without a source unless a test names one.
"""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import pytest
from plan_making import heard, make_plan

from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.plan import Block, Brief, ClassPlan, PartBrief, PartName, PlannedTrack
from aquatempo.records.plan import PlannedPhrase as Phrase
from aquatempo.records.review import CallLoad, Fault, Finding, Severity
from aquatempo.records.rhythm import PhraseKind
from aquatempo.review.plan_review import review_plan

JACK = Block(32, "jack")
MAIN = PartBrief(PartName.MAIN, 3.0, (100.0, 150.0))
BRIEF = Brief(minutes=3.0, parts=(MAIN,), known_moves=("jack", "jog", "front-kick", "twist"))


def plan_of(*fillings: tuple[Block, ...], brief: Brief = BRIEF, tempo: float = 128.0) -> ClassPlan:
    """Return a class of one main track whose phrases hold the given blocks."""
    analysis = heard([("phrase", 32)] * len(fillings), tempo)
    phrases = tuple(
        Phrase(p.start_beat, p.counts, p.kind, p.energy_level, blocks)
        for p, blocks in zip(analysis.phrases, fillings, strict=True)
    )
    track = PlannedTrack("Lane 1", "lane-1.ogg", "main", tempo, phrases, analysis=analysis)
    return ClassPlan(brief, (track,))


def found(plan: ClassPlan, fault: Fault) -> list[Finding]:
    """Return the findings of one fault."""
    return [one for one in review_plan(plan).findings if one.fault is fault]


def test_a_phrase_of_32_at_130_lasts_14_77_seconds() -> None:
    """The clock of a class is arithmetic: 32 x 60 / 130 = 14.77 s."""
    assert review_plan(plan_of((JACK,), tempo=130.0)).minutes * 60 == pytest.approx(14.77, abs=0.01)


def test_a_new_factor_needs_half_a_phrase() -> None:
    """The first eight of a new factor is too short, two eights are enough."""
    varied = (("hands", "fist"),)
    short = plan_of((replace(JACK, counts=24), Block(8, "jack", varied)))
    enough = plan_of((replace(JACK, counts=16), Block(16, "jack", varied)))
    assert [(one.phrase, one.block) for one in found(short, Fault.NEW_FACTOR)] == [(1, 2)]
    assert found(enough, Fault.NEW_FACTOR) == []


def test_a_known_factor_may_come_back_briefly() -> None:
    """Once a factor has been learnt, an eight of it is no fault."""
    varied = (("hands", "fist"),)
    plan = plan_of(
        (Block(32, "jack", varied),), (replace(JACK, counts=24), Block(8, "jack", varied))
    )
    assert found(plan, Fault.NEW_FACTOR) == []


def test_a_new_move_in_half_water_tempo_needs_two_phrases() -> None:
    """Eight movements a side take 64 counts at 4 counts a movement and alternating sides."""
    brief = replace(BRIEF, known_moves=())
    slow = Block(32, "front-kick", pattern="4", lead="right")
    assert len(found(plan_of((slow,), brief=brief), Fault.NEW_MOVE)) == 1
    assert found(plan_of((slow,), (slow,), brief=brief), Fault.NEW_MOVE) == []


def test_a_one_sided_move_needs_both_sides_to_be_learnt() -> None:
    """A phrase of side step on one lead is half a lesson; 16 counts each way are a whole one."""
    right, left = (Block(16, "side-step", lead=side, level="grounded", travel="sideways")
                   for side in ("right", "left"))  # fmt: skip
    whole = replace(right, counts=32)
    assert len(found(plan_of((whole,)), Fault.NEW_MOVE)) == 1
    assert found(plan_of((right, left)), Fault.NEW_MOVE) == []


def test_one_factor_at_a_time() -> None:
    """Two factors at once on the same move are a fault, one is not, nor are two on a new move."""
    two = (("hands", "fist"), ("range", "small"))
    assert len(found(plan_of((JACK,), (Block(32, "jack", two),)), Fault.FACTORS)) == 1
    assert found(plan_of((JACK,), (Block(32, "jack", two[:1]),)), Fault.FACTORS) == []
    jog = Block(32, "jog", lead="right")
    assert found(plan_of((jog,), (Block(32, "jack", two),)), Fault.FACTORS) == []


def test_the_last_steps_of_a_pyramid_may_change_off_the_eight() -> None:
    """Steps of four and two counts a side start where they must."""
    sides = [Block(n, "jog", lead=side) for n in (8, 4, 2, 2) for side in ("right", "left")]
    assert found(plan_of(tuple(sides)), Fault.COUNT_ONE) == []


def test_a_pattern_said_without_a_factor_counts_as_tempo() -> None:
    """A hand-written pattern is judged as the tempo option that it is: unfit for twist."""
    twist = Block(32, "twist", pattern="1", lead="right")
    assert [one.fault for one in found(plan_of((twist,)), Fault.UNFIT)] == [Fault.UNFIT]


def test_below_half_of_the_range_is_an_error_and_short_of_the_floor_a_warning() -> None:
    """Half a range is another move; between half and the floor a person may decide."""
    kick = Block(32, "front-kick", pattern="1", lead="right")  # 0.51 at 120 in land tempo
    weights = {
        tempo: found(plan_of((kick,), tempo=tempo), Fault.RANGE)[0].severity
        for tempo in (105.0, 150.0)
    }
    assert weights == {105.0: Severity.WARNING, 150.0: Severity.ERROR}


@pytest.mark.parametrize(("speed", "reason", "severity"), [
    (1.04, "", None),
    (1.041, "fits the part", Severity.ADVICE),
    (0.93, "", Severity.WARNING),
    (1.08, "fits the part", Severity.ADVICE),
    (1.081, "fits the part", Severity.ERROR),
])  # fmt: skip
def test_speed_passes_is_heard_or_is_refused(
    speed: float, reason: str, severity: Severity | None
) -> None:
    """Up to 4 % passes, to 8 % needs a reason and is heard, beyond it is refused."""
    plan = plan_of((JACK,))
    track = replace(plan.tracks[0], speed=speed, speed_reason=reason)
    some = found(replace(plan, tracks=(track,)), Fault.SPEED)
    assert [one.severity for one in some] == ([] if severity is None else [severity])


def test_heat_is_unsafe_above_34_degrees_and_not_at_34() -> None:
    """No aerobic work above 34 C (common practice); 34 C itself is let through."""
    warm, hot = (replace(BRIEF, pool=Pool(temperature_c=t)) for t in (34.0, 34.5))
    assert found(plan_of((JACK,), brief=warm), Fault.HEAT) == []
    assert not review_plan(plan_of((JACK,), brief=hot)).fit_to_teach


def test_the_instructor_need_not_jump_for_the_class_to_jump() -> None:
    """Jumps shown with the arms only do not count against the limit on deck."""
    brief = replace(BRIEF, jump_minutes=0.1, known_moves=("jump",))
    jump = Block(32, "jump")
    assert len(found(plan_of((jump,), brief=brief), Fault.JUMPS)) == 1
    shown = replace(jump, show="arms only")
    review = review_plan(plan_of((shown,), brief=brief))
    assert review.jump_minutes == 0.0
    assert all(one.fault is not Fault.JUMPS for one in review.findings)


def test_one_plane_for_a_whole_class_is_told() -> None:
    """Eight phrases in the sagittal plane alone bring one piece of advice, mixed ones none."""
    jog, kick = Block(32, "jog", lead="right"), Block(32, "front-kick", lead="left")
    assert len(found(plan_of(*[(jog,), (kick,)] * 4), Fault.PLANES)) == 1
    assert found(plan_of(*[(jog,), (JACK,)] * 4), Fault.PLANES) == []


def test_muscles_without_their_opposite_are_told() -> None:
    """A class of rows and presses alone names the elbow flexors it leaves no opposite for."""
    row = Block(32, "row", level="grounded")
    some = found(plan_of(*[(row,)] * 8), Fault.MUSCLES)
    assert len(some) == 1
    assert "0" in some[0].reason


def test_one_side_may_work_for_four_phrases_but_not_five() -> None:
    """Five phrases of one side in a row are told at the first; where legs alternate, never."""
    kick = Block(32, "side-kick", (("sides", "one"),), lead="left")
    assert found(plan_of(*[(kick,)] * 4), Fault.LEAD) == []
    assert [one.phrase for one in found(plan_of(*[(kick,)] * 5), Fault.LEAD)] == [1]
    jog = Block(32, "jog", lead="left")
    assert found(plan_of(*[(jog,)] * 9), Fault.LEAD) == []


def test_a_bridge_is_carried_by_what_holds() -> None:
    """Easy jog and jog carry a break, a jack does not."""
    plan = plan_of((JACK,), (JACK,))
    for move, faults in (("easy-jog", 0), ("jog", 0), ("jack", 1)):
        level = "grounded" if move == "easy-jog" else "I"
        block = Block(32, move, level=level, lead="" if move == "jack" else "right")
        phrase = replace(plan.tracks[0].phrases[1], kind=PhraseKind.BREAK, blocks=(block,))
        track = replace(plan.tracks[0], phrases=(plan.tracks[0].phrases[0], phrase))
        assert len(found(replace(plan, tracks=(track,)), Fault.BRIDGE)) == faults, move


@pytest.mark.parametrize(("note", "move", "told"), [
    ("one bad knee", "twist", True),
    ("BACK pain", "back-kick", True),
    ("two new shoulders", "jog", False),
    ("one is pregnant", "jump", True),
    ("they like waltzes", "twist", False),
])  # fmt: skip
def test_notes_of_the_group_meet_the_cautions_of_moves(note: str, move: str, told: bool) -> None:
    """A note brings a prompt where a move carries such a caution; it defers to others."""
    brief = replace(BRIEF, group_notes=(note,), group=Group(age_years=(30.0, 60.0)))
    some = found(plan_of((Block(32, move, lead="right"),), brief=brief), Fault.PEOPLE)
    assert bool(some) is told
    for one in some:
        assert one.severity is not Severity.ADVICE
        assert "health professional" in one.remedy


def test_health_notes_are_repeated_as_prompts() -> None:
    """Conditions that bear on any class are prompted, with what to mind about heat."""
    brief = replace(BRIEF, group_notes=("one with multiple sclerosis", "two with diabetes"))
    prompts = review_plan(plan_of((JACK,), brief=brief)).prompts
    assert any(one.startswith("one with multiple sclerosis: mind the heat") for one in prompts)
    assert any(one.startswith("two with diabetes: ") for one in prompts)


def test_floor_moves_name_their_deep_equivalent() -> None:
    """In deep water a pendulum is an error whose remedy is the move that stands in for it."""
    deep = Pool(depth_m=2.0, kind=ClassDepth.DEEP)
    brief = replace(BRIEF, depth=ClassDepth.DEEP, pool=deep)
    some = found(
        plan_of((Block(32, "pendulum", lead="right", level="III"),), brief=brief), Fault.DEPTH
    )
    assert some[0].severity is Severity.ERROR
    assert some[0].remedy == "take side kick instead"


def test_travelling_needs_room() -> None:
    """A move that goes somewhere is an error where people stand closer than it needs."""
    forward = Block(32, "jog", (("travel", "forward"),), lead="right", travel="forward")
    tight, wide = (replace(BRIEF, pool=Pool(space_m2=space)) for space in (1.5, 2.5))
    assert [one.severity for one in found(plan_of((forward,), brief=tight), Fault.SPACE)] == [
        Severity.ERROR
    ]
    assert found(plan_of((forward,), brief=wide), Fault.SPACE) == []


@pytest.mark.parametrize(
    ("block", "told"),
    [
        (Block(32, "jog", (("travel", "forward"),), lead="right", travel="forward"), True),
        (Block(32, "jog", (("travel", "sideways"),), lead="right", travel="sideways"), True),
        (Block(32, "jog", lead="right"), False),
        (Block(16, "side-step", lead="right", travel="sideways"), False),
    ],
)
def test_unknown_room_is_told_where_people_are_sent_away(block: Block, told: bool) -> None:
    """A step to the side that a move has of itself needs no room named; going somewhere does."""
    blocks = (block, replace(block, lead="left")) if block.counts == 16 else (block,)
    brief = replace(BRIEF, pool=Pool())
    assert bool(found(plan_of(blocks, brief=brief), Fault.SPACE_UNKNOWN)) is told


def test_a_usual_tempo_range_only_advises() -> None:
    """Where the brief gives no range of its own, a tempo outside the usual one is advice."""
    brief = replace(BRIEF, parts=(replace(MAIN, tempo_bpm=None),))
    assert [
        one.severity for one in found(plan_of((JACK,), brief=brief, tempo=160.0), Fault.TEMPO)
    ] == [Severity.ADVICE]


def test_calls_over_budget_and_calls_without_room_are_told() -> None:
    """What is spoken comes in from outside; thick phrases and missing calls are placed."""
    loads = (CallLoad(1, 1, 24, 24), CallLoad(1, 2, 31, 24, ("no count is left to call jack",)))
    review = review_plan(plan_of((JACK,), (JACK,)), calls=loads)
    told = [(one.fault, one.phrase, one.severity) for one in review.findings]
    assert (Fault.CALLS, 2, Severity.WARNING) in told
    assert (Fault.CALL_MISSING, 2, Severity.WARNING) in told
    assert not any(phrase == 1 for fault, phrase, _ in told if fault is Fault.CALLS)


def test_a_few_words_too_many_are_told_once() -> None:
    """Up to a quarter over the budget is one piece of advice, at the thickest phrase."""
    loads = (CallLoad(1, 1, 25, 24), CallLoad(1, 2, 30, 24), CallLoad(1, 3, 26, 24))
    review = review_plan(plan_of((JACK,), (JACK,), (JACK,)), calls=loads)
    told = [one for one in review.findings if one.fault is Fault.CALLS]
    assert [(one.phrase, one.severity) for one in told] == [(2, Severity.ADVICE)]
    assert "in 2 more" in told[0].reason


def test_a_call_that_a_break_swallows_is_advice() -> None:
    """After a break the sign can be shown in it, so a missing call is told once, as advice."""
    late = ("no count is left to call jack",)
    loads = tuple(CallLoad(1, phrase, 0, 24, late, after_break=True) for phrase in (1, 2))
    told = [
        one
        for one in review_plan(plan_of((JACK,), (JACK,)), calls=loads).findings
        if one.fault is Fault.CALL_MISSING
    ]
    assert [(one.phrase, one.severity) for one in told] == [(1, Severity.ADVICE)]
    assert "in the break" in told[0].remedy


def test_findings_come_worst_first_and_carry_their_minute() -> None:
    """Errors lead; each finding says when in the class it happens."""
    plan = plan_of((JACK,), (replace(JACK, move="jakc"),), (replace(JACK, counts=31),))
    review = review_plan(plan)
    weights = [list(Severity).index(one.severity) for one in review.findings]
    assert weights == sorted(weights)
    assert not review.fit_to_teach
    misspelt = next(one for one in review.findings if one.fault is Fault.UNKNOWN)
    assert misspelt.minute == pytest.approx(32 / 128.0, abs=1e-3)
    assert "jack" in misspelt.reason


def test_sides_are_counted_step_by_step() -> None:
    """An uneven pattern gives the leading leg 3 of 8 counts, in blocks of any length."""
    review = review_plan(plan_of((Block(32, "jog", pattern="1-1-2-4", lead="right"),)))
    assert dict(review.balance)["right"] == pytest.approx(3 / 8)


def test_parts_lie_on_the_clock_without_gaps() -> None:
    """The parts of a review follow one another from 0 to the end of the class."""
    review = review_plan(make_plan(2))
    assert [name for name, _, _ in review.parts] == ["warm-up", "main", "cool-down", "stretch"]
    assert review.parts[0][1] == 0.0
    assert review.parts[-1][2] == pytest.approx(review.minutes, abs=1e-2)
    for (_, _, end), (_, start, _) in zip(review.parts, review.parts[1:], strict=False):
        assert start == pytest.approx(end, abs=1e-3)


def test_mutator_and_checker_share_no_code_with_review() -> None:
    """Neither the mutator nor the checker imports the planner or the review."""
    for name in ("plan_mutations.py", "plan_checker.py", "plan_making.py"):
        tree = ast.parse((Path(__file__).parent / name).read_text(encoding="utf-8"))
        modules = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
        assert not any("planning" in module or "workflow" in module for module in modules), name
