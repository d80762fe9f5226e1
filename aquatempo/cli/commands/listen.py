"""``aquatempo listen``: what is heard in tracks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from aquatempo.cli.failures import report_failure
from aquatempo.cli.options import AsJson, Expected, Force, Jobs
from aquatempo.cli.output import make_console, print_json, progress_bar, remind_of_rights, say
from aquatempo.cli.parsing import expected_range
from aquatempo.errors import InputError

if TYPE_CHECKING:
    from aquatempo.records.track import Track

__all__ = ["EXAMPLES", "listen"]

EXAMPLES = (
    "aquatempo listen sample_audio/first_lengths.ogg",
    "aquatempo listen sample_audio --json",
    "aquatempo listen song.mp3 --expect 120-150 --plot song.svg --click check/song.ogg",
)


def listen(
    files: Annotated[
        list[str],
        typer.Argument(metavar="FILE...", help="Audio files, folders, playlists, track sheets."),
    ],
    expect: Expected = None,
    jobs: Jobs = None,
    fresh: Annotated[
        bool, typer.Option("--fresh", help="Analyse again, even what was heard before.")
    ] = False,
    plot: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Draw energy, beats, phrases and bridges as SVG."),
    ] = None,
    click: Annotated[
        str | None,
        typer.Option(
            metavar="FILE",
            help="Write the track with a click on every beat, accents on count 1 (ogg, wav, flac).",
        ),
    ] = None,
    jams: Annotated[
        str | None,
        typer.Option(
            metavar="FILE", help="Write beats, downbeats and phrases as JAMS, an open format."
        ),
    ] = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Hear the tempo, beats, 32-count phrases, bridges and energy of tracks.

    With --json, one line for each track: tempo and how sure it is, its half and
    double with their odds, every beat and downbeat, phrases with counts, kind and
    energy. Files are read, never changed.
    """
    from aquatempo.cli.views.listen import show_track, show_tracks
    from aquatempo.records.track import Failure
    from aquatempo.workflow.listening import listen as listen_to
    from aquatempo.workflow.listening import (
        refuse_places,
        write_clicks,
        write_jams,
        write_picture,
    )

    if (plot or click or jams) and len(files) > 1:
        raise typer.BadParameter("--plot, --click and --jams take one track at a time")
    refuse_places(picture=plot, jams=jams, clicks=click, force=force)
    heard: list[Track] = []
    failures: list[Failure] = []
    with progress_bar("listening", beside_data=as_json) as progress:
        for item in listen_to(
            files,
            jobs=jobs,
            expect_bpm=expected_range(expect),
            use_cache=not fresh,
            progress=progress,
        ):
            if isinstance(item, Failure):
                failures.append(item)
                continue
            heard.append(item)
            if as_json:
                print_json("aquatempo/listen/1", _head(item), item.analysis)
    if as_json:
        pass
    elif len(heard) == 1:
        show_track(make_console(), heard[0])
    elif heard:
        show_tracks(make_console(), heard)
    for track in heard:
        if track.analysis.tempo_bpm is None:
            report_failure(f"no beat was heard in {track.file!r} (silence, speech or free time?)")
    if heard and (plot or click or jams):
        if len(heard) > 1:
            raise InputError(f"{len(heard)} tracks: --plot, --click and --jams take one at a time")
        if plot:
            write_picture(heard[0], plot, force=force)
            say(f"drew {plot}")
        if jams:
            write_jams(heard[0], jams, force=force)
            say(f"wrote {jams}")
        if click:
            write_clicks(heard[0], click, force=force)
            remind_of_rights(click)
    for failure in failures:
        report_failure(failure.reason)
    if failures:
        raise typer.Exit(1)


def _head(track: Track) -> dict[str, str | bool]:
    return {
        "file": track.file,
        "title": track.title,
        "content_key": track.content_key,
        "corrected": track.corrected,
    }
