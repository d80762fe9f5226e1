"""Whether a plan holds together: counts, phrases, beats, parts, and what a block names."""

from __future__ import annotations

from collections.abc import Iterator, Set
from itertools import pairwise

from aquatempo.moves import why_not
from aquatempo.records.moves import MoveKind
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import ClassPlan, PartName, PlannedPhrase, PlannedTrack
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.spots import ReadPlan, Spot, finding

__all__ = ["allowed", "bridges", "parts", "stretched", "phrases"]

_ORDER = {part.value: place for place, part in enumerate(PartName)}
_MAIN = {PartName.MAIN.value, PartName.INTERVALS.value}  # either may come first


def phrases(plan: ClassPlan, unread: Set[tuple[int, int]] = frozenset()) -> Iterator[Finding]:
    """Yield blocks that do not fill their phrase and phrases that do not fit their track.

    plan: to be judged; unread: (track, phrase), 1-based, whose blocks could not be read.
    """
    for number, track in enumerate(plan.tracks, 1):
        for place, phrase in enumerate(track.phrases, 1):
            total = sum(block.counts for block in phrase.blocks)
            fills = total == phrase.counts and all(block.counts >= 1 for block in phrase.blocks)
            if not fills and (number, place) not in unread:
                yield Finding(
                    *(Fault.COUNTS, Severity.ERROR, number, place, 0),
                    f"its blocks take {total} counts, the phrase has {phrase.counts}",
                    "let the counts of its blocks add up to the phrase, each at least 1",
                )
            yield from _in_track(number, place, phrase, track)
        for place, (before, after) in enumerate(pairwise(track.phrases), 2):
            end = before.start_beat + before.counts
            if after.start_beat != end:
                how = "overlaps the phrase ahead" if after.start_beat < end else "leaves a gap"
                yield Finding(
                    *(Fault.PHRASES, Severity.ERROR, number, place, 0),
                    f"{how}: it starts on beat {after.start_beat + 1}, not {end + 1}",
                    "let each phrase start where the one ahead of it ends",
                )


def _in_track(
    number: int, place: int, phrase: PlannedPhrase, track: PlannedTrack
) -> Iterator[Finding]:
    heard = track.analysis
    if heard is None:
        return
    last = phrase.start_beat + phrase.counts
    if last > len(heard.beats_s):
        yield Finding(
            *(Fault.BEATS, Severity.ERROR, number, place, 0),
            f"ends on beat {last}, the track has {len(heard.beats_s)}",
            "plan the track anew, or take the phrase out (another version of the song?)",
        )
        return
    starts = {p.start_beat: p.counts for p in heard.phrases}
    had = starts.get(phrase.start_beat, 0)
    cut = place == len(track.phrases) and phrase.counts < had  # faded out before its end
    if not track.file or had == phrase.counts or cut:
        return
    where = "it is cut otherwise" if phrase.start_beat in starts else "no phrase starts there"
    yield Finding(
        *(Fault.PLACE, Severity.WARNING, number, place, 0),
        f"{phrase.counts} counts from beat {phrase.start_beat + 1}: {where} in the track",
        "take the phrases as heard, or correct what was heard",
    )


def parts(plan: ClassPlan) -> Iterator[Finding]:
    """Yield parts that come in the wrong order, and a class without warm-up or cool-down."""
    for number, (before, track) in enumerate(pairwise(plan.tracks), 2):
        early = _ORDER.get(track.part, 0) < _ORDER.get(before.part, 0)
        if early and {track.part, before.part} != _MAIN:
            yield Finding(
                *(Fault.PARTS, Severity.WARNING, number, 0, 0),
                f"{track.part} comes after {before.part}",
                f"the order is {', '.join(PartName)}",
            )
    present = {track.part for track in plan.tracks}
    for part in (PartName.WARM_UP, PartName.COOL_DOWN):
        if present & _MAIN and part not in present:
            yield Finding(
                *(Fault.PARTS, Severity.WARNING, 0, 0, 0),
                f"there is work but no {part}",
                f"add a track for the {part}",
            )


def stretched(reading: ReadPlan) -> Iterator[Finding]:
    """Yield a class that works and ends without a single stretch."""
    works = reading.of_parts(PartName.MAIN, PartName.INTERVALS)
    if works and not any(spot.stretches for spot in reading.spots):
        yield Finding(
            *(Fault.PARTS, Severity.ADVICE, 0, 0, 0),
            "there is work but no stretch",
            "give a slow song, or the last phrases of the cool-down, to stretches",
        )


def allowed(reading: ReadPlan) -> Iterator[Finding]:
    """Yield what the brief, the depth, the level or the option itself does not allow."""
    brief, moves = reading.brief, reading.source.moves
    deep = brief.depth is ClassDepth.DEEP
    for spot in reading.spots:
        used = [spot.move] + ([moves[spot.form.partner]] if spot.form.partner else [])
        for move in used:
            name = move.name.lower()
            free = move.kind in (MoveKind.HOLDING, MoveKind.STRETCH)
            if move.key in brief.banned_moves:
                yield _error(Fault.NOT_ALLOWED, spot, f"the brief bans {name}", "take another move")
            elif brief.allowed_moves and not free and move.key not in brief.allowed_moves:
                reason = f"{name} is not among the moves that the brief allows"
                yield _error(Fault.NOT_ALLOWED, spot, reason, "take one of them, or add it there")
            if brief.depth not in move.depths or (deep and move.needs_floor):
                other = moves[move.deep_equivalent].name.lower() if move.deep_equivalent else ""
                why = "needs the floor" if deep else "needs deep water and a belt"
                instead = f"take {other} instead" if deep and other else "take another move"
                yield _error(Fault.DEPTH, spot, f"{name} {why}", instead)
        yield from _fitting(spot, reading)


def _fitting(spot: Spot, reading: ReadPlan) -> Iterator[Finding]:
    deep = reading.brief.depth is ClassDepth.DEEP
    if not deep and spot.form.level not in spot.move.levels:
        levels = ", ".join(spot.move.levels)
        reason = f"{spot.move.name.lower()} is not taught at level {spot.form.level}"
        yield _error(Fault.LEVEL, spot, reason, f"its levels are {levels}")
        return
    if reading.brief.depth not in spot.move.depths:
        return  # said already
    for factor, key in spot.form.variation.changes:
        option = reading.source.option(factor, key)
        move = reading.source.move(spot.move.key)  # not as a form of one side has it
        reason = why_not(option, move, reading.brief.depth, reading.source)
        if reason:
            yield _error(Fault.UNFIT, spot, reason, "take an option that `aquatempo vary` lists")


def bridges(reading: ReadPlan) -> Iterator[Finding]:
    """Yield bridges and breaks that no holding move carries."""
    for spot in reading.spots:
        carried = spot.rests or spot.stretches or reading.by_clock(spot)
        if spot.stretch.kind in ("bridge", "break") and not carried:
            yield finding(
                *(Fault.BRIDGE, Severity.WARNING, spot),
                f"a {spot.stretch.kind} of {spot.stretch.counts} counts is carried by {spot.name}",
                "hold here with easy jog or sculling, and start again on the next count 1",
            )


def _error(fault: Fault, spot: Spot, reason: str, remedy: str) -> Finding:
    return finding(fault, Severity.ERROR, spot, reason, remedy)
