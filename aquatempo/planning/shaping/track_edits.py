"""One change to the songs of a plan: swapped, moved, dropped, added, replaced.

What a change touches is planned anew, near to what it was; everything else stays. A change
that a lock forbids is refused.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from aquatempo.class_shape.parts import ClassPart, class_shape
from aquatempo.errors import InputError
from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.shaping.places import PlanPlace, track_at
from aquatempo.planning.shaping.replanning import refilled
from aquatempo.planning.songs.choice import offers_for
from aquatempo.planning.songs.outline import planned_song
from aquatempo.planning.songs.song import songs_of
from aquatempo.planning.telling import WHOLE_ONCE, minutes_of, whole_once
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import ClassPlan, PartName, PlannedTrack
from aquatempo.records.track import Track

__all__ = [
    "add_track",
    "drop_track",
    "move_track",
    "replace_track",
    "swap_tracks",
]


def swap_tracks(
    plan: ClassPlan, first: int, second: int, source: Catalogue | None = None
) -> ClassPlan:
    """Return a plan in which two songs (1-based) have changed places.

    A song that comes into another part is filled anew. Raises InputError, InfeasibleError.
    first: one of the two; second: the other; source: the catalogue in force.
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

    Raises InputError, InfeasibleError. number: which track, 1 the first; to: its new place, 1
    the first; source: the catalogue in force.
    """
    track, there = track_at(plan, PlanPlace(number)), track_at(plan, PlanPlace(to))
    _free(track, f"track {number}")
    tracks = [one for place, one in enumerate(plan.tracks, 1) if place != number]
    tracks.insert(to - 1, replace(track, part=there.part))
    changed = (to - 1,) if track.part != there.part else ()
    return _anew(replace(plan, tracks=tuple(tracks)), changed, source)


def drop_track(plan: ClassPlan, number: int, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan without a song (1-based); moves that only it taught are planned anew.

    Raises InputError, InfeasibleError. number: which track, 1 the first; source: the catalogue
    in force.
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

    part: None for that of the song before it. Raises InputError, InfeasibleError. track: the
    song; source: the catalogue in force.
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

    Raises InputError, InfeasibleError. number: which track, 1 the first; track: the song;
    source: the catalogue in force.
    """
    old = track_at(plan, PlanPlace(number))
    _free(old, f"track {number}")
    planned = _planned(track, PartName(old.part), plan, source or catalogue())
    tracks = list(plan.tracks)
    tracks[number - 1] = planned
    changed = replace(plan, tracks=tuple(tracks), notes=_without_notes(plan, old))
    return _anew(changed, (number - 1,), source)


def _anew(
    plan: ClassPlan, tracks: Iterable[int] | dict[int, frozenset[int]], source: Catalogue | None
) -> ClassPlan:
    """Return a plan in which some tracks (0-based) are filled anew, all others as they are."""
    plan = _as_long(plan)
    if isinstance(tracks, dict):
        free: dict[int, frozenset[int] | None] = dict(tracks)
    else:
        free = dict.fromkeys(tracks)
    if not free:
        return refilled(plan, {-1: frozenset()}, source)
    return refilled(plan, free, source, close=False)


def _as_long(plan: ClassPlan) -> ClassPlan:
    """Return a plan whose minutes are those of its tracks, where it says that they are."""
    if not any(WHOLE_ONCE in note for note in plan.notes):
        return plan
    told = whole_once(len(plan.tracks))
    return replace(
        plan,
        brief=replace(plan.brief, minutes=round(minutes_of(plan.tracks), 1)),
        notes=tuple(told if WHOLE_ONCE in note else note for note in plan.notes),
    )


def _free(track: PlannedTrack, name: str) -> None:
    if track.locked:
        raise InputError(f"{name} ({track.title}) is locked: unlock it first")


def _without_notes(plan: ClassPlan, track: PlannedTrack) -> tuple[str, ...]:
    return tuple(note for note in plan.notes if not note.startswith(f"{track.title}: "))


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
