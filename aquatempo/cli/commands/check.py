"""``aquatempo check``: which tracks suit a shallow and a deep class."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.failures import report_failure
from aquatempo.cli.option_groups import GroupOptions
from aquatempo.cli.options import (
    AsJson,
    Expected,
    Force,
    Jobs,
    OwnMoves,
    Temperature,
)
from aquatempo.cli.output import make_console, print_json, progress_bar, say
from aquatempo.cli.parsing import expected_range
from aquatempo.records.plain import to_plain

__all__ = ["EXAMPLES", "check"]

EXAMPLES = (
    "aquatempo check sample_audio",
    "aquatempo check class.m3u --depth 4ft --save suitable.m3u",
)


def check(
    paths: Annotated[
        list[str],
        typer.Argument(metavar="PATH...", help="Audio files, folders, playlists, track sheets."),
    ],
    depth: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Depth of the shallow class. [default: 1.2]"),
    ] = None,
    deep_depth: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Depth of the deep class. [default: 2.0]")
    ] = None,
    temperature: Temperature = None,
    *,
    group: GroupOptions,
    shallow_range: Annotated[
        str | None,
        typer.Option(metavar="RANGE", help="Your tempo range for shallow classes, as 125-150."),
    ] = None,
    deep_range: Annotated[
        str | None,
        typer.Option(metavar="RANGE", help="Your tempo range for deep classes, as 100-135."),
    ] = None,
    own_moves: OwnMoves = None,
    save: Annotated[
        str | None,
        typer.Option(
            metavar="FILE", help="Write the tracks that suit a class as a playlist (M3U)."
        ),
    ] = None,
    expect: Expected = None,
    jobs: Jobs = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Check tracks against a shallow and a deep class: suits, with changes, or not, and why.

    Shows tempo, how sure it is, how whole the 32-count phrases are, and which moves
    lose range at this tempo. A file that cannot be heard is reported; the others are
    still checked.
    """
    from aquatempo.cli.views.check import show_check
    from aquatempo.documents.people import read_pool
    from aquatempo.music.hearing import Hearing
    from aquatempo.records.people import ClassDepth
    from aquatempo.workflow import checking

    pools = (
        read_pool({"depth": depth, "temperature": temperature}),
        read_pool({"depth": deep_depth, "temperature": temperature}, deep=True),
    )
    own_ranges = {
        kind: span
        for kind, text in ((ClassDepth.SHALLOW, shallow_range), (ClassDepth.DEEP, deep_range))
        if (span := expected_range(text)) is not None
    }
    with progress_bar("listening") as progress:
        report = checking.check(
            paths,
            pools,
            group.read(),
            ranges_bpm=own_ranges,
            own_moves=own_moves,
            hearing=Hearing(expected_range(expect)),
            jobs=jobs,
            progress=progress,
            save=save,
            force=force,
        )
    if as_json:
        asked = {"pools": to_plain(pools)}
        print_json("aquatempo/check/1", asked, report)
    elif report.tracks:
        show_check(make_console(), report)
    if save:
        say(f"wrote {save}")
    for failure in report.failures:
        report_failure(failure.reason)
    if report.failures:
        raise typer.Exit(1)
