"""``aquatempo export``: everything that goes to the pool, from a plan."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from aquatempo.cli.option_groups import GroupOptions, PoolOptions
from aquatempo.cli.options import (
    AsJson,
    Expected,
    Force,
    Moves,
    OwnMoves,
)
from aquatempo.cli.output import make_console, print_json, progress_steps, remind_of_rights, say
from aquatempo.cli.parsing import expected_range, names_in

if TYPE_CHECKING:
    from aquatempo.records.deck import SheetCount

__all__ = ["EXAMPLES", "export"]

EXAMPLES = (
    "aquatempo export plan.toml --to tuesday",
    "aquatempo export plan.toml --to tuesday --only card,page --paper half-letter",
    "aquatempo export song.mp3 --move jack --move jog --to deck --with-song rehearsal",
)


def export(
    plan: Annotated[
        str, typer.Argument(metavar="PLAN", help="A plan, or one audio file or track sheet.")
    ],
    to: Annotated[str, typer.Option("--to", "--out", metavar="FOLDER", help="Where the files go.")],
    only: Annotated[
        str | None,
        typer.Option(
            metavar="NAMES",
            help="Of card, compact, large, track-cards, silent, sheet, page, app, figures, "
            "captions, json, csv, midi, picture, clicks; or none. [default: all but large, "
            "track-cards, app and figures]",
        ),
    ] = None,
    with_song: Annotated[
        str | None,
        typer.Option(
            metavar="NAMES",
            help="Files that carry the songs too: of rehearsal, song-page, mix.",
        ),
    ] = None,
    paper: Annotated[
        str,
        typer.Option(
            metavar="SIZE",
            help="Of cards and sheet: a5, half-letter; a4, letter: two sides of a card on each.",
        ),
    ] = "a5",
    two_sided: Annotated[
        bool,
        typer.Option(
            "--two-sided", help="On a4 and letter: in order for a printer that prints both faces."
        ),
    ] = False,
    language: Annotated[
        str | None,
        typer.Option(metavar="CODE", help="Calls and labels in en or de. [default: the plan's]"),
    ] = None,
    silent: Annotated[
        bool, typer.Option("--silent", help="Signs only, for a pool where no voice carries.")
    ] = False,
    figures: Annotated[
        bool, typer.Option("--figures", help="Cards and sheet show the moves as figures.")
    ] = False,
    loudness: Annotated[
        float, typer.Option(metavar="LUFS", help="Loudness of what carries the songs.")
    ] = -16.0,
    sound: Annotated[
        str, typer.Option(metavar="FORMAT", help="Of what can be heard: ogg, wav or flac.")
    ] = "ogg",
    move: Moves = None,
    *,
    pool: PoolOptions,
    group: GroupOptions,
    own_moves: OwnMoves = None,
    expect: Expected = None,
    force: Force = False,
    verbose: Annotated[
        bool, typer.Option("--verbose", help="Name every file, and what calls had no room for.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Write what you take to the pool: cards, page, captions, sound and data.

    From a plan, or from one track whose phrases carry the moves that you name (pool
    and group as for cue; a plan brings its own). No file that exists is replaced
    without --force. Songs are copied only into the files of --with-song, which lie in
    a folder of their own.
    """
    from aquatempo.cli.views.export import show_files
    from aquatempo.music.hearing import Hearing
    from aquatempo.workflow import exporting
    from aquatempo.workflow.class_source import TrackRequest

    request = TrackRequest(
        moves=tuple(move or ()),
        pool=pool.read() if pool.given else None,
        group=group.read() if group.given else None,
        hearing=Hearing(expected_range(expect)),
    )
    options = exporting.ExportOptions(
        only=exporting.USUAL_FORMATS if only is None else names_in(only),
        songs=names_in(with_song or ""),
        paper=paper.lower(),
        two_sided=two_sided,
        language=language or "",
        silent=silent,
        figures=figures,
        loudness_lufs=loudness,
        sound=sound,
        force=force,
    )
    with progress_steps() as progress:
        report = exporting.export(
            plan, to, request, options, own_moves, progress, counted=_say_sides
        )
    if as_json:
        print_json("aquatempo/export/1", {"folder": to}, report)
    else:
        show_files(make_console(), to, report, verbose)
    if report.song_files:
        remind_of_rights(str(Path(report.song_files[0]).parent))


def _say_sides(cards: Sequence[SheetCount]) -> None:
    """Say how much paper the cards will take, before they are written."""
    for card in cards:
        paper = f"side{'s' if card.sides > 1 else ''} of {card.paper}"
        if card.sheets != card.sides:
            paper = f"sides on {card.sheets} sheet{'s' if card.sheets > 1 else ''} of {card.paper}"
        say(f"{card.file}: {card.sides} {paper}")
