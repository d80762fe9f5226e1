"""The calls for one track: the job behind ``aquatempo cue TRACK``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from aquatempo import cues
from aquatempo.deck.call_words import call_words
from aquatempo.documents.move_requests import MoveRequest, open_catalogue, parse_moves
from aquatempo.errors import InputError
from aquatempo.moves import Catalogue, resolve
from aquatempo.music.hearing import AS_USUAL, Hearing, open_track
from aquatempo.records.cues import CueOptions, CueTimeline
from aquatempo.records.moves import MoveKind
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.plan import Block, PlannedTrack
from aquatempo.records.track import Track
from aquatempo.records.verdict import Rating
from aquatempo.workflow.saying import timeline_said

__all__ = [
    "HOLDING",
    "cue",
    "fill_track",
]

HOLDING = {ClassDepth.SHALLOW: "easy-jog", ClassDepth.DEEP: "bicycle"}
CHOSEN = 3  # moves taken where none are named: enough to vary, few enough to remember


def cue(
    path: str,
    *,
    moves: Sequence[str] = (),
    pool: Pool | None = None,
    group: Group | None = None,
    options: CueOptions | None = None,
    own_moves: str | None = None,
    hearing: Hearing = AS_USUAL,
) -> tuple[Track, CueTimeline]:
    """Return a track (audio file or sheet) and its timeline of changes and calls.

    moves: as ``requests`` reads them, in the order to teach them; where none are named, base
    moves that keep their full range at this tempo, in this pool, for this group. Raises
    InputError where no beat was heard or no move fits. path: of the file; options: how calls
    are made; own_moves: the user's catalogue file, or None; hearing: how tracks are heard.
    """
    track = open_track(path, hearing)
    source = open_catalogue(own_moves)
    planned = fill_track(track, moves, source, pool or Pool(), group or Group())
    options = options or CueOptions()
    known = (*options.known_moves, *HOLDING.values())  # nobody is taught the holding move
    timeline = cues.timeline(
        track.analysis, planned, call_words(source), replace(options, known_moves=known)
    )
    return track, timeline_said(timeline)


def fill_track(
    track: Track, moves: Sequence[str], source: Catalogue, pool: Pool, group: Group
) -> PlannedTrack:
    """Return a track whose phrases carry moves in turn; see ``cue``.

    source: the catalogue in force; pool: the water; group: the people.
    """
    analysis = track.analysis
    if analysis.tempo_bpm is None:
        raise InputError(f"no beat was heard in {track.file!r}: there is nothing to call on")
    if moves:
        requests = parse_moves(moves, source)
    else:
        requests = _fitting(analysis.tempo_bpm, source, pool, group)
    (holding,) = parse_moves([HOLDING[pool.kind]], source)
    planned = cues.simple_choice(
        analysis,
        [_block(request, source, pool) for request in requests],
        _block(holding, source, pool),
        title=track.title,
        file=track.file,
        sided=[key for key, move in source.moves.items() if move.sided],
    )
    return replace(planned, content_key=track.content_key)


def _block(request: MoveRequest, source: Catalogue, pool: Pool) -> Block:
    """Return what is asked for, with the pattern, level and travel that it brings."""
    form = resolve(request.move, request.variation, pool.kind, source)
    pattern = request.pattern or form.pattern
    return Block(
        counts=0,
        move=request.move.key,
        variation=tuple((str(factor), key) for factor, key in request.variation.changes),
        pattern=pattern.text if pattern else request.move.pattern,
        level=str(form.level),
        travel=str(form.travel),
    )


def _fitting(
    tempo_bpm: float, source: Catalogue, pool: Pool, group: Group
) -> tuple[MoveRequest, ...]:
    """Return the first base moves that keep full range at their usual pattern, by plane."""
    from aquatempo.feasibility import judge

    fitting: list[MoveRequest] = []
    planes = set()
    for move in source.of_kind(MoveKind.BASE):
        if pool.kind not in move.depths or move.plane in planes:
            continue
        form = resolve(move, None, pool.kind, source)
        verdict = judge(form, None, tempo_bpm, pool, group, source=source)
        if verdict.rating is Rating.FULL:
            fitting += parse_moves([move.key], source)
            planes.add(move.plane)
        if len(fitting) == CHOSEN:
            break
    if not fitting:
        raise InputError(
            f"no base move keeps its full range at {tempo_bpm:.1f} bpm in this pool: "
            "name moves, or take a slower song"
        )
    return tuple(fitting)
