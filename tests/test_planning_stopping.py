"""Planning stopped: whoever asks for an end gets it at once, and is told how far it is before."""

from __future__ import annotations

import random
import signal
import sys
import time

import pytest

from aquatempo.planning.solver.solving import Effort, minimise


@pytest.mark.skipif(sys.platform == "win32", reason="needs a timer that raises a signal")
def test_interruption_ends_a_search_at_once() -> None:
    """Ctrl-C in the middle of a long search is raised within a second, not swallowed by it."""
    from ortools.sat.python import cp_model

    model, rng = cp_model.CpModel(), random.Random(1)
    items = [model.new_bool_var("") for _ in range(400)]
    for _ in range(60):  # knapsacks of hard sizes: minutes of search
        model.add(sum(rng.randint(1000, 9999) * item for item in items) >= 900_000)
    model.minimize(sum(rng.randint(1000, 9999) * item for item in items))

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGALRM, interrupt)
    started = time.monotonic()
    try:
        signal.setitimer(signal.ITIMER_REAL, 0.4)
        with pytest.raises(KeyboardInterrupt):
            minimise(model, Effort(1, 60.0))
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
    assert time.monotonic() - started < 8  # a minute and more without


def test_search_that_fails_says_so() -> None:
    """What goes wrong in the search is raised where it was asked for."""
    with pytest.raises(AttributeError):
        minimise(object(), Effort())  # type: ignore[arg-type]
