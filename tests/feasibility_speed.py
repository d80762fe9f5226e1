"""How fast verdicts are, and what they hold in memory: ``python tests/feasibility_speed.py``.

Times are of the processor, so that other work on the machine counts less.
"""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable

from feasibility_cases import every_form

from aquatempo.feasibility import judge_forms
from aquatempo.moves import catalogue, parse_pattern, resolve
from aquatempo.records.moves import MoveForm, MoveKind, Pattern
from aquatempo.records.people import Group, Pool


def base_forms() -> list[MoveForm]:
    """Return the base moves as they stand."""
    return [resolve(move) for move in catalogue().of_kind(MoveKind.BASE)]


def processor_s(work: Callable[[], object]) -> float:
    """Return the processor time that some work takes [s]."""
    start = time.process_time()
    work()
    return time.process_time() - start


def first_call_s(number: int, patterns: tuple[str, ...] = ()) -> float:
    """Return how long the base moves take for a pool and a group that nobody asked for yet [s].

    number: makes the pool and the group new; patterns: counts a movement (none: each its own).
    """
    pool = Pool(depth_m=1.1031 + 0.0007 * number)
    group = Group(age_years=(41.0 + 0.1 * number, 66.0))
    asked: list[Pattern | None] = [parse_pattern(text) for text in patterns] or [None]
    return processor_s(lambda: judge_forms(base_forms(), asked, [132.0], pool, group))


def warm_verdicts_s(forms: list[MoveForm], rounds: int = 10) -> float:
    """Return verdicts a second at one tempo a call, all forms asked for before."""
    judge_forms(forms, [None], [120.0])

    def again() -> None:
        for tempo in range(rounds):
            judge_forms(forms, [None], [110.0 + tempo])

    return rounds * len(forms) / processor_s(again)


def single_verdicts_s(rounds: int = 2000) -> float:
    """Return verdicts a second in calls of one form at one tempo, asked for before."""
    form = base_forms()[:1]
    judge_forms(form, [None], [120.0])

    def again() -> None:
        for i in range(rounds):
            judge_forms(form, [None], [110.0 + 20.0 * i / rounds])

    return rounds / processor_s(again)


def held_mib(forms: list[MoveForm]) -> float:
    """Return what an engine of a new pool holds after judging some forms [MiB]."""
    tracemalloc.start()
    judge_forms(forms, [None], [120.0], Pool(depth_m=1.2345))
    held, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return held / 2**20


if __name__ == "__main__":
    first_call_s(0)  # what all pools and groups share
    print(f"first call, new pool and group, 21 base moves: {min(map(first_call_s, (1, 2))):.2f} s")
    every = min(first_call_s(number, ("1", "2", "4")) for number in (3, 4))
    print(f"the same in land, water and half water tempo: {every:.2f} s")
    print(f"one form at one tempo a call: {single_verdicts_s():,.0f} verdicts a second")
    forms = list(every_form())
    print(f"warm, {len(forms)} forms: {warm_verdicts_s(forms):,.0f} verdicts a second")
    print(f"held for one pool and group, 21 base moves: {held_mib(base_forms()):.0f} MiB")
    print(f"held for one pool and group, 200 forms: {held_mib(forms[::5]):.0f} MiB")
