"""What is exported: a class of one track with moves."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.moves import Catalogue
from aquatempo.records.people import Group, Pool
from aquatempo.records.plan import Brief, ClassPlan
from aquatempo.workflow.cueing import fill_track
from aquatempo.workflow.requests import open_catalogue
from aquatempo.workflow.tracks import AS_USUAL, Hearing, open_track

__all__ = ["TrackRequest", "open_class"]


@dataclass(frozen=True, slots=True)
class TrackRequest:
    """How one track becomes a class: its moves in order, for whom and where."""

    moves: tuple[str, ...] = ()
    pool: Pool | None = None
    group: Group | None = None
    hearing: Hearing = AS_USUAL


def open_class(
    path: str, request: TrackRequest, own_moves: str | None = None
) -> tuple[ClassPlan, Catalogue]:
    """Return the class of an audio file or track sheet, named after it, and the catalogue.

    Raises InputError where no beat was heard or no move fits.
    """
    source = open_catalogue(own_moves)
    pool, group = request.pool or Pool(), request.group or Group()
    track = open_track(path, request.hearing)
    planned = fill_track(track, request.moves, source, pool, group)
    brief = Brief(title=track.title, depth=pool.kind, pool=pool, group=group)
    return ClassPlan(brief=brief, tracks=(planned,)), source
