"""Files that appear whole or not at all, and one writer at a time.

What is written goes to a temporary file beside its place, is forced to the disk, and then
takes that place in one step: a reader, and whoever comes after a crash, finds the old file or
the new one, whole, never a mix. A temporary file is locked while its writer lives, so that
those of killed writers can be told and removed.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sys
import time
from collections.abc import Iterator, Sequence
from contextvars import ContextVar
from pathlib import Path
from typing import BinaryIO

from aquatempo.errors import OutputError

__all__ = [
    "finish_together",
    "inputs_kept",
    "note_input",
    "one_at_a_time",
    "open_draft",
    "remove_leftovers",
    "replacing",
    "write_together",
    "write_whole",
]

_TEMPORARY = ".writing-"
_TOGETHER = ".together-"  # a list of temporary files and the places that they are to take
_ABANDONED_S = 86_400.0  # the age of a leftover where no lock can tell
_LONGEST_WAIT_S = 60.0
_LOOK_AGAIN_S = 0.02
# What file systems say that cannot lock, or cannot force a folder to the disk.
_UNSUPPORTED = {errno.EINVAL, errno.ENOLCK, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP}
_inputs: ContextVar[set[tuple[int, int]] | None] = ContextVar("inputs", default=None)
_tidied: set[str] = set()  # folders in which this process has looked for leftovers


@contextlib.contextmanager
def inputs_kept() -> Iterator[None]:
    """Refuse, within the block, to replace any file that was read in it (``note_input``)."""
    token = _inputs.set(set())
    try:
        yield
    finally:
        _inputs.reset(token)


def note_input(path: str | Path) -> None:
    """Remember that a file was read for the job at hand, under whatever name it is written."""
    noted = _inputs.get()
    if noted is not None:
        with contextlib.suppress(OSError, ValueError):
            found = Path(path).stat()
            noted.add((found.st_dev, found.st_ino))


def write_whole(path: Path, data: bytes) -> None:
    """Write data to a path, whole or not at all; folders on the way are made.

    Raises OutputError.
    """
    with replacing(path) as file:
        file.write(data)


@contextlib.contextmanager
def replacing(path: Path) -> Iterator[BinaryIO]:
    """Give a file to write; it takes the place of path when the block ends without error.

    Folders on the way are made, the mode of a file that is replaced is kept, and a link is
    followed. Where anything fails, what was there stays. Raises OutputError.
    """
    draft = _Draft(path)
    try:
        yield draft.file
        draft.force()
        draft.put()
    except OSError as exc:
        raise OutputError(str(path), _reason(exc)) from exc
    finally:
        draft.drop()


def write_together(contents: Sequence[tuple[Path, bytes]]) -> None:
    """Write several small files of one folder: all of them, or none where one cannot be.

    What takes whose place is put down before the first does, so that ``finish_together`` ends
    what a process began that died in between. Raises OutputError.
    """
    if len(contents) < 2:  # one is whole without a list of what belongs together
        for path, data in contents:
            write_whole(path, data)
        return
    import json

    folder = contents[0][0].parent
    drafts: list[_Draft] = []
    kept: list[tuple[Path, Path | None]] = []  # places taken, and what was there
    note: Path | None = None
    at = Path()
    try:
        for path, data in contents:
            at = path
            drafts.append(_Draft(path))
            drafts[-1].file.write(data)
            drafts[-1].force()
        moves = [[draft.temporary.name, str(draft.target)] for draft in drafts]
        drafts.append(_Draft(folder / f"{_TOGETHER}{os.urandom(8).hex()}"))
        drafts[-1].file.write(json.dumps(moves).encode())
        drafts[-1].force()
        drafts[-1].put()
        note = drafts[-1].target
        for (path, _), draft in zip(contents, drafts, strict=False):
            at = path
            kept.append((draft.target, draft.keep_earlier()))
            draft.put()
    except OSError as exc:
        try:
            for target, earlier in kept:
                if earlier is not None:
                    earlier.replace(target)
                elif target.exists():
                    target.unlink()
        except OSError:  # nothing can be written any more: the next run finishes instead
            for draft in drafts:
                draft.file.close()
            drafts, kept = [], []
            note = None
        raise OutputError(str(at), _reason(exc)) from exc
    finally:
        for draft in drafts:
            draft.drop()
        for left in (*(earlier for _, earlier in kept), note):
            if left is not None:
                with contextlib.suppress(OSError):
                    left.unlink()


def finish_together(folder: Path) -> None:
    """End what a process that died was writing together in a folder, if one did.

    Called before what was written so is read, or anything is written there.
    """
    try:
        notes = [one for one in folder.iterdir() if one.name.startswith(_TOGETHER)]
    except OSError:
        return
    for note in notes:
        import json

        until = time.monotonic() + _LONGEST_WAIT_S
        with contextlib.suppress(OSError, ValueError), note.open("r+b") as file:
            while _lock(file) is False and time.monotonic() < until:
                time.sleep(_LOOK_AGAIN_S)  # its writer lives, and ends it
            for temporary, target in json.loads(file.read()):
                if (folder / temporary).exists():
                    (folder / temporary).replace(target)
            _force_folder(folder)
            note.unlink()


@contextlib.contextmanager
def one_at_a_time(lock: Path, wait_s: float = _LONGEST_WAIT_S) -> Iterator[None]:
    """Hold a lock file while the block runs, so that no other process runs such a block.

    The lock goes with the process that holds it, however that ends. Where the file system
    knows no locks there is none. Raises OutputError where it stays held for wait_s [s].
    """
    until = time.monotonic() + wait_s
    try:
        lock.parent.mkdir(parents=True, exist_ok=True)
        file = lock.open("ab")
    except (OSError, ValueError) as exc:
        raise OutputError(str(lock), _reason(exc)) from exc
    with file:
        while _lock(file) is False:
            if time.monotonic() > until:
                raise OutputError(
                    str(lock.parent),
                    f"another aquatempo has been writing there for {wait_s:g} s "
                    "(wait until it is done, or end it)",
                )
            time.sleep(_LOOK_AGAIN_S)
        yield


class _Draft:
    """A temporary file beside the place that it is to take. Raises OutputError when made."""

    def __init__(self, path: Path) -> None:
        try:
            self.target = _target(path)
            self.target.parent.mkdir(parents=True, exist_ok=True)
            finish_together(self.target.parent)
            remove_leftovers(self.target.parent)
            self.temporary, self.file = open_draft(self.target.parent)
        except (FileExistsError, NotADirectoryError) as exc:
            raise OutputError(str(path), "a file is in the way of its folder") from exc
        except (OSError, ValueError) as exc:
            raise OutputError(str(path), _reason(exc)) from exc

    def force(self) -> None:
        """Force what was written to the disk."""
        self.file.flush()
        with contextlib.suppress(FileNotFoundError):
            self.temporary.chmod(self.target.stat().st_mode & 0o7777)
        os.fsync(self.file.fileno())

    def put(self) -> None:
        """Take the place, in one step."""
        if sys.platform == "win32":  # there an open file cannot be moved
            self.file.close()
        self.temporary.replace(self.target)
        _force_folder(self.target.parent)

    def keep_earlier(self) -> Path | None:
        """Return a second name of what is there now, None where nothing is."""
        if not self.target.exists():
            return None
        second = self.temporary.with_name(f"{_TEMPORARY}{os.urandom(8).hex()}")
        try:
            os.link(self.target, second)
        except OSError as exc:
            if exc.errno not in (*_UNSUPPORTED, errno.EPERM, errno.EMLINK):
                raise
            second.write_bytes(self.target.read_bytes())
        return second

    def drop(self) -> None:
        """Close the file, and remove it unless it has taken its place."""
        with contextlib.suppress(OSError):
            self.file.close()
        with contextlib.suppress(OSError):
            self.temporary.unlink()


def _target(path: Path) -> Path:
    """Return where a path leads; raise OSError where something else than a file is there."""
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, "a folder is there")
    if target.exists() and not target.is_file():
        raise OSError(errno.EINVAL, "what is there is no file but a device or a pipe")
    if noted := _inputs.get():
        with contextlib.suppress(FileNotFoundError):
            found = target.stat()
            if (found.st_dev, found.st_ino) in noted:
                slip = "it is read by this very command and never replaced (choose another name)"
                raise OSError(errno.EPERM, slip)
    return target


def open_draft(folder: Path) -> tuple[Path, BinaryIO]:
    """Return a new file of a folder, locked, that nobody has removed in the meantime."""
    while True:
        temporary = folder / f"{_TEMPORARY}{os.urandom(8).hex()}"
        file = temporary.open("xb")
        if _lock(file) is not False and temporary.exists():
            return temporary, file
        file.close()


def remove_leftovers(folder: Path) -> None:
    """Remove temporary files of writers that are gone, once in the life of a process."""
    if str(folder) in _tidied:
        return
    _tidied.add(str(folder))
    with contextlib.suppress(OSError):
        for left in folder.glob(f"{_TEMPORARY}*"):
            with left.open("ab") as file:
                locked = _lock(file)
                old = time.time() - left.stat().st_mtime > _ABANDONED_S
                if locked or (locked is None and old):
                    left.unlink()


def _force_folder(folder: Path) -> None:
    """Force a folder's list of names to the disk, where the platform knows how."""
    if sys.platform == "win32":
        return
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    except OSError as exc:
        if exc.errno not in _UNSUPPORTED:
            raise
    finally:
        os.close(opened)


def _lock(file: BinaryIO) -> bool | None:
    """Return whether a file could be locked; None where the file system knows no locks."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as exc:
        return None if exc.errno in _UNSUPPORTED else False
    return True


def _reason(exc: Exception) -> str:
    if isinstance(exc, UnicodeEncodeError):
        return "its name cannot be written in this system's encoding"
    return getattr(exc, "strerror", None) or str(exc)
