"""The same songs for the other depth: what needs the floor is done in deep water's own way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from aquatempo.class_shape.parts import ClassPart, class_shape
from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.class_plan import WORK, Progress, Wishes, fill_class
from aquatempo.planning.infeasible import Lines
from aquatempo.planning.pairs import twin_brief, twin_move
from aquatempo.planning.solver.solving import Solved
from aquatempo.planning.songs.outline import Outline
from aquatempo.records.moves import MoveKind
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Block, ClassPlan, PlannedTrack

__all__ = ["shared_moves", "twin_plan"]


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
    counterpart is taken. Raises InfeasibleError. source: the catalogue in force; lines: where
    each ask stands in its file; work: how much the solver may work; progress: told (what, done,
    of all).
    """
    known = source or catalogue()
    brief = twin_brief(plan.brief)
    parts = class_shape(brief)
    bare = tuple(
        replace(track, phrases=tuple(replace(phrase, blocks=()) for phrase in track.phrases))
        for track in plan.tracks
    )
    notes = [f"twin of {plan.brief.title}: the same songs in {brief.depth.value} water"]
    notes += _outside(bare, parts)
    outline = Outline(brief, parts, bare, plan.left_out, tuple(notes), Solved(0.0, 0.0, True))
    wishes = Wishes(
        follow={
            number: _followed(track, known, brief.depth) for number, track in enumerate(plan.tracks)
        },
        bases=_bases(plan, known, brief.depth),
    )
    twin = fill_class(outline, known, wishes=wishes, lines=lines, work=work, progress=progress)
    share = shared_moves(plan, twin, known)
    return replace(twin, notes=(*twin.notes, f"{share:.0%} of the blocks have the same move"))


def shared_moves(plan: ClassPlan, twin: ClassPlan, source: Catalogue) -> float:
    """Return the share of the blocks' counts in which a twin does the same move, 0 to 1.

    Stretches are left out: a wall and a floor ask for other ones. plan: the class; source: the
    catalogue in force.
    """
    same = total = 0
    for ours, theirs in zip(plan.tracks, twin.tracks, strict=True):
        for one, other in zip(ours.phrases, theirs.phrases, strict=True):
            moves = _by_count(one.blocks)
            for mine, its in zip(moves, _by_count(other.blocks), strict=True):
                if source.move(mine).kind is not MoveKind.STRETCH:
                    total += 1
                    same += mine == its
    return same / total if total else 1.0


def _by_count(blocks: Sequence[Block]) -> list[str]:
    return [block.move for block in blocks for _ in range(block.counts)]


def _bases(plan: ClassPlan, source: Catalogue, depth: ClassDepth) -> tuple[str, ...]:
    """Return the base moves of a plan as the other depth has them."""
    kinds = (MoveKind.BASE, MoveKind.DEEP_ONLY)
    used = dict.fromkeys(
        block.move for track in plan.tracks for phrase in track.phrases for block in phrase.blocks
    )
    found = (twin_move(key, depth, source) for key in used if source.move(key).kind in kinds)
    return tuple(dict.fromkeys(key for key in found if key))


def _followed(
    track: PlannedTrack, source: Catalogue, depth: ClassDepth
) -> Mapping[tuple[int, int], Block]:
    """Return what the other depth should do in each block of a track."""
    found = {}
    for index, phrase in enumerate(track.phrases):
        offset = 0
        for block in phrase.blocks:
            key = twin_move(block.move, depth, source)
            if key:
                found[index, offset] = replace(block, move=key)
            offset += block.counts
    return found


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
