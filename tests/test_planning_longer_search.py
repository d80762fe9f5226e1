"""How long is searched, and what is weighed beside it: scripted solvers, counted by hand.

A search is scripted: what it comes to, how far its cost and what is proven lie apart. The limits
are judgement, no source; they are the planner's own promises.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import cast

import pytest
from ortools.sat.python import cp_model
from planning_forms import form_of

from aquatempo.planning.moves.offers import Ahead
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.solver import solving
from aquatempo.planning.solver.solving import Effort, minimise
from aquatempo.records.moves import MoveForm

FOUND, BEST, NONE = cp_model.FEASIBLE, cp_model.OPTIMAL, cp_model.INFEASIBLE
UNKNOWN = cp_model.UNKNOWN
Script = list[tuple[cp_model.CpSolverStatus, float, float]]


@dataclass
class Scripted:
    """A solver that comes to what is written: status, cost, what is proven; one a search."""

    script: Script
    parameters: SimpleNamespace = field(default_factory=SimpleNamespace)
    limits: list[float] = field(default_factory=list)
    hints: list[list[int]] = field(default_factory=list)
    objective_value: float = 0.0
    best_objective_bound: float = 0.0
    response_proto: SimpleNamespace = field(
        default_factory=lambda: SimpleNamespace(solution=[1, 0, 1])
    )

    def solve(self, model: SimpleNamespace) -> cp_model.CpSolverStatus:
        """Return the next status written."""
        self.limits.append(self.parameters.max_deterministic_time)
        self.hints.append(list(model.proto.solution_hint.values))
        status, self.objective_value, self.best_objective_bound = self.script.pop(0)
        return status


@pytest.fixture
def searched(monkeypatch: pytest.MonkeyPatch) -> Callable[[Script], tuple[object, Scripted]]:
    """Return a search by script: what it came to, and its solver."""

    def search(script: Script) -> tuple[object, Scripted]:
        solver = Scripted(script)
        monkeypatch.setattr(cp_model, "CpSolver", lambda: solver)
        hint = SimpleNamespace(vars=[], values=[])
        model = SimpleNamespace(proto=SimpleNamespace(solution_hint=hint))
        found = minimise(cast("cp_model.CpModel", model), Effort(7, 2.0))
        return (found[0] if found else None), solver

    return search


Searched = Callable[[Script], tuple[object, Scripted]]


@pytest.mark.parametrize(
    ("script", "limits"),
    [
        ([(BEST, 100, 100)], [2.0]),
        ([(FOUND, 100, 80)], [2.0]),  # four fifths are proven: sure enough
        ([(FOUND, 100, 79), (FOUND, 90, 79)], [2.0, 10.0]),
        ([(FOUND, 100, 0), (FOUND, 100, 10)], [2.0, 10.0]),  # only once
        ([(UNKNOWN, 0, 0), (BEST, 5, 5)], [2.0, 8.0]),
        ([(UNKNOWN, 0, 0)] * 2 + [(FOUND, 9, 1), (BEST, 5, 5)], [2.0, 8.0, 32.0, 160.0]),
        ([(UNKNOWN, 0, 0)] * 7, [2.0 * 4.0**k for k in range(7)]),
        ([(NONE, 0, 0)], [2.0]),
    ],
)
def test_a_search_far_from_proven_goes_on_five_times_as_long_once(
    searched: Searched, script: Script, limits: list[float]
) -> None:
    """Nothing found: four times as long, six times at most; less than 0.8 proven: five times."""
    _, solver = searched(list(script))
    assert solver.limits == limits


def test_what_was_found_is_where_the_longer_search_begins(searched: Searched) -> None:
    """The first choice is handed on, the better one is told; where none comes, the first stays."""
    found, solver = searched([(FOUND, 100, 10), (BEST, 60, 60)])
    assert found == solving.Solved(60, 60, True)
    assert solver.hints == [[], [1, 0, 1]]
    found, _ = searched([(FOUND, 100, 10), (UNKNOWN, 100, 10)])
    assert found == solving.Solved(100, 10, False)
    assert searched([(NONE, 0, 0)])[0] is None
    assert searched([(UNKNOWN, 0, 0)] * 7)[0] is None


def test_a_search_is_told_by_work_and_seed_alone(searched: Searched) -> None:
    """One worker, the seed that was given, and no limit by the clock."""
    told = vars(searched([(BEST, 1, 1)])[1].parameters)
    assert (told["num_workers"], told["random_seed"]) == (1, 7)
    assert "max_time_in_seconds" not in told


class Rating:
    """Stands for a palette that notes what it is asked to rate."""

    def __init__(self) -> None:
        self.asked: list[list[MoveForm]] = []

    def rate(self, forms: Sequence[MoveForm], tempo_bpm: float) -> None:
        """Note the forms; tempo_bpm is that of the song."""
        assert tempo_bpm == 128.0
        self.asked.append(list(forms))


@pytest.mark.parametrize("forms", range(8))
def test_every_form_is_rated_ahead_two_at_a_time(forms: int) -> None:
    """Each likely form once, in turn, none passed over; then there is nothing left to do."""
    every = [form_of(key) for key in ("jog", "jack", "jump", "star", "frog", "leap", "tuck")]

    class Listed(Ahead):
        def _in_turn(self) -> Iterator[MoveForm]:
            return iter(every[:forms])

    palette = Rating()
    ahead = Listed(cast("Palette", palette), (), 128.0)
    calls = 1
    while ahead():
        calls += 1
    assert [form for some in palette.asked for form in some] == every[:forms]
    assert all(len(some) <= 2 for some in palette.asked)
    assert calls == (forms + 1) // 2 + 1
    assert not ahead()
