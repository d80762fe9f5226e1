"""Figures are the same whatever two threads do at once, and wherever a table lies in memory."""

from __future__ import annotations

import threading
from copy import copy
from dataclasses import replace
from typing import Any

import pytest
from feasibility_cases import GROUP, POOL, form

from aquatempo.class_shape.figures import _Loads
from aquatempo.feasibility import engine as engine_module
from aquatempo.feasibility import free_inputs
from aquatempo.feasibility.engine import Engine
from aquatempo.feasibility.law import TIMES_S
from aquatempo.feasibility.parts import parts_of

JACK = form("jack")


KNOWN = Engine(POOL, GROUP, free_inputs(), 240.0)


def fresh(**stores: object) -> Engine:
    """Return the engine with other stores."""
    other = copy(KNOWN)
    vars(other).update(stores)
    return other


class Emptied(dict[Any, Any]):
    """A store that another thread empties as soon as something is put into it."""

    def __setitem__(self, key: Any, value: Any) -> None:
        super().__setitem__(key, value)
        self.clear()


def test_two_threads_get_the_one_table_of_a_limb(monkeypatch: pytest.MonkeyPatch) -> None:
    """A table that two threads make at once is one table: loads are looked up by identity."""
    both = threading.Barrier(2, timeout=5.0)

    def made(*_: object) -> object:
        both.wait()  # neither is stored before the other is begun
        return object()

    own, found = fresh(_limbs={}), list[object]()
    part, setting = parts_of(JACK).movements[0].legs[0], own.setting(JACK)
    monkeypatch.setattr(engine_module, "limb_table", made)
    threads = [
        threading.Thread(target=lambda: found.append(own._limb(part, setting))) for _ in range(2)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 2
    assert found[0] is found[1]


def test_loads_are_those_of_the_table_asked_for() -> None:
    """A table that is dropped leaves no loads behind for the next one at its place in memory."""
    step, loads = KNOWN.steps(JACK, None)[0], _Loads(KNOWN)
    legs, arms = step.legs[0], step.arms[0]
    place, wanted = next(
        (place, told)
        for place in range(len(TIMES_S))
        if (told := [_Loads(KNOWN)._of_limb(one, place) for one in (legs, arms)])[0] != told[1]
    )
    for turn in range(60):
        assert loads._of_limb(replace((legs, arms)[turn % 2]), place) == wanted[turn % 2]


def test_figures_are_told_while_another_thread_empties_the_store() -> None:
    """What was just made is handed on, also where the store is emptied before it is read."""
    own = fresh(_standings=Emptied(), _seen=Emptied())
    assert own.standing(JACK) == KNOWN.standing(JACK)
    assert own.figures(JACK, None) is KNOWN.figures(JACK, None)
