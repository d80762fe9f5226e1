"""Commands killed at a random moment, three hundred times: old or new, whole; nobody left.

``python -m proofs.kills --times 300`` from ``tests``; docs/robustness.md has the last table.
The moment is drawn evenly over the time that the command took when nobody killed it. What
``jobs.drawn_once`` computes beforehand is left out of that time, so that most kills fall where
something is written. The job "hear", which hears two songs in processes of their own, is a
command from the first import on, and nobody of its session may be left.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from proofs.faults import forked, wrong_after
from proofs.jobs import JOBS, Stage, drawn_once, run_here

__all__ = ["main", "members", "orphans", "processed"]

CODE = (
    "import sys; sys.path.insert(0, sys.argv.pop(1)); from pathlib import Path\n"
    "from proofs.jobs import Stage, run_here; here = Path(sys.argv[1])\n"
    "raise SystemExit(run_here(Stage(here, here.parent, sys.argv[2]), tuple(sys.argv[3:])))"
)


def processed(
    stage: Stage, arguments: tuple[str, ...], kill_after_s: float | None = None
) -> tuple[int, str, int]:
    """Run a command in a process; return code (or -signal), stderr, the session's number."""
    tests = str(Path(__file__).parents[1])
    said = stage.before.parent / "stderr"
    with said.open("wb") as file:
        process = subprocess.Popen(
            [sys.executable, "-c", CODE, tests, str(stage.root), stage.job, *arguments],
            stdout=subprocess.DEVNULL,
            stderr=file,
            start_new_session=True,
        )
        if kill_after_s is not None:
            time.sleep(kill_after_s)
            process.send_signal(signal.SIGKILL)
        code = process.wait()
    return code, said.read_text(errors="replace"), process.pid


def members(session: int) -> list[int]:
    """Return the living processes of a session, from /proc."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if fields[3] == str(session) and fields[0] != "Z":
            found.append(int(stat.parent.name))
    return found


def orphans(session: int, wait_s: float = 10.0) -> list[int]:
    """Return the processes of a session that are still there after a while."""
    until = time.monotonic() + wait_s
    while (found := members(session)) and time.monotonic() <= until:
        time.sleep(0.1)
    return found


def killed(
    job: str, folder: Path, times: int, rng: random.Random
) -> tuple[Counter[str], list[str]]:
    """Kill a job so many times; return counts and what was wrong."""
    counts: Counter[str] = Counter()
    broken: list[str] = []
    stage = Stage.made(folder, job, run_here)
    arguments = JOBS[job][1]
    old = stage.files()
    if job != "hear":
        assert run_here(stage, arguments) == 0  # what is drawn is known from here on
        stage.reset()

    def run(after_s: float | None = None) -> tuple[int, str, int]:
        if job == "hear":
            return processed(stage, arguments, after_s)
        code, said, _ = forked(stage, arguments, kill_after_s=after_s)
        return code, said, 0

    started = time.monotonic()
    code, said, _ = run()
    took_s = time.monotonic() - started
    assert code == 0, said
    new = stage.files()
    for _ in range(times):
        stage.reset()
        after_s = rng.uniform(0, took_s)
        code, said, session = run(after_s)
        wrong = wrong_after(stage, old, new, code, said)
        if session and (left := orphans(session)):
            wrong.append(f"processes {left} are left")
        counts["killed" if code == -signal.SIGKILL else "done before"] += 1
        counts["new" if stage.files() == new else "old" if stage.files() == old else "between"] += 1
        if rng.random() < 0.1 and not wrong:  # go on from there; faults.py does so each time
            code, said, _ = run()
            counts["gone on"] += 1
            if code or stage.files() != new:
                wrong.append(f"the next run: code {code}, {said.strip()[-300:]}")
        broken += [f"{job}, killed after {after_s:.2f} of {took_s:.2f} s: {one}" for one in wrong]
    return counts, broken


def main(arguments: Sequence[str] | None = None) -> None:
    """Print a table; exit with 1 where anything was broken."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=300)
    parser.add_argument("--jobs", default=",".join(JOBS))
    parser.add_argument("--seed", type=int, default=16)
    given = parser.parse_args(arguments)
    rng = random.Random(given.seed)
    jobs = given.jobs.split(",")
    heads = ("killed", "done before", "old", "new", "between", "gone on")
    print("| job | " + " | ".join(heads) + " | broken |")
    print("| --- " * (len(heads) + 2) + "|", flush=True)
    all_broken: list[str] = []
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    with tempfile.TemporaryDirectory() as scratch:
        for place, job in enumerate(jobs):
            times = given.times // len(jobs) + (place < given.times % len(jobs))
            with drawn_once():
                counts, broken = killed(job, Path(scratch) / job, times, rng)
            row = " | ".join(str(counts[head]) for head in heads)
            print(f"| {job} | {row} | {len(broken)} |", flush=True)
            all_broken += broken
    print("\n".join(all_broken), file=sys.stderr)
    raise SystemExit(bool(all_broken))


if __name__ == "__main__":
    main()
