"""A class from a folder of music and a brief: the jobs behind ``aquatempo plan``."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from aquatempo.deck.call_words import block_names
from aquatempo.documents.brief import BriefFile
from aquatempo.documents.move_requests import open_catalogue
from aquatempo.documents.plan import PLAN_SUFFIXES, is_plan, read_plan, write_plan, write_plans
from aquatempo.documents.rules_file import read_favourites_file, read_rules
from aquatempo.errors import InfeasibleError, InputError
from aquatempo.moves import Catalogue
from aquatempo.music.hearing import AS_USUAL, Hearing, each_track, open_track
from aquatempo.records.plan import Brief, ClassPlan, LeftOut, PlannedTrack
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.records.shaping import OtherClass
from aquatempo.records.track import Failure, Track
from aquatempo.store.results import refuse_folder, refuse_target
from aquatempo.units import as_words

__all__ = [
    "PlanReport",
    "block_names",
    "earlier_plans",
    "open_plan",
    "plan",
    "plan_course",
    "plan_late",
    "shape_file",
    "with_analyses",
]

Progress = Callable[[str, int, int], None]
# Of candidates that are chosen already nothing better is found later (docs/scale.md).
CHOSEN_WORK = 0.25


@dataclass(frozen=True, slots=True)
class PlanReport:
    """A plan, its twin for the other depth where one was asked for, and what could not be read.

    others: classes for the same brief that differ in base moves. written: the files written.
    """

    plan: ClassPlan
    twin: ClassPlan | None = None
    others: tuple[OtherClass, ...] = ()
    failures: tuple[Failure, ...] = ()
    written: tuple[str, ...] = ()


def plan(
    paths: Sequence[str],
    brief: BriefFile | Brief | None = None,
    *,
    out: str | None = None,
    own_moves: str | None = None,
    all_once: bool = False,
    others: int = 0,
    rules: str | None = None,
    favourites: str | None = None,
    after: str | None = None,
    from_library: str | None = None,
    library: str | None = None,
    hearing: Hearing = AS_USUAL,
    jobs: int | None = None,
    progress: Progress | None = None,
    force: bool = False,
) -> PlanReport:
    """Return a class planned from the tracks that paths name, and write it if told where.

    brief None: the usual class. all_once: each track is played whole, once, and the class lasts as
    long as they do. others: how many more classes for the brief, which differ in base moves; each
    is written beside out with its number in the name. rules: a coordinator's file; favourites: the
    instructor's own; after: a folder of earlier plans, which sort by name. A brief for both depths
    gives a twin, written beside out with its depth in the name. Where the first path is a plan, it
    is planned again around its locks, with other songs from the rest of the paths. Tracks that
    cannot be heard are reported and left out. Raises InfeasibleError with the brief's lines that
    clash, OutputError, TextFileError. own_moves: the user's catalogue file, or None; hearing: how
    tracks are heard; jobs: processes at a time, None for one a core; progress: told (what, done,
    of all); force: replace a file that exists. from_library: a query of the library, of whose
    tracks those that suit the parts best are candidates too; library: its file, None for the
    user's own.
    """
    from aquatempo.planning.class_plan import plan_class
    from aquatempo.planning.pairs import other_depth
    from aquatempo.planning.shaping.alternatives import other_classes
    from aquatempo.planning.shaping.replanning import replan
    from aquatempo.planning.twin import twin_plan

    source = open_catalogue(own_moves)
    again = read_plan(paths[0], source) if paths and is_plan(paths[0]) else None
    if again is not None and brief is not None:
        raise InputError(f"{paths[0]!r} is a plan and brings its brief: change it there")
    if others and (again is not None or all_once):
        raise InputError(
            "other classes: needs music to choose from and a brief, no plan to plan again and not "
            "--all"
        )
    given = _given(brief, rules, favourites, after, source)
    asked = given.brief
    if again is not None:
        asked = _with_files(again.brief, rules, favourites, after, source)
    targets = [] if out is None else [out]
    if asked.twin and out is not None:
        targets.append(_beside(out, other_depth(asked.depth).value))
    if out is not None:
        targets += [_beside(out, str(number)) for number in range(2, 2 + others)]
    for target in targets:  # what cannot be written is said before anything is heard
        refuse_target(target, "plan", PLAN_SUFFIXES, force)
    telling = _told(progress, "listening")
    heard = list(each_track(paths[again is not None :], hearing, jobs, telling))
    telling = _choosing_told(progress)
    if from_library is not None:
        from aquatempo.workflow.library.choosing import candidates

        heard += candidates(from_library, asked, library=library)[0]
    tracks = [one for one in heard if isinstance(one, Track)]
    failures = tuple(one for one in heard if isinstance(one, Failure))
    with _lost_told(failures):
        if again is not None:
            start = replace(again, brief=asked)
            planned = replan(start, source, tracks=tracks, progress=telling)
        else:
            planned = plan_class(
                tracks,
                given.brief,
                source,
                all_once=all_once,
                lines=given.lines,
                song_work=1.0 if from_library is None or paths else CHOSEN_WORK,
                progress=telling,
            )
    lost = tuple(LeftOut(as_words(Path(one.file).name), as_words(one.reason)) for one in failures)
    planned = replace(planned, left_out=(*planned.left_out, *lost))
    twin = None
    if asked.twin:
        telling = _told(progress, "planning twin")
        twin = twin_plan(planned, source, lines=given.lines, progress=telling)
    telling = _told(progress, "planning other classes")
    more = other_classes(tracks, planned, source, others, progress=telling) if others else ()
    made = [one for one in (planned, twin, *(other.plan for other in more)) if one is not None]
    write_plans(list(zip(made, targets, strict=bool(targets))), force)
    return PlanReport(planned, twin, more, failures, tuple(targets))


@contextmanager
def _lost_told(failures: Sequence[Failure]) -> Iterator[None]:
    """Within the block, tell in an error that no plan fits also what could not be heard."""
    try:
        yield
    except InfeasibleError as exc:
        if not failures:
            raise
        more = f" (and {len(failures) - 1} more)" if len(failures) > 1 else ""
        lost = f"not heard: {failures[0].reason}{more}"
        raise InfeasibleError([*exc.clashes, lost], exc.remedy) from exc


def _beside(out: str, name: str) -> str:
    """Return the path of what comes with a plan: a twin, its depth in the name, another class."""
    path = Path(out)
    return str(path.with_name(f"{path.stem}_{name}{path.suffix}"))


def plan_course(
    paths: Sequence[str],
    brief: BriefFile | Brief | None,
    weeks: int,
    folder: str,
    *,
    own_moves: str | None = None,
    rules: str | None = None,
    favourites: str | None = None,
    after: str | None = None,
    from_library: str | None = None,
    library: str | None = None,
    hearing: Hearing = AS_USUAL,
    jobs: int | None = None,
    progress: Progress | None = None,
    force: bool = False,
) -> tuple[tuple[ClassPlan, ...], tuple[Failure, ...], tuple[str, ...]]:
    """Return the classes of a course, what could not be heard, and the files written.

    weeks: how many; they are written to the folder as week_01.toml and on. The rest as in
    ``plan``. Raises InfeasibleError, OutputError, TextFileError. paths: of the music; brief:
    what was asked; own_moves: the user's catalogue file, or None; rules: a coordinator's file,
    or None; favourites: the instructor's own file, or None; after: the form that comes;
    from_library: a query of the library, or None; library: its file, None for the user's own;
    hearing: how tracks are heard; jobs: processes at a time, None for one a core; progress:
    told (what, done, of all); force: replace a file that exists.
    """
    from aquatempo.workflow.shaping import plan_weeks

    refuse_folder(folder, Path(folder))
    source = open_catalogue(own_moves)
    earlier = earlier_plans(after, source) if after else ()
    given = _given(brief, rules, favourites, None, source)
    heard = list(each_track(paths, hearing, jobs, _told(progress, "listening")))
    if from_library is not None:
        from aquatempo.workflow.library.choosing import candidates

        heard += candidates(from_library, given.brief, library=library)[0]
    tracks = [one for one in heard if isinstance(one, Track)]
    failures = tuple(one for one in heard if isinstance(one, Failure))
    with _lost_told(failures):
        plans = plan_weeks(tracks, given.brief, weeks, source, earlier, _told(progress, "planning"))
    written = []
    for number, one in enumerate(plans, len(earlier) + 1):
        target = str(Path(folder) / f"week_{number:02d}.toml")
        write_plan(one, target, force)
        written.append(target)
    return plans, failures, tuple(written)


def earlier_plans(folder: str, source: Catalogue) -> tuple[ClassPlan, ...]:
    """Return the plans in a folder, in the order of their names, oldest first.

    Raises InputError where there is none, TextFileError for one that cannot be read. source:
    the catalogue in force.
    """
    files = sorted(str(path) for path in Path(folder).glob("*") if path.is_file())
    plans = tuple(read_plan(path, source) for path in files if is_plan(path))
    if not plans:
        raise InputError(f"no plans in {folder!r}: needs those of earlier classes")
    return plans


def _given(
    brief: BriefFile | Brief | None,
    rules: str | None,
    favourites: str | None,
    after: str | None,
    source: Catalogue,
) -> BriefFile:
    file = brief if isinstance(brief, BriefFile) else BriefFile(brief or Brief())
    return replace(file, brief=_with_files(file.brief, rules, favourites, after, source))


def _with_files(
    brief: Brief,
    rules: str | None,
    favourites: str | None,
    after: str | None,
    source: Catalogue,
) -> Brief:
    """Return a brief with what stands in files of its own: rules, favourites, earlier plans."""
    from aquatempo.planning.course import brief_after

    if rules is not None:
        brief = replace(brief, rules=read_rules(rules, source))
    if favourites is not None:
        own = read_favourites_file(favourites, source)
        brief = replace(brief, favourites=(*brief.favourites, *own))
    if after is not None:
        brief = brief_after(brief, earlier_plans(after, source), source)
    return brief


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
    the file; out: file to write, or None; own_moves: the user's catalogue file, or None; force:
    replace a file that exists.
    """
    return shape_file(path, (f"late {minutes:g}",), out=out, own_moves=own_moves, force=force)


def shape_file(
    path: str,
    edits: Sequence[str],
    *,
    out: str | None = None,
    own_moves: str | None = None,
    hearing: Hearing = AS_USUAL,
    force: bool = False,
) -> PlanReport:
    """Return the plan in a file with changes made in turn, each one line, and write it if told.

    Raises InputError, InfeasibleError, TextFileError, OutputError. path: of the file; edits:
    lines of what to change; out: file to write, or None; own_moves: the user's catalogue file,
    or None; hearing: how tracks are heard; force: replace a file that exists.
    """
    from aquatempo.workflow.one_line import edit

    source = open_catalogue(own_moves)
    if out is not None:
        refuse_target(out, "plan", PLAN_SUFFIXES, force)
    shaped = read_plan(path, source)
    for line in edits:
        shaped = edit(shaped, line, source, hearing=hearing)
    if out is not None:
        write_plan(shaped, out, force)
    return PlanReport(shaped, written=(out,) if out else ())


def open_plan(path: str, *, own_moves: str | None = None, hearing: Hearing = AS_USUAL) -> ClassPlan:
    """Return the plan in a file with the beats of its tracks, as cues and exports need it.

    Raises TextFileError for the plan, AudioError and InputError for a track. path: of the file;
    own_moves: the user's catalogue file, or None; hearing: how tracks are heard.
    """
    return with_analyses(read_plan(path, open_catalogue(own_moves)), hearing)


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
    if not Path(track.file).exists():
        raise InputError(
            f"{track.title!r}: there is no {track.file!r}: needs the songs where they were, or "
            "beside the plan (was the plan copied without them?)"
        )
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


def _choosing_told(progress: Progress | None) -> Callable[[int, int], None] | None:
    """Tell at once that songs are chosen, which takes a while, and how far planning is then."""
    if progress is None:
        return None
    progress("choosing songs", 0, 1)

    def planned(done: int, total: int) -> None:
        progress("choosing songs", 1, 1)
        progress("planning", done, total)

    return planned


def _told(progress: Progress | None, what: str) -> Callable[[int, int], None] | None:
    if progress is None:
        return None
    return lambda done, total: progress(what, done, total)
