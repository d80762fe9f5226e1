"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import secrets
from pathlib import Path

from aquatempo.errors import OutputError

__all__ = ["write_whole"]


def write_whole(path: Path, data: bytes) -> None:
    """Write a file through a temporary one beside it; a reader sees the old or the new.

    Folders on the way are made. Raises OutputError.
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
