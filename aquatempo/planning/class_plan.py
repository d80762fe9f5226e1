"""A class planned: outline, then each track filled in turn, then sides and showing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.blocks.filling import Filled, Music, fill
from aquatempo.planning.blocks.intervals import fill_by_clock, interval_places
from aquatempo.planning.blocks.pieces import led
from aquatempo.planning.blocks.showing import jumps_high, shown, with_showing
from aquatempo.planning.blocks.stretch_part import fill_with_stretches
from aquatempo.planning.infeasible import Lines, check_moves, check_shape, no_choice, no_outline
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.outline import Outline, outline_class
from aquatempo.planning.songs.song import CLOCK_BPM
from aquatempo.records.plan import Brief, ClassPlan, IntervalUnit, PartName, PlannedTrack
from aquatempo.records.track import Track

__all__ = [
    "WORK",
    "Progress",
    "fill_class",
    "plan_class",
]

Progress = Callable[[int, int], None]
Likings = Mapping[int, Mapping[tuple[int, str], int]]

WORK = 1.0  # CP-SAT's deterministic time for each stage of each track
_OLDER_YEARS = 70.0
_HOPS_FOR_OLDER, _HOPS_ENOUGH = 12, 45
_MOST_OF_THE_LIMIT = 0.75


def plan_class(
    tracks: Sequence[Track],
    brief: Brief,
    source: Catalogue | None = None,
    *,
    all_once: bool = False,
    lines: Lines | None = None,
    work: float = WORK,
    progress: Progress | None = None,
) -> ClassPlan:
    """Return a class of the tracks that suit the brief, each phrase filled with moves.

    all_once: every track is played whole, once; the class lasts as long as they do. lines:
    where the brief's asks stand in its file, for errors. work: how hard to search, in CP-SAT's
    deterministic seconds a stage. progress is told (done, of all). Raises InfeasibleError with
    what clashes and the least change that helps. source: the catalogue in force (None: the
    packaged one).
    """
    brief = replace(brief, pool=replace(brief.pool, kind=brief.depth))
    effort = Effort(brief.seed, work)
    tempos = [t.analysis.tempo_bpm for t in tracks if t.analysis.tempo_bpm]
    palette = Palette(brief, [tempo for tempo in tempos if 40 <= tempo <= 240], source)
    check_shape(brief, lines or {}, all_once)
    outline = outline_class(tracks, brief, palette, effort, all_once)
    if outline is None:
        raise no_outline(tracks, brief, palette, effort, lines or {})
    return fill_class(outline, palette.source, lines=lines, work=work, progress=progress)


def fill_class(
    outline: Outline,
    source: Catalogue | None = None,
    *,
    likings: Likings | None = None,
    lines: Lines | None = None,
    work: float = WORK,
    progress: Progress | None = None,
) -> ClassPlan:
    """Return the plan of an outline. likings: track -> (place, move) -> cost on top.

    source: the catalogue in force (None: the packaged one); lines: where the brief's asks stand
    in its file; work: in CP-SAT's deterministic seconds a stage; progress: told (tracks filled,
    of all).
    """
    brief, known = outline.brief, source or catalogue()
    played = [track.tempo_bpm * track.speed for track in outline.tracks]
    palette = Palette(brief, [CLOCK_BPM, *played], known)
    check_moves(palette, outline.tracks, lines or {})
    ledger = Ledger.starting_with(brief.known_moves)
    solved = [outline.solved]
    notes = list(outline.notes)
    tracks: list[PlannedTrack] = []
    apart, jumped, set_done = 0, 0.0, 0.0
    for number, track in enumerate(outline.tracks):
        part = next(part for part in outline.parts if part.name == track.part)
        shares = _shares(outline.tracks, number)
        music = Music(
            track.phrases, shares, played[number], part, likings=(likings or {}).get(number)
        )
        filled: Filled | None
        effort = Effort(brief.seed + number, work)
        if part.name is PartName.STRETCH:
            filled = fill_with_stretches(music, palette, ledger)
        elif part.name is PartName.INTERVALS and brief.intervals is not None:
            if brief.intervals.unit is IntervalUnit.SECONDS and ledger.known:
                filled, set_done = fill_by_clock(
                    music, brief.intervals, set_done, palette, ledger, effort
                )
            else:
                places, resting, set_done = interval_places(music, brief.intervals, set_done)
                music = replace(music, places=places, resting=resting)
                filled = fill(music, palette, ledger, effort, _hop_cost(brief, jumped))
        else:
            filled = fill(music, palette, ledger, effort, _hop_cost(brief, jumped))
        if filled is None:
            raise no_choice(palette, track, lines or {})
        solved += filled.solved
        blocks, apart = led(filled.rows, apart)
        phrases = tuple(
            replace(phrase, blocks=row) for phrase, row in zip(track.phrases, blocks, strict=True)
        )
        tracks.append(replace(track, phrases=phrases))
        jumped += sum(
            piece.counts / played[number]
            for row in filled.rows
            for piece in row
            if jumps_high(piece.form)
        )
        if progress is not None:
            progress(number + 1, len(outline.tracks))
    finished = with_showing(tracks, brief.jump_minutes, brief.depth, known)
    return ClassPlan(
        brief=brief,
        tracks=finished,
        left_out=outline.left_out,
        notes=(*notes, *_closing_notes(brief, finished, jumped, known)),
        status="optimal" if all(one.optimal for one in solved) else "feasible",
        gap=_gap(solved),
    )


def _hop_cost(brief: Brief, jumped: float) -> int:
    """Return what a phrase of jumping costs, dear where enough has been jumped."""
    if jumped >= _MOST_OF_THE_LIMIT * brief.jump_minutes:
        return _HOPS_ENOUGH
    return _HOPS_FOR_OLDER if brief.group.age_years[1] >= _OLDER_YEARS else 0


def _shares(tracks: Sequence[PlannedTrack], number: int) -> list[float]:
    """Return where the middle of each phrase of a track lies in its part, 0 to 1."""
    mine = [track for track in tracks if track.part == tracks[number].part]
    minutes = [
        [phrase.counts / (track.tempo_bpm * track.speed) for phrase in track.phrases]
        for track in mine
    ]
    total = sum(map(sum, minutes))
    place = sum(1 for track in tracks[:number] if track.part == tracks[number].part)
    done = sum(map(sum, minutes[:place]))
    shares = []
    for length in minutes[place]:
        shares.append(min(1.0, (done + length / 2) / total))
        done += length
    return shares


def _gap(solved: Sequence[Solved]) -> float:
    """Return by which share of its cost a plan could at most be better, stage by stage."""
    cost = sum(one.cost for one in solved)
    least = sum(min(one.bound, one.cost) for one in solved)
    return round(max(0.0, (cost - least) / cost), 4) if cost > 0 else 0.0


def _closing_notes(
    brief: Brief, tracks: Sequence[PlannedTrack], jumped: float, known: Catalogue
) -> list[str]:
    minutes = sum(
        phrase.counts / (track.tempo_bpm * track.speed)
        for track in tracks
        for phrase in track.phrases
    )
    notes = [f"{minutes:.1f} minutes in whole phrases; {brief.minutes:g} were asked for"]
    if jumped:
        full = shown(tracks, brief.depth, known)
        notes.append(
            f"{jumped:.1f} minutes of jumps, {full:.1f} of them shown in full on deck"
            f" (limit {brief.jump_minutes:g})"
        )
    if brief.equipment:
        notes.append(f"equipment ({', '.join(brief.equipment)}) is not counted in the figures")
    notes.append("rights to play, copy and edit music differ by place: check each track")
    return notes
