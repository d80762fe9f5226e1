"""Texts read as UTF-8 or not at all."""

from __future__ import annotations

from pathlib import Path

from aquatempo.errors import TextFileError

__all__ = ["read_text"]


def read_text(path: str | Path) -> str:
    """Return the text of a file that a person wrote, in UTF-8, with or without its mark.

    path: as named in errors. Raises TextFileError where it cannot be read or is no text.
    """
    try:
        return Path(path).read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as exc:
        raise TextFileError(str(path), None, "not text in UTF-8") from exc
    except OSError as exc:
        reason = exc.strerror or str(exc)
        raise TextFileError(str(path), None, f"cannot be read: {reason}") from exc
