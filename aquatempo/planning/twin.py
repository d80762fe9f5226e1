"""The same songs for the other depth: what needs the floor is done in deep water's own way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from aquatempo.class_shape import ClassPart, class_shape
from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.class_plan import WORK, Progress, fill_class
from aquatempo.planning.infeasible import Lines
from aquatempo.planning.moves.runs import places_of
from aquatempo.planning.solver.solving import Solved
from aquatempo.planning.songs.outline import Outline
from aquatempo.planning.songs.song import usable
from aquatempo.records.moves import MoveKind
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.plan import Brief, ClassPlan, PlannedTrack

__all__ = ["twin_brief", "twin_move", "twin_plan"]

_OTHER_MOVE = 25  # what another move than the counterpart costs, a place
_POOLS = {ClassDepth.DEEP: 2.0, ClassDepth.SHALLOW: 1.2}  # usual depths [m]


def twin_plan(
    plan: ClassPlan,
    source: Catalogue | None = None,
    *,
    lines: Lines | None = None,
    work: float = WORK,
    progress: Progress | None = None,
) -> ClassPlan:
    """Return the plan of the same songs, ends and speeds for the other depth.

    Each move stays where the other depth allows it and the group keeps its range; otherwise its
    counterpart is taken. Raises InfeasibleError. source: the catalogue in force (None: the
    packaged one); lines: where the brief's asks stand in its file; work: in CP-SAT's
    deterministic seconds a stage; progress: told (tracks filled, of all).
    """
    known = source or catalogue()
    brief = twin_brief(plan.brief)
    parts = class_shape(replace(brief, parts=plan.brief.parts))
    bare = tuple(
        replace(track, phrases=tuple(replace(phrase, blocks=()) for phrase in track.phrases))
        for track in plan.tracks
    )
    notes = [f"twin of {plan.brief.title}: the same songs in {brief.depth.value} water"]
    notes += _outside(bare, parts)
    outline = Outline(
        brief,
        parts,
        bare,
        plan.left_out,
        tuple(notes),
        Solved(0.0, 0.0, True),
    )
    likings = {
        number: found
        for number, track in enumerate(plan.tracks)
        if (found := _likings(track, known, brief.depth, parts))
    }
    return fill_class(outline, known, likings=likings, lines=lines, work=work, progress=progress)


def _outside(tracks: Sequence[PlannedTrack], parts: Sequence[ClassPart]) -> list[str]:
    """Return a note for each song that is outside the range of its part at this depth."""
    found = []
    for track in tracks:
        part = next(part for part in parts if part.name == track.part)
        tempo, (low, high) = track.tempo_bpm * track.speed, part.tempo_bpm
        if track.file and not low - 0.5 <= tempo <= high + 0.5:
            words = f"{tempo:.0f} is outside {low:.0f}-{high:.0f} for the {part.name} here"
            found.append(f"{track.title}: {words}; moves were chosen that keep their range")
    return found


def twin_brief(brief: Brief) -> Brief:
    """Return the brief of the other depth: its pool at the usual depth, the same water."""
    deep = brief.depth is ClassDepth.SHALLOW
    depth = ClassDepth.DEEP if deep else ClassDepth.SHALLOW
    pool = Pool(
        depth_m=_POOLS[depth],
        temperature_c=brief.pool.temperature_c,
        salinity_g_kg=brief.pool.salinity_g_kg,
        space_m2=brief.pool.space_m2,
        kind=depth,
    )
    return replace(brief, depth=depth, pool=pool, twin=False, title=f"{brief.title}, {depth.value}")


def twin_move(key: str, depth: ClassDepth, source: Catalogue) -> str:
    """Return the move that stands for another at a depth, "" where there is none.

    key: of the move; source: the catalogue in force.

    >>> twin_move("rocking-horse", ClassDepth.DEEP, catalogue())
    'bicycle'
    """
    move = source.move(key)
    if depth in move.depths:
        return key
    if depth is ClassDepth.DEEP:
        return move.deep_equivalent
    back = (one.key for one in source.moves.values() if one.deep_equivalent == key)
    return next((one for one in back if depth in source.move(one).depths), "")


def _likings(
    track: PlannedTrack,
    source: Catalogue,
    depth: ClassDepth,
    parts: Sequence[ClassPart],
) -> Mapping[tuple[int, str], int]:
    """Return what each move costs at each place: little for the counterpart of the plan's."""
    whole = [phrase for phrase in track.phrases if usable(phrase)]
    part = next(part for part in parts if part.name == track.part)
    places = places_of(part.build, [phrase.energy_level for phrase in whole])
    first: dict[int, str] = {}
    for phrase, place in zip(whole, places, strict=True):
        if phrase.blocks:
            first.setdefault(place, phrase.blocks[0].move)
    found = {}
    for place, key in first.items():
        wanted = twin_move(key, depth, source)
        for move in source.moves.values():
            if depth in move.depths and move.kind is not MoveKind.STRETCH and move.key != wanted:
                found[place, move.key] = _OTHER_MOVE
    return found
