"""The main job for programs: hear, judge, plan, cue, export; one call each.

Each function takes paths, or what an earlier one returned, and calls the use cases in
``workflow``; it computes nothing of its own. Errors derive from ``AquatempoError``, and
their text is fit to show. A plain script works, without a guard for its main part.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from aquatempo.documents.brief import BriefFile, read_brief
from aquatempo.documents.move_requests import open_catalogue
from aquatempo.errors import InputError
from aquatempo.records.check import CheckReport
from aquatempo.records.cues import CueOptions, CueTimeline
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.plan import Brief, ClassPlan
from aquatempo.records.review import Review
from aquatempo.records.tempo_option import TempoOption
from aquatempo.records.track import Failure, Track
from aquatempo.records.variation import JudgedLadder
from aquatempo.records.verdict import Verdict
from aquatempo.workflow.checking import USUAL_POOLS
from aquatempo.workflow.exporting import ExportOptions, ExportReport

__all__ = [
    "check",
    "cue",
    "export",
    "hear",
    "judge",
    "listen",
    "one_track_class",
    "plan",
    "review_plan",
    "twin",
    "vary",
]

PathText = str | os.PathLike[str]
Told = Callable[[int, int], None]


def hear(
    path: PathText,
    *,
    expect_bpm: tuple[float, float] | None = None,
    use_cache: bool = True,
    use_corrections: bool = True,
) -> Track:
    """Return what is heard in one audio file, track sheet or JAMS file.

    path: of the file. expect_bpm: range [beats/min] in which the tempo is expected. use_cache:
    take what was heard before, and keep what is heard now. use_corrections: apply the user's
    own. ``track.analysis`` holds tempo [beats/min], beats [s], phrases and confidences (0 to
    1). Raises AudioError for a file that cannot be decoded, InputError for a wrong sheet.
    """
    from aquatempo.music.hearing import Hearing, open_track

    return open_track(os.fspath(path), Hearing(expect_bpm, use_cache, use_corrections))


def listen(
    *paths: PathText,
    jobs: int | None = None,
    expect_bpm: tuple[float, float] | None = None,
    use_cache: bool = True,
    use_corrections: bool = True,
    progress: Told | None = None,
) -> Iterator[Track | Failure]:
    """Yield each track that paths name, in order, or a Failure with the reason.

    paths: files, folders, playlists, sheets. jobs: processes at a time, None for one a core.
    expect_bpm: range [beats/min] in which tempos are expected. use_cache, use_corrections: as
    ``hear`` takes them. progress: told (tracks done, of all).
    """
    from aquatempo.workflow import listening

    return listening.listen(
        _texts(paths),
        jobs=jobs,
        expect_bpm=expect_bpm,
        use_cache=use_cache,
        use_corrections=use_corrections,
        progress=progress,
    )


def judge(
    target: float | Track | PathText,
    pool: Pool | None = None,
    group: Group | None = None,
    *,
    moves: Sequence[str] = (),
    patterns: Sequence[str] = tuple(TempoOption),
    own_moves: PathText | None = None,
) -> tuple[Verdict, ...]:
    """Return which moves keep their range at a tempo, in a pool, for a group.

    target: a tempo [beats/min], a track, or the path of one. pool, group: the water and the
    people, None for the usual ones. moves: names as typed (``"jack+hands=fist"``), none for all
    base moves that the depth allows. patterns: counts a movement, by default 1, 2 and 4.
    own_moves: the user's catalogue file. One verdict a move and pattern. Raises InputError.
    """
    from aquatempo.workflow import judging

    return judging.judge(
        _tempo(target),
        pool or Pool(),
        group or Group(),
        moves=moves,
        patterns=patterns,
        own_moves=_text(own_moves),
    )


def vary(
    move: str,
    target: float | Track | PathText,
    pool: Pool | None = None,
    group: Group | None = None,
    *,
    own_moves: PathText | None = None,
) -> JudgedLadder:
    """Return the variations of a move with one factor changed, from easier to harder.

    move: its name. target, pool, group, own_moves: as ``judge`` takes them. Raises
    UnknownNameError with the nearest name.
    """
    from aquatempo.workflow import varying

    return varying.vary(
        move, _tempo(target), pool or Pool(), group or Group(), own_moves=_text(own_moves)
    )


def check(
    *paths: PathText,
    pools: Sequence[Pool] = USUAL_POOLS,
    group: Group | None = None,
    own_moves: PathText | None = None,
    jobs: int | None = None,
    progress: Told | None = None,
) -> CheckReport:
    """Return how each track that paths name suits the class of each pool.

    paths: files, folders, playlists, sheets. pools: one a class, by default a shallow and a
    deep one. group: the people. own_moves: the user's catalogue file. jobs: processes at a
    time, None for one a core. progress: told (tracks done, of all).
    """
    from aquatempo.workflow import checking

    return checking.check(
        _texts(paths), pools, group, own_moves=_text(own_moves), jobs=jobs, progress=progress
    )


def plan(
    music: PathText | Sequence[PathText],
    brief: Brief | PathText | None = None,
    *,
    all_once: bool = False,
    own_moves: PathText | None = None,
    jobs: int | None = None,
    progress: Callable[[str, int, int], None] | None = None,
) -> ClassPlan:
    """Return a class planned from music: songs in order, moves on their phrases.

    music: a folder, file or playlist, or several. brief: what is wished, or the path of a brief
    file, None for the usual class. all_once: each track is played whole, once. own_moves: the
    user's catalogue file. jobs: processes at a time, None for one a core. progress: told (what,
    done, of all). Tracks that cannot be heard stand in ``left_out`` with the reason. Raises
    InfeasibleError with what clashes, TextFileError with the line of the brief.
    """
    from aquatempo.workflow import planning

    if brief is None or isinstance(brief, Brief):
        given = BriefFile(brief or Brief())
    else:
        given = read_brief(os.fspath(brief))
    paths = (music,) if isinstance(music, str | os.PathLike) else tuple(music)
    return planning.plan(
        _texts(paths),
        replace(given, brief=replace(given.brief, twin=False)),
        own_moves=_text(own_moves),
        all_once=all_once,
        jobs=jobs,
        progress=progress,
    ).plan


def twin(plan: ClassPlan, *, own_moves: PathText | None = None) -> ClassPlan:
    """Return the class of the same songs for the other depth.

    plan: as ``plan`` returns it. own_moves: the user's catalogue file. Raises InfeasibleError.
    """
    from aquatempo.planning.twin import twin_plan

    return twin_plan(plan, open_catalogue(_text(own_moves)))


def one_track_class(
    track: Track | PathText,
    moves: Sequence[str] = (),
    pool: Pool | None = None,
    group: Group | None = None,
    *,
    own_moves: PathText | None = None,
) -> ClassPlan:
    """Return one track with moves on its phrases, as a class to cue and to export.

    track: as ``hear`` returns it, or its path. moves: in the order to teach them; none for base
    moves that keep their full range. pool, group: the water and the people. own_moves: the
    user's catalogue file. Raises InputError where no beat was heard or no move fits.
    """
    from aquatempo.workflow.cueing import fill_track

    heard = track if isinstance(track, Track) else hear(track)
    water, people = pool or Pool(), group or Group()
    planned = fill_track(heard, moves, open_catalogue(_text(own_moves)), water, people)
    brief = Brief(title=heard.title, depth=ClassDepth(water.kind), pool=water, group=people)
    return ClassPlan(brief=brief, tracks=(replace(planned, analysis=heard.analysis),))


def review_plan(plan: ClassPlan, *, own_moves: PathText | None = None) -> Review:
    """Return what is wrong with a plan, with place, reason and remedy, worst first.

    plan: planned, read or written by hand. own_moves: the user's catalogue file. Calls are
    judged where the plan carries beats. Figures are estimates for planning.
    """
    from aquatempo.workflow import reviewing

    return reviewing.review(plan, source=open_catalogue(_text(own_moves)))


def cue(
    plan: ClassPlan, options: CueOptions | None = None, *, own_moves: PathText | None = None
) -> tuple[CueTimeline, ...]:
    """Return the timeline of each track of a class: changes and calls on its beats, times [s].

    plan: tracks without beats are heard first. options: language, rate and form of calls.
    own_moves: the user's catalogue file. Raises InputError where a file is another recording
    than the one that was planned.
    """
    from aquatempo.workflow import exporting

    source = open_catalogue(_text(own_moves))
    spoken = options or CueOptions(language=plan.brief.language)
    return exporting.timelines_of(_heard(plan), source, spoken)


def export(
    plan: ClassPlan,
    folder: PathText,
    options: ExportOptions | None = None,
    *,
    own_moves: PathText | None = None,
    progress: Told | None = None,
) -> ExportReport:
    """Write a class to a folder: cards, page, captions, sound, data.

    plan: tracks without beats are heard first. folder: made where it is not there. options:
    formats, language, whether files may be replaced. own_moves: the user's catalogue file.
    progress: told (files done, of all). What carries a song is written only where options name
    it. Raises OutputError before anything is replaced.
    """
    from aquatempo.workflow import exporting

    source = open_catalogue(_text(own_moves))
    return exporting.export_class(
        _heard(plan), os.fspath(folder), source, options or ExportOptions(), progress
    )


def _heard(plan: ClassPlan) -> ClassPlan:
    from aquatempo.workflow.planning import with_analyses

    if all(track.analysis is not None for track in plan.tracks):
        return plan
    return with_analyses(plan)


def _tempo(target: float | Track | PathText) -> float:
    if isinstance(target, int | float):
        return float(target)
    track = target if isinstance(target, Track) else hear(target)
    if track.analysis.tempo_bpm is None:
        raise InputError(f"no beat was heard in {track.file!r}: give a tempo in bpm instead")
    return track.analysis.tempo_bpm


def _text(path: PathText | None) -> str | None:
    return None if path is None else os.fspath(path)


def _texts(paths: Sequence[PathText]) -> list[str]:
    return [os.fspath(path) for path in paths]
