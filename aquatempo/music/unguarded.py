"""Processes started from a plain script, whose main part has no guard.

A spawned process imports the script that started it, so that what the script defines can be
unpickled; a script without ``if __name__ == "__main__"`` would run once more in each. Our jobs
are defined in this package: nothing of the script is needed there.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["script_left_alone"]

_NAMED_BY = ("__spec__", "__file__")  # what multiprocessing hands on of a main module
_one_at_a_time = threading.RLock()


@contextmanager
def script_left_alone() -> Iterator[None]:
    """Let processes that start within it know of no main module to import."""
    main = sys.modules["__main__"]
    with _one_at_a_time:
        kept = {name: vars(main)[name] for name in _NAMED_BY if name in vars(main)}
        main.__spec__ = None
        vars(main).pop("__file__", None)
        try:
            yield
        finally:
            vars(main).update(kept)
