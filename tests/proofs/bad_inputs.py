"""A thousand bad inputs, by class: each ends in a plain line, in time, and changes no input.

``python -m proofs.bad_inputs --each 80`` from ``tests``; docs/robustness.md has the last table.
Each input (``bad_making.py``) is given to a command that takes it, in a process of its own.
Clean: exit code 0, 1 or 2, every line on stderr ours, no traceback, done in time, no input
changed, nothing left over.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib
import os
import pkgutil
import random
import signal
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from proofs.bad_making import CLASSES, Maker
from proofs.forked import become_command, is_review

__all__ = ["main", "outcome", "ready"]

USED = (
    *("scipy.signal", "scipy.ndimage", "soundfile", "soxr", "av", "tomlkit", "fpdf", "sqlite3"),
    *("rich.table", "rich.console", "typer.main", "ortools.sat.python.cp_model"),
)
LIMIT_S = 120.0  # on a machine that is busy with other work; seconds on one that is not


def ready() -> None:
    """Import what the commands need, so that each child finds it there."""
    import aquatempo

    for module in pkgutil.walk_packages(aquatempo.__path__, "aquatempo."):
        if not module.name.startswith(("aquatempo.training", "aquatempo.__main__")):
            with contextlib.suppress(ImportError):  # extras
                importlib.import_module(module.name)
    for name in USED:
        importlib.import_module(name)


def outcome(maker: Maker, seed: int) -> str:
    """Try one input in a child of this process; return what was wrong, "" for nothing."""
    with tempfile.TemporaryDirectory() as scratch:
        folder, said = Path(scratch) / "in", Path(scratch) / "stderr"
        out = Path(scratch) / "stdout"
        folder.mkdir()
        arguments = maker(random.Random(seed), folder)
        before = _contents(folder)
        child = os.fork()
        if not child:
            become_command(arguments, folder, folder / "home", (out, said))
        until = time.monotonic() + LIMIT_S
        while not (ended := os.waitpid(child, os.WNOHANG))[0]:
            if time.monotonic() > until:
                os.kill(child, signal.SIGKILL)
                os.waitpid(child, 0)
                return f"not done after {LIMIT_S:g} s: {arguments!r}"[:500]
            time.sleep(0.01)
        code, text = os.waitstatus_to_exitcode(ended[1]), said.read_text(errors="replace")
        after = _contents(folder)
        changed = [name for name, data in before.items() if after.get(name) != data]
        left = [name for name in after if ".writing-" in name]
        odd = [line for line in text.splitlines() if line.strip() and not _ours(line, code)]
        told = text or is_review(arguments, out.read_text(errors="replace"))
        if code in (0, 1, 2) and not odd and not changed and not left and (told or code == 0):
            return ""
        return f"code {code}, changed {changed}, left {left}, said {odd[-1:]}: {arguments!r}"[:700]


def _ours(line: str, code: int) -> bool:
    """Whether a line on stderr is one of ours: what is refused is told after our name."""
    if code == 1:
        return line.startswith("aquatempo: ") or line.endswith((" wait", " changed"))  # a library's
    foreign = ("Traceback", "Warning", "Exception", *(() if code == 2 else ("Error",)))
    return not any(word in line for word in foreign)  # what was done, or how options are used


def _contents(folder: Path) -> dict[str, bytes]:
    return {
        str(path): path.read_bytes()
        for path in folder.rglob("*")
        if not path.is_symlink() and path.is_file() and "/home/" not in str(path)
    }


def main(arguments: Sequence[str] | None = None) -> None:
    """Print a table; exit with 1 where anything was not clean."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=77, help="inputs of each class")
    parser.add_argument("--seed", type=int, default=16)
    parser.add_argument("--classes", default=",".join(map(str, range(len(CLASSES)))))
    given = parser.parse_args(arguments)
    ready()
    print("| class | tried | clean | failed | longest [s] |")
    print("| --- | --- | --- | --- | --- |", flush=True)
    failed: list[str] = []
    tried = 0
    names = list(CLASSES)
    for place in map(int, given.classes.split(",")):
        name, wrong, longest = names[place], [], 0.0
        for number in range(given.each):
            started = time.monotonic()
            if said := outcome(CLASSES[name], given.seed * 10**6 + place * 10**4 + number):
                wrong.append(f"{name}, {number}: {said}")
                print(wrong[-1], file=sys.stderr, flush=True)
            longest = max(longest, time.monotonic() - started)
        tried += given.each
        failed += wrong
        print(
            f"| {name} | {given.each} | {given.each - len(wrong)} | {len(wrong)} | {longest:.1f} |",
            flush=True,
        )
    print(f"| all | {tried} | {tried - len(failed)} | {len(failed)} | |")
    raise SystemExit(bool(failed))


if __name__ == "__main__":
    main()
