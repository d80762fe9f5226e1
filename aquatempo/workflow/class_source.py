"""What is exported: the class of a plan file, or a class of one track with moves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from aquatempo.documents.move_requests import open_catalogue
from aquatempo.documents.plan import is_plan, read_plan
from aquatempo.errors import InputError
from aquatempo.moves import Catalogue
from aquatempo.music.hearing import AS_USUAL, Hearing, open_track
from aquatempo.records.people import Group, Pool
from aquatempo.records.plan import Brief, ClassPlan
from aquatempo.workflow.cueing import fill_track
from aquatempo.workflow.planning import with_analyses

__all__ = ["TrackRequest", "open_class"]


@dataclass(frozen=True, slots=True)
class TrackRequest:
    """How one track becomes a class: its moves in order, for whom and where."""

    moves: tuple[str, ...] = ()
    pool: Pool | None = None
    group: Group | None = None
    hearing: Hearing = AS_USUAL


def open_class(
    path: str,
    request: TrackRequest,
    own_moves: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[ClassPlan, Catalogue]:
    """Return the class in a plan, or that of an audio file or track sheet, and the catalogue.

    progress is told (tracks heard, of all) for a plan.

    Raises TextFileError for the plan, InputError where no beat was heard, no move fits, or a
    plan, which brings its own, is given moves, pool or group. path: of the plan, audio or
    sheet; request: moves, pool and group for a single track; own_moves: the user's catalogue
    file, or None.
    """
    source = open_catalogue(own_moves)
    if is_plan(path):
        if request.moves or request.pool or request.group:
            raise InputError(
                f"{path!r} is a plan and brings its moves, pool and group: "
                "needs no options for them (edit the plan?)"
            )
        return _heard(read_plan(path, source), request.hearing, progress), source
    pool, group = request.pool or Pool(), request.group or Group()
    track = open_track(path, request.hearing)
    planned = fill_track(track, request.moves, source, pool, group)
    brief = Brief(title=track.title, depth=pool.kind, pool=pool, group=group)
    return ClassPlan(brief=brief, tracks=(planned,)), source


def _heard(
    plan: ClassPlan, hearing: Hearing, progress: Callable[[int, int], None] | None
) -> ClassPlan:
    """Return a plan with the beats of its tracks, heard one after the other."""
    tracks = list(plan.tracks)
    for number, track in enumerate(plan.tracks):
        (tracks[number],) = with_analyses(replace(plan, tracks=(track,)), hearing).tracks
        if progress is not None:
            progress(number + 1, len(tracks))
    return replace(plan, tracks=tuple(tracks))
