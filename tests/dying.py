"""Jobs for processes that tests let die."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

__all__ = ["double", "note_and_wait"]


def double(order: str) -> str:
    """Return an order twice, or do what it says: die so often, raise, wait."""
    kind, _, rest = order.partition(" ")
    if kind == "die":
        os.kill(os.getpid(), int(rest))
    if kind == "die-once":
        mark = Path(rest)
        if not mark.exists():
            mark.touch()
            os.kill(os.getpid(), signal.SIGKILL)
    if kind == "exhaust":
        raise MemoryError
    if kind == "load":
        raise ImportError("libany.so: failed to map segment from shared object")
    if kind == "raise":
        raise ValueError(rest)
    return order + order


def note_and_wait(folder: str) -> str:
    """Write this process's number into a folder, and wait for long."""
    (Path(folder) / str(os.getpid())).touch()
    time.sleep(60)
    return folder
