"""``aquatempo plan``: from a folder of music and a brief to a class."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from aquatempo.cli.failures import report_failure
from aquatempo.cli.options import AsJson, EachPhrase, Expected, Force, Jobs, OwnMoves
from aquatempo.cli.output import make_console, print_json, progress_steps, say
from aquatempo.cli.parsing import expected_range
from aquatempo.records.plain import to_plain

if TYPE_CHECKING:
    from aquatempo.records.plan import ClassPlan
    from aquatempo.records.track import Failure

__all__ = ["EXAMPLES", "plan"]

EXAMPLES = (
    "aquatempo plan music --brief brief.toml --out plan.toml",
    "aquatempo plan sample_audio --all",
    "aquatempo plan music --brief brief.toml --others 2 --out plan.toml",
    "aquatempo plan plan.toml --late 8 --out late.toml",
    "aquatempo plan plan.toml music --out again.toml",
    "aquatempo plan music --brief brief.toml --weeks 6 --out course",
)


def plan(
    paths: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="PATH...",
            help="Audio files, folders, playlists, track sheets; or a plan, to plan it again"
            " around its locks (then music to choose other songs from).",
        ),
    ] = None,
    brief: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="What the class is to be (TOML). [default: 45 minutes]"),
    ] = None,
    out: Annotated[
        str | None, typer.Option(metavar="FILE", help="Write the plan (TOML), to read and edit.")
    ] = None,
    late: Annotated[
        float | None,
        typer.Option(metavar="MINUTES", help="Trim a plan: the class starts so many minutes late."),
    ] = None,
    from_library: Annotated[
        str | None,
        typer.Option(
            metavar="QUERY",
            help='Take tracks from the library: "sure, approved", or "" for all of it.',
        ),
    ] = None,
    all_once: Annotated[
        bool,
        typer.Option("--all", help="Play each track whole, once; the class lasts as long."),
    ] = False,
    others: Annotated[
        int,
        typer.Option(
            metavar="N", min=0, max=3, help="So many more classes, which differ in base moves."
        ),
    ] = 0,
    after: Annotated[
        str | None,
        typer.Option(metavar="FOLDER", help="Plans of earlier classes; they sort by name."),
    ] = None,
    weeks: Annotated[
        int | None,
        typer.Option(metavar="N", help="Plan a course of so many classes; --out is a folder."),
    ] = None,
    rules: Annotated[
        str | None, typer.Option(metavar="FILE", help="A coordinator's rules (TOML).")
    ] = None,
    favourites: Annotated[
        str | None, typer.Option(metavar="FILE", help="Your own blocks and choruses (TOML).")
    ] = None,
    own_moves: OwnMoves = None,
    expect: Expected = None,
    jobs: Jobs = None,
    force: Force = False,
    verbose: EachPhrase = False,
    as_json: AsJson = False,
) -> None:
    """Plan a class: which track plays when, and what each phrase is filled with.

    Effort is that of the brief, part by part; notes on people act and say so; moves keep
    their range in this pool, for this group; a chorus comes back with the song's; one thing
    is changed at a time; right and left, planes and muscles are balanced. Where the brief
    cannot be met, the lines that clash are named with the least change that helps. With --late,
    phrases are dropped from a plan, the least needed first.
    """
    from aquatempo.cli.views.plan import show_others, show_plan
    from aquatempo.documents.brief import read_brief
    from aquatempo.documents.move_requests import open_catalogue
    from aquatempo.music.hearing import Hearing
    from aquatempo.workflow import planning

    source = open_catalogue(own_moves)
    paths = paths or []
    if not paths and from_library is None:
        raise typer.BadParameter("needs music: files, folders, playlists, or --from-library")
    if weeks is not None:
        if not out or late is not None or all_once or others:
            raise typer.BadParameter("--weeks needs --out FOLDER, no --late, --all or --others")
        with progress_steps() as progress:
            plans, failures, written = planning.plan_course(
                paths,
                read_brief(brief, source) if brief else None,
                weeks,
                out,
                own_moves=own_moves,
                rules=rules,
                favourites=favourites,
                after=after,
                from_library=from_library,
                hearing=Hearing(expected_range(expect)),
                jobs=jobs,
                progress=progress,
                force=force,
            )
        _show_course(plans, written, failures, as_json)
        return
    if late is not None:
        if len(paths) != 1 or brief or all_once or others:
            raise typer.BadParameter("--late takes one plan and no brief: plan.toml --late 8")
        report = planning.plan_late(paths[0], late, out=out, own_moves=own_moves, force=force)
    else:
        with progress_steps() as progress:
            report = planning.plan(
                paths,
                read_brief(brief, source) if brief else None,
                out=out,
                own_moves=own_moves,
                all_once=all_once,
                others=others,
                rules=rules,
                favourites=favourites,
                after=after,
                from_library=from_library,
                hearing=Hearing(expected_range(expect)),
                jobs=jobs,
                progress=progress,
                force=force,
            )
    for planned in (report.plan, report.twin, *(other.plan for other in report.others)):
        if planned is not None and as_json:
            print_json("aquatempo/plan/1", _without_beats(to_plain(planned)))
        elif planned is not None:
            show_plan(make_console(), planned, own_moves, verbose)
    if report.others and not as_json:
        show_others(make_console(), report.others, own_moves)
    for path in report.written:
        say(f"wrote {path}")
    for failure in report.failures:
        report_failure(failure.reason)
    if report.failures:
        raise typer.Exit(1)


def _show_course(
    plans: Sequence[ClassPlan],
    written: Sequence[str],
    failures: Sequence[Failure],
    as_json: bool,
) -> None:
    """Show the classes of a course in a line each, or as JSON."""
    from aquatempo.cli.views.plan import show_course

    if as_json:
        for planned in plans:
            print_json("aquatempo/plan/1", _without_beats(to_plain(planned)))
    else:
        show_course(make_console(), plans)
    for path in written:
        say(f"wrote {path}")
    for failure in failures:
        report_failure(failure.reason)
    if failures:
        raise typer.Exit(1)


def _without_beats(plain: object) -> dict[str, object]:
    """Return a plan without what was heard in its tracks: ``listen --json`` gives that."""
    assert isinstance(plain, dict)
    for track in plain["tracks"]:
        del track["analysis"]
    return plain
