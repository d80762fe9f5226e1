"""``aquatempo plan``: from a folder of music and a brief to a class."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.failures import report_failure
from aquatempo.cli.options import AsJson, Expected, Force, Jobs, OwnMoves
from aquatempo.cli.output import make_console, print_json, progress_steps, say
from aquatempo.cli.parsing import expected_range
from aquatempo.records.plain import to_plain

__all__ = ["EXAMPLES", "plan"]

EXAMPLES = (
    "aquatempo plan music --brief brief.toml --out plan.toml",
    "aquatempo plan sample_audio --all",
    "aquatempo plan plan.toml --late 8 --out late.toml",
)


def plan(
    paths: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="PATH...",
            help="Audio files, folders, playlists, track sheets; with --late, a plan.",
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
    own_moves: OwnMoves = None,
    expect: Expected = None,
    jobs: Jobs = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Plan a class: which track plays when, and what each phrase is filled with.

    Moves keep their range in this pool, for this group; one thing is changed at a time;
    right and left, planes and muscles are balanced; effort rises and falls with the parts.
    Where the brief cannot be met, the lines that clash are named with the least change
    that helps. With --late, whole phrases are dropped from a plan, the least needed first.
    """
    from aquatempo.cli.views.plan import show_plan
    from aquatempo.documents.brief import read_brief
    from aquatempo.documents.move_requests import open_catalogue
    from aquatempo.music.hearing import Hearing
    from aquatempo.workflow import planning

    source = open_catalogue(own_moves)
    paths = paths or []
    if not paths and from_library is None:
        raise typer.BadParameter("needs music: files, folders, playlists, or --from-library")
    if late is not None:
        if len(paths) != 1 or brief or all_once:
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
                from_library=from_library,
                hearing=Hearing(expected_range(expect)),
                jobs=jobs,
                progress=progress,
                force=force,
            )
    for planned in (report.plan, report.twin):
        if planned is not None and as_json:
            print_json("aquatempo/plan/1", _without_beats(to_plain(planned)))
        elif planned is not None:
            show_plan(make_console(), planned, own_moves)
    for path in report.written:
        say(f"wrote {path}")
    for failure in report.failures:
        report_failure(failure.reason)
    if report.failures:
        raise typer.Exit(1)


def _without_beats(plain: object) -> dict[str, object]:
    """Return a plan without what was heard in its tracks: ``listen --json`` gives that."""
    assert isinstance(plain, dict)
    for track in plain["tracks"]:
        del track["analysis"]
    return plain
