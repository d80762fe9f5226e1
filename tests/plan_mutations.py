"""Breaks a plan in named ways, one at a time, and says where; shares no code with review.

Every way takes a valid plan of ``plan_making`` (warm-up, two main tracks, cool-down,
stretch) and a source of chance. Places are 1-based; 0 is the whole.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace

from aquatempo.moves import catalogue, resolve
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Block, ClassPlan, PlannedPhrase
from aquatempo.records.review import Fault

__all__ = ["WAYS", "Broken"]

MAIN = (2, 3)  # 1-based tracks
WHOLE = (2, 3, 4, 5, 7, 8, 9, 10)  # 1-based whole phrases of every track
BRIDGE = 6
STRETCH = 5


@dataclass(frozen=True)
class Broken:
    """A broken plan, its fault, and where that has to be found; block None: any."""

    plan: ClassPlan
    fault: Fault
    track: int
    phrase: int
    block: int | None = None


def _put(plan: ClassPlan, track: int, phrase: int, *blocks: Block) -> ClassPlan:
    """Return the plan with other blocks in one phrase."""
    return _change(plan, track, phrase, blocks=blocks)


def _change(plan: ClassPlan, track: int, phrase: int, **fields: object) -> ClassPlan:
    old = plan.tracks[track - 1]
    phrases: list[PlannedPhrase] = list(old.phrases)
    phrases[phrase - 1] = replace(phrases[phrase - 1], **fields)  # type: ignore[arg-type]
    return _retrack(plan, track, phrases=tuple(phrases))


def _retrack(plan: ClassPlan, track: int, **fields: object) -> ClassPlan:
    tracks = list(plan.tracks)
    tracks[track - 1] = replace(tracks[track - 1], **fields)  # type: ignore[arg-type]
    return replace(plan, tracks=tuple(tracks))


def _rebrief(plan: ClassPlan, **fields: object) -> ClassPlan:
    return replace(plan, brief=replace(plan.brief, **fields))  # type: ignore[arg-type]


def _deep(plan: ClassPlan) -> bool:
    return plan.brief.depth is ClassDepth.DEEP


def _block(plan: ClassPlan, move: str, counts: int, *changes: tuple[str, str]) -> Block:
    """Return a block of a move as the catalogue has it, led right where it has sides."""
    entry = catalogue().moves[move]
    form = resolve(entry, None, plan.brief.depth)
    lead = "right" if entry.sided else ""
    travel = dict(changes).get("travel", str(form.travel))
    return Block(counts, move, changes, entry.pattern, lead, str(form.level), travel)


def _somewhere(draw: random.Random) -> tuple[int, int]:
    return draw.choice(MAIN), draw.choice(WHOLE)


def _used(plan: ClassPlan) -> set[str]:
    return {
        block.move for track in plan.tracks for phrase in track.phrases for block in phrase.blocks
    }


def _known(plan: ClassPlan) -> ClassPlan:
    """Return the plan for a class that knows every move, so that only one rule is at stake."""
    return _rebrief(plan, known_moves=tuple(catalogue().moves))


def longer_block(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    first, *rest = plan.tracks[track - 1].phrases[phrase - 1].blocks
    wrong = replace(first, counts=first.counts + draw.choice((-4, 8)))
    return Broken(_put(plan, track, phrase, wrong, *rest), Fault.COUNTS, track, phrase)


def overlapping_phrase(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    start = plan.tracks[track - 1].phrases[phrase - 1].start_beat
    wrong = _change(plan, track, phrase, start_beat=start + draw.choice((-8, 4)))
    return Broken(wrong, Fault.PHRASES, track, phrase)


def shorter_song(plan: ClassPlan, draw: random.Random) -> Broken:
    track = draw.choice(MAIN)
    heard = plan.tracks[track - 1].analysis
    assert heard is not None
    cut = replace(heard, beats_s=heard.beats_s[:-4], beats_inferred=heard.beats_inferred[:-4])
    last = len(plan.tracks[track - 1].phrases)
    return Broken(_retrack(plan, track, analysis=cut), Fault.BEATS, track, last)


def moved_count_one(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    heard = plan.tracks[track - 1].analysis
    assert heard is not None
    phrases = list(heard.phrases)
    old = phrases[phrase - 1]
    phrases[phrase - 1] = replace(old, start_beat=old.start_beat + 4, counts=old.counts - 4)
    wrong = _retrack(plan, track, analysis=replace(heard, phrases=tuple(phrases)))
    return Broken(wrong, Fault.PLACE, track, phrase)


def misspelt_move(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = replace(_block(plan, "jack", 32), move="jakc")
    return Broken(_put(plan, track, phrase, wrong), Fault.UNKNOWN, track, phrase, 1)


def impossible_pattern(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = replace(_block(plan, "jack", 32), pattern="2-3")
    return Broken(_put(plan, track, phrase, wrong), Fault.UNKNOWN, track, phrase, 1)


def banned_move(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    move = plan.tracks[track - 1].phrases[phrase - 1].blocks[0].move
    return Broken(_rebrief(plan, banned_moves=(move,)), Fault.NOT_ALLOWED, track, phrase, 1)


def wrong_depth(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    move = draw.choice(("rocking-horse", "pendulum") if _deep(plan) else ("bicycle", "hip-swing"))
    wrong = _put(plan, track, phrase, _block(plan, move, 32))
    return Broken(wrong, Fault.DEPTH, track, phrase, 1)


def level_not_taught(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = replace(_block(plan, "side-kick", 32), level="power")
    fault = Fault.UNFIT if _deep(plan) else Fault.LEVEL
    return Broken(_put(plan, track, phrase, wrong), fault, track, phrase, 1)


def unfit_option(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = _block(plan, "jack", 32, ("arm symmetry", "alternating"))
    return Broken(_put(plan, track, phrase, wrong), Fault.UNFIT, track, phrase, 1)


def two_travels(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = replace(_block(plan, "jog", 32, ("travel", "forward")), travel="back")
    return Broken(_put(plan, track, phrase, wrong), Fault.CONTRADICTION, track, phrase, 1)


def land_tempo(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = replace(_block(plan, "cross-country-ski", 32), pattern="1")
    return Broken(_put(plan, track, phrase, wrong), Fault.RANGE, track, phrase, 1)


def straight_legs_across_planes(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = draw.choice(MAIN), draw.choice((2, 3, 4, 7, 8, 9))
    wrong = _put(plan, track, phrase, _block(plan, "cross-country-ski", 32))
    wrong = _put(wrong, track, phrase + 1, _block(plan, "jack", 32))
    return Broken(wrong, Fault.TRANSITION, track, phrase + 1, 1)


def new_move_too_short(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    spare = ("frog", "star", "twist", "knee-lift", "seated-kick", "tuck-and-stretch")
    fresh = [
        move
        for move in spare
        if move not in _used(plan) and plan.brief.depth in catalogue().moves[move].depths
    ]
    before = replace(plan.tracks[track - 1].phrases[phrase - 1].blocks[0], counts=16)
    wrong = _put(plan, track, phrase, before, _block(plan, draw.choice(fresh), 16))
    return Broken(wrong, Fault.NEW_MOVE, track, phrase, 2)


def new_factor_too_short(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    before = _block(plan, "jack", 24)
    after = _block(plan, "jack", 8, ("travel", "forward"))
    wrong = _put(_known(plan), track, phrase, before, after)
    return Broken(wrong, Fault.NEW_FACTOR, track, phrase, 2)


def off_count_one(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    before = _block(plan, "jack", 12)
    wrong = _put(_known(plan), track, phrase, before, _block(plan, "jack", 20, ("range", "small")))
    return Broken(wrong, Fault.COUNT_ONE, track, phrase, 2)


def new_move_inside_a_phrase(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = draw.choice(MAIN), draw.choice((2, 3, 4, 7, 8, 9))
    move = "knee-lift"
    plan = _rebrief(plan, banned_moves=())
    for number, some in enumerate(plan.tracks, 1):
        for place, one in enumerate(some.phrases, 1):
            if any(block.move == move for block in one.blocks):
                plan = _put(plan, number, place, _block(plan, "jog", one.counts))
    half = _block(plan, "jog", 16)
    wrong = _put(plan, track, phrase, half, _block(plan, move, 16))
    wrong = _put(wrong, track, phrase + 1, _block(plan, move, 32))
    return Broken(wrong, Fault.COUNT_ONE, track, phrase, 2)


def two_factors(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = draw.choice(MAIN), draw.choice((2, 3, 4, 7, 8, 9))
    wrong = _put(plan, track, phrase, _block(plan, "jack", 32))
    both = _block(plan, "jack", 32, ("range", "small"), ("turn", "quarter"))
    return Broken(_put(wrong, track, phrase + 1, both), Fault.FACTORS, track, phrase + 1, 1)


def arms_in_and_out(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    out = _block(plan, "jack", 16, ("arms", "reach"))
    wrong = _put(plan, track, phrase, _block(plan, "jack", 16), out)
    return Broken(wrong, Fault.ARMS, track, phrase, 2)


def bridge_not_covered(plan: ClassPlan, draw: random.Random) -> Broken:
    track = draw.choice(MAIN)
    wrong = _put(plan, track, BRIDGE, _block(plan, "jack", 8))
    return Broken(wrong, Fault.BRIDGE, track, BRIDGE, 1)


def frozen_lead(plan: ClassPlan, draw: random.Random) -> Broken:
    side, track = "right", draw.choice(MAIN)  # moves of one side end on the left before it
    kick = replace(_block(plan, "side-kick", 32, ("sides", "one")), lead=side)
    for phrase in (2, 3, 4, 5, 7):
        plan = _put(plan, track, phrase, kick)
    return Broken(plan, Fault.LEAD, track, 2, 1)


def missing_lead(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = replace(_block(plan, "jog", 32), lead="")
    return Broken(_put(plan, track, phrase, wrong), Fault.LEAD_MISSING, track, phrase, 1)


def one_side_stretched(plan: ClassPlan, draw: random.Random) -> Broken:
    pairs = [
        place
        for place in (3, 5, 8, 10)
        if plan.tracks[STRETCH - 1].phrases[place - 1].blocks[0].lead
    ]
    phrase = draw.choice(pairs)
    block = plan.tracks[STRETCH - 1].phrases[phrase - 1].blocks[0]
    wrong = _put(plan, STRETCH, phrase, replace(block, lead="right"))
    return Broken(wrong, Fault.ONE_SIDE, STRETCH, phrase, 1)


def falling_warm_up(plan: ClassPlan, draw: random.Random) -> Broken:
    for phrase in (2, 3, 4, 5):
        plan = _put(plan, 1, phrase, _block(plan, "cross-country-ski", 32))
    for phrase in (7, 8, 9, 10):
        plan = _put(plan, 1, phrase, _block(plan, "leg-curl", 32))
    return Broken(plan, Fault.EFFORT, 1, 7, 1)


def rising_cool_down(plan: ClassPlan, draw: random.Random) -> Broken:
    for phrase in (2, 3, 4, 5):
        plan = _put(plan, 4, phrase, _block(plan, "leg-curl", 32))
    for phrase in (7, 8, 9, 10):
        plan = _put(plan, 4, phrase, _block(plan, "cross-country-ski", 32))
    return Broken(plan, Fault.EFFORT, 4, 7, 1)


def over_time(plan: ClassPlan, draw: random.Random) -> Broken:
    wrong = _rebrief(plan, minutes=plan.brief.minutes - 2.0)
    left, place = wrong.brief.minutes, (0, 0)
    for number, track in enumerate(plan.tracks, 1):
        for phrase, one in enumerate(track.phrases, 1):
            if left >= 0.0:
                place = (number, phrase)
            left -= one.counts / (track.tempo_bpm * track.speed)
    return Broken(wrong, Fault.OVER_TIME, *place)


def under_time(plan: ClassPlan, draw: random.Random) -> Broken:
    longer = plan.brief.minutes * draw.uniform(1.2, 2.0)
    return Broken(_rebrief(plan, minutes=longer), Fault.UNDER_TIME, 0, 0, 0)


def wrong_tempo(plan: ClassPlan, draw: random.Random) -> Broken:
    number = draw.choice((1, 4, 5))
    part = plan.tracks[number - 1].part
    parts = tuple(
        replace(one, tempo_bpm=(150.0, 160.0)) if one.name == part else one
        for one in plan.brief.parts
    )
    return Broken(_rebrief(plan, parts=parts), Fault.TEMPO, number, 0, 0)


def hurried_song(plan: ClassPlan, draw: random.Random) -> Broken:
    number = draw.randint(1, 5)
    speed = draw.choice((0.85, 0.94, 1.055, 1.12))
    return Broken(_retrack(plan, number, speed=speed), Fault.SPEED, number, 0, 0)


def parts_swapped(plan: ClassPlan, draw: random.Random) -> Broken:
    first, second, *rest = plan.tracks
    return Broken(replace(plan, tracks=(second, first, *rest)), Fault.PARTS, 2, 0, 0)


def too_many_jumps(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = _somewhere(draw)
    wrong = _put(_rebrief(plan, jump_minutes=0.1), track, phrase, _block(plan, "jump", 32))
    fault = Fault.DEPTH if _deep(plan) else Fault.JUMPS
    return Broken(wrong, fault, track, phrase, 1)


def hot_water(plan: ClassPlan, draw: random.Random) -> Broken:
    pool = replace(plan.brief.pool, temperature_c=draw.choice((35.0, 37.0)))
    return Broken(_rebrief(plan, pool=pool), Fault.HEAT, 2, 2, 1)


def noted_knees(plan: ClassPlan, draw: random.Random) -> Broken:
    track, phrase = 1, 2
    plan = _rebrief(plan, group_notes=("two people with sore shoulders",))
    wrong = _put(plan, track, phrase, _block(plan, "jog", 32, ("hands", "open")))
    return Broken(wrong, Fault.PEOPLE, track, phrase, 1)


WAYS: tuple[Callable[[ClassPlan, random.Random], Broken], ...] = (
    longer_block,
    overlapping_phrase,
    shorter_song,
    moved_count_one,
    misspelt_move,
    impossible_pattern,
    banned_move,
    wrong_depth,
    level_not_taught,
    unfit_option,
    two_travels,
    land_tempo,
    straight_legs_across_planes,
    new_move_too_short,
    new_factor_too_short,
    off_count_one,
    new_move_inside_a_phrase,
    two_factors,
    arms_in_and_out,
    bridge_not_covered,
    frozen_lead,
    missing_lead,
    one_side_stretched,
    falling_warm_up,
    rising_cool_down,
    over_time,
    under_time,
    wrong_tempo,
    hurried_song,
    parts_swapped,
    too_many_jumps,
    hot_water,
    noted_knees,
)
