"""A file to double-click on that opens the page, as each system wants it."""

from __future__ import annotations

import os
import shlex
import sys
from pathlib import Path

from aquatempo.errors import OutputError
from aquatempo.store.results import write_result

__all__ = ["starter_text", "write_starter"]

_SUFFIXES = {"win32": ".bat", "darwin": ".command"}
_ELSEWHERE = ".desktop"


def write_starter(path: str, system: str = sys.platform) -> Path:
    """Write a starter for a system and this installation; return the file. OutputError.

    path: a file, to which the suffix is added that the system needs, or a folder for it.
    """
    suffix = _SUFFIXES.get(system, _ELSEWHERE)
    file = Path(path)
    if file.is_dir():
        file = file / f"aquatempo{suffix}"
    elif file.suffix != suffix:
        file = file.with_name(file.name + suffix)
    write_result(file, starter_text(sys.executable, system))
    try:
        file.chmod(0o755)
    except OSError as exc:
        raise OutputError(str(file), exc.strerror or str(exc)) from exc
    return file.absolute()


def starter_text(python: str, system: str) -> str:
    """Return what a starter for a system holds, which runs the page with a python at a path.

    >>> print(starter_text("/opt/my tools/python", "darwin").splitlines()[-1])
    exec '/opt/my tools/python' -m aquatempo page
    """
    if system == "win32":
        quoted = python.replace("%", "%%")
        lines = ("@echo off", "title aquatempo", f'"{quoted}" -m aquatempo page')
        return "\r\n".join((*lines, "if errorlevel 1 pause", ""))
    if system == "darwin":
        return f"#!/bin/sh\nexec {shlex.quote(python)} -m aquatempo page\n"
    escaped = python
    for sign in '\\"`$':
        escaped = escaped.replace(sign, f"\\{sign}")
    escaped = escaped.replace("\\", "\\\\").replace("%", "%%")
    return os.linesep.join(
        (
            "[Desktop Entry]",
            "Type=Application",
            "Name=aquatempo",
            "Comment=Prepare a water-exercise class",
            f'Exec="{escaped}" -m aquatempo page',
            "Terminal=true",
            "Categories=AudioVideo;Education;",
            "",
        )
    )
