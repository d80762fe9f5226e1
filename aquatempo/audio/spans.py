"""Files that may be read: regular ones only, and a span of one as if it were a file."""

from __future__ import annotations

import contextlib
import io
import os
import stat
from pathlib import Path

from aquatempo.errors import UnreadableFileError

__all__ = ["FileSpan", "refuse_special"]

_KINDS = (
    (stat.S_ISFIFO, "this is a pipe, not a file", "save what comes through it to a file first"),
    (stat.S_ISSOCK, "this is a socket, not a file", "give an audio file"),
    (stat.S_ISCHR, "this is a device, not a file", "give an audio file"),
    (stat.S_ISBLK, "this is a device, not a file", "give an audio file"),
)


def refuse_special(path: Path) -> None:
    """Raise UnreadableFileError for a pipe, socket or device: reading it might never end.

    What cannot be looked at passes: opening it says why.
    """
    try:
        mode = path.stat().st_mode
    except (OSError, ValueError):
        return
    for is_kind, reason, slip in _KINDS:
        if is_kind(mode):
            raise UnreadableFileError(str(path), reason, slip)


class FileSpan(io.FileIO):
    """Bytes from start to end of a file, for decoders that seek as damaged headers tell them.

    A seek to where nothing can be leaves the place as it is: libsndfile would print the
    error on stderr from within its callback, and help nobody.
    """

    def __init__(self, path: str, start: int = 0, end: int | None = None) -> None:
        super().__init__(path)
        size = os.fstat(self.fileno()).st_size
        self._start, self._end = start, size if end is None else min(end, size)
        super().seek(start)

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        """Move within the span by an offset [bytes] from whence (as ``io``), or not at all."""
        base = {io.SEEK_SET: self._start, io.SEEK_CUR: super().tell(), io.SEEK_END: self._end}
        target = base[whence] + offset
        if target >= self._start:
            with contextlib.suppress(OSError, OverflowError):
                super().seek(target)
        return self.tell()

    def tell(self) -> int:
        """Return the place within the span."""
        return super().tell() - self._start

    def readinto(self, buffer: bytearray | memoryview) -> int:  # type: ignore[override]
        """Fill a buffer as far as the span goes; return the number of bytes."""
        left = max(0, self._end - super().tell())
        return super().readinto(memoryview(buffer)[:left]) or 0

    def read(self, size: int | None = -1) -> bytes:
        """Return up to so many bytes, all that are left by default."""
        left = max(0, self._end - super().tell())
        wanted = left if size is None or size < 0 else min(size, left)
        return super().read(wanted) or b""
