"""``aquatempo bench``: how well tracks with known beats are heard."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.failures import report_failure
from aquatempo.cli.options import AsJson
from aquatempo.cli.output import make_console, print_json, progress_bar

__all__ = ["EXAMPLES", "bench"]

EXAMPLES = ("aquatempo bench sample_audio",)


def bench(
    folder: Annotated[
        str, typer.Argument(metavar="FOLDER", help="Audio, each with a truth file (JSON).")
    ],
    as_json: AsJson = False,
) -> None:
    """Score what is heard against tracks whose beats are known.

    A truth file has the name of the audio file and ends in .json: tempo_bpm, beats_s
    and, where known, downbeats_s and phrases. Measures are those of the field, from
    the mir_eval library (an optional part). Tracks are heard anew, without corrections.
    """
    from aquatempo.cli.views.bench import show_bench
    from aquatempo.workflow.bench import bench as score

    with progress_bar("listening") as progress:
        report = score(folder, progress=progress)
    if as_json:
        print_json("aquatempo/bench/1", {"folder": folder}, report)
    else:
        show_bench(make_console(), report)
    troubles = [track for track in report.tracks if track.trouble]
    for track in troubles:
        report_failure(f"{track.file}: {track.trouble}")
    if report.mean.failed:
        raise typer.Exit(1)
