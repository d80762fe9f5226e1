"""``aquatempo demo``: the main job, on the sample audio."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.failures import report_failure
from aquatempo.cli.options import AsJson
from aquatempo.cli.output import make_console, print_json, progress_steps

__all__ = ["EXAMPLES", "demo"]

EXAMPLES = ("aquatempo demo --out aquatempo-demo",)


def demo(
    out: Annotated[
        str, typer.Option(metavar="FOLDER", help="Where the results go.")
    ] = "aquatempo-demo",
    without_song: Annotated[
        bool,
        typer.Option("--without-song", help="Leave out rehearsal audio, song page and class mix."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Do the whole job on the sample audio: check, fill with moves, cue, and write all of it.

    The group, the pool and the music are invented. Results of an earlier demo in the
    folder are replaced. Start with the deck card and the deck page.
    """
    from aquatempo.cli.views.demo import show_demo
    from aquatempo.workflow import demo as job

    with progress_steps() as progress:
        report = job.demo(out, progress, songs=not without_song)
    if as_json:
        print_json("aquatempo/demo/1", {"folder": out, "files": list(report.files)}, report.check)
    else:
        show_demo(make_console(), out, report)
    for failure in report.check.failures:
        report_failure(failure.reason)
    if report.check.failures:
        raise typer.Exit(1)
