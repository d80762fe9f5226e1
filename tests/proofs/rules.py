"""Plans of random briefs against the independent checker: ``python -m proofs.rules``.

From ``tests``; ``--examples 300 --seed 1``. Each brief that breaks a rule is printed with what it
breaks; the last line counts.
"""

from __future__ import annotations

import argparse
import random
import time

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import seed as seeded
from plan_checker import check
from random_briefs import Case, cases

from aquatempo.errors import InfeasibleError
from aquatempo.moves import catalogue
from aquatempo.planning.blocks.showing import shown
from aquatempo.records.plan import ClassPlan

__all__ = ["broken", "main"]


def broken(case: Case, plan: ClassPlan) -> list[str]:
    """Return every rule that a plan breaks, by the checker and by the brief's jumping."""
    found = check(plan)
    jumping = shown(plan.tracks, plan.brief.depth, catalogue())
    if jumping > case.brief.jump_minutes + 1e-9:
        found.append(f"jumps @ 0: {jumping:.2f} minutes of {case.brief.jump_minutes:g}")
    return found


def main() -> None:
    """Plan random briefs and print what does not hold."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--examples", type=int, default=300)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--seconds", type=float, default=float("inf"))
    told = asked.parse_args()
    started = time.monotonic()
    count = {"planned": 0, "cannot be": 0, "broken": 0}

    @seeded(told.seed)
    @settings(
        max_examples=told.examples, deadline=None, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(cases())
    def plan_all(case: Case) -> None:
        if time.monotonic() - started > told.seconds:
            return
        try:
            plan = case.plan()
        except InfeasibleError as error:
            count["cannot be"] += 1
            print(f"cannot be planned: {case}\n   {error}", flush=True)
            return
        count["planned"] += 1
        found = broken(case, plan)
        if found:
            count["broken"] += 1
            print(f"{case}\n   {found}", flush=True)

    random.seed(told.seed)
    plan_all()
    print(", ".join(f"{number} {name}" for name, number in count.items()), flush=True)


if __name__ == "__main__":
    main()
