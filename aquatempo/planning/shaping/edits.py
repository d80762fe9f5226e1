"""One change to a plan: tracks and moves swapped, moved, dropped and added.

What a change touches is planned anew, near to what it was; everything else stays. A change
that a lock forbids is refused.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from aquatempo.class_shape.parts import ClassPart, class_shape
from aquatempo.errors import InputError
from aquatempo.moves import Catalogue, catalogue, resolve, variation_of
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.shaping.places import PlanPlace, block_at, phrase_at, track_at
from aquatempo.planning.shaping.replanning import refilled
from aquatempo.planning.songs.choice import offers_for
from aquatempo.planning.songs.outline import planned_song
from aquatempo.planning.songs.song import songs_of
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import Block, ClassPlan, PartName, PlannedPhrase, PlannedTrack
from aquatempo.records.track import Track

__all__ = [
    "add_move",
    "add_track",
    "drop_move",
    "drop_track",
    "move_track",
    "put_block",
    "replace_track",
    "swap_moves",
    "swap_phrases",
    "swap_tracks",
]


def swap_tracks(
    plan: ClassPlan, first: int, second: int, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan in which two songs (1-based) have changed places.

    A song that comes into another part is filled anew. Raises InputError, InfeasibleError.
    """
    one, other = track_at(plan, PlanPlace(first)), track_at(plan, PlanPlace(second))
    _free(one, f"track {first}")
    _free(other, f"track {second}")
    tracks = list(plan.tracks)
    tracks[first - 1] = replace(other, part=one.part)
    tracks[second - 1] = replace(one, part=other.part)
    changed = (first - 1, second - 1) if one.part != other.part else ()
    return _anew(replace(plan, tracks=tuple(tracks)), changed, source)


def move_track(plan: ClassPlan, number: int, to: int, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan in which a song (1-based) stands at another place; it takes the part there.

    Raises InputError, InfeasibleError.
    """
    track, there = track_at(plan, PlanPlace(number)), track_at(plan, PlanPlace(to))
    _free(track, f"track {number}")
    tracks = [one for place, one in enumerate(plan.tracks, 1) if place != number]
    tracks.insert(to - 1, replace(track, part=there.part))
    changed = (to - 1,) if track.part != there.part else ()
    return _anew(replace(plan, tracks=tuple(tracks)), changed, source)


def drop_track(plan: ClassPlan, number: int, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan without a song (1-based); moves that only it taught are planned anew.

    Raises InputError, InfeasibleError.
    """
    known = source or catalogue()
    track = track_at(plan, PlanPlace(number))
    _free(track, f"track {number}")
    if len(plan.tracks) == 1:
        raise InputError("the plan has one track only: a class needs at least one")
    left = tuple(one for place, one in enumerate(plan.tracks, 1) if place != number)
    dropped = replace(plan, tracks=left, notes=_without_notes(plan, track))
    return _anew(dropped, _unlearned(dropped, known), source)


def add_track(
    plan: ClassPlan,
    track: Track,
    after: int,
    source: Catalogue | None = None,
    part: PartName | None = None,
) -> ClassPlan:
    """Return a plan with another song after one (1-based, 0 for the start), filled with moves.

    part: None for that of the song before it. Raises InputError, InfeasibleError.
    """
    if not 0 <= after <= len(plan.tracks):
        raise InputError(f"after track {after}: the plan has {len(plan.tracks)}")
    neighbour = plan.tracks[max(0, after - 1)]
    name = part or PartName(neighbour.part)
    planned = _planned(track, name, plan, source or catalogue())
    tracks = (*plan.tracks[:after], planned, *plan.tracks[after:])
    return _anew(replace(plan, tracks=tracks), (after,), source)


def replace_track(
    plan: ClassPlan, number: int, track: Track, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan in which another song plays in the place of one (1-based).

    Raises InputError, InfeasibleError.
    """
    old = track_at(plan, PlanPlace(number))
    _free(old, f"track {number}")
    planned = _planned(track, PartName(old.part), plan, source or catalogue())
    tracks = list(plan.tracks)
    tracks[number - 1] = planned
    changed = replace(plan, tracks=tuple(tracks), notes=_without_notes(plan, old))
    return _anew(changed, (number - 1,), source)


def swap_phrases(
    plan: ClassPlan, first: PlanPlace, second: PlanPlace, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan in which two phrases have changed what they are filled with.

    They need the same counts. Raises InputError.
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

    Raises InputError, UnknownNameError, InfeasibleError.
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

    Raises InputError, UnknownNameError, InfeasibleError.
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
    UnknownNameError, InfeasibleError.
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


def _anew(
    plan: ClassPlan, tracks: Iterable[int] | dict[int, frozenset[int]], source: Catalogue | None
) -> ClassPlan:
    """Return a plan in which some tracks (0-based) are filled anew, all others as they are."""
    if isinstance(tracks, dict):
        free: dict[int, frozenset[int] | None] = dict(tracks)
    else:
        free = dict.fromkeys(tracks)
    if not free:
        return refilled(plan, {-1: frozenset()}, source)
    return refilled(plan, free, source, close=False)


def _free(track: PlannedTrack, name: str) -> None:
    if track.locked:
        raise InputError(f"{name} ({track.title}) is locked: unlock it first")


def _without_notes(plan: ClassPlan, track: PlannedTrack) -> tuple[str, ...]:
    return tuple(note for note in plan.notes if not note.startswith(f"{track.title}: "))


def _with_phrase(plan: ClassPlan, place: PlanPlace, phrase: PlannedPhrase) -> ClassPlan:
    tracks = list(plan.tracks)
    phrases = list(tracks[place.track - 1].phrases)
    phrases[place.phrase - 1] = phrase
    tracks[place.track - 1] = replace(tracks[place.track - 1], phrases=tuple(phrases))
    return replace(plan, tracks=tuple(tracks))


def _planned(track: Track, part: PartName, plan: ClassPlan, source: Catalogue) -> PlannedTrack:
    """Return a song as it would play in a part, without blocks."""
    songs, others = songs_of([track])
    if not songs:
        raise InputError(f"{track.title}: {others[0][1]}")
    shape = _part_of(plan, part)
    tempo = songs[0].tempo_bpm
    brief = replace(plan.brief, pool=replace(plan.brief.pool, kind=plan.brief.depth))
    palette = Palette(brief, [tempo] if tempo else [60.0], source)
    (offer,) = offers_for(songs, [shape], brief, palette.suiting, anywhere=True)
    return planned_song(songs[0], shape, offer, songs[0].ends[0])


def _part_of(plan: ClassPlan, name: PartName) -> ClassPart:
    parts = class_shape(plan.brief)
    found = next((part for part in parts if part.name is name), None)
    return found or replace(parts[0], name=name)


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


def _unlearned(plan: ClassPlan, source: Catalogue) -> dict[int, frozenset[int]]:
    """Return the phrases that do a move varied which nothing before has taught any more."""
    known, found = set(plan.brief.known_moves), dict[int, set[int]]()
    for number, track in enumerate(plan.tracks):
        for index, phrase in enumerate(track.phrases):
            for block in phrase.blocks:
                kind = source.move(block.move).kind
                if block.move in known or kind in (MoveKind.HOLDING, MoveKind.STRETCH):
                    continue
                if block.variation or block.counts < phrase.counts:
                    found.setdefault(number, set()).add(index)
                else:
                    known.add(block.move)
    return {number: frozenset(places) for number, places in found.items()}


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


def block_of_form(
    move: str, changes: Sequence[tuple[str, str]], counts: int, plan: ClassPlan, source: Catalogue
) -> Block:
    """Return a block of a move with some changes, as it stands where nothing else is said."""
    entry = source.move(move)
    form = resolve(entry, variation_of(entry, changes, source), plan.brief.depth, source)
    pattern = form.pattern.text if form.pattern is not None else entry.pattern
    lead = "right" if entry.sided else ""
    told = tuple(changes)
    return Block(counts, entry.key, told, pattern, lead, form.level.value, form.travel.value)
