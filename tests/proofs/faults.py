"""Each call that writes fails, or the process dies in it: old or new, whole, never a mix.

``python -m proofs.faults --out FOLDER`` from ``tests``; docs/robustness.md has the last table.
Calls are counted below Python (``faults.c``), so that those of SQLite and of every other
library count too. For each call in turn: it alone fails; it and all later ones fail (a disk
that is full stays full); the process dies before it; the process dies with half of it done.
"""

from __future__ import annotations

import argparse
import ctypes
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Sequence
from math import inf
from pathlib import Path

from proofs.jobs import JOBS, SOUND, Stage, drawn_once, run_here

__all__ = ["main", "tried"]

HERE = Path(__file__).parent
MODES = {1: "fails once", 2: "fails from then on", 3: "dies before", 4: "dies in the middle"}
KINDS = ("write", "fsync", "rename", "mkdir", "create", "truncate", "unlink")


def built(folder: Path) -> Path:
    """Compile the library that counts and breaks calls."""
    target = folder / "faults.so"
    command = ["cc", "-shared", "-fPIC", "-O1", "-o", str(target), str(HERE / "faults.c"), "-ldl"]
    subprocess.run(command, check=True)
    return target


def forked(
    stage: Stage,
    arguments: tuple[str, ...],
    mode: int = -1,
    at: int = 0,
    kill_after_s: float | None = None,
) -> tuple[int, str, list[int]]:
    """Run a command in a child of this process; return code (or -signal), stderr, calls counted."""
    shared, saying = os.pipe()
    said = stage.before.parent / "stderr"
    child = os.fork()
    if not child:
        try:
            os.dup2(os.open(said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), 2)
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            library = ctypes.CDLL(None)
            counted = []
            if mode >= 0:
                library.fault_seen.restype = ctypes.c_long
                root = os.fsencode(stage.root)
                library.fault_arm(ctypes.c_char_p(root), ctypes.c_int(mode), ctypes.c_long(at))
            code = run_here(stage, arguments)
            if mode >= 0:
                counted = [library.fault_seen(kind) for kind in range(-1, len(KINDS))]
            os.write(saying, " ".join(map(str, counted)).encode())
        except BaseException:
            import traceback

            traceback.print_exc()
            os._exit(99)
        os._exit(code)
    os.close(saying)
    if kill_after_s is not None:
        time.sleep(kill_after_s)
        os.kill(child, signal.SIGKILL)  # not yet waited for, so it is still ours
    status = os.waitpid(child, 0)[1]
    with os.fdopen(shared, "rb") as file:
        counted = [int(word) for word in file.read().split()]
    return os.waitstatus_to_exitcode(status), said.read_text(errors="replace"), counted


def wrong_after(
    stage: Stage, old: dict[str, bytes], new: dict[str, bytes], code: int, said: str
) -> list[str]:
    """Return what is not as promised after a job that met a fault; empty where all is."""
    wrong = []
    now = stage.files()
    for name in sorted({*old, *new, *now}):
        left = Path(name).name.startswith((".writing-", ".together-"))
        if left and (code == -signal.SIGKILL or stage.job == "both"):
            continue  # the next run removes it, looked at below
        if now.get(name) not in (old.get(name), new.get(name)):
            wrong.append(f"{name} is neither old nor new")
        if code == 0 and now.get(name) != new.get(name):
            wrong.append(f"success was said, and {name} is not the new one")
    lines = [line for line in said.splitlines() if line.strip()]
    if code not in (0, 1, -signal.SIGKILL):
        wrong.append(f"exit code {code}: {lines[-1:]}")
    if "Traceback" in said or (code == 1 and not any(x.startswith("aquatempo: ") for x in lines)):
        wrong.append(f"no plain line: {lines[-1:]}")
    wrong += stage.damage()
    return wrong + stage.mixed(old, new)


def next_run(stage: Stage, arguments: tuple[str, ...], new: dict[str, bytes]) -> list[str]:
    """Run a job once more on what a fault has left; return what is wrong then."""
    SOUND.update({name: data for name, data in new.items() if name.endswith(".ogg")})
    try:
        code, said, _ = forked(stage, arguments)
    finally:
        SOUND.clear()
    after = stage.files()
    if not code and after == new:
        return []
    odd = sorted(n for n in {*after, *new} if after.get(n) != new.get(n))
    return [f"the next run: code {code}, {odd} {said.strip()[-300:]}"]


def tried(
    job: str,
    folder: Path,
    most: int | None,
    done: dict[str, list[str]],
    until: float = inf,
    keep: Callable[[], None] = lambda: None,
) -> tuple[Counter[str], list[str]]:
    """Break a job at each of its calls, at most so many; return counts and what was wrong.

    done: what earlier pieces tried, with what was wrong; added to until a moment of the clock.
    What is left after two faults is often the same to the byte: then the next run is the same
    too, and tried once. keep: called now and then, so that nothing tried is lost.
    """
    gone_on: dict[str, list[str]] = {}
    saved = time.monotonic()
    counts: Counter[str] = Counter()
    broken: list[str] = []
    with drawn_once():
        stage = Stage.made(folder, job, run_here)
        arguments = JOBS[job][1]
        old = stage.files()
        assert run_here(stage, arguments) == 0  # what is drawn is known from here on
        stage.reset()
        code, said, counted = forked(stage, arguments, 0, 0)
        assert code == 0, said
        new = stage.files()
        counts.update(dict(zip(("calls", *KINDS), counted, strict=True)))
        total = counted[0]
        places = range(1, total + 1)
        if most is not None and total > most:
            places = [1 + round(i * (total - 1) / (most - 1)) for i in range(most)]  # type: ignore[assignment]
        for at in places:
            for mode, name in MODES.items():
                name_of_trial = f"{job} {at}/{total} {name}"
                if name_of_trial in done:
                    counts[name] += 1
                    broken += done[name_of_trial]
                    continue
                if time.monotonic() > until:
                    counts["left"] += 1
                    continue
                stage.reset()
                code, said, _ = forked(stage, arguments, mode, at)
                wrong = wrong_after(stage, old, new, code, said)
                if not wrong:  # and the same command goes on from there
                    left = stage.fingerprint()
                    if left not in gone_on:
                        gone_on[left] = next_run(stage, arguments, new)
                        counts["next runs"] += 1
                    wrong = gone_on[left]
                counts[name] += 1
                done[name_of_trial] = [f"{job}, call {at}, {name}: {line}" for line in wrong]
                broken += done[name_of_trial]
                if time.monotonic() > saved + 20:
                    saved = time.monotonic()
                    keep()
    return counts, broken


def main(arguments: Sequence[str] | None = None) -> None:
    """Print a table; exit with 1 where anything was broken."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", default=",".join(job for job in JOBS if job != "hear"))
    parser.add_argument("--most", type=int, help="calls of each job, evenly spread")
    parser.add_argument("--kept", type=Path, help="file of what was tried, to go on from")
    parser.add_argument("--seconds", type=float, default=inf, help="stop, and go on another time")
    given = parser.parse_args(arguments)
    until = time.monotonic() + given.seconds
    with tempfile.TemporaryDirectory() as scratch:
        if "faults.so" not in os.environ.get("LD_PRELOAD", ""):
            environment = {**os.environ, "LD_PRELOAD": str(built(Path(scratch)))}
            command = [sys.executable, "-m", "proofs.faults", *(arguments or sys.argv[1:])]
            raise SystemExit(subprocess.run(command, env=environment, check=False).returncode)
        done: dict[str, list[str]] = {}
        if given.kept is not None and given.kept.exists():
            done = json.loads(given.kept.read_text(encoding="utf-8"))

        def keep() -> None:
            if given.kept is not None:
                given.kept.write_text(json.dumps(done, indent=0), encoding="utf-8")

        heads = ("calls", *KINDS, *MODES.values(), "left", "next runs")
        print("| job | " + " | ".join(heads) + " | broken |")
        print("| --- " * (len(heads) + 2) + "|", flush=True)
        all_broken: list[str] = []
        for job in given.jobs.split(","):
            counts, broken = tried(job, Path(scratch) / job, given.most, done, until, keep)
            row = " | ".join(str(counts[head]) for head in heads)
            print(f"| {job} | {row} | {len(broken)} |", flush=True)
            all_broken += broken
            keep()
    print("\n".join(all_broken), file=sys.stderr)
    raise SystemExit(bool(all_broken))


if __name__ == "__main__":
    main()
