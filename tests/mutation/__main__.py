"""Make a random sample of changes, one at a time, and count what the tests notice.

Run ``python -m mutation --sample 400 --seed 1`` in tests; ``--part water`` for one part. Each
change is made in a process of its own, in memory: files stay as they are. Outcomes are appended
to a file, so that a run that was interrupted goes on where it stopped; ``--show`` lists the
survivors. Takes about a second a change and core for parts that compute, ten for those that plan.
"""

from __future__ import annotations

import argparse
import doctest
import json
import os
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from importlib import import_module
from pathlib import Path

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[name] = "1"

import hypothesis  # noqa: F401, E402  loaded once, for all changes
import numpy  # noqa: F401, E402
import pytest  # noqa: E402
import scipy.fft  # noqa: F401, E402

from mutation.changes import ROOT, Change, Changed, Part, changes_to, parts  # noqa: E402

PASSED, TESTS_FAILED, NO_TESTS = 0, 1, 5  # exit codes of pytest


@dataclass
class Running:
    """A change that is being judged in a process."""

    change: Change
    deadline: float


def doctests_pass(change: Change) -> bool:
    """Load a module under a change, and tell whether the examples in its docstrings hold.

    Here and not by pytest: a file that is named to pytest is loaded by its own loader, unchanged.
    """
    loader = Changed(change)
    sys.meta_path.insert(0, loader)
    try:
        return not doctest.testmod(import_module(loader.module)).failed
    except Exception:  # the changed module cannot even be imported
        return False


class Failed:
    """A plugin of pytest that writes the tests that failed to a file, one a line."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Write the name of a test whose setting up, call or tearing down failed."""
        if report.failed:
            with self.path.open("a", encoding="utf-8") as names:
                print(report.nodeid, file=names)


def judge(part: Part, change: Change | None, failing: Path) -> int:
    """Run the tests of a part in a new process; return its number.

    Under a change, the first that fails ends it, and those listed in ``failing`` are not asked;
    without one, all are run and ``failing`` gets the names of those that fail as the code is.
    """
    child = os.fork()
    if child:
        return child
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    os.chdir(ROOT)
    if change is not None and not doctests_pass(change):
        os._exit(int(pytest.ExitCode.TESTS_FAILED))
    options = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--hypothesis-seed=0"]
    options += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]  # hypothesis is loaded already
    if change is None:
        os._exit(int(pytest.main([*options, *map(str, part.tests)], plugins=[Failed(failing)])))
    left_out = failing.read_text(encoding="utf-8").splitlines() if failing.exists() else []
    options += ["-x", *(f"--deselect={name}" for name in left_out)]
    os._exit(int(pytest.main([*options, *map(str, part.tests)])))


def usual_times_s(asked: list[Part], jobs: int, scratch: Path) -> dict[str, float]:
    """Return how long the tests of each part take as the code is; tell which fail even so.

    Raises SystemExit where the tests of a part cannot be run at all.
    """
    times: dict[str, float] = {}
    running: dict[int, tuple[Part, float]] = {}
    waiting = list(asked)
    while waiting or running:
        while waiting and len(running) < jobs:
            part = waiting.pop()
            running[judge(part, None, scratch / part.name)] = (part, time.monotonic())
        child, status = os.wait()
        part, start = running.pop(child)
        times[part.name] = time.monotonic() - start
        if os.waitstatus_to_exitcode(status) not in (PASSED, TESTS_FAILED):
            raise SystemExit(f"{part.name}: its tests cannot be run as the code is")
        failing = scratch / part.name
        for name in failing.read_text(encoding="utf-8").splitlines() if failing.exists() else []:
            print(f"not asked, as it fails without a change: {name}", flush=True)
    return times


def outcomes(todo: list[tuple[Part, Change]], jobs: int) -> Iterator[tuple[Change, str]]:
    """Yield each change with "killed", "killed by time" or "survived"."""
    scratch = Path(tempfile.mkdtemp())
    usual = usual_times_s(list({part.name: part for part, _ in todo}.values()), jobs, scratch)
    running: dict[int, Running] = {}
    waiting = list(reversed(todo))
    while waiting or running:
        while waiting and len(running) < jobs:
            part, change = waiting.pop()
            child = judge(part, change, scratch / part.name)
            running[child] = Running(change, time.monotonic() + 20 + 4 * usual[part.name])
        for child, one in list(running.items()):
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                code = os.waitstatus_to_exitcode(status)
                assert code != NO_TESTS, f"no tests ran for {one.change}"
                yield one.change, "survived" if code == PASSED else "killed"
                del running[child]
            elif time.monotonic() > one.deadline:
                os.kill(child, 9)
                os.waitpid(child, 0)
                yield one.change, "killed by time"
                del running[child]
        time.sleep(0.05)


def table(judged: list[dict[str, str]]) -> str:
    """Return killed and all, part by part, as Markdown."""
    every = Counter(one["part"] for one in judged)
    survived = Counter(one["part"] for one in judged if one["outcome"] == "survived")
    rows = ["| part | changes | noticed | share |", "|---|---|---|---|"]
    for name, count in [*every.items(), ("all", len(judged))]:
        lost = survived[name] if name != "all" else survived.total()
        rows.append(f"| {name} | {count} | {count - lost} | {1 - lost / count:.0%} |")
    return "\n".join(rows)


def main() -> None:
    """Draw, judge, and tell."""
    told = argparse.ArgumentParser(prog="python -m mutation", description=__doc__)
    told.add_argument("--sample", type=int, default=400, help="how many changes")
    told.add_argument("--seed", type=int, default=1, help="another seed, another sample")
    told.add_argument("--part", action="append", help="only this part; may be repeated")
    told.add_argument("--jobs", type=int, default=os.cpu_count() or 1, help="processes at a time")
    told.add_argument("--results", type=Path, default=Path("mutation_results.jsonl"))
    told.add_argument("--show", action="store_true", help="only tell what the results hold")
    given = told.parse_args()
    known, operators = parts()
    chosen = [part for part in known if given.part is None or part.name in given.part]
    lines = given.results.read_text(encoding="utf-8").splitlines() if given.results.exists() else []
    judged = [json.loads(line) for line in lines]
    if not given.show:
        everything = [(p, change) for p in chosen for change in changes_to(p, operators)]
        random.Random(given.seed).shuffle(everything)
        sample = everything[: given.sample]
        done = {(one["file"], one["operator"], one["occurrence"]) for one in judged}
        print(f"{len(sample)} of {len(everything)} possible changes", flush=True)
        todo = [
            one for one in sample if (one[1].file, one[1].operator, one[1].occurrence) not in done
        ]
        with given.results.open("a", encoding="utf-8") as results:
            for change, outcome in outcomes(todo, given.jobs):
                judged.append({**asdict(change), "outcome": outcome})
                print(json.dumps(judged[-1]), file=results, flush=True)
                print(f"{outcome:14} {change.file}:{change.line} {change.operator}", flush=True)
    if judged:
        print(table(judged))
    for one in judged:
        if one["outcome"] == "survived":
            print(f"survived: {one['file']}:{one['line']} {one['operator']} #{one['occurrence']}")


if __name__ == "__main__":
    main()
