"""``aquatempo judge``: which moves keep their range at a tempo, in this water."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.option_groups import GroupOptions, PoolOptions
from aquatempo.cli.options import (
    AsJson,
    Expected,
    Figures,
    Force,
    Moves,
    OwnMoves,
)
from aquatempo.cli.output import make_console, print_json, say
from aquatempo.cli.parsing import expected_range, tempo_or_track
from aquatempo.records.plain import to_plain

__all__ = ["EXAMPLES", "judge"]

EXAMPLES = (
    "aquatempo judge 132",
    'aquatempo judge 132 --depth 4ft --ages 60-80 --move "knee lift" --move jack',
    "aquatempo judge song.mp3 --deep --plot range.svg",
    'aquatempo judge 132 --move "knee lift" --figures figures',
)


def judge(
    target: Annotated[
        str, typer.Argument(metavar="BPM|TRACK", help="A tempo, an audio file or a track sheet.")
    ],
    *,
    pool: PoolOptions,
    group: GroupOptions,
    move: Moves = None,
    pattern: Annotated[
        list[str] | None,
        typer.Option(
            metavar="COUNTS", help="Counts a movement (may be repeated). [default: 1, 2 and 4]"
        ),
    ] = None,
    own_moves: OwnMoves = None,
    plot: Annotated[
        str | None,
        typer.Option(
            metavar="FILE", help="Draw range kept against tempo for the moves named (SVG)."
        ),
    ] = None,
    figures: Figures = None,
    expect: Expected = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Judge which moves keep their full range at a tempo, in this pool, for this group.

    Each move is judged in land, water and half water tempo: the share of its range
    that the middle of the group keeps, what limits it, and what to change, the tempo
    option first. Figures are estimates for planning, not a clearance for anyone.
    """
    from aquatempo.cli.views.judge import show_verdicts
    from aquatempo.music.hearing import Hearing
    from aquatempo.records.tempo_option import TempoOption
    from aquatempo.workflow import judging
    from aquatempo.workflow.listening import refuse_places

    if figures and not move:
        raise typer.BadParameter("--figures needs the moves to draw: --move NAME, one or more")
    if plot and not move:
        raise typer.BadParameter("--plot needs the moves to draw: --move NAME, one or more")
    refuse_places(picture=plot, folder=figures, force=force)
    water, people = pool.read(), group.read()
    tempo_bpm = judging.tempo_of(tempo_or_track(target), Hearing(expected_range(expect)))
    patterns = tuple(pattern or TempoOption)
    verdicts = judging.judge(
        tempo_bpm, water, people, moves=move or (), patterns=patterns, own_moves=own_moves
    )
    if as_json:
        given = {"target": target, "tempo_bpm": tempo_bpm}
        asked = {"pool": to_plain(water), "group": to_plain(people)}
        print_json("aquatempo/judge/1", given, asked, {"verdicts": to_plain(verdicts)})
    else:
        show_verdicts(make_console(), tempo_bpm, water, verdicts)
    if plot:
        judging.write_range_picture(
            plot,
            water,
            people,
            moves=move or (),
            patterns=patterns,
            tempo_bpm=tempo_bpm,
            own_moves=own_moves,
            force=force,
        )
        say(f"drew {plot}")
    if figures:
        from aquatempo.workflow.figures import write_figures

        drawn = write_figures(
            figures,
            water,
            people,
            moves=move or (),
            tempo_bpm=tempo_bpm,
            own_moves=own_moves,
            force=force,
        )
        say(f"drew {len(drawn)} figures in {figures}")
