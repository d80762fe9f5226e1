"""Which moves fit at a tempo, in a pool, for a group: the job behind ``aquatempo judge``."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.documents.move_requests import MoveRequest, open_catalogue, parse_moves
from aquatempo.errors import InputError
from aquatempo.exports.range_picture import range_picture
from aquatempo.moves import Catalogue, parse_pattern, resolve
from aquatempo.music.hearing import AS_USUAL, Hearing, open_track
from aquatempo.records.moves import Factor, MoveKind, Pattern
from aquatempo.records.people import Group, Pool
from aquatempo.records.tempo_option import TempoOption
from aquatempo.records.verdict import Verdict
from aquatempo.store.results import refuse_target, write_result

__all__ = ["judge", "tempo_of", "write_range_picture"]


def judge(
    target: float | str,
    pool: Pool,
    group: Group,
    *,
    moves: Sequence[str] = (),
    patterns: Sequence[str] = tuple(TempoOption),
    own_moves: str | None = None,
    hearing: Hearing = AS_USUAL,
) -> tuple[Verdict, ...]:
    """Return verdicts, a row of patterns for each move.

    target: a tempo [beats/min], or an audio file or track sheet whose tempo is taken. moves: as
    ``requests`` reads them; none means all base moves that the depth allows. A move that names
    its own pattern gets that one only. Raises InputError, AudioError. pool: the water; group:
    the people; own_moves: the user's catalogue file, or None; hearing: how tracks are heard.
    """
    from aquatempo.feasibility import judge as judge_form

    source = open_catalogue(own_moves)
    requests = _requested(moves, pool, source)
    tempo_bpm = tempo_of(target, hearing)
    verdicts = []
    for request in requests:
        form = resolve(request.move, request.variation, pool.kind, source)
        for pattern in _patterns(request, patterns):
            verdicts.append(judge_form(form, pattern, tempo_bpm, pool, group, source=source))
    return tuple(verdicts)


def tempo_of(target: float | str, hearing: Hearing = AS_USUAL) -> float:
    """Return a tempo [beats/min] from a number or a track. Raises InputError without a beat.

    target: a number, or the path of a track; hearing: how tracks are heard.
    """
    if not isinstance(target, str):
        return target
    track = open_track(target, hearing)
    if track.analysis.tempo_bpm is None:
        raise InputError(f"no beat was heard in {target!r}: give a tempo in bpm instead")
    return track.analysis.tempo_bpm


def write_range_picture(
    path: str,
    pool: Pool,
    group: Group,
    *,
    moves: Sequence[str],
    patterns: Sequence[str] = tuple(TempoOption),
    tempo_bpm: float | None = None,
    own_moves: str | None = None,
    force: bool = False,
) -> None:
    """Write an SVG picture of range kept against music tempo for the chosen moves.

    path: ends in .svg; pool: the water; group: the people; patterns: counts a movement;
    tempo_bpm: marked, where given [beats/min]; own_moves: the user's catalogue file, or None;
    force: replace a file that exists.
    """
    from aquatempo.feasibility import range_curve

    refuse_target(path, "picture", (".svg",), force)
    curves = []
    source = open_catalogue(own_moves)
    for request in _requested(moves, pool, source):
        form = resolve(request.move, request.variation, pool.kind, source)
        curves += [
            range_curve(
                form, pattern or form.pattern or parse_pattern(request.move.pattern), pool, group
            )
            for pattern in _patterns(request, patterns)
        ]
    title = f"Range kept against tempo: {pool.kind}, {pool.depth_m:g} m, {pool.temperature_c:g} °C"
    write_result(path, range_picture(title, curves, tempo_bpm), force)


def _requested(moves: Sequence[str], pool: Pool, source: Catalogue) -> tuple[MoveRequest, ...]:
    if moves:
        return parse_moves(moves, source)
    base = [move.key for move in source.of_kind(MoveKind.BASE) if pool.kind in move.depths]
    return parse_moves(base, source)


def _patterns(request: MoveRequest, texts: Sequence[str]) -> tuple[Pattern | None, ...]:
    if request.pattern is not None:
        return (request.pattern,)
    if any(factor is Factor.TEMPO for factor, _ in request.variation.changes):
        return (None,)  # the variation's own
    return tuple(parse_pattern(text) for text in texts)
