"""Results to files: whole or not at all, and never over what is there unless told to."""

from __future__ import annotations

from pathlib import Path

from aquatempo.errors import OutputError
from aquatempo.store.files import write_whole

__all__ = ["refuse_existing", "write_result"]


def refuse_existing(path: str | Path, force: bool) -> None:
    """Raise OutputError where a file exists and must not be replaced.

    path: of the file; force: it may be replaced.
    """
    if not force and Path(path).exists():
        raise OutputError(str(path), "it exists already (give --force to replace it)")


def write_result(path: str | Path, content: str | bytes, force: bool = False) -> None:
    """Write text (UTF-8) or bytes to a file. Raises OutputError.

    path: of the file; content: all of it; force: replace a file that exists.
    """
    refuse_existing(path, force)
    write_whole(Path(path), content.encode() if isinstance(content, str) else content)
