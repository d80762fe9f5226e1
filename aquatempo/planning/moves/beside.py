"""Figures of many forms on two cores: numpy lets a second thread work beside the first."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from typing import TypeVar

__all__ = ["in_halves"]

_Item = TypeVar("_Item")
_Found = TypeVar("_Found")
WORTH_A_THREAD = 4  # items


def in_halves(
    work: Callable[[Sequence[_Item]], Sequence[_Found]], items: Sequence[_Item]
) -> list[_Found]:
    """Return what work finds for each item, every other item done in a second thread.

    work: one result an item, the same whatever else it is given; items: what it is given. An error
    of either thread is raised here.
    """
    if len(items) < WORTH_A_THREAD:
        return list(work(items))
    second: list[Sequence[_Found]] = []
    failed: list[BaseException] = []

    def beside() -> None:
        try:
            second.append(work(items[1::2]))
        except BaseException as exc:  # raised again below, where it can be seen
            failed.append(exc)

    thread = threading.Thread(target=beside, daemon=True)
    thread.start()
    first = work(items[::2])
    thread.join()
    if failed:
        raise failed[0]
    both = [*first, *second[0]]
    both[::2], both[1::2] = first, second[0]
    return both
