"""Texts read as UTF-8 or not at all."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from aquatempo.errors import TextFileError
from aquatempo.files import note_input

__all__ = ["LONGEST", "read_text"]

LONGEST = 64 << 20  # bytes of a text: JAMS of four hours with the energy of each beat has few


def read_text(path: str | Path, as_input: bool = True) -> str:
    """Return the text of a file that a person wrote, in UTF-8, with or without its mark.

    path: as named in errors. as_input: whether the job at hand must not write over it.
    Raises TextFileError where it cannot be read or is no text.
    """
    if as_input:
        note_input(path)
    try:
        with open(path, "rb", opener=_without_waiting) as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise TextFileError(str(path), None, "a pipe or device, not a file")
            data = file.read(LONGEST + 1)
        if len(data) > LONGEST:
            raise TextFileError(str(path), None, f"over {LONGEST >> 20} MB: no text of this kind")
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as exc:
        raise TextFileError(str(path), None, "not text in UTF-8") from exc
    except (OSError, ValueError) as exc:
        reason = getattr(exc, "strerror", None) or str(exc)
        raise TextFileError(str(path), None, f"cannot be read: {reason}") from exc


def _without_waiting(path: str, flags: int) -> int:
    """Open a path, also a pipe into which nobody writes, whose reader would wait for ever."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))
