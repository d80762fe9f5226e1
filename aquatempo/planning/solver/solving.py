"""OR-tools CP-SAT as planning uses it: one worker, a seed, a work limit that is no clock."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = ["Effort", "Solved", "minimise"]


LOOK_S = 0.2  # how often it is looked whether Ctrl-C came
_SURE, _LONGER = 0.8, 5.0  # of the cost is proven; else the search goes on for so much longer
_RAISED = 6  # times that the work limit may be raised, fourfold each


@dataclass(frozen=True)
class Effort:
    """How hard to search. work: CP-SAT's deterministic time, about a second each.

    meanwhile: a little of other work that may be done beside the search; False when none is left.
    """

    seed: int = 1
    work: float = 1.0
    meanwhile: Callable[[], bool] | None = None


@dataclass(frozen=True)
class Solved:
    """What the search came to. cost is what was found, bound what is proven to be needed."""

    cost: float
    bound: float
    optimal: bool


def minimise(model: cp_model.CpModel, effort: Effort) -> tuple[Solved, cp_model.CpSolver] | None:
    """Solve a model; return its figures and the solver with the values, None if infeasible.

    Where the work limit ends before any solution is found, it is raised and tried again.
    effort: how hard to search, and the seed.
    """
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = effort.seed
    solver.parameters.max_deterministic_time = effort.work
    # Rows of choices are nearly flows: their linear relaxation is tight, so use all of it.
    solver.parameters.linearization_level = 2
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.catch_sigint_signal = False  # else Ctrl-C ends the search, not the command
    status = _searched(solver, model, effort.meanwhile)
    for _ in range(_RAISED):
        if status != cp_model.UNKNOWN:
            break
        solver.parameters.max_deterministic_time *= 4.0
        status = _searched(solver, model, effort.meanwhile)
    if status == cp_model.FEASIBLE and solver.best_objective_bound < _SURE * solver.objective_value:
        # Far from proven: go on from what was found, as a poor choice is heard in every phrase.
        proto = model.proto
        for index, value in enumerate(solver.response_proto.solution):
            proto.solution_hint.vars.append(index)
            proto.solution_hint.values.append(value)
        solver.parameters.max_deterministic_time *= _LONGER
        again = _searched(solver, model, effort.meanwhile)
        status = again if again != cp_model.UNKNOWN else status
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    # Costs are whole numbers; the solver hands them on as floats.
    cost, bound = round(solver.objective_value), round(solver.best_objective_bound, 3)
    found = Solved(cost, bound, status == cp_model.OPTIMAL)
    return found, solver


def _searched(
    solver: cp_model.CpSolver, model: cp_model.CpModel, meanwhile: Callable[[], bool] | None
) -> cp_model.CpSolverStatus:
    """Solve a model so that an exception in this thread, as Ctrl-C raises it, ends the search.

    The solver would hold it back until it is done; so it works in a thread of its own.
    """
    found: list[cp_model.CpSolverStatus] = []
    failed: list[BaseException] = []

    def search() -> None:
        try:
            found.append(solver.solve(model))
        except BaseException as exc:  # raised again below, where it can be seen
            failed.append(exc)

    thread = threading.Thread(target=search, daemon=True)
    thread.start()
    try:
        while thread.is_alive():
            thread.join(LOOK_S if meanwhile is None else 0.0)
            if meanwhile is not None and thread.is_alive() and not meanwhile():
                meanwhile = None
    except BaseException:
        while thread.is_alive():
            solver.stop_search()
            thread.join(LOOK_S)
        raise
    if failed:
        raise failed[0]
    return found[0]
