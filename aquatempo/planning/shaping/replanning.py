"""A plan planned again around what stays: locked parts, tracks, phrases and blocks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from aquatempo.class_shape.parts import class_shape
from aquatempo.moves import Catalogue, catalogue, resolve, variation_of
from aquatempo.planning.class_plan import WORK, Progress, Wishes, fill_class
from aquatempo.planning.infeasible import Lines, check_shape, no_outline
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.moves.slots import Kept
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.outline import Outline, outline_class
from aquatempo.planning.telling import minutes_of
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import (
    Block,
    Brief,
    ClassPlan,
    PartBrief,
    PartName,
    PlannedPhrase,
    PlannedTrack,
)
from aquatempo.records.track import Track

__all__ = ["Free", "bases_of", "refilled", "replan"]

Free = Mapping[int, frozenset[int] | None]
"""Which phrases may change: track -> indexes of phrases, None for all of them."""
_CLOSING = (
    *("minutes in whole phrases", "minutes of jumps", "rights to play", "a flotation belt"),
    *(
        "is not counted in the figures",
        "of the blocks have the same move",
        "rated by",
        "the favourite ",
    ),
)


def replan(
    plan: ClassPlan,
    source: Catalogue | None = None,
    *,
    tracks: Sequence[Track] = (),
    seed: int | None = None,
    lines: Lines | None = None,
    work: float = WORK,
    progress: Progress | None = None,
) -> ClassPlan:
    """Return a plan with what is locked kept to the letter and the rest planned anew.

    tracks: music to choose from for the songs that are not locked; none: the songs stay as they
    are. seed: another choice among equals. Raises InfeasibleError. source: the catalogue in
    force; lines: where each ask stands in its file; work: how much the solver may work;
    progress: told (what, done, of all).
    """
    known = source or catalogue()
    brief = plan.brief if seed is None else replace(plan.brief, seed=seed)
    plan = _with_locked_parts(replace(plan, brief=brief))
    outline = _with_songs(plan, tracks, known, lines or {}, work) if tracks else _same_songs(plan)
    wishes = _kept_wishes(outline.tracks, brief, known, {})
    filled = fill_class(
        _bare(outline), known, wishes=wishes, lines=lines, work=work, progress=progress
    )
    return _relocked(filled, outline.tracks)


def refilled(
    plan: ClassPlan,
    free: Free,
    source: Catalogue | None = None,
    *,
    only: Mapping[int, Mapping[int, frozenset[str]]] | None = None,
    close: bool = True,
    work: float = WORK,
) -> ClassPlan:
    """Return a plan in which only some phrases are planned anew; all else stays as it is.

    free: which may change, locked ones never. only: of some phrases, the moves that may fill
    them. close: what is planned anew stays near to what it was. Raises InfeasibleError. source:
    the catalogue in force; work: how much the solver may work.
    """
    known = source or catalogue()
    plan = _with_locked_parts(plan)
    outline = _same_songs(plan)
    wishes = _kept_wishes(outline.tracks, plan.brief, known, free)
    follow = {}
    if close:
        follow = {number: _blocks_by_place(track) for number, track in enumerate(plan.tracks)}
    wishes = replace(wishes, only=only or {}, follow=follow, bases=bases_of(plan, known))
    return _relocked(fill_class(_bare(outline), known, wishes=wishes, work=work), outline.tracks)


def bases_of(plan: ClassPlan, source: Catalogue) -> tuple[str, ...]:
    """Return the base moves of a plan, in the order in which they come.

    source: the catalogue in force.
    """
    kinds = (MoveKind.BASE, MoveKind.DEEP_ONLY)
    used = dict.fromkeys(
        block.move for track in plan.tracks for phrase in track.phrases for block in phrase.blocks
    )
    return tuple(key for key in used if source.move(key).kind in kinds)


def _with_locked_parts(plan: ClassPlan) -> ClassPlan:
    """Return a plan whose locked parts are told track by track."""
    locked = {part.name.value for part in plan.brief.parts if part.locked}
    tracks = tuple(
        replace(track, locked=True) if track.part in locked else track for track in plan.tracks
    )
    return replace(plan, tracks=tracks)


def _same_songs(plan: ClassPlan) -> Outline:
    notes = tuple(note for note in plan.notes if not any(word in note for word in _CLOSING))
    notes = tuple(note for note in notes if note not in _cautions(plan.brief))
    parts = class_shape(_shape_brief(plan))
    return Outline(plan.brief, parts, plan.tracks, plan.left_out, notes, Solved(0.0, 0.0, True))


def _cautions(brief: Brief) -> tuple[str, ...]:
    from aquatempo.class_shape.limits import limits_of

    return limits_of(brief).cautions


def _shape_brief(plan: ClassPlan) -> Brief:
    """Return the brief of a plan with every part that the plan has, even against its own lines."""
    have = [part.name for part in class_shape(plan.brief)]
    missing = [
        PartName(name)
        for name in dict.fromkeys(track.part for track in plan.tracks)
        if PartName(name) not in have
    ]
    if not missing:
        return plan.brief
    parts = [
        *(plan.brief.parts or ()),
        *(
            PartBrief(name, max(0.5, minutes_of([t for t in plan.tracks if t.part == name.value])))
            for name in missing
        ),
    ]
    if not plan.brief.parts:
        parts += [PartBrief(part.name, part.minutes) for part in class_shape(plan.brief)]
    return replace(
        plan.brief, parts=tuple(sorted(parts, key=lambda p: list(PartName).index(p.name)))
    )


def _with_songs(
    plan: ClassPlan, tracks: Sequence[Track], known: Catalogue, lines: Lines, work: float
) -> Outline:
    """Return an outline with the songs that stay in their places and others chosen anew."""
    brief = replace(plan.brief, pool=replace(plan.brief.pool, kind=plan.brief.depth))
    staying = {number for number, track in enumerate(plan.tracks) if _stays(track)}
    kept = [plan.tracks[number] for number in sorted(staying)]
    used = {(track.content_key, track.title) for track in kept}
    left = [t for t in tracks if (t.content_key, t.title) not in used]
    parts = []
    for part in class_shape(brief):
        minutes = minutes_of([track for track in kept if track.part == part.name.value])
        own = part.tempo_bpm if part.own_range else None
        told = next((one for one in brief.parts if one.name is part.name), None)
        base = told or PartBrief(part.name, part.minutes, own)
        if part.minutes - minutes >= _LEAST_MINUTES:
            parts.append(replace(base, minutes=part.minutes - minutes))
    if not parts:
        return _same_songs(replace(plan, tracks=tuple(kept)))
    asked = replace(brief, parts=tuple(parts), minutes=sum(part.minutes for part in parts))
    tempos = [t.analysis.tempo_bpm for t in left if t.analysis.tempo_bpm]
    palette = Palette(asked, [tempo for tempo in tempos if 40 <= tempo <= 240] or [120.0], known)
    check_shape(brief, lines, all_once=False)
    effort = Effort(brief.seed, work)
    found = outline_class(left, asked, palette, effort, all_once=False)
    if found is None:
        raise no_outline(left, asked, palette, effort, lines)
    merged = _merged(plan.tracks, staying, found.tracks)
    return replace(found, brief=brief, parts=class_shape(_shape_brief(plan)), tracks=tuple(merged))


_LEAST_MINUTES = 1.0  # that a part lacks before songs are looked for


def _stays(track: PlannedTrack) -> bool:
    """Return whether anything of a track is locked, so that the song has to stay."""
    inside = (block.locked for phrase in track.phrases for block in phrase.blocks)
    return track.locked or any(phrase.locked for phrase in track.phrases) or any(inside)


def _merged(
    old: Sequence[PlannedTrack], staying: set[int], new: Sequence[PlannedTrack]
) -> list[PlannedTrack]:
    """Return new tracks by part, with those that stay at the places within it that they had."""
    found = []
    for name in PartName:
        mine = [track for track in new if track.part == name.value]
        places = [number for number, track in enumerate(old) if track.part == name.value]
        for place, number in enumerate(places):
            if number in staying:
                mine.insert(min(place, len(mine)), old[number])
        found += mine
    return found


def _kept_wishes(
    tracks: Sequence[PlannedTrack], brief: Brief, source: Catalogue, free: Free
) -> Wishes:
    """Return the wishes that keep what is locked; with free, also all that is not free."""
    here = source.at(brief.depth)
    kept: dict[int, dict[int, tuple[Kept | int, ...]]] = {}
    whole: dict[int, PlannedTrack] = {}
    for number, track in enumerate(tracks):
        may = free.get(number, frozenset()) if free else None
        rows: dict[int, tuple[Kept | int, ...]] = {}
        for index, phrase in enumerate(track.phrases):
            changes = may is None or index in may
            held = track.locked or phrase.locked or not changes
            if not phrase.blocks:
                continue
            if held:
                rows[index] = tuple(_keep(block, brief, here) for block in phrase.blocks)
            elif any(block.locked for block in phrase.blocks):
                rows[index] = _segments(phrase, brief, here)
        if rows:
            kept[number] = rows
        if len(rows) == len(track.phrases) and all(
            isinstance(part, Kept) for row in rows.values() for part in row
        ):
            whole[number] = track
    return Wishes(kept=kept, whole=whole)


def _segments(phrase: PlannedPhrase, brief: Brief, source: Catalogue) -> tuple[Kept | int, ...]:
    """Return the blocks of a phrase that are locked, and the counts between them."""
    found: list[Kept | int] = []
    for block in phrase.blocks:
        if block.locked:
            found.append(_keep(block, brief, source))
        elif found and isinstance(found[-1], int):
            found[-1] += block.counts
        else:
            found.append(block.counts)
    return tuple(found)


def _keep(block: Block, brief: Brief, source: Catalogue) -> Kept:
    move = source.move(block.move)
    form = resolve(move, variation_of(move, block.variation, source), brief.depth, source)
    return Kept(block, form)


def _blocks_by_place(track: PlannedTrack) -> dict[tuple[int, int], Block]:
    found = {}
    for index, phrase in enumerate(track.phrases):
        offset = 0
        for block in phrase.blocks:
            found[index, offset] = block
            offset += block.counts
    return found


def _bare(outline: Outline) -> Outline:
    tracks = tuple(
        replace(track, phrases=tuple(replace(phrase, blocks=()) for phrase in track.phrases))
        for track in outline.tracks
    )
    return replace(outline, tracks=tracks)


def _relocked(plan: ClassPlan, tracks: Sequence[PlannedTrack]) -> ClassPlan:
    """Return a plan whose locks stand where they stood."""
    found = []
    for track, old in zip(plan.tracks, tracks, strict=True):
        phrases = tuple(
            replace(phrase, locked=before.locked, section=phrase.section or before.section)
            for phrase, before in zip(track.phrases, old.phrases, strict=True)
        )
        found.append(replace(track, phrases=phrases, locked=old.locked))
    return replace(plan, tracks=tuple(found))
