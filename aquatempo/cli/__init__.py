"""The command line: parse, call one workflow function, show its record."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line with arguments (default: those of the process) and exit."""
    try:
        from aquatempo.cli.ending import prepared
    except KeyboardInterrupt:  # before there is anybody to take it
        import os

        os.write(2, b"\naquatempo: stopped before it was done\n")
        raise SystemExit(130) from None
    with prepared():
        from aquatempo.cli.app import run

        run(arguments)
