"""Texts read as UTF-8 or not at all."""

from __future__ import annotations

from pathlib import Path

from aquatempo.errors import TextFileError
from aquatempo.files import note_input

__all__ = ["read_text"]


def read_text(path: str | Path, as_input: bool = True) -> str:
    """Return the text of a file that a person wrote, in UTF-8, with or without its mark.

    path: as named in errors. as_input: whether the job at hand must not write over it.
    Raises TextFileError where it cannot be read or is no text.
    """
    if as_input:
        note_input(path)
    try:
        return Path(path).read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as exc:
        raise TextFileError(str(path), None, "not text in UTF-8") from exc
    except OSError as exc:
        reason = exc.strerror or str(exc)
        raise TextFileError(str(path), None, f"cannot be read: {reason}") from exc
