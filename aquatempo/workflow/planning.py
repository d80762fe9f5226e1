"""A class from a folder of music and a brief: the jobs behind ``aquatempo plan``."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from aquatempo.deck.call_words import block_names
from aquatempo.documents.brief import BriefFile
from aquatempo.documents.move_requests import open_catalogue
from aquatempo.documents.plan import read_plan, write_plan, write_plans
from aquatempo.errors import InputError
from aquatempo.music.hearing import AS_USUAL, Hearing, each_track, open_track
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Brief, ClassPlan, LeftOut, PlannedTrack
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.records.track import Failure, Track
from aquatempo.store.results import refuse_target

__all__ = ["PlanReport", "block_names", "plan", "plan_late", "with_analyses"]

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True)
class PlanReport:
    """A plan, its twin for the other depth where one was asked for, and what could not be read.

    written: the files written.
    """

    plan: ClassPlan
    twin: ClassPlan | None = None
    failures: tuple[Failure, ...] = ()
    written: tuple[str, ...] = ()


def plan(
    paths: Sequence[str],
    brief: BriefFile | Brief | None = None,
    *,
    out: str | None = None,
    own_moves: str | None = None,
    all_once: bool = False,
    from_library: str | None = None,
    library: str | None = None,
    hearing: Hearing = AS_USUAL,
    jobs: int | None = None,
    progress: Progress | None = None,
    force: bool = False,
) -> PlanReport:
    """Return a class planned from the tracks that paths name, and write it if told where.

    brief None: the usual class. all_once: each track is played whole, once, and the class lasts
    as long as they do. A brief for both depths gives a twin, written beside out with its depth
    in the name. Tracks that cannot be heard are reported and left out. Raises InfeasibleError
    with the brief's lines that clash, OutputError, TextFileError. own_moves: the user's
    catalogue file, or None; hearing: how tracks are heard; jobs: processes at a time, None for
    one a core; progress: told (what, done, of all); force: replace a file that exists.
    from_library: a query of the library, of whose tracks those that suit the parts best are
    candidates too; library: its file, None for the user's own.
    """
    from aquatempo.planning.class_plan import plan_class
    from aquatempo.planning.twin import twin_plan

    given = brief if isinstance(brief, BriefFile) else BriefFile(brief or Brief())
    source = open_catalogue(own_moves)
    targets = [] if out is None else [out]
    if given.brief.twin and out is not None:
        other = {ClassDepth.SHALLOW: ClassDepth.DEEP, ClassDepth.DEEP: ClassDepth.SHALLOW}
        targets.append(_beside(out, other[given.brief.depth]))
    for target in targets:  # what cannot be written is said before anything is heard
        refuse_target(target, "plan", (".toml",), force)
    heard = list(each_track(paths, hearing, jobs, _told(progress, "listening")))
    if from_library is not None:
        from aquatempo.workflow.library.choosing import candidates

        heard += candidates(from_library, given.brief, library=library)[0]
    tracks = [one for one in heard if isinstance(one, Track)]
    failures = tuple(one for one in heard if isinstance(one, Failure))
    lines = given.lines
    planned = plan_class(
        tracks,
        given.brief,
        source,
        all_once=all_once,
        lines=lines,
        progress=_told(progress, "planning"),
    )
    lost = tuple(LeftOut(Path(one.file).name, one.reason) for one in failures)
    planned = replace(planned, left_out=(*planned.left_out, *lost))
    twin = None
    if given.brief.twin:
        twin = twin_plan(planned, source, lines=lines, progress=_told(progress, "planning twin"))
    made = [planned] if twin is None else [planned, twin]
    write_plans(list(zip(made, targets, strict=bool(targets))), force)
    return PlanReport(planned, twin, failures, tuple(targets))


def _beside(out: str, depth: ClassDepth) -> str:
    """Return the path of the twin of a plan: the depth in its name."""
    path = Path(out)
    return str(path.with_name(f"{path.stem}_{depth.value}{path.suffix}"))


def plan_late(
    path: str,
    minutes: float,
    *,
    out: str | None = None,
    own_moves: str | None = None,
    force: bool = False,
) -> PlanReport:
    """Return the plan in a file trimmed for a class that starts some minutes late.

    Raises InfeasibleError where so much cannot be dropped, TextFileError, OutputError. path: of
    the plan; out: file for the shorter one, or None; own_moves: the user's catalogue file, or
    None; force: replace a file that exists.
    """
    from aquatempo.planning.late import trim_late

    if not 0 < minutes <= 60:
        raise InputError(f"late by {minutes:g} minutes: needs more than 0 and at most 60")
    source = open_catalogue(own_moves)
    trimmed = trim_late(read_plan(path, source), minutes, source)
    if out is not None:
        write_plan(trimmed, out, force)
    return PlanReport(trimmed, written=(out,) if out else ())


def with_analyses(planned: ClassPlan, hearing: Hearing = AS_USUAL) -> ClassPlan:
    """Return a plan whose tracks carry what is heard in their files.

    A track without a file, or without a beat, is counted by the clock at its tempo. Raises
    InputError where a file is another recording than the one that was planned. hearing: how
    tracks are heard.
    """
    tracks = tuple(
        replace(track, analysis=_analysis_of(track, hearing)) for track in planned.tracks
    )
    return replace(planned, tracks=tracks)


def _analysis_of(track: PlannedTrack, hearing: Hearing) -> RhythmAnalysis:
    from aquatempo.planning.songs.song import counted_by_clock

    last = track.phrases[-1]
    counted_s = (last.start_beat + last.counts) * 60.0 / track.tempo_bpm
    if not track.file:
        return counted_by_clock(counted_s, track.tempo_bpm)
    found = open_track(track.file, hearing)
    if track.content_key and found.content_key and track.content_key != found.content_key:
        raise InputError(
            f"{track.file!r} is not the recording that was planned: plan it again "
            "(was the file replaced by another version of the song?)"
        )
    if found.analysis.tempo_bpm is None:
        length_s = max(counted_s, found.analysis.duration_s)
        return counted_by_clock(length_s, track.tempo_bpm)
    return found.analysis


def _told(progress: Progress | None, what: str) -> Callable[[int, int], None] | None:
    if progress is None:
        return None
    return lambda done, total: progress(what, done, total)
