"""Which tests of a part run which of its functions: only those are asked about a change there."""

from __future__ import annotations

import ast
import json
import time
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import coverage
import pytest

from mutation.changes import PACKAGE, ROOT, Change


@dataclass(frozen=True)
class Reach:
    """What the tests of a part reach, as its code is.

    seconds: of each test, by its name. tests: those that ran a line, by file (from the root of the
    repository) and line (1-based).
    """

    seconds: Mapping[str, float]
    tests: Mapping[str, Mapping[int, frozenset[str]]]

    def files(self, change: Change) -> list[str]:
        """Return the test files to ask about a change, quick ones first.

        A file in which one test runs the changed function is asked as a whole, since its other
        tests may see what that one left in a fixture or in a cache. What is changed outside
        functions is asked of all.
        """
        seconds: dict[str, float] = defaultdict(float)
        for name, taken in self.seconds.items():
            seconds[name.partition("::")[0]] += taken
        if function_lines(change.file, change.line) is not None:
            found = {name.partition("::")[0] for name in self.running(change)}
            seconds = {file: taken for file, taken in seconds.items() if file in found}
        return sorted(seconds, key=lambda file: (seconds[file], file))

    def running(self, change: Change) -> frozenset[str]:
        """Return the names of the tests that run the changed function."""
        reached = self.tests.get(change.file, {})
        lines = function_lines(change.file, change.line) or ()
        return frozenset().union(*(reached.get(line, ()) for line in lines))

    def seconds_of(self, files: list[str]) -> float:
        """Return how long all tests of some files take (s)."""
        return sum(s for name, s in self.seconds.items() if name.partition("::")[0] in files)


class InOrder:
    """A plugin of pytest that asks the tests that run a change first, quick ones before others."""

    def __init__(self, reach: Reach, change: Change) -> None:
        self.files, self.first = reach.files(change), reach.running(change)
        self.seconds = reach.seconds

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Put the tests in order, those of a file together."""

        def key(item: pytest.Item) -> tuple[bool, int, float]:
            name = item.nodeid
            place = self.files.index(name.partition("::")[0])
            return name not in self.first, place, self.seconds.get(name, 0.0)

        items.sort(key=key)


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


def read(path: Path) -> tuple[list[str], Reach]:
    """Return the tests that failed, and what all reached, from the file of a ``Watched``."""
    told = json.loads(path.read_text(encoding="utf-8"))
    tests = {
        file: {int(line): frozenset(names) for line, names in lines.items()}
        for file, lines in told["tests"].items()
    }
    return told["failed"], Reach(told["seconds"], tests)
