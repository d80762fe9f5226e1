"""``aquatempo page``: the whole job in a browser, served by this machine alone."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.output import say

__all__ = ["EXAMPLES", "page"]

EXAMPLES = ("aquatempo page", "aquatempo page music/", "aquatempo page --starter aquatempo")


def page(
    music: Annotated[
        list[str] | None,
        typer.Argument(metavar="[MUSIC]...", help="Folders and songs to open in it."),
    ] = None,
    port: Annotated[
        int | None,
        typer.Option(metavar="NUMBER", min=1024, max=65535, help="A port of your own choice."),
    ] = None,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Show the link only; open it yourself.")
    ] = False,
    starter: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Write a starter to double-click on, and leave."),
    ] = None,
) -> None:
    """Do the whole job on a page in your browser: music, ear, water, class, pool.

    The page is served by this machine for this machine alone. Ctrl-C ends it, as does
    its own button; whatever was heard, corrected and planned is kept.
    """
    if starter is not None:
        from aquatempo.workflow.starter import write_starter

        say(f"wrote {write_starter(starter)}: a double click on it opens the page")
        return
    from aquatempo.web import serve

    def told(link: str) -> None:
        say(f"the page is at {link}")
        say("it is for this machine alone; Ctrl-C ends it")

    try:
        serve(music or (), port=port, browse=not no_browser, told=told)
    except KeyboardInterrupt:
        say("ended")
