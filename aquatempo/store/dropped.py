"""Songs that were dropped on the page: a browser gives bytes, so they are kept as files."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from types import TracebackType

from aquatempo.errors import OutputError
from aquatempo.files import open_draft, remove_leftovers
from aquatempo.store.folders import data_folder

__all__ = ["DroppedFile", "dropped_folder"]

LONGEST_NAME = 120


def dropped_folder() -> Path:
    """Return the folder of dropped songs; it may not exist yet."""
    return data_folder() / "music"


class DroppedFile:
    """A song that arrives bit by bit; it gets its name when it is whole.

    A name that is taken gets a number, unless the bytes are the same. Raises OutputError.
    """

    def __init__(self, name: str) -> None:
        self.path = dropped_folder() / _plain_name(name)
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            remove_leftovers(self.path.parent)
            self._temporary, self._file = open_draft(self.path.parent)
        except OSError as exc:
            raise OutputError(str(self.path), exc.strerror or str(exc)) from exc

    def __enter__(self) -> DroppedFile:
        """Return this file."""
        return self

    def write(self, data: bytes) -> None:
        """Append bytes."""
        try:
            self._file.write(data)
        except OSError as exc:
            raise OutputError(str(self.path), exc.strerror or str(exc)) from exc

    def finish(self) -> Path:
        """Give the file its name and return where it lies."""
        try:
            self._file.flush()
            os.fsync(self._file.fileno())
            self._file.close()
            number = 1
            target = self.path
            while target.exists():
                if _same(target, self._temporary):
                    return target
                number += 1
                target = self.path.with_stem(f"{self.path.stem} ({number})")
            self._temporary.replace(target)
        except OSError as exc:
            raise OutputError(str(self.path), exc.strerror or str(exc)) from exc
        return target

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Remove what is unfinished."""
        self._file.close()
        with contextlib.suppress(OSError):
            self._temporary.unlink()


def _plain_name(name: str) -> str:
    """Return the last part of a name from a browser, with its suffix, fit for any file system."""
    last = name.replace("\\", "/").rpartition("/")[2]
    kept = "".join(sign if sign.isprintable() and sign not in '<>:"|?*' else "_" for sign in last)
    stem, _, suffix = kept.rpartition(".")
    return f"{stem.strip('. ')[:LONGEST_NAME].strip() or 'song'}.{suffix[:8]}"


def _same(first: Path, second: Path) -> bool:
    if first.stat().st_size != second.stat().st_size:
        return False
    with first.open("rb") as one, second.open("rb") as other:
        while chunk := one.read(1 << 20):
            if chunk != other.read(1 << 20):
                return False
    return True
