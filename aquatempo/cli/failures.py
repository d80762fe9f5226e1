"""What the command line does when something goes wrong.

An error of ours is one line on stderr and exit code 1; wrong usage is exit code 2
(typer's own); an interruption is one line and 130. Anything else is a bug and
shows its traceback.
"""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable
from typing import ParamSpec

import typer

from aquatempo.cli.ending import Stopped, at_work, ended_by
from aquatempo.errors import AquatempoError, DecodeError, OutputError, TextFileError, TooShortError
from aquatempo.files import inputs_kept

__all__ = ["failing_plainly", "one_line", "report_failure"]

_Given = ParamSpec("_Given")
FAILED = 1
LONGEST = 900  # characters of a message
INTERRUPTED = 130  # 128 + SIGINT, as shells report it

_NEXT_STEPS: tuple[tuple[type[AquatempoError], str], ...] = (
    (DecodeError, "if it plays elsewhere, save it as wav or flac and try that"),
    (TooShortError, "use more of the track, or enter it by hand as a track sheet"),
    (TextFileError, "correct that place and run the same command again"),
    (OutputError, "choose a place that can be written"),
)


def one_line(text: str) -> str:
    r"""Return text fit for one line of a terminal: control characters are spelled out.

    >>> one_line("two\nlines")
    'two\\nlines'
    """
    return "".join(
        mark if mark.isprintable() else mark.encode("unicode_escape").decode("ascii")
        for mark in text
    )


def _shortened(text: str) -> str:
    """Return a message without the middle of what is too long to be read."""
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 300]} [...] {text[-280:]}"


def report_failure(text: str, next_step: str = "") -> None:
    """Write one failure to stderr as one line.

    text: what went wrong; next_step: what to do about it, "" for nothing.
    """
    message = _shortened(one_line(text)).rstrip(".")
    stop = "" if message.endswith(("?", "!")) else "."
    step = f"{stop} Next: {next_step}" if next_step else ""
    print(f"aquatempo: {message}{step}", file=sys.stderr, flush=True)


def failing_plainly(command: Callable[_Given, None]) -> Callable[_Given, None]:
    """Wrap a command so that errors of ours become one line and an exit code."""

    @functools.wraps(command)
    def guarded(*args: _Given.args, **kwargs: _Given.kwargs) -> None:
        at_work(True)
        try:
            with inputs_kept():
                command(*args, **kwargs)
            sys.stdout.flush()
        except AquatempoError as error:
            report_failure(str(error), _next_step(error))
            raise typer.Exit(FAILED) from error
        except (KeyboardInterrupt, Stopped, Exception) as error:
            ending = ended_by(error)
            if ending is None or isinstance(error, typer.Exit):
                raise
            line, code = ending
            if code == INTERRUPTED:
                print(file=sys.stderr)
            if line:
                report_failure(line)
            raise typer.Exit(code) from error
        finally:
            at_work(False)

    return guarded


def _next_step(error: AquatempoError) -> str:
    """Return what to do about an error whose message does not end in a hint of its own."""
    if str(error).endswith(")") or (isinstance(error, TextFileError) and error.line is None):
        return ""
    return next((step for kind, step in _NEXT_STEPS if isinstance(error, kind)), "")
