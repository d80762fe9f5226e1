"""The frame: one typer application, each command in a module of its own."""

from __future__ import annotations

import _thread
import io
import re
import sys
import threading
import time
from collections.abc import Sequence
from typing import Annotated

import typer
import typer.core

import aquatempo
from aquatempo.cli.commands import (
    bench,
    check,
    correct,
    cue,
    demo,
    export,
    judge,
    library,
    listen,
    page,
    plan,
    review,
    shape,
    tempo,
    vary,
)
from aquatempo.cli.ending import ask_again, end, ended_by
from aquatempo.cli.failures import failing_plainly, report_failure
from aquatempo.cli.option_groups import spread_out

__all__ = ["build_app", "run"]

_SUMMARY = "Which songs and moves fit in this water, and what to call on which beat."
AGAIN_AFTER_S = 0.05  # for the hook to return in
LONGEST_NAME = 100  # characters of a command or option; none is half as long
_TAKES_NUMBERS = ("tempo", "judge")
_COMMANDS = (
    (bench.bench, bench.EXAMPLES),
    (check.check, check.EXAMPLES),
    (correct.correct, correct.EXAMPLES),
    (cue.cue, cue.EXAMPLES),
    (demo.demo, demo.EXAMPLES),
    (export.export, export.EXAMPLES),
    (judge.judge, judge.EXAMPLES),
    (listen.listen, listen.EXAMPLES),
    (page.page, page.EXAMPLES),
    (plan.plan, plan.EXAMPLES),
    (review.review, review.EXAMPLES),
    (shape.shape, shape.EXAMPLES),
    (tempo.tempo, tempo.EXAMPLES),
    (vary.vary, vary.EXAMPLES),
)


class _InOrder(typer.core.TyperGroup):
    """Commands in the order of the alphabet, those with tasks of their own among the others."""

    def list_commands(self, *_: object) -> list[str]:
        return sorted(self.commands)


def build_app() -> typer.Typer:
    """Return the application with all its commands."""
    app = typer.Typer(
        name="aquatempo",
        cls=_InOrder,
        no_args_is_help=True,
        rich_markup_mode=None,  # plain help: fast, and fit for any terminal and screen reader
        pretty_exceptions_enable=False,  # a bug shows the plain traceback
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    app.callback(help=_SUMMARY)(_options)
    for command, examples in _COMMANDS:
        app.command(
            epilog=_example_text(examples),
            short_help=_short(command.__doc__ or ""),
            # So that a tempo of -5 is judged as a number, not as an unknown option.
            context_settings={"ignore_unknown_options": command.__name__ in _TAKES_NUMBERS},
        )(failing_plainly(spread_out(command)))
    books = typer.Typer(
        help=library.SUMMARY,
        short_help=_short(library.SUMMARY),
        epilog=_example_text(library.EXAMPLES),
        no_args_is_help=True,
    )
    for task, name, shown in library.COMMANDS:
        books.command(name, epilog=_example_text(shown), short_help=_short(task.__doc__ or ""))(
            failing_plainly(task)
        )
    app.add_typer(books, name="library")
    return app


def run(arguments: Sequence[str] | None = None) -> None:
    """Run one command line and exit with its code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A name that the terminal's encoding lacks is spelled out, never a crash.
            stream.reconfigure(errors="backslashreplace")
    sys.unraisablehook = _interrupt_again
    try:
        build_app()(
            args=_meant(sys.argv[1:] if arguments is None else arguments),
            prog_name="aquatempo",
        )
    except OSError as error:  # help or usage that could not be written
        line, code = ended_by(error) or ("", 1)
        if line:
            report_failure(line)
        end(code)
    except SystemExit as leaving:
        end(leaving.code if isinstance(leaving.code, int) else 0)


def _meant(arguments: Sequence[str]) -> list[str]:
    """Return arguments with ``help``, alone or before a command, as the option that it means.

    Names that are too long to be any are shortened: they are repeated in a message.
    """
    if list(arguments[:1]) == ["help"]:
        return [*arguments[1:], "--help"]
    end_of_options = list(arguments).index("--") if "--" in arguments else len(arguments)
    tasks = 2 if list(arguments[:1]) == ["library"] else 1
    return [
        _shortened_name(one)
        if place < end_of_options and (place < tasks or one.startswith("--"))
        else one
        for place, one in enumerate(arguments)
    ]


def _shortened_name(argument: str) -> str:
    """Return a command or option whose name, if it is too long to be one, can be shown."""
    name, sign, value = argument.partition("=")
    return argument if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME]}[...]{sign}{value}"


def _interrupt_again(lost: sys.UnraisableHookArgs) -> None:
    """Repeat an interruption that fell into a decoder's callback, where it is swallowed.

    The decoder would go on with half a song.
    """
    if not isinstance(lost.exc_value, KeyboardInterrupt):
        sys.__unraisablehook__(lost)
        return
    returning = threading.Event()

    def interrupt() -> None:
        ask_again()
        returning.wait()  # what is raised within this hook is swallowed too
        time.sleep(AGAIN_AFTER_S)
        _thread.interrupt_main()

    threading.Thread(target=interrupt, daemon=True).start()
    returning.set()


def _show_version(wanted: bool) -> None:
    if wanted:
        print(f"aquatempo {aquatempo.__version__}")
        raise typer.Exit


def _options(
    version: Annotated[
        bool,
        typer.Option(
            "--version",
            help="Show the version and leave.",
            is_eager=True,
            callback=_show_version,
        ),
    ] = False,
) -> None:
    """Options before any command."""


def _short(help_text: str) -> str:
    """Return the first statement of a command's help, for the list of commands."""
    return re.split(r"[:.]", " ".join(help_text.split()), maxsplit=1)[0]


def _example_text(examples: Sequence[str]) -> str:
    lines = "\n".join(f"  {example}" for example in examples)
    return f"\b\nExample{'s' if len(examples) > 1 else ''}:\n{lines}"
