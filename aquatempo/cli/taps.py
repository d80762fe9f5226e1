"""Read taps: key presses on a terminal, times in seconds from anything else."""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from aquatempo.errors import InputError

__all__ = ["read_taps"]

_END = ("\r", "\n", "\x1b", "\x04", "")  # Enter, Esc, end of input
_AGAIN = ("\x7f", "\b")  # Backspace
_INTERRUPT = "\x03"


def read_taps() -> list[float]:
    """Return the times of the taps [s]."""
    if sys.stdin is None:  # closed by who started us
        return []
    if not sys.stdin.isatty():
        return [_time_of(line, number) for number, line in enumerate(sys.stdin, 1) if line.strip()]
    sys.stderr.write("Press a key on every beat; Backspace starts again, Enter ends.\n")
    times: list[float] = []
    with _single_keys() as read_key:
        while (key := read_key()) not in _END:
            if key == _INTERRUPT:
                raise KeyboardInterrupt
            if key in _AGAIN:
                times.clear()
            else:
                times.append(time.perf_counter())
            sys.stderr.write(f"\r{_so_far(times)}")
            sys.stderr.flush()
    sys.stderr.write("\n")
    return times


def _so_far(times: list[float]) -> str:
    if len(times) < 2:
        return f"{len(times)} taps           "
    return f"{len(times)} taps, about {60 * (len(times) - 1) / (times[-1] - times[0]):.0f} bpm  "


def _time_of(line: str, number: int) -> float:
    try:
        value = float(line.strip().replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InputError(f"line {number} of the taps, {line.strip()!r}: needs a time in seconds")
    return value


@contextmanager
def _single_keys() -> Iterator[Callable[[], str]]:
    """Give a function that returns one key at a time, without waiting for Enter."""
    if sys.platform == "win32":
        import msvcrt

        yield msvcrt.getwch
        return
    import termios
    import tty

    terminal = sys.stdin.fileno()
    before = termios.tcgetattr(terminal)
    tty.setcbreak(terminal)
    try:
        yield lambda: sys.stdin.read(1)
    finally:
        termios.tcsetattr(terminal, termios.TCSADRAIN, before)
