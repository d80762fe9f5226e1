"""Texts read as UTF-8 or not at all, files written whole or not at all."""

from __future__ import annotations

import contextlib
import secrets
from pathlib import Path

from aquatempo.errors import OutputError, TextFileError

__all__ = ["read_text", "write_whole"]


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


def write_whole(path: Path, data: bytes) -> None:
    """Write a file through a temporary one beside it; a reader sees the old or the new.

    Folders on the way are made. Raises OutputError. path: of the file; data: its whole content.
    """
    temporary = path.with_name(f".writing-{secrets.token_hex(8)}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with temporary.open("xb") as file:
            file.write(data)
        temporary.replace(path)
    except (FileExistsError, NotADirectoryError) as exc:
        raise OutputError(str(path), "a file is in the way of its folder") from exc
    except OSError as exc:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise OutputError(str(path), exc.strerror or str(exc)) from exc
