"""Which phrases a class that starts late may lose, track by track, and what needs what before."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import groupby

from aquatempo.moves import Catalogue
from aquatempo.planning.songs.song import usable
from aquatempo.planning.telling import minutes_of
from aquatempo.planning.turns import first_counts
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import Block, ClassPlan, PartName, PlannedTrack
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["TENTH", "cuts_of", "lessons_of"]

TENTH = 0.1  # minutes; lengths are weighed in steps of it
_UNTAUGHT = (MoveKind.HOLDING, MoveKind.STRETCH)
_SLOWED = {("tempo", "half"), ("level", "grounded"), ("level", "II")}
_LEARNED_COUNTS = COUNTS_PER_PHRASE // 2  # that a variation lasts the first time
_APART_COUNTS = 16  # by which one side of a move may be behind


def cuts_of(
    plan: ClassPlan, number: int, source: Catalogue
) -> list[tuple[PlannedTrack | None, int]]:
    """Return what is left of a track with 0, 1, 2 ... phrases fewer, and what goes [tenths].

    A song that is cut keeps at least half; the last option leaves it out. What is locked
    stays. The last track gives from within, so that the class ends as it ended. No stretch is
    left with one side done. plan: the class; number: of the track, from 0; source: the catalogue.
    """
    track = plan.tracks[number]
    length = minutes_of([track])
    found: list[tuple[PlannedTrack | None, int]] = [(track, 0)]
    if track.locked or any(phrase.locked for phrase in track.phrases):
        return found
    if any(block.locked for phrase in track.phrases for block in phrase.blocks):
        return found
    last = number == len(plan.tracks) - 1
    for cut in _cuts(track, last):
        if not _even(cut, source):
            continue
        tenths = round((length - minutes_of([cut])) / TENTH - 0.499)
        if tenths > found[-1][1]:
            found.append((cut, tenths))
    if not last:
        found.append((None, int(length / TENTH)))
    return found


def _cuts(track: PlannedTrack, last: bool) -> list[PlannedTrack]:
    """Return a track with ever fewer phrases, at least half of it."""
    stints = any(block.stint is not None for phrase in track.phrases for block in phrase.blocks)
    if stints:
        return _fewer_sets(track)
    places = [index for index, phrase in enumerate(track.phrases) if usable(phrase)]
    found = []
    for number in range(1, len(places) // 2 + 1):
        if last:
            # The end is moved forward: the ending's blocks go where the song now stops.
            ending = track.phrases[-1]
            at = places[len(places) - number - 1]
            target = track.phrases[at]
            if target.counts != ending.counts:
                continue
            closed = replace(target, blocks=ending.blocks, section=ending.section)
            found.append(replace(track, phrases=(*track.phrases[:at], closed)))
        else:
            end = places[len(places) - number - 1] + 1
            found.append(replace(track, phrases=track.phrases[:end]))
    return found


def _even(track: PlannedTrack, source: Catalogue) -> bool:
    """Return whether both sides of each stretch get their share; elsewhere leads are told anew."""
    apart: Counter[str] = Counter()
    for block in (block for phrase in track.phrases for block in phrase.blocks):
        move = source.move(block.move)
        stretched = track.part == PartName.STRETCH or move.kind is MoveKind.STRETCH
        if stretched and move.sided:
            apart[block.move] += {"right": 1, "left": -1}.get(block.lead, 0) * block.counts
    return all(abs(counts) <= _APART_COUNTS for counts in apart.values())


def _fewer_sets(track: PlannedTrack) -> list[PlannedTrack]:
    """Return a track of intervals with ever fewer sets; the song stops where a set ends."""
    ends, at = [], 0
    flat = [block for phrase in track.phrases for block in phrase.blocks]
    for place, block in enumerate(flat):
        at += block.counts
        after = flat[place + 1].stint if place + 1 < len(flat) else None
        rests = block.stint is not None and not block.stint.works
        if rests and (after is None or after.works):
            ends.append(at)
    found = []
    for end in ends[-2::-1]:
        if end * 2 >= at:
            found.append(replace(track, phrases=first_counts(track.phrases, end)))
    return found


def lessons_of(
    plan: ClassPlan, source: Catalogue
) -> list[tuple[tuple[int, int], list[tuple[int, int]]]]:
    """Return phrases that need a move or a variation known, each with those that teach it before.

    A phrase teaches a move that fills it as it stands, and a variation that lasts half of it; it
    needs a move known where it starts varied or inside the phrase, a variation where it is short.
    plan: the class; source: the catalogue in force.
    """
    taught: dict[object, list[tuple[int, int]]] = {}
    found = []
    known = set(plan.brief.known_moves)
    for number, track in enumerate(plan.tracks):
        here: set[object] = set()
        for index, phrase in enumerate(track.phrases):
            moves = dict.fromkeys(block.move for block in phrase.blocks)
            lessons: dict[object, bool] = {
                move: len(moves) == 1 and set(phrase.blocks[0].variation) <= _SLOWED
                for move in moves
                if move not in known and source.move(move).kind not in _UNTAUGHT
            }
            for set_, blocks in groupby(phrase.blocks, _set_of):
                if source.move(set_[0]).kind not in _UNTAUGHT and set_[1]:
                    counts = sum(block.counts for block in blocks)
                    lessons[set_] = lessons.get(set_, False) or counts >= _LEARNED_COUNTS
            for lesson, teaches in lessons.items():
                if lesson in here:
                    continue
                if teaches:
                    taught.setdefault(lesson, []).append((number, index))
                    here.add(lesson)
                elif lesson in taught:
                    found.append(((number, index), list(taught[lesson])))
    return found


def _set_of(block: Block) -> tuple[str, tuple[tuple[str, str], ...]]:
    return block.move, block.variation
