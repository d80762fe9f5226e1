"""How the process ends when something from outside ends it: signals, pipes, full disks.

A signal is one line on stderr and 128 plus its number. While nothing is at work yet (imports,
options) there is nothing to put away, and the process ends on the spot; later an exception
lets everything close what it holds. Imported first, so it imports nothing that takes time.
"""

from __future__ import annotations

import contextlib
import errno
import os
import signal
import sys
import threading
from collections.abc import Iterator

TYPE_CHECKING = False  # as type checkers take it, without the time that importing typing takes
if TYPE_CHECKING:
    from types import FrameType
    from typing import NoReturn

__all__ = ["Stopped", "ask_again", "at_work", "end", "ended_by", "prepared"]

FAILED = 1
_LINE = b"aquatempo: stopped before it was done\n"
_SIGNALS = [
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
]
_at_work = False
_signal = 0


class Stopped(BaseException):
    """A signal that asks the process to end; like KeyboardInterrupt, for any of them."""


@contextlib.contextmanager
def prepared() -> Iterator[None]:
    """Take over the signals, and keep the numbers of standard streams from being reused."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # else the next file opened would be "stdout"
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115, PTH123
    before = {}
    if threading.current_thread() is threading.main_thread():
        for kind in _SIGNALS:
            if signal.getsignal(kind) is not signal.SIG_IGN:
                before[kind] = signal.signal(kind, _on_signal)
    try:
        yield
    finally:
        for kind, handler in before.items():
            signal.signal(kind, handler)


def at_work(working: bool) -> None:
    """Say whether something is at work that has to be put away when the process ends."""
    global _at_work, _signal
    _at_work = working
    if not working:
        _signal = 0


def ask_again() -> None:
    """Forget a signal whose exception was lost, so that its repetition counts as the first."""
    global _signal
    _signal = 0


def _on_signal(number: int, frame: FrameType | None) -> None:
    global _signal
    if not _at_work or _signal:  # nothing to put away, or asked twice
        os.write(2, (b"\n" if number == signal.SIGINT else b"") + _LINE)
        os._exit(128 + number)
    _signal = number
    raise KeyboardInterrupt if number == signal.SIGINT else Stopped


def ended_by(exc: BaseException) -> tuple[str, int] | None:
    """Return the line and the exit code for an exception that came from outside, or None.

    The line is empty where whoever reads our output has left: it wants no more of it.
    """
    if _signal or isinstance(exc, KeyboardInterrupt | Stopped):
        return "stopped before it was done", 128 + (_signal or signal.SIGINT)
    if isinstance(exc, BrokenPipeError):
        return "", 128 + getattr(signal, "SIGPIPE", 13)
    if isinstance(exc, OSError):
        reason = exc.strerror or str(exc)
        if exc.filename is None and exc.errno in (errno.ENOSPC, errno.EIO, errno.EBADF):
            return f"cannot write standard output: {reason}", FAILED
        return f"{exc.filename!r}: {reason}" if exc.filename is not None else reason, FAILED
    from aquatempo.errors import is_out_of_memory

    if is_out_of_memory(exc):
        return "not enough memory for this", FAILED
    return None


def end(code: int) -> NoReturn:
    """Flush standard output and exit; what cannot be flushed is said, not raised."""
    try:
        sys.stdout.flush()
    except (OSError, ValueError) as exc:
        line, failed = ended_by(exc) or ("", FAILED)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # what is left to flush at exit goes there
        if line:
            os.write(2, f"aquatempo: {line}\n".encode())
        code = code or failed
    raise SystemExit(code)
