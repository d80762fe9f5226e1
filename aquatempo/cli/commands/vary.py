"""``aquatempo vary``: what else can be made of one move by changing one thing."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.option_groups import GroupOptions, PoolOptions
from aquatempo.cli.options import (
    AsJson,
    Expected,
    Figures,
    Force,
    OwnMoves,
    complete_move,
)
from aquatempo.cli.output import make_console, print_json, say
from aquatempo.cli.parsing import expected_range, tempo_or_track

__all__ = ["EXAMPLES", "vary"]

EXAMPLES = (
    "aquatempo vary jack --at 132",
    'aquatempo vary "knee lift" --at song.mp3 --deep',
    "aquatempo vary jack --figures figures",
)


def vary(
    move: Annotated[
        str,
        typer.Argument(
            metavar="MOVE", help="A move of the catalogue.", autocompletion=complete_move
        ),
    ],
    at: Annotated[
        str,
        typer.Option(metavar="BPM|TRACK", help="The music: a tempo, an audio file or a sheet."),
    ] = "130",
    *,
    pool: PoolOptions,
    group: GroupOptions,
    own_moves: OwnMoves = None,
    figures: Figures = None,
    expect: Expected = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """List the variations of a move from easier to harder, one thing changed in each.

    Each is judged at the tempo, in the pool and for the group given, so that the list
    is a ladder to climb within a class.
    """
    from aquatempo.cli.views.vary import show_ladder
    from aquatempo.music.hearing import Hearing
    from aquatempo.workflow import varying

    water, people = pool.read(), group.read()
    ladder = varying.vary(
        move,
        tempo_or_track(at),
        water,
        people,
        own_moves=own_moves,
        hearing=Hearing(expected_range(expect)),
    )
    if as_json:
        print_json("aquatempo/vary/1", ladder)
    else:
        show_ladder(make_console(), ladder, water)
    if figures:
        from aquatempo.workflow.figures import write_figures

        drawn = write_figures(
            figures,
            water,
            people,
            variations_of=move,
            tempo_bpm=ladder.tempo_bpm,
            own_moves=own_moves,
            force=force,
        )
        say(f"drew {len(drawn)} figures in {figures}")
