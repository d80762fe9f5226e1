"""An independent check of every hard rule that a plan has to keep.

It shares no code with the planner or with the review: both are checked against it. The
rules are those of docs/design/review.md and docs/design/planning.md; facts about single
moves come from the catalogue and from feasibility, nothing else of ours is used.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

from aquatempo.errors import InputError
from aquatempo.feasibility import judge
from aquatempo.moves import catalogue, parse_pattern, resolve, transition, variation_of, why_not
from aquatempo.records.moves import MoveForm, MoveKind, Pattern, Variation
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.plan import Block, ClassPlan, PlannedPhrase, PlannedTrack
from aquatempo.records.verdict import Rating

__all__ = ["check"]

PART_ORDER = ("warm-up", "main", "intervals", "cool-down", "stretch")
HOLDS = ("jog", "bicycle")  # beside the moves that the catalogue calls holding


@dataclass(frozen=True)
class Item:
    """One block with its place (1-based) and what the catalogue makes of it."""

    at: str
    track: int
    phrase: int
    offset: int
    block: Block
    stretch: PlannedPhrase
    form: MoveForm
    pattern: Pattern
    tempo_bpm: float

    @property
    def same(self) -> tuple[object, ...]:
        """What has to stay the same for the class to be in one run."""
        block = self.block
        return block.move, block.variation, block.pattern, block.level, block.travel

    @property
    def holding(self) -> bool:
        return self.form.move.kind is MoveKind.HOLDING or self.block.move in HOLDS


def check(plan: ClassPlan) -> list[str]:
    """Return the rules that a plan breaks, as ``rule @ track.phrase.block: why``; [] is well."""
    timed = _timed(plan)
    broken = [line for track in _numbered(plan) for line in _structure(*track, timed)]
    if broken:
        return broken
    items, broken = _items(plan)
    if broken:
        return broken
    return [
        *_parts(plan),
        *_speeds(plan),
        *_allowed(plan, items),
        *_feasible(plan, items),
        *_changes(items, _trained(plan), timed),
        *_holding_rules(plan, items),
        *_arms(items),
        *_bridges(items, timed),
        *_leads(items),
        *_jumps(plan, items),
    ]


def _numbered(plan: ClassPlan) -> Iterator[tuple[int, PlannedTrack]]:
    return iter(enumerate(plan.tracks, 1))


def _timed(plan: ClassPlan) -> bool:
    """Return whether work and rest turn by the clock, not by the phrase."""
    return plan.brief.intervals is not None and plan.brief.intervals.unit == "seconds"


def _structure(number: int, track: PlannedTrack, timed: bool) -> Iterator[str]:
    if not track.phrases:
        yield f"structure @ {number}: no phrases"
    for index, phrase in enumerate(track.phrases):
        at = f"{number}.{index + 1}"
        if any(block.counts < 1 for block in phrase.blocks):
            yield f"structure @ {at}: a block without counts"
        if sum(block.counts for block in phrase.blocks) != phrase.counts:
            yield f"structure @ {at}: blocks do not add up to {phrase.counts}"
        if index:
            before = track.phrases[index - 1]
            if phrase.start_beat != before.start_beat + before.counts:
                yield f"structure @ {at}: does not follow on"
        heard = track.analysis
        if heard is not None:
            if phrase.start_beat + phrase.counts > len(heard.beats_s):
                yield f"structure @ {at}: the track has no such beats"
            spans = {(p.start_beat, p.kind): p.counts for p in heard.phrases}
            counts = spans.get((phrase.start_beat, phrase.kind), 0)
            # By the clock a song is cut after its last whole turn: only its last stretch is short.
            cut = timed and track.part == "intervals" and phrase is track.phrases[-1]
            if not (phrase.counts == counts or (cut and phrase.counts < counts)):
                yield f"structure @ {at}: the track has no such phrase"


def _items(plan: ClassPlan) -> tuple[list[Item], list[str]]:
    moves, items, broken = catalogue(), [], []
    for number, track in _numbered(plan):
        for place, phrase in enumerate(track.phrases, 1):
            offset = 0
            for count, block in enumerate(phrase.blocks, 1):
                at = f"{number}.{place}.{count}"
                if block.move not in moves.moves:
                    broken.append(f"known @ {at}: no move {block.move}")
                    continue
                move = moves.moves[block.move]
                try:
                    pattern = parse_pattern(block.pattern)
                    wanted = variation_of(move, block.variation)
                    form = resolve(move, wanted, plan.brief.depth)
                except InputError as error:
                    broken.append(f"known @ {at}: {error}")
                    continue
                tempo = track.tempo_bpm * track.speed
                items.append(Item(at, number, place, offset, block, phrase, form, pattern, tempo))
                broken += _agrees(at, block, form, pattern)
                broken += [
                    f"fits @ {at}: {reason}"
                    for factor, key in wanted.changes
                    if (reason := why_not(moves.option(factor, key), move, plan.brief.depth))
                ]
                offset += block.counts
    return items, broken


def _agrees(at: str, block: Block, form: MoveForm, pattern: Pattern) -> Iterator[str]:
    """Yield where a block says of itself what its variation does not make of it."""
    if block.level != form.level:
        yield f"agrees @ {at}: level {block.level}, the form has {form.level}"
    if block.travel != form.travel:
        yield f"agrees @ {at}: travel {block.travel}, the form has {form.travel}"
    tempo_set = any(factor == "tempo" for factor, _ in block.variation)
    if tempo_set and form.pattern is not None and pattern.text != form.pattern.text:
        yield f"agrees @ {at}: pattern {pattern.text}, the form has {form.pattern.text}"
    if form.move.sided and block.lead not in ("right", "left"):
        yield f"lead @ {at}: {block.move} needs a lead"


def _parts(plan: ClassPlan) -> Iterator[str]:
    places = [PART_ORDER.index(track.part) for track in plan.tracks]
    for number in range(1, len(places)):
        # Intervals stand in place of the main part or beside it.
        if places[number] < places[number - 1] and {places[number], places[number - 1]} != {1, 2}:
            yield f"parts @ {number + 1}: {plan.tracks[number].part} comes too late"


def _speeds(plan: ClassPlan) -> Iterator[str]:
    asked = {part.name: part.tempo_bpm for part in plan.brief.parts}
    for number, track in _numbered(plan):
        change = abs(track.speed - 1.0)
        if change > plan.brief.most_speed + 1e-9:
            yield f"speed @ {number}: changed by {change:.1%}"
        if change > 1e-9 and not track.speed_reason:
            yield f"speed @ {number}: changed without a reason"
        wanted = next((span for name, span in asked.items() if name == track.part), None)
        played = track.tempo_bpm * track.speed
        if wanted and not wanted[0] - 0.05 <= played <= wanted[1] + 0.05:
            yield f"tempo @ {number}: {played:.1f} outside {wanted}"
    total_s = sum(
        phrase.counts * 60.0 / (track.tempo_bpm * track.speed)
        for track in plan.tracks
        for phrase in track.phrases
    )
    if total_s / 60.0 > plan.brief.minutes + 1.0:
        yield f"time @ 0: {total_s / 60.0:.1f} minutes of {plan.brief.minutes:g}"


def _allowed(plan: ClassPlan, items: list[Item]) -> Iterator[str]:
    brief, moves = plan.brief, catalogue()
    deep = brief.depth is ClassDepth.DEEP
    for item in items:
        used = [item.form.move] + ([moves.moves[item.form.partner]] if item.form.partner else [])
        for move in used:
            if move.key in brief.banned_moves:
                yield f"allowed @ {item.at}: {move.key} is banned"
            free = move.kind in (MoveKind.HOLDING, MoveKind.STRETCH)
            if brief.allowed_moves and not free and move.key not in brief.allowed_moves:
                yield f"allowed @ {item.at}: {move.key} is not among the allowed"
            if brief.depth not in move.depths or (deep and move.needs_floor):
                yield f"depth @ {item.at}: {move.key} is not for {brief.depth}"
        if not deep and item.form.level not in item.form.move.levels:
            yield f"level @ {item.at}: {item.block.move} has no level {item.form.level}"


def _feasible(plan: ClassPlan, items: list[Item]) -> Iterator[str]:
    brief = plan.brief
    pool = replace(brief.pool, kind=brief.depth)
    for item in items:
        why = _too_short(
            *(item.form.variation, item.pattern.text, item.tempo_bpm),
            *(pool, brief.group, brief.range_floor),
        )
        if why:
            yield f"feasible @ {item.at}: {item.block.move} {item.pattern.text} {why}"


@cache
def _too_short(
    variation: Variation, pattern: str, tempo_bpm: float, pool: Pool, group: Group, floor: float
) -> str:
    form = resolve(catalogue().moves[variation.move], variation, pool.kind)
    verdict = judge(form, parse_pattern(pattern), tempo_bpm, pool, group)
    kept = verdict.range_kept.median
    if verdict.rating is Rating.NOT_FEASIBLE or kept < floor - 1e-9:
        return f"keeps {kept:.2f}, limited by {verdict.limited_by}"
    return ""


def _pairs(items: list[Item]) -> Iterator[tuple[Item, Item]]:
    for before, item in pairwise(items):
        still = MoveKind.STRETCH in (before.form.move.kind, item.form.move.kind)
        if before.track == item.track and before.same != item.same and not still:
            yield before, item


def _trained(plan: ClassPlan) -> bool:
    """Return whether the group takes larger changes: it is told so, or asked to work hard."""
    told = plan.brief.experience
    if told is not None:
        return told == "trained"
    notes = " ".join(plan.brief.group_notes)
    return "trained" in notes or (plan.brief.group.intensity == "hard" and not notes)


def _changes(items: list[Item], trained: bool, timed: bool) -> Iterator[str]:
    for before, item in _pairs(items):
        # By the clock it is the signal that begins work or rest, and ends the last, wherever
        # the song is.
        turns = timed and item.block.stint != before.block.stint
        marked = any(factor == "combination" for factor, _ in item.block.variation)
        last_steps = item.block.counts < 8
        if item.offset % 8 and not (marked or last_steps or turns):
            yield f"count 1 @ {item.at}: starts on count {item.offset % 8 + 1}"
        if item.block.move == before.block.move:
            changed = {f for f, _ in set(before.block.variation) ^ set(item.block.variation)}
            if before.pattern.text != item.pattern.text:
                changed.add("tempo")
            if len(changed) > 1:
                yield f"one factor @ {item.at}: {', '.join(sorted(changed))}"
        cost = transition(before.form, before.pattern, item.form, item.pattern).counts
        if cost > (4 if trained or before.holding or item.holding else 2):
            yield f"transition @ {item.at}: {before.block.move} to {item.block.move} costs {cost}"


def _holding_rules(plan: ClassPlan, items: list[Item]) -> Iterator[str]:
    known_moves = set(plan.brief.known_moves)
    known_forms: set[tuple[object, ...]] = set()
    taught = (MoveKind.BASE, MoveKind.DEEP_ONLY)
    start = 0
    while start < len(items):
        end = start + 1
        first = items[start]
        while (
            end < len(items) and items[end].track == first.track and items[end].same == first.same
        ):
            end += 1
        run = items[start:end]
        counts = sum(item.block.counts for item in run)
        resting = first.holding and all(_covered(item) for item in run)
        if first.form.move.kind in taught and not resting:
            plain = not first.block.variation and first.block.pattern == first.form.move.pattern
            if first.block.move not in known_moves:
                if first.offset:
                    yield f"new move @ {first.at}: {first.block.move} starts inside a phrase"
                sides = sum((_movements(item) for item in run), Counter[str]())
                sided = first.form.move.sided
                least = min(sides["right"], sides["left"]) if sided else sides["both"]
                if counts < 32 or least < 8:
                    held = ", ".join(f"{count} {side}" for side, count in sorted(sides.items()))
                    yield f"new move @ {first.at}: {first.block.move} {counts} counts, {held}"
            elif not plain and first.same[:3] not in known_forms and counts < 16:
                yield f"new factor @ {first.at}: {first.block.move} {counts} counts"
            known_moves.add(first.block.move)
            known_forms.add(first.same[:3])
        start = end


def _covered(item: Item) -> bool:
    return item.stretch.kind in ("bridge", "break", "intro", "outro")


def _movements(item: Item) -> Counter[str]:
    """Count movements by side: right, left, or both, step by step through the block."""
    found: Counter[str] = Counter()
    own = item.form.move
    moves = [own] + ([catalogue().moves[item.form.partner]] if item.form.partner else [])
    sides: list[str] = []
    other = {"right": "left", "left": "right"}
    for move in moves:
        half = len(move.movements) // 2
        for index in range(len(move.movements)):
            if not move.sided or item.block.lead not in other:
                sides.append("both")
            elif move.alternates and index >= half:
                sides.append(other[item.block.lead])
            else:
                sides.append(item.block.lead)
    left, index = item.block.counts, 0
    while left > 0:
        step = item.pattern.steps[index % len(item.pattern.steps)]
        found[sides[index % len(sides)]] += 1
        left -= step.moving_counts + step.held_counts
        index += 1
    return found


def _arms(items: list[Item]) -> Iterator[str]:
    by_phrase: dict[tuple[int, int], set[bool]] = {}
    for item in items:
        by_phrase.setdefault((item.track, item.phrase), set()).add(item.form.arms_in_water)
    for (track, phrase), ways in by_phrase.items():
        if len(ways) > 1:
            yield f"arms @ {track}.{phrase}: in and out of the water"


def _bridges(items: list[Item], timed: bool) -> Iterator[str]:
    for item in items:
        if timed and item.block.stint is not None:
            continue  # by the clock work goes on through bridges and breaks
        resting = item.holding or item.form.move.kind is MoveKind.STRETCH
        if item.stretch.kind in ("bridge", "break") and not resting:
            yield f"bridge @ {item.at}: {item.block.move} is no holding move"


def _leads(items: list[Item]) -> Iterator[str]:
    """Yield sides whose counts over the class differ by more than a phrase."""
    worked: Counter[str] = Counter()
    for item in items:
        found = _movements(item)
        total = sum(found.values())
        for side, movements in found.items():
            worked[side] += round(item.block.counts * movements / total)
    if abs(worked["right"] - worked["left"]) > 32:
        yield f"sides @ 0: {worked['right']} counts right, {worked['left']} left"


def _jumps(plan: ClassPlan, items: list[Item]) -> Iterator[str]:
    seconds = sum(
        item.block.counts * 60.0 / item.tempo_bpm
        for item in items
        if max((m.flight_m for m in item.form.movements), default=0.0) >= 0.08 - 1e-9
        and plan.brief.depth is ClassDepth.SHALLOW
        and item.block.show in ("", "full")
    )
    if seconds / 60.0 > plan.brief.jump_minutes + 1e-6:
        yield f"jumps @ 0: {seconds / 60.0:.1f} minutes shown"
