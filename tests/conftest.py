"""What many tests share: running the command line, and programs that may be missing."""

from __future__ import annotations

import io
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import redirect_stderr, redirect_stdout
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser

Command = Callable[..., subprocess.CompletedProcess[str]]

# How long an example takes says how busy the machine is. The same code gets the same answer:
# cases that are new each time are for EXAMPLES=new, and for the proofs with their seeds.
settings.register_profile(
    "busy",
    parent=settings(),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=os.environ.get("EXAMPLES") != "new",
)
settings.load_profile("busy")

if sys.dont_write_bytecode:
    # Hundreds of processes would each compile the package anew: what they compile is kept for as
    # long as the tests run, and not beside the code.
    _compiled = tempfile.TemporaryDirectory(prefix="aquatempo-compiled-")
    os.environ["PYTHONPYCACHEPREFIX"] = _compiled.name
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # Run in the background, or by nohup: the processes that tests start would ignore it too.
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """Return one process more than there are cores: browsers are waited for a good deal."""
    return (os.cpu_count() or 1) + 1


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Spread the files that wait for browsers or other processes among those that compute.

    In order of their names most stand at the end, where the cores would wait with them.
    """
    waiting: list[list[pytest.Item]] = []
    computing: list[list[pytest.Item]] = []
    for _, group in groupby(items, key=lambda item: item.path):
        tests = list(group)
        waits = {"browser", "aquatempo_process"} & {
            name for test in tests for name in getattr(test, "fixturenames", ())
        }
        (waiting if waits else computing).append(tests)
    every, places = len(computing) or 1, len(waiting) or 1
    placed = [(number / every, 1, tests) for number, tests in enumerate(computing)]
    placed += [(0.9 * number / places, 0, tests) for number, tests in enumerate(waiting)]
    placed.sort(key=lambda one: one[:2])
    items[:] = [test for _, _, tests in placed for test in tests]


@pytest.fixture(scope="session", autouse=True)
def _own_home(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Keep tests away from the user's cache and corrections."""
    home = tmp_path_factory.mktemp("home")
    for name, folder in (("XDG_CACHE_HOME", "cache"), ("XDG_DATA_HOME", "data")):
        os.environ[name] = str(home / folder)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return a headless Chromium."""
    from deck_browser import headless

    with headless() as chromium:
        yield chromium


@pytest.fixture
def aquatempo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Command:
    """Run ``aquatempo`` with arguments in this process, in an empty folder."""

    def run(
        *arguments: str, env: Mapping[str, str] | None = None, given: str = ""
    ) -> subprocess.CompletedProcess[str]:
        from aquatempo.cli import main

        code, out, err = 0, io.StringIO(), io.StringIO()
        with monkeypatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
            patch.chdir(tmp_path)
            patch.setattr(sys, "stdin", io.StringIO(given))
            for name, value in (env or {}).items():
                patch.setenv(name, value)
            try:
                main(arguments)
            except SystemExit as leaving:
                code = int(leaving.code or 0)
        return subprocess.CompletedProcess(arguments, code, out.getvalue(), err.getvalue())

    return run


@pytest.fixture
def aquatempo_process(tmp_path: Path) -> Command:
    """Run ``aquatempo`` with arguments in a process of its own, in an empty folder."""

    def run(
        *arguments: str, env: Mapping[str, str] | None = None, given: str = ""
    ) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "aquatempo", *arguments],
            input=given,
            capture_output=True,
            encoding="utf-8",
            cwd=tmp_path,
            env={**os.environ, "PYTHONIOENCODING": "utf-8", **(env or {})},
            check=False,
        )

    return run


@pytest.fixture
def needs_program() -> Callable[[str], str]:
    """Return the path of a program, or skip with the reason; in CI a missing one fails."""

    def find(name: str) -> str:
        path = shutil.which(name)
        if path is not None:
            return path
        if os.environ.get("CI"):
            pytest.fail(f"{name} is not installed, and CI has to have it")
        pytest.skip(f"{name} is not installed on this machine")

    return find
