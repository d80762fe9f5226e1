"""Where output goes: data to stdout, talk and progress to stderr."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from aquatempo.cli.failures import one_line
from aquatempo.records.plain import Plain, to_plain

if TYPE_CHECKING:
    from rich.console import Console

__all__ = [
    "make_console",
    "print_json",
    "progress_bar",
    "progress_steps",
    "remind_of_rights",
    "say",
]

Advance = Callable[[int, int], None]


def make_console() -> Console:
    """Return the console for data: rich, on stdout, no colours of its own choosing."""
    from rich.console import Console

    return Console(highlight=False, emoji=False, markup=False)


def say(text: str) -> None:
    """Write one line of talk to stderr."""
    print(one_line(text), file=sys.stderr, flush=True)


def remind_of_rights(path: str) -> None:
    """Say that a file carries a song, and what follows from that."""
    say(
        f"{path} carries the song itself: it is for your own preparation. Rights to play, copy "
        "and edit music differ by place and are yours to check."
    )


def print_json(schema: str, *values: object) -> None:
    """Write records or dicts, merged under a schema name, as one line of JSON to stdout.

    The line is ASCII, so that any terminal and any pipe carries it.
    """
    merged: dict[str, Plain] = {"schema": schema}
    for value in values:
        plain = value if isinstance(value, dict) else to_plain(value)
        assert isinstance(plain, dict), "a line of JSON is an object"
        merged |= plain
    print(json.dumps(merged, allow_nan=False), flush=True)


@contextmanager
def progress_bar(doing: str, *, beside_data: bool = False) -> Iterator[Advance | None]:
    """Give a callback (done, of all) that draws a bar on stderr; None off a terminal.

    beside_data: data appear on stdout meanwhile; no bar if they share the terminal. doing: what
    is done, in a word.
    """
    if not sys.stderr.isatty() or (beside_data and sys.stdout.isatty()):
        yield None
        return
    with progress_steps() as steps:
        assert steps is not None
        yield lambda done, total: steps(doing, done, total)


@contextmanager
def progress_steps() -> Iterator[Callable[[str, int, int], None] | None]:
    """Give a callback (step, done, of all) that draws a bar for each step; None off a terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TaskID, TextColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bars:
        tasks: dict[str, TaskID] = {}

        def advance(step: str, done: int, total: int) -> None:
            if step not in tasks:
                tasks[step] = bars.add_task(step, total=total)
            bars.update(tasks[step], completed=done, total=total)

        yield advance
