"""The command line: parse, call one workflow function, show its record."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line with arguments (default: those of the process) and exit."""
    from aquatempo.cli.app import run

    run(arguments)
