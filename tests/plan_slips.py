"""Slips that instructors make in a plan by hand, one at a time; shares no code with review.

They go on from ``plan_mutations``: the plans are those of ``plan_making`` with an even seed
(warm-up, two main tracks, cool-down, stretch; shallow), and all is told in the same places.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

from plan_mutations import (
    STRETCH,
    WHOLE,
    Broken,
    _block,
    _change,
    _put,
    _rebrief,
    _retrack,
    _somewhere,
)

from aquatempo.moves import catalogue, resolve
from aquatempo.records.moves import Factor, Variation
from aquatempo.records.plan import Block, ClassPlan, Intervals, IntervalUnit, Stint
from aquatempo.records.review import Fault
from aquatempo.records.rhythm import EnergyLevel
from aquatempo.records.verdict import ImpactBand

__all__ = ["SLIPS"]

FIRST, SECOND = 2, 3  # the tracks of the main part


def _form(plan: ClassPlan, move: str, counts: int, *changes: tuple[str, str]) -> Block:
    """Return a block of a form with the pattern, level and travel that it has."""
    entry = catalogue().moves[move]
    told = tuple((Factor(factor), option) for factor, option in changes)
    form = resolve(entry, Variation(move, told), plan.brief.depth)
    assert form.pattern is not None
    lead = "right" if entry.sided else ""
    travel, level = str(form.travel), str(form.level)
    return Block(counts, move, changes, form.pattern.text, lead, level, travel)


def _all(plan: ClassPlan, track: int, *blocks: Block) -> ClassPlan:
    """Return a plan in whose track the whole phrases are some blocks in turn."""
    for place, phrase in enumerate(WHOLE):
        plan = _put(plan, track, phrase, blocks[place % len(blocks)])
    return plan


def jump_in_the_warm_up(plan: ClassPlan, draw: random.Random) -> Broken:
    wrong = _put(_rebrief(plan, jump_minutes=6.0), 1, 4, _block(plan, "jump", 32))
    return Broken(wrong, Fault.JUMP_EARLY, 1, 4, 1)


def jump_right_after_it(plan: ClassPlan, draw: random.Random) -> Broken:
    phrase = draw.choice(WHOLE)
    wrong = _put(_rebrief(plan, jump_minutes=6.0), FIRST, phrase, _block(plan, "tuck", 32))
    return Broken(wrong, Fault.JUMP_EARLY, FIRST, phrase, 1)


def jumps_without_an_end(plan: ClassPlan, draw: random.Random) -> Broken:
    plan = _rebrief(plan, jump_minutes=6.0)
    for phrase in (2, 3, 4):
        plan = _put(plan, SECOND, phrase, _block(plan, "jump", 32))
    return Broken(plan, Fault.JUMP_LONG, SECOND, 2, 1)


def jumps_for_beginners(plan: ClassPlan, draw: random.Random) -> Broken:
    phrase = draw.choice(WHOLE)
    plan = _rebrief(plan, jump_minutes=6.0, group_notes=("first week",))
    wrong = _put(plan, SECOND, phrase, _block(plan, "frog", 32))
    return Broken(wrong, Fault.JUMP_MANY, SECOND, phrase, 1)


def impact_above_the_brief(plan: ClassPlan, draw: random.Random) -> Broken:
    phrase = draw.choice(WHOLE)
    wrong = _put(plan, SECOND, phrase, _form(plan, "jump", 32, ("level", "power")))
    return Broken(_rebrief(wrong, max_impact=ImpactBand.MEDIUM), Fault.CEILING, SECOND, phrase, 1)


def twist_that_was_ruled_out(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = _put(plan, track, phrase, _block(plan, "twist", 32))
    return Broken(_rebrief(wrong, banned=("twisting",)), Fault.NOT_ALLOWED, track, phrase, 1)


def overhead_arms_ruled_out(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = _put(plan, track, phrase, _form(plan, "jack", 32, ("arms", "reach")))
    return Broken(_rebrief(wrong, banned=("overhead arms",)), Fault.NOT_ALLOWED, track, phrase, 1)


def stretch_in_the_middle(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = _put(plan, track, phrase, _block(plan, "calf-stretch", 32))
    return Broken(wrong, Fault.STILL, track, phrase, 1)


def held_in_the_middle(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = _put(plan, track, phrase, _form(plan, "knee-lift", 32, ("tempo", "hold")))
    return Broken(wrong, Fault.STILL, track, phrase, 1)


def work_among_the_stretches(plan: ClassPlan, draw: random.Random) -> Broken:
    phrase = draw.choice((4, 7, 9))
    wrong = _put(plan, STRETCH, phrase, _form(plan, "jack", 32, ("tempo", "land")))
    return Broken(wrong, Fault.HARD_STRETCH, STRETCH, phrase, 1)


def stretch_in_passing(plan: ClassPlan, draw: random.Random) -> Broken:
    phrase = draw.choice((4, 7, 9))
    short = [_block(plan, move, 8) for move in ("chest-stretch", "shoulder-stretch")]
    wrong = _put(plan, STRETCH, phrase, *short, *short)
    return Broken(wrong, Fault.STRETCH_SHORT, STRETCH, phrase, 1)


def jog_to_the_end(plan: ClassPlan, draw: random.Random) -> Broken:
    last = len(plan.tracks[STRETCH - 1].phrases)
    counts = plan.tracks[STRETCH - 1].phrases[-1].counts
    wrong = _put(plan, STRETCH, last, _block(plan, "easy-jog", counts))
    return Broken(wrong, Fault.ENDING, STRETCH, last, 1)


def jog_between_stretches(plan: ClassPlan, draw: random.Random) -> Broken:
    phrase = draw.choice((3, 5, 8))
    wrong = _put(plan, STRETCH, phrase, _block(plan, "easy-jog", 32))
    return Broken(wrong, Fault.FILLER, STRETCH, phrase, 1)


def nothing_but_jogging(plan: ClassPlan, draw: random.Random) -> Broken:
    track = draw.choice((FIRST, SECOND))
    wrong = _all(plan, track, _block(plan, "easy-jog", 32))
    return Broken(wrong, Fault.FILLER, track, 2, 1)


def one_move_for_two_songs(plan: ClassPlan, draw: random.Random) -> Broken:
    for track in (FIRST, SECOND):
        plan = _all(plan, track, _block(plan, "jack", 32))
        plan = _put(plan, track, 1, _block(plan, "jack", 8))
        plan = _put(plan, track, 6, _block(plan, "jack", 8))
        plan = _put(plan, track, 11, _block(plan, "jack", 8))
    plan = _put(plan, 1, 11, _block(plan, "easy-jog", 8))
    return Broken(plan, Fault.ONE_MOVE, FIRST, 1, 1)


def one_plane_for_two_songs(plan: ClassPlan, draw: random.Random) -> Broken:
    for track in (FIRST, SECOND):
        moves = [_block(plan, move, 32) for move in ("jack", "side-step")]
        plan = _all(plan, track, *moves)
        for phrase in (1, 6, 11):
            plan = _put(plan, track, phrase, _block(plan, "jack", 8))
    plan = _put(plan, 1, 11, _block(plan, "easy-jog", 8))
    return Broken(plan, Fault.ONE_PLANE, FIRST, 1, 1)


def leap_after_the_warm_up(plan: ClassPlan, draw: random.Random) -> Broken:
    for phrase in (9, 10):
        plan = _put(plan, 1, phrase, _block(plan, "leg-curl", 32))
    for phrase in (2, 3):
        plan = _put(plan, FIRST, phrase, _form(plan, "cross-country-ski", 32, ("hands", "open")))
    return Broken(plan, Fault.LEAP, FIRST, 2, 1)


def loud_and_lazy(plan: ClassPlan, draw: random.Random) -> Broken:
    track = draw.choice((FIRST, SECOND))
    for phrase in WHOLE:
        quiet = phrase < 6
        move = "cross-country-ski" if quiet else "leg-curl"
        level = EnergyLevel.LOW if quiet else EnergyLevel.HIGH
        plan = _put(plan, track, phrase, _block(plan, move, 32))
        plan = _change(plan, track, phrase, energy_level=level)
    return Broken(plan, Fault.LOUD, track, 7, 1)


def asked_for_less(plan: ClassPlan, draw: random.Random) -> Broken:
    return Broken(_rebrief(plan, rpe=(6.5, 7.0)), Fault.TOO_HARD, FIRST, 2, 1)


def asked_for_more(plan: ClassPlan, draw: random.Random) -> Broken:
    return Broken(_rebrief(plan, rpe=(17.0, 18.0)), Fault.TOO_EASY, FIRST, 2, 1)


def too_many_moves_for_new_ones(plan: ClassPlan, draw: random.Random) -> Broken:
    moves = ("jog", "jack", "leg-curl", "side-step", "rocking-horse", "front-kick", "knee-lift",
             "side-kick")  # fmt: skip
    plan = _rebrief(plan, group_notes=("first week",))
    for track in (1, FIRST):
        for phrase in WHOLE:
            plan = _put(plan, track, phrase, _block(plan, "jog", 32))
    for phrase, move in zip(WHOLE, moves, strict=True):
        plan = _put(plan, SECOND, phrase, _block(plan, move, 32))
    # Four and two more are let pass: the seventh is told.
    return Broken(plan, Fault.LEARNING, SECOND, WHOLE[6], 1)


def ever_new_variations(plan: ClassPlan, draw: random.Random) -> Broken:
    forms = [("jack", "hands", "open"), ("front-kick", "arms", "raise"),
             ("side-kick", "range", "large"), ("jack", "hands", "fist"),
             ("front-kick", "range", "small"), ("side-kick", "range", "small"),
             ("jack", "range", "small"), ("jack", "hands", "open")]  # fmt: skip
    for track in (1, FIRST):
        plan = _all(plan, track, _block(plan, "jog", 32))
    for phrase, (move, *change) in zip(WHOLE, forms, strict=True):
        plan = _put(plan, SECOND, phrase, _form(plan, move, 32, (change[0], change[1])))
    # Three and one more are let pass in a song: the fifth is told.
    return Broken(plan, Fault.LEARNING, SECOND, WHOLE[4], 1)


def too_many_sets(plan: ClassPlan, draw: random.Random) -> Broken:
    moves = ("jog", "jack", "front-kick", "side-kick", "leg-curl", "knee-lift")
    for track in (1, FIRST):
        plan = _all(plan, track, _block(plan, "jog", 32))
    for phrase, move in zip(WHOLE, moves, strict=False):
        plan = _put(plan, SECOND, phrase, _block(plan, move, 32))
    for phrase, move in zip(WHOLE[6:], ("jack", "side-kick"), strict=True):
        plan = _put(plan, SECOND, phrase, _form(plan, move, 32, ("hands", "open")))
    # Five and two more are let pass in a song: the eighth is told.
    return Broken(plan, Fault.LEARNING, SECOND, WHOLE[7], 1)


def one_side_of_a_kick(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = _put(plan, track, phrase, _form(plan, "side-kick", 32, ("sides", "one")))
    return Broken(wrong, Fault.ONE_SIDE, track, phrase, 1)


def no_cool_down(plan: ClassPlan, draw: random.Random) -> Broken:
    tracks = tuple(t for t in plan.tracks if t.part not in ("cool-down", "stretch"))
    return Broken(replace(plan, tracks=tracks), Fault.PARTS, 0, 0, 0)


def no_warm_up(plan: ClassPlan, draw: random.Random) -> Broken:
    return Broken(replace(plan, tracks=plan.tracks[1:]), Fault.PARTS, 0, 0, 0)


def misspelt_option(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = replace(_block(plan, "jack", 32), variation=(("hands", "opn"),))
    return Broken(_put(plan, track, phrase, wrong), Fault.UNKNOWN, track, phrase, 1)


def misspelt_factor(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = replace(_block(plan, "jack", 32), variation=(("hand", "open"),))
    return Broken(_put(plan, track, phrase, wrong), Fault.UNKNOWN, track, phrase, 1)


def empty_phrase(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    return Broken(_put(plan, track, phrase), Fault.COUNTS, track, phrase)


def _with_turns(plan: ClassPlan, intervals: Intervals, lengths: tuple[int, ...]) -> ClassPlan:
    """Return a plan whose second main track is work and rest, of so many phrases in turn."""
    plan = _retrack(_rebrief(plan, intervals=intervals), SECOND, part="intervals")
    left = list(WHOLE)
    for turn, length in enumerate(lengths):
        works = turn % 2 == 0
        for phrase in left[:length]:
            move = "cross-country-ski" if works else "easy-jog"
            block = replace(_block(plan, move, 32), stint=Stint(works, turn // 2 + 1, 3, 15.0))
            plan = _put(plan, SECOND, phrase, block)
        left = left[length:]
    return plan


def short_work(plan: ClassPlan, draw: random.Random) -> Broken:
    wrong = _with_turns(plan, Intervals(2, 1, 3), (2, 1, 2, 1, 1, 1))
    return Broken(wrong, Fault.INTERVAL, SECOND, WHOLE[6], 1)


def set_forgotten(plan: ClassPlan, draw: random.Random) -> Broken:
    wrong = _with_turns(plan, Intervals(2, 1, 3), (2, 1, 2, 1))
    return Broken(wrong, Fault.INTERVAL, SECOND, 1, 1)


def seconds_by_the_phrase(plan: ClassPlan, draw: random.Random) -> Broken:
    wrong = _with_turns(plan, Intervals(20, 10, 3, IntervalUnit.SECONDS), (1, 1, 1, 1, 1, 1))
    return Broken(wrong, Fault.INTERVAL, SECOND, WHOLE[0], 1)


def rest_that_is_work(plan: ClassPlan, draw: random.Random) -> Broken:
    wrong = _with_turns(plan, Intervals(2, 1, 2), (2, 1, 2, 1))
    old = wrong.tracks[SECOND - 1].phrases[WHOLE[2] - 1].blocks[0]
    rest = replace(_block(plan, "cross-country-ski", 32), stint=old.stint)
    return Broken(_put(wrong, SECOND, WHOLE[2], rest), Fault.INTERVAL_EFFORT, SECOND, WHOLE[2], 1)


def turns_unmarked(plan: ClassPlan, draw: random.Random) -> Broken:
    wrong = _retrack(_rebrief(plan, intervals=Intervals(2, 1, 3)), SECOND, part="intervals")
    return Broken(wrong, Fault.INTERVAL, SECOND, 1, 1)


SLIPS: tuple[Callable[[ClassPlan, random.Random], Broken], ...] = (
    jump_in_the_warm_up,
    jump_right_after_it,
    jumps_without_an_end,
    jumps_for_beginners,
    impact_above_the_brief,
    twist_that_was_ruled_out,
    overhead_arms_ruled_out,
    stretch_in_the_middle,
    held_in_the_middle,
    work_among_the_stretches,
    stretch_in_passing,
    jog_to_the_end,
    jog_between_stretches,
    nothing_but_jogging,
    one_move_for_two_songs,
    one_plane_for_two_songs,
    leap_after_the_warm_up,
    loud_and_lazy,
    asked_for_less,
    asked_for_more,
    too_many_moves_for_new_ones,
    ever_new_variations,
    too_many_sets,
    one_side_of_a_kick,
    no_cool_down,
    no_warm_up,
    misspelt_option,
    misspelt_factor,
    empty_phrase,
    short_work,
    set_forgotten,
    seconds_by_the_phrase,
    rest_that_is_work,
    turns_unmarked,
)
