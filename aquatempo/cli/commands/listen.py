"""``aquatempo listen``: what is heard in tracks."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.failures import report_failure
from aquatempo.cli.options import AsJson, Expected, Jobs, expected_range
from aquatempo.cli.output import make_console, print_json, progress_bar
from aquatempo.records.track import Failure, Track

__all__ = ["EXAMPLES", "listen"]

EXAMPLES = (
    "aquatempo listen sample_audio/first_lengths.ogg",
    "aquatempo listen sample_audio --json",
    "aquatempo listen song.mp3 --expect 120-150",
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
    as_json: AsJson = False,
) -> None:
    """Hear the tempo, beats, 32-count phrases, bridges and energy of tracks.

    With --json, one line for each track: tempo and how sure it is, its half and
    double with their odds, every beat and downbeat, phrases with counts, kind and
    energy. Files are read, never changed.
    """
    from aquatempo.cli.views.listen import show_track, show_tracks
    from aquatempo.workflow.listening import listen as listen_to

    heard: list[Track] = []
    failures: list[Failure] = []
    beatless: list[str] = []
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
            elif as_json:
                print_json("aquatempo.listen/1", _head(item), item.analysis)
            else:
                heard.append(item)
            if isinstance(item, Track) and item.analysis.tempo_bpm is None:
                beatless.append(item.file)
    if len(heard) == 1:
        show_track(make_console(), heard[0])
    elif heard:
        show_tracks(make_console(), heard)
    for file in beatless:
        report_failure(f"no beat was heard in {file!r} (silence, speech or free time?)")
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
