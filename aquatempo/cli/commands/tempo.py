"""``aquatempo tempo``: music tempo to movements in the water, and back."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.options import AsJson
from aquatempo.cli.output import make_console, print_json
from aquatempo.records.plain import to_plain

__all__ = ["EXAMPLES", "tempo"]

EXAMPLES = (
    "aquatempo tempo 132",
    "aquatempo tempo 132 --pattern 2-2-4",
    "aquatempo tempo --cadence 66",
    "aquatempo tempo --tap",
)


def tempo(
    bpm: Annotated[
        float | None, typer.Argument(metavar="[BPM]", help="Music tempo in beats a minute.")
    ] = None,
    pattern: Annotated[
        list[str] | None,
        typer.Option(
            metavar="COUNTS", help="Counts for each movement in turn, e.g. 2-2-4 (may be repeated)."
        ),
    ] = None,
    cadence: Annotated[
        float | None,
        typer.Option(
            metavar="NUMBER",
            help="Movements a minute wanted: shows the music tempos that give them.",
        ),
    ] = None,
    tap: Annotated[bool, typer.Option("--tap", help="Take the tempo from key presses.")] = False,
    as_json: AsJson = False,
) -> None:
    """Convert music tempo to land, water and half water tempo, and to any pattern.

    In land tempo a movement takes one count, in water tempo two, in half water
    tempo four. With --tap, press a key on every beat and Enter at the end; where
    there is no keyboard, give the times of the taps in seconds, one a line.
    """
    if sum((bpm is not None, cadence is not None, tap)) != 1:
        raise typer.BadParameter("give a tempo, or --cadence, or --tap: one of the three")
    from aquatempo.cli.views.tempo import show_cadence, show_conversion, show_tapped
    from aquatempo.workflow.conversion import convert, convert_cadence, tapped_tempo

    patterns = tuple(pattern or ())
    if cadence is not None:
        wanted = convert_cadence(cadence, patterns)
        if as_json:
            print_json("aquatempo/cadence/1", wanted)
        else:
            show_cadence(make_console(), wanted)
        return
    tapped = None
    if tap:
        from aquatempo.cli.taps import read_taps

        tapped = tapped_tempo(read_taps())
        bpm = round(tapped.tempo_bpm, 1)
    assert bpm is not None
    table = convert(bpm, patterns)
    if as_json:
        print_json("aquatempo/tempo/1", table, {"tapped": to_plain(tapped)} if tapped else {})
        return
    console = make_console()
    if tapped:
        show_tapped(console, tapped)
    show_conversion(console, table)
