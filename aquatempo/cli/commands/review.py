"""``aquatempo review``: what is wrong with a plan, whoever made it."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.failures import report_failure
from aquatempo.cli.options import AsJson, Expected, Force, OwnMoves
from aquatempo.cli.output import make_console, print_json, progress_bar, say
from aquatempo.cli.parsing import expected_range

__all__ = ["EXAMPLES", "review"]

EXAMPLES = (
    "aquatempo review plan.toml",
    "aquatempo review plan.toml --plot effort.svg",
)


def review(
    plan: Annotated[str, typer.Argument(metavar="PLAN", help="A class plan (TOML).")],
    plot: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Draw the effort along the class (SVG)."),
    ] = None,
    rules: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="A coordinator's rules (TOML), in place of the plan's."),
    ] = None,
    own_moves: OwnMoves = None,
    expect: Expected = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Review a plan, ours or a hand-written one: each fault with its place and a remedy.

    Errors cannot be done or may hurt someone, warnings break a rule of the craft, advice
    may be left. A slip in the file is told with its line, and the rest is reviewed all the
    same. The songs are listened to where they are found, for the calls. Exit code 1 if
    there is an error. Figures are estimates for planning, not a clearance for anyone.
    """
    from aquatempo.cli.views.review import show_review
    from aquatempo.music.hearing import Hearing
    from aquatempo.workflow import reviewing
    from aquatempo.workflow.listening import refuse_places

    refuse_places(picture=plot, force=force)
    hearing = Hearing(expected_range(expect))
    with progress_bar("Listening", beside_data=True) as progress:
        planned, found, failures = reviewing.review_file(
            plan, own_moves=own_moves, rules=rules, hearing=hearing, progress=progress
        )
    if as_json:
        print_json("aquatempo/review/1", {"plan": plan, "fit_to_teach": found.fit_to_teach}, found)
    else:
        show_review(make_console(), planned, found)
    for failure in failures:
        report_failure(f"{failure.reason}: its calls and beats are not reviewed")
    if plot:
        reviewing.write_effort_picture(planned, found, plot, force)
        say(f"drew {plot}")
    if not found.fit_to_teach:
        raise typer.Exit(1)
