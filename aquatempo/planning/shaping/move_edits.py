"""One change to what a plan does: phrases and moves swapped, dropped and added.

Where a move changes is planned anew, near to what it was; everything else stays. A change
that a lock forbids is refused.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from aquatempo.errors import InputError
from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.shaping.places import PlanPlace, block_at, phrase_at, track_at
from aquatempo.planning.shaping.replanning import refilled
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import Block, ClassPlan, PartName, PlannedPhrase, PlannedTrack

__all__ = ["add_move", "drop_move", "put_block", "swap_moves", "swap_phrases"]


def swap_phrases(
    plan: ClassPlan, first: PlanPlace, second: PlanPlace, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan in which two phrases have changed what they are filled with.

    They need the same counts. Raises InputError. first: one of the two; second: the other;
    source: the catalogue in force.
    """
    one, other = phrase_at(plan, first), phrase_at(plan, second)
    if one.counts != other.counts:
        raise InputError(
            f"{first} has {one.counts} counts, {second} {other.counts}: only like phrases swap"
        )
    for phrase, place in ((one, first), (other, second)):
        if phrase.locked or any(block.locked for block in phrase.blocks):
            raise InputError(f"{place} is locked: unlock it first")
    swapped = _with_phrase(plan, first, replace(one, blocks=other.blocks, section=other.section))
    return _with_phrase(swapped, second, replace(other, blocks=one.blocks, section=one.section))


def swap_moves(
    plan: ClassPlan,
    old: str,
    new: str,
    source: Catalogue | None = None,
    tracks: Iterable[int] = (),
) -> ClassPlan:
    """Return a plan in which one move is done instead of another, in some tracks (1-based) or all.

    Raises InputError, UnknownNameError, InfeasibleError. old: the move to replace; new: what
    replaces it; source: the catalogue in force.
    """
    known = source or catalogue()
    first, second = known.move(old).key, known.move(new).key
    wanted = set(tracks) or set(range(1, len(plan.tracks) + 1))
    for number in wanted:
        track_at(plan, PlanPlace(number))
    free: dict[int, frozenset[int]] = {}
    only: dict[int, dict[int, frozenset[str]]] = {}
    for number, track in enumerate(plan.tracks):
        if number + 1 not in wanted or track.locked:
            continue
        places = frozenset(
            index
            for index, phrase in enumerate(track.phrases)
            if any(block.move == first for block in phrase.blocks) and not phrase.locked
        )
        if places:
            free[number] = places
            only[number] = {
                index: frozenset(
                    second if block.move == first else block.move
                    for block in track.phrases[index].blocks
                    if known.move(block.move).kind is not MoveKind.HOLDING
                )
                for index in places
            }
            only[number] = {
                index: moves if len(moves) == 1 else frozenset({second})
                for index, moves in only[number].items()
            }
    if not free:
        where = f" in track {', '.join(map(str, sorted(tracks)))}" if tracks else ""
        raise InputError(f"no {first}{where} that is free to be swapped")
    return refilled(plan, free, known, only=only)


def drop_move(plan: ClassPlan, move: str, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan without a move: the brief bans it, and where it stood is planned anew.

    Raises InputError, UnknownNameError, InfeasibleError. source: the catalogue in force.
    """
    known = source or catalogue()
    key = known.move(move).key
    banned = tuple(dict.fromkeys((*plan.brief.banned_moves, key)))
    wanted = tuple(one for one in plan.brief.wanted_moves if one != key)
    brief = replace(plan.brief, banned_moves=banned, wanted_moves=wanted)
    free = _where(plan, key)
    if not free:
        raise InputError(f"no {key} in the plan that is free to be dropped")
    return refilled(replace(plan, brief=brief), free, known, close=False)


def add_move(
    plan: ClassPlan, move: str, source: Catalogue | None = None, track: int = 0
) -> ClassPlan:
    """Return a plan with another base move, in one track (1-based) or where it fits best.

    It takes the place of the move that the track has most often. Raises InputError,
    UnknownNameError, InfeasibleError. source: the catalogue in force.
    """
    known = source or catalogue()
    key = known.move(move).key
    number = track or _best_track(plan, known)
    old = _commonest(track_at(plan, PlanPlace(number)), known, key)
    if not old:
        raise InputError(f"track {number} has no base move that {key} could stand for")
    brief = replace(
        plan.brief,
        banned_moves=tuple(one for one in plan.brief.banned_moves if one != key),
        wanted_moves=tuple(dict.fromkeys((*plan.brief.wanted_moves, key))),
    )
    return swap_moves(replace(plan, brief=brief), old, key, known, (number,))


def put_block(
    plan: ClassPlan, place: PlanPlace, block: Block, everywhere: bool = False
) -> ClassPlan:
    """Return a plan with another block in a place.

    everywhere: also where the track does the same elsewhere, as in a chorus that comes
    back. The lead stays what it was. Raises InputError.
    """
    old = block_at(plan, place)
    track = track_at(plan, place)
    found = plan
    for index, phrase in enumerate(track.phrases, 1):
        if phrase.locked:
            continue
        here = index == place.phrase
        blocks = []
        for number, one in enumerate(phrase.blocks, 1):
            mine = here and number == (place.block or 1)
            like = everywhere and replace(one, lead="", counts=0) == replace(old, lead="", counts=0)
            if (mine or like) and not one.locked:
                one = replace(
                    block, counts=one.counts, lead=one.lead if block.lead else block.lead,
                    stint=one.stint,
                )  # fmt: skip
                if block.lead and not one.lead:
                    one = replace(one, lead=block.lead)
            blocks.append(one)
        changed = replace(phrase, blocks=tuple(blocks))
        if changed != phrase:
            found = _with_phrase(found, PlanPlace(place.track, index), changed)
    return found


def _with_phrase(plan: ClassPlan, place: PlanPlace, phrase: PlannedPhrase) -> ClassPlan:
    tracks = list(plan.tracks)
    phrases = list(tracks[place.track - 1].phrases)
    phrases[place.phrase - 1] = phrase
    tracks[place.track - 1] = replace(tracks[place.track - 1], phrases=tuple(phrases))
    return replace(plan, tracks=tuple(tracks))


def _where(plan: ClassPlan, key: str) -> dict[int, frozenset[int]]:
    """Return the phrases that have a move and are free to change, by track."""
    found = {}
    for number, track in enumerate(plan.tracks):
        places = frozenset(
            index
            for index, phrase in enumerate(track.phrases)
            if not (track.locked or phrase.locked)
            and any(block.move == key and not block.locked for block in phrase.blocks)
        )
        if places:
            found[number] = places
    return found


def _best_track(plan: ClassPlan, source: Catalogue) -> int:
    """Return the track (1-based) of the main part with the fewest base moves."""
    main = [
        (len(_bases(track, source)), number)
        for number, track in enumerate(plan.tracks, 1)
        if track.part == PartName.MAIN.value and not track.locked
    ]
    if not main:
        raise InputError("the plan has no main track that is free: name a track")
    return min(main)[1]


def _bases(track: PlannedTrack, source: Catalogue) -> list[str]:
    kinds = (MoveKind.BASE, MoveKind.DEEP_ONLY)
    return [
        block.move
        for phrase in track.phrases
        for block in phrase.blocks
        if source.move(block.move).kind in kinds
    ]


def _commonest(track: PlannedTrack, source: Catalogue, other_than: str) -> str:
    """Return the base move that comes most often in a track, but not in its chorus."""
    counts: dict[str, int] = {}
    for phrase in track.phrases:
        for block in phrase.blocks:
            base = source.move(block.move).kind in (MoveKind.BASE, MoveKind.DEEP_ONLY)
            if base and block.move != other_than and not (phrase.locked or block.locked):
                weight = 1 if phrase.section in ("chorus", "pyramid") else 2
                counts[block.move] = counts.get(block.move, 0) + weight
    return max(counts, key=lambda key: (counts[key], key)) if counts else ""
