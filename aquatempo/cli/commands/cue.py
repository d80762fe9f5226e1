"""``aquatempo cue``: what to call on which beat of a track."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.option_groups import GroupOptions, PoolOptions
from aquatempo.cli.options import (
    AsJson,
    Expected,
    Moves,
    OwnMoves,
)
from aquatempo.cli.output import make_console, print_json
from aquatempo.cli.parsing import expected_range

__all__ = ["EXAMPLES", "cue"]

EXAMPLES = (
    "aquatempo cue sample_audio/first_lengths.ogg",
    'aquatempo cue song.mp3 --move "knee lift" --move "jack:2-2-4" --json',
)


def cue(
    track: Annotated[str, typer.Argument(metavar="TRACK", help="An audio file or a track sheet.")],
    move: Moves = None,
    *,
    pool: PoolOptions,
    group: GroupOptions,
    own_moves: OwnMoves = None,
    silent: Annotated[
        bool, typer.Option("--silent", help="Signs only, for a pool where no voice carries.")
    ] = False,
    language: Annotated[
        str, typer.Option(metavar="CODE", help="Language of the calls: en or de.")
    ] = "en",
    expect: Expected = None,
    as_json: AsJson = False,
) -> None:
    """Place the calls for one track: each new move starts on count 1 of a phrase.

    Moves are taught in the order given, a phrase each; where none are given, base
    moves are chosen that keep their full range at this tempo, in this pool, for this
    group. Every call ends before its change; a new move is called earlier than a
    known one.
    """
    from aquatempo.cli.views.cue import show_timeline
    from aquatempo.music.hearing import Hearing
    from aquatempo.records.cues import CueOptions
    from aquatempo.workflow import cueing

    _, timeline = cueing.cue(
        track,
        moves=move or (),
        pool=pool.read(),
        group=group.read(),
        options=CueOptions(language=language, silent=silent),
        own_moves=own_moves,
        hearing=Hearing(expected_range(expect)),
    )
    if as_json:
        print_json("aquatempo/cues/1", timeline)
    else:
        show_timeline(make_console(), timeline)
