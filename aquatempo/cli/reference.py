"""docs/cli.md, written from the commands' own help.

Run ``python -m aquatempo.cli.reference > docs/cli.md`` after changing a command.
"""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from typing import Any

import typer.main

from aquatempo.cli.app import build_app

__all__ = ["reference_markdown"]

_HEAD = """\
# Commands

Written from the commands' own help by `python -m aquatempo.cli.reference`; a test fails
where it is out of date. Data go to standard output, talk and progress to standard error.
Exit codes: 0 done, 1 something given could not be used (one line says what), 2 wrong
usage, 130 interrupted.
"""


def reference_markdown() -> str:
    """Return the reference of all commands as Markdown."""
    group: Any = typer.main.get_command(build_app())  # its class depends on typer's version
    parts = [_HEAD]
    for name in sorted(group.commands):
        command = group.commands[name]
        inner = getattr(command, "commands", {})
        parts += ["\n".join(_command_lines(f"{name} {one}", inner[one])) for one in sorted(inner)]
        if not inner:
            parts.append("\n".join(_command_lines(name, command)))
    return "\n".join(parts)


def _command_lines(name: str, command: Any) -> Iterator[str]:  # noqa: ANN401 - as above
    arguments = [p for p in command.params if p.param_type_name == "argument"]
    options = [p for p in command.params if p.param_type_name == "option"]
    usage = " ".join(["aquatempo", name, *(_shown(p) for p in arguments), "[OPTIONS]"])
    yield f"## {name}\n\n`{usage}`\n\n{inspect.cleandoc(command.help or '')}\n"
    if arguments or options:
        yield "| given | what it does |\n| --- | --- |"
    for parameter in (*arguments, *options):
        names = ", ".join(f"`{one}`" for one in (*parameter.opts, *parameter.secondary_opts))
        takes = "" if parameter in arguments or getattr(parameter, "is_flag", False) else "value"
        value = f" {parameter.metavar or 'NUMBER'}" if takes else ""
        left = f"`{_shown(parameter)}`" if parameter in arguments else f"{names}{value}"
        yield f"| {_escaped(left)} | {_escaped(parameter.help or '')} |"
    example = (command.epilog or "").replace("\b\n", "").partition(":\n")[2]
    yield f"\n```console\n{inspect.cleandoc(example)}\n```\n"


def _shown(argument: Any) -> str:  # noqa: ANN401 - as above
    return str(argument.metavar or argument.name.upper())


def _escaped(text: str) -> str:
    return " ".join(text.split()).replace("|", "\\|")


if __name__ == "__main__":
    print(reference_markdown(), end="")
