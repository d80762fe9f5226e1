"""Make a random sample of changes, one at a time, and count what the tests notice.

Run ``python -m mutation --sample 400 --seed 1`` in tests; ``--part water`` for one part. Each
change is made in a process of its own, in memory: files stay as they are. Outcomes are appended
to a file, so that a run that was interrupted goes on where it stopped; ``--show`` lists the
survivors. The tests are run as the code is first, to see which of them run which function.
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
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from importlib import import_module
from pathlib import Path
from typing import NoReturn

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[name] = "1"

import hypothesis  # noqa: F401, E402  loaded once, for all changes
import numpy  # noqa: F401, E402
import pytest  # noqa: E402
import scipy.fft  # noqa: F401, E402

from mutation.changes import ROOT, Change, Changed, changes_to, parts  # noqa: E402
from mutation.reaching import Asked, Reach, Watched, read  # noqa: E402

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


def child_process() -> int:
    """Fork. Returns the number of the new process; in that, which says nothing, 0."""
    child = os.fork()
    if child == 0:
        os.chdir(ROOT)
        silence = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silence, 1)
        os.dup2(silence, 2)
    return child


def run_tests(files: Sequence[object], *options: str, plugin: object) -> NoReturn:
    """Run test files in this process, and end it with pytest's answer."""
    usual = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--hypothesis-seed=0"]
    usual += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]  # hypothesis is loaded already
    os._exit(int(pytest.main([*usual, *options, *map(str, files)], plugins=[plugin])))


def watched(tests: Sequence[Path], jobs: int) -> Reach:
    """Run the tests as the code is, in several processes; return what they reach.

    Raises SystemExit where they cannot be run.
    """
    folder = Path(tempfile.mkdtemp())
    children = []
    for job in range(jobs):
        children.append(child_process())
        if children[-1] == 0:
            run_tests(tests[job::jobs], plugin=Watched(folder / f"{job}.json"))
    for child in children:
        _, status = os.waitpid(child, 0)
        if os.waitstatus_to_exitcode(status) not in (PASSED, TESTS_FAILED):
            raise SystemExit("the tests cannot be run as the code is")
    return read(folder.iterdir())


def judge(change: Change, names: list[str]) -> int:
    """Run named tests under a change, until one fails, in a new process; return its number."""
    child = child_process()
    if child == 0:
        if not doctests_pass(change):
            os._exit(TESTS_FAILED)
        if not names:  # no test runs the changed function
            os._exit(PASSED)
        asked = Asked(names)
        run_tests(asked.files, "-x", plugin=asked)
    return child


def outcomes(todo: list[Change], jobs: int, reach: Reach) -> Iterator[tuple[Change, str]]:
    """Yield each change with "killed", "killed by time" or "survived"."""
    running: dict[int, Running] = {}
    waiting = list(reversed(todo))
    while waiting or running:
        while waiting and len(running) < jobs:
            change = waiting.pop()
            names = reach.asked(change)
            usual_s = sum(reach.seconds[name] for name in names)
            running[judge(change, names)] = Running(change, time.monotonic() + 30 + 4 * usual_s)
        for child, judged in list(running.items()):
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                code = os.waitstatus_to_exitcode(status)
                assert code != NO_TESTS, f"no tests ran for {judged.change}"
                yield judged.change, "survived" if code == PASSED else "killed"
                del running[child]
            elif time.monotonic() > judged.deadline:
                os.kill(child, 9)
                os.waitpid(child, 0)
                yield judged.change, "killed by time"
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
    known, operators, tests = parts()
    chosen = [part for part in known if given.part is None or part.name in given.part]
    lines = given.results.read_text(encoding="utf-8").splitlines() if given.results.exists() else []
    judged = [json.loads(line) for line in lines]
    if not given.show:
        everything = [change for part in chosen for change in changes_to(part, operators)]
        random.Random(given.seed).shuffle(everything)
        sample = everything[: given.sample]
        done = {(one["file"], one["operator"], one["occurrence"]) for one in judged}
        print(f"{len(sample)} of {len(everything)} possible changes", flush=True)
        todo = [one for one in sample if (one.file, one.operator, one.occurrence) not in done]
        with given.results.open("a", encoding="utf-8") as results:
            for change, outcome in outcomes(todo, given.jobs, watched(tests, given.jobs)):
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
