"""Options that several commands share: the pool, the group, JSON."""

from __future__ import annotations

from typing import Annotated

import typer

__all__ = [
    "Ages",
    "AsJson",
    "Deep",
    "Depth",
    "EachPhrase",
    "Expected",
    "Figures",
    "Force",
    "Heights",
    "Intensity",
    "Jobs",
    "Masses",
    "Moves",
    "OwnMoves",
    "Size",
    "Space",
    "Temperature",
    "Women",
    "complete_move",
]

AsJson = Annotated[bool, typer.Option("--json", help="JSON for machines instead of a table.")]
Depth = Annotated[
    str | None,
    typer.Option(
        metavar="LENGTH", help="Water depth: 1.2, 120cm or 4ft; a slope as 1.0-1.4. [default: 1.2]"
    ),
]
Temperature = Annotated[
    str | None,
    typer.Option(metavar="DEGREES", help="Water temperature: 29 or 84F. [default: 29]"),
]
Space = Annotated[
    float | None,
    typer.Option(metavar="M2", help="Room for each person, in square metres. [default: enough]"),
]
Deep = Annotated[
    bool,
    typer.Option(
        "--deep", help="A deep class: belts on, feet off the floor, 2.0 m; the rule from 1.9 m on."
    ),
]
Size = Annotated[int | None, typer.Option(metavar="PEOPLE", help="Group size. [default: 20]")]
Women = Annotated[
    int | None, typer.Option(metavar="PEOPLE", help="Women among them. [default: 7 in 10]")
]
Heights = Annotated[
    str | None,
    typer.Option(
        metavar="RANGE", help="Body heights: 1.50-1.90 or 5ft-6ft2in. [default: 1.50-1.90]"
    ),
]
Ages = Annotated[str | None, typer.Option(metavar="RANGE", help="Ages in years. [default: 30-75]")]
Masses = Annotated[
    str | None,
    typer.Option(metavar="RANGE", help="Body masses: 55-95 or 120lb-210lb. [default: 55-95]"),
]
Intensity = Annotated[
    str | None, typer.Option(metavar="NAME", help="easy, steady or hard. [default: steady]")
]
Jobs = Annotated[
    int | None,
    typer.Option(
        min=1, max=1024, metavar="N", help="Tracks analysed at the same time. [default: all cores]"
    ),
]
Expected = Annotated[
    str | None,
    typer.Option(
        "--expect",
        metavar="RANGE",
        help="Range in which the tempo is expected, e.g. 120-150: settles half or double.",
    ),
]


def complete_move(ctx: typer.Context, incomplete: str) -> list[str]:
    """Return the keys of moves that start with what was typed, for shell completion.

    ctx: options given so far; incomplete: what was typed.
    """
    from aquatempo.documents.move_requests import open_catalogue
    from aquatempo.errors import AquatempoError

    try:
        source = open_catalogue(ctx.params.get("own_moves"))
    except AquatempoError:  # said when the command runs, not between two key presses
        source = open_catalogue()
    return [key for key in source.moves if key.startswith(incomplete.lower())]


Moves = Annotated[
    list[str] | None,
    typer.Option(
        "--move",
        "--moves",
        metavar="MOVES",
        autocompletion=complete_move,
        help='Moves, with patterns or changes if wanted: "knee lift", "jog, jack:2-2-4", '
        '"jog+hands=fist" (may be repeated).',
    ),
]
OwnMoves = Annotated[
    str | None,
    typer.Option(metavar="FILE", help="Your own moves (TOML), on top of the catalogue."),
]
Figures = Annotated[
    str | None,
    typer.Option(
        metavar="FOLDER",
        help="Draw each move as a figure: moving at the tempo, and its end positions (SVG).",
    ),
]
EachPhrase = Annotated[
    bool, typer.Option("--verbose", help="Also show what is done in each phrase of each song.")
]
Force = Annotated[bool, typer.Option("--force", help="Replace files that exist already.")]
