"""``aquatempo shape``: change a plan by lines, and see what else might be done."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.options import AsJson, EachPhrase, Expected, Force, OwnMoves
from aquatempo.cli.output import make_console, print_json, say
from aquatempo.cli.parsing import expected_range
from aquatempo.records.plain import to_plain

__all__ = ["EXAMPLES", "shape"]

EXAMPLES = (
    'aquatempo shape plan.toml "swap jack jog in 3" "lock 3" --out plan.toml --force',
    "aquatempo shape plan.toml --alternatives 3.5",
    "aquatempo shape plan.toml --out tuesday.plan",
)


def shape(
    plan: Annotated[str, typer.Argument(metavar="PLAN", help="A plan, long or short form.")],
    edits: Annotated[
        list[str] | None,
        typer.Argument(metavar="EDIT...", help="Changes in turn, each one line; see below."),
    ] = None,
    alternatives: Annotated[
        str | None,
        typer.Option(metavar="PLACE", help="The next best three for a block, as 3.5 or 3.5.2."),
    ] = None,
    out: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Write the plan; a name in .plan gets the short form."),
    ] = None,
    own_moves: OwnMoves = None,
    expect: Expected = None,
    force: Force = False,
    verbose: EachPhrase = False,
    as_json: AsJson = False,
) -> None:
    """Change a plan by lines: swap, move, drop, add, lock; what they touch is planned anew.

    Edits: lock 3, lock 3.5, lock warm-up; unlock 3; swap 3 5; swap 3.5 3.6; swap jack jog in
    3,4; move 3 to 5; drop 3; drop jack; add song.ogg after 4 as main; add lunge in 3;
    replace 3 with song.ogg; use 2 at 3.5 everywhere; again with seed 7; late 8. Tracks are
    numbered from 1, 3.5 is the fifth phrase of the third, 3.5.2 its second block.
    """
    from aquatempo.cli.views.plan import show_alternatives, show_plan
    from aquatempo.documents.move_requests import open_catalogue
    from aquatempo.music.hearing import Hearing
    from aquatempo.workflow import planning, shaping

    if not (edits or alternatives or out):
        raise typer.BadParameter("give an edit, --alternatives PLACE or --out FILE")
    hearing = Hearing(expected_range(expect))
    report = planning.shape_file(
        plan, edits or (), out=out, own_moves=own_moves, hearing=hearing, force=force
    )
    if alternatives is not None:
        found = shaping.alternatives(report.plan, alternatives, open_catalogue(own_moves))
        if as_json:
            print_json("aquatempo/alternatives/1", {"place": alternatives}, found)
        else:
            show_alternatives(make_console(), report.plan, alternatives, found)
    elif as_json:
        print_json("aquatempo/plan/1", to_plain(report.plan))
    elif edits:
        show_plan(make_console(), report.plan, own_moves, verbose)
    for path in report.written:
        say(f"wrote {path}")
