"""A command in a child of this process: what is loaded once serves all that are tried."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

__all__ = ["become_command", "is_review"]


def become_command(
    arguments: Sequence[str],
    folder: Path,
    home: Path,
    said: tuple[Path, Path],
    before: Callable[[], None] | None = None,
) -> NoReturn:
    """Run a command in a folder and end this process, a forked child, with its exit code.

    home: where it keeps its own; said: where standard output and error go; before: done first.
    """
    code = 99
    try:
        for number, path in enumerate(said, 1):
            os.dup2(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), number)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        os.chdir(folder)
        os.environ.update(XDG_CACHE_HOME=str(home), XDG_DATA_HOME=str(home))
        if before is not None:
            before()
        from aquatempo.cli import main

        main(arguments)
        code = 0
    except SystemExit as leaving:
        code = int(leaving.code or 0)
    except BaseException:
        traceback.print_exc()
    finally:
        try:
            sys.stdout.flush()
            sys.stderr.flush()
        finally:
            os._exit(code)


def is_review(arguments: Sequence[str], out: str) -> bool:
    """Return whether a review told on standard output what is wrong with a plan: its answer."""
    return arguments[0] == "review" and "cannot be done, or may hurt" in out
