"""The proofs of tests/proofs in small; docs/robustness.md says how to run all of each."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from proofs.fuzz import SUBJECTS, property_of

TESTS = Path(__file__).parent
PLENTY = int(os.environ.get("FUZZ_EXAMPLES", "30"))  # .ci/run asks for more


def proof(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run a proof in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", *arguments],
        cwd=TESTS,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONWARNINGS": "ignore"},  # of forks; the parent has no threads
    )


@pytest.mark.parametrize("name", SUBJECTS)
def test_texts_near_right_ones_are_read_or_refused(name: str) -> None:
    """Whatever a text or a value has become, it is taken or refused by an error of ours, soon."""
    property_of(name, 16, PLENTY)()


def test_fuzzing_finds_what_is_no_error_of_ours() -> None:
    """A reader that fails in any other way fails the property: here one that divides by zero."""
    from proofs.fuzz import read

    with pytest.raises(ZeroDivisionError):
        read(lambda text: 1 // 0, "")


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="stands in front of libc")
def test_faults_leave_old_or_new(needs_program: Callable[[str], str]) -> None:
    """Two calls of ``correct`` that write fail, or the process dies there: old or new, whole."""
    needs_program("cc")
    run = proof("proofs.faults", "--jobs", "correct", "--most", "2")
    assert run.returncode == 0, run.stdout + run.stderr
    row = run.stdout.splitlines()[-1].split(" | ")
    assert int(row[1]) > 10, "calls are counted"
    assert row[-1] == "0 |"


@pytest.mark.long
@pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")
def test_kills_leave_old_or_new() -> None:
    """``correct`` killed three times at random leaves old or new, whole."""
    run = proof("proofs.kills", "--jobs", "correct", "--times", "3")
    assert run.returncode == 0, run.stdout + run.stderr


@pytest.mark.long
@pytest.mark.skipif(sys.platform == "win32", reason="needs fork")
def test_bad_inputs_end_plainly() -> None:
    """Two inputs of each class that hears no sound end in a plain line."""
    run = proof("proofs.bad_inputs", "--each", "2", "--classes", "4,6,7,8,10")
    assert run.returncode == 0, run.stdout + run.stderr


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="needs fork, and /proc")
def test_corners_hold() -> None:
    """A few corners that were once found still hold, each by a real command."""
    run = proof("proofs.corners", "--only", "--forget;key: same;playlist: saved;one cannot be")
    assert run.returncode == 0, run.stdout + run.stderr
    assert "| all 4 | 4 hold |" in run.stdout
