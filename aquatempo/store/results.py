"""Results to files: whole or not at all, and never over what is there unless told to."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from aquatempo.errors import InputError, OutputError
from aquatempo.files import finish_together, write_together, write_whole

__all__ = [
    "finish_results",
    "refuse_existing",
    "refuse_folder",
    "refuse_target",
    "write_result",
    "write_results",
]


SIGNATURES = {".pdf": b"%PDF", ".mid": b"MThd", ".parquet": b"PAR1"}
SOUNDS = (".wav", ".flac", ".ogg")  # what is there is asked when sound is written
CONTROLS = frozenset(range(32)) - frozenset(b"\t\n\f\r\x1b")


def refuse_existing(path: str | Path, force: bool) -> None:
    """Raise OutputError where a file exists and must not be replaced.

    path: of the file; force: it may be replaced, where it is of the kind that its name says:
    a song that somebody named .svg is no picture.
    """
    if not os.path.lexists(path):
        return
    if not force:
        raise OutputError(str(path), "it exists already (give --force to replace it)")
    if not _of_its_kind(Path(path)):
        raise OutputError(
            str(path), "what is there is no such file, perhaps a song (choose another name)"
        )


def _of_its_kind(path: Path) -> bool:
    """Return whether a file is text, or begins as those of its name do."""
    suffix = path.suffix.lower()
    if suffix in SOUNDS or not path.is_file():
        return True
    try:
        with path.open("rb") as file:
            begins = file.read(4096)
    except OSError as exc:
        raise OutputError(str(path), exc.strerror or str(exc)) from exc
    return CONTROLS.isdisjoint(begins) or begins.startswith(SIGNATURES.get(suffix, b"no such"))


def refuse_target(path: str, kind: str, suffixes: Sequence[str], force: bool) -> None:
    """Raise, before any work, where a result cannot be written to a path later.

    kind: what it is, for the message; suffixes: that its name may have; force: replace what
    is there. Raises InputError for a name that does not end as that
    kind does, OutputError where a file exists (unless forced) or its folder takes none.
    """
    if not path.lower().endswith(tuple(suffixes)):
        raise InputError(f"{kind} {path!r}: needs a name that ends in {' or '.join(suffixes)}")
    refuse_existing(path, force)
    refuse_folder(path, Path(path).parent)


def refuse_folder(path: str, folder: Path) -> None:
    """Raise OutputError, before any work, where a folder would take no file for a path."""
    try:
        while not folder.exists() and folder != folder.parent:
            folder = folder.parent
        if not folder.is_dir():
            raise OutputError(path, "a file is in the way of its folder")
    except (OSError, ValueError) as exc:
        raise OutputError(path, getattr(exc, "strerror", None) or str(exc)) from exc
    if not os.access(folder, os.W_OK | os.X_OK):
        raise OutputError(path, f"permission to write in {str(folder)!r} is missing")


def write_result(path: str | Path, content: str | bytes, force: bool = False) -> None:
    """Write text (UTF-8) or bytes to a file. Raises OutputError.

    path: of the file; content: all of it; force: replace a file that exists.
    """
    refuse_existing(path, force)
    data = content.encode(errors="surrogateescape") if isinstance(content, str) else content
    write_whole(Path(path), data)


def finish_results(path: str | Path) -> None:
    """End what ``write_results`` began beside a path in a process that died."""
    finish_together(Path(path).parent)


def write_results(contents: Sequence[tuple[str | Path, str]], force: bool = False) -> None:
    """Write contents, (path, text) each, to files, all of them or none; force: replace.

    Raises OutputError.
    """
    for path, _ in contents:
        refuse_existing(path, force)
    write_together([(Path(path), text.encode()) for path, text in contents])
