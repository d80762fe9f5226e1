"""What a trainer demands of a plan before signing it, told apart from planning and review.

Only the plan's own blocks and the catalogue are read: no figure of planning or review is used.
All of it is common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from aquatempo.moves import catalogue
from aquatempo.records.moves import Move, MoveKind
from aquatempo.records.plan import Block, ClassPlan, PlannedTrack

__all__ = ["unmet"]

MOST_MOVES = {"first week": 5, "beginners": 7}
MOST_OF_ALL = 12
MOVE_SECONDS = 200.0  # on one base move in a row
FILLING = 0.10  # of the time, easy jog and other holds
TURN = 2.5  # seconds that work or rest may be off
NOT_GENTLE = {"jump", "tuck", "star", "frog", "leap"}


def unmet(plan: ClassPlan) -> list[str]:
    """Return what a trainer would not sign, in words; empty where all is met."""
    return [*_length(plan), *_learning(plan), *_jumping(plan), *_time(plan), *_sides(plan),
            *_ending(plan), *_intervals(plan)]  # fmt: skip


def _blocks(plan: ClassPlan) -> Iterator[tuple[PlannedTrack, Block, float]]:
    for track in plan.tracks:
        for phrase in track.phrases:
            for block in phrase.blocks:
                yield track, block, 60.0 * block.counts / (track.tempo_bpm * track.speed)


def _move(block: Block) -> Move:
    return catalogue().moves[block.move]


def _length(plan: ClassPlan) -> Iterator[str]:
    minutes = sum(seconds for *_, seconds in _blocks(plan)) / 60.0
    late = any("late" in note for note in plan.notes)
    if abs(minutes - plan.brief.minutes) > 1.0 and not late:
        yield f"{minutes:.1f} minutes, {plan.brief.minutes:g} were asked"


def _learning(plan: ClassPlan) -> Iterator[str]:
    taught = (MoveKind.BASE, MoveKind.DEEP_ONLY)
    used = {block.move for _, block, _ in _blocks(plan) if _move(block).kind in taught}
    notes = " ".join(plan.brief.group_notes)
    most = next((n for word, n in MOST_MOVES.items() if word in notes), MOST_OF_ALL)
    if len(used) > most:
        yield f"{len(used)} base moves, {most} at most"


def _jumping(plan: ClassPlan) -> Iterator[str]:
    careful = plan.brief.group_notes and "trained" not in plan.brief.group_notes
    older = plan.brief.group.age_years[0] >= 60
    for number, track in enumerate(plan.tracks, 1):
        keys = {block.move for phrase in track.phrases for block in phrase.blocks}
        if keys & NOT_GENTLE and plan.brief.depth == "shallow":
            if careful or older:
                yield f"track {number}: jumps for a group that should not jump"
            if track.part in ("warm-up", "cool-down", "stretch"):
                yield f"track {number}: jumps in the {track.part}"


def _time(plan: ClassPlan) -> Iterator[str]:
    whole = filling = row = 0.0
    last = ""
    for track, block, seconds in _blocks(plan):
        kind = _move(block).kind
        rests = block.stint is not None and not block.stint.works
        if track.part != "stretch" and not rests:
            whole += seconds
            filling += seconds if kind is MoveKind.HOLDING else 0.0
        row = row + seconds if block.move == last else seconds
        last = block.move
        if row > MOVE_SECONDS and kind is not MoveKind.STRETCH and not rests:
            yield f"{block.move} for more than {MOVE_SECONDS:.0f} s in a row"
            row = 0.0
    if whole and filling > FILLING * whole:
        yield f"{filling / whole:.0%} of the time only fills"


def _sides(plan: ClassPlan) -> Iterator[str]:
    led: Counter[tuple[str, str]] = Counter()
    for _, block, _ in _blocks(plan):
        one = dict(block.variation).get("sides") == "one"
        if _move(block).sided and (one or not _move(block).alternates):
            led[block.move, block.lead] += block.counts
    for move in {move for move, _ in led}:
        apart = abs(led[move, "right"] - led[move, "left"])
        if apart > 32:
            yield f"{move}: one side gets {apart} counts less"


def _ending(plan: ClassPlan) -> Iterator[str]:
    last = plan.tracks[-1].phrases[-1].blocks[-1]
    if _move(last).kind is MoveKind.HOLDING and last.move == "easy-jog":
        yield "the class ends with easy jog"
    if plan.tracks[0].part != "warm-up":
        yield "the class does not begin with a warm-up"


def _intervals(plan: ClassPlan) -> Iterator[str]:
    asked = plan.brief.intervals
    if asked is None or asked.unit != "seconds":
        return
    lasted: Counter[tuple[bool, int]] = Counter()
    for _, block, seconds in _blocks(plan):
        if block.stint is not None and block.stint.number:
            lasted[block.stint.works, block.stint.number] += seconds  # type: ignore[assignment]
    for (works, number), seconds in lasted.items():
        wanted = asked.work if works else asked.rest
        if abs(seconds - wanted) > TURN:
            name = "work" if works else "rest"
            yield f"{name} {number} lasts {seconds:.0f} s, {wanted:g} were asked"
    sets = sum(works for works, _ in lasted)
    if sets != asked.sets and not any("late" in note for note in plan.notes):
        yield f"{sets} sets, {asked.sets} were asked"
