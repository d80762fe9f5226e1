"""OR-tools CP-SAT as planning uses it: one worker, a seed, a work limit that is no clock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = ["Effort", "Solved", "minimise"]


_RAISED = 6  # times that the work limit may be raised, fourfold each


@dataclass(frozen=True)
class Effort:
    """How hard to search. work: CP-SAT's deterministic time, about a second each."""

    seed: int = 1
    work: float = 1.0


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
    status = solver.solve(model)
    for _ in range(_RAISED):
        if status != cp_model.UNKNOWN:
            break
        solver.parameters.max_deterministic_time *= 4.0
        status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    # Costs are whole numbers; the solver hands them on as floats.
    cost, bound = round(solver.objective_value), round(solver.best_objective_bound, 3)
    found = Solved(cost, bound, status == cp_model.OPTIMAL)
    return found, solver
