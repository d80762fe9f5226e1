"""Which tests run which function: only those, and their files, are asked about a change there."""

from __future__ import annotations

import ast
import json
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import accumulate
from pathlib import Path

import coverage
import pytest

from mutation.changes import PACKAGE, ROOT, Change

MOST_S = 30.0  # of tests that are asked about one change, as long as they usually take


@dataclass(frozen=True)
class Reach:
    """What the tests reach, as the code is.

    seconds: of each test that passed, by its name. tests: those that ran a line, by file (from
    the root of the repository) and line (1-based).
    """

    seconds: Mapping[str, float]
    tests: Mapping[str, Mapping[int, frozenset[str]]]

    def asked(self, change: Change) -> list[str]:
        """Return the tests to ask about a change, in order: quick ones first, for 30 s at most.

        Those that run the changed function come first, then the others of their files, which may
        see what one of them left in a fixture or in a cache. About a change outside functions
        those are asked that run any function of its module.
        """
        reached = self.tests.get(change.file, {})
        lines = function_lines(change.file, change.line) or reached
        running = frozenset().union(*(reached.get(line, ()) for line in lines))
        files = {_file(name) for name in running}
        known = [name for name in self.seconds if _file(name) in files]
        known.sort(key=lambda name: (name not in running, self.seconds[name]))
        sums = accumulate(self.seconds[name] for name in known)
        return [name for name, total in zip(known, sums, strict=True) if total <= MOST_S]


class Asked:
    """A plugin of pytest that keeps the tests that are asked, in order, a file after another."""

    def __init__(self, names: list[str]) -> None:
        files = list(dict.fromkeys(_file(name) for name in names))
        self.place = {name: (files.index(_file(name)), at) for at, name in enumerate(names)}
        self.files = files

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Leave out the others, and put these in order."""
        items[:] = [item for item in items if item.nodeid in self.place]
        items.sort(key=lambda item: self.place[item.nodeid])


def _file(test: str) -> str:
    return test.partition("::")[0]


def function_lines(file: str, line: int) -> range | None:
    """Return the lines of the body of the innermost function around a line; None outside one."""
    inside = None
    for node in ast.walk(ast.parse((ROOT / file).read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            body = range(node.body[0].lineno, (node.end_lineno or node.lineno) + 1)
            if line in body and (inside is None or len(body) < len(inside)):
                inside = body
    return inside


class Watched:
    """A plugin of pytest that notes what each test reaches, how long it takes, and what fails."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.failed: list[str] = []
        self.seconds: dict[str, float] = defaultdict(float)
        self.lines = coverage.Coverage(data_file=None, source=[str(PACKAGE)], config_file=False)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Note the lines that a test runs, its fixtures among them, under its name."""
        self.lines.switch_context(item.nodeid)
        start = time.monotonic()
        answer = yield
        self.seconds[item.nodeid] = time.monotonic() - start
        return answer

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note a test whose setting up, call or tearing down failed."""
        if report.failed:
            self.failed.append(report.nodeid)

    def pytest_sessionstart(self) -> None:
        """Begin to watch."""
        self.lines.start()

    def pytest_sessionfinish(self) -> None:
        """Write all to the file, as JSON."""
        self.lines.stop()
        data = self.lines.get_data()
        reached = {
            Path(file).relative_to(ROOT).as_posix(): {
                line: [name for name in names if name]
                for line, names in data.contexts_by_lineno(file).items()
            }
            for file in data.measured_files()
        }
        told = {"failed": self.failed, "seconds": self.seconds, "tests": reached}
        self.path.write_text(json.dumps(told), encoding="utf-8")


def read(paths: Iterable[Path]) -> Reach:
    """Return what all tests reached, from the files of several ``Watched``; the failed are told."""
    seconds: dict[str, float] = {}
    tests: dict[str, dict[int, frozenset[str]]] = defaultdict(lambda: defaultdict(frozenset))
    for path in paths:
        told = json.loads(path.read_text(encoding="utf-8"))
        for name in sorted(set(told["failed"])):
            print(f"not asked, as it fails without a change: {name}", flush=True)
        seconds |= {n: s for n, s in told["seconds"].items() if n not in told["failed"]}
        for file, lines in told["tests"].items():
            for line, names in lines.items():
                tests[file][int(line)] |= frozenset(names)
    return Reach(seconds, tests)
