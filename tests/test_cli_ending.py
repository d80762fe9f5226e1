"""How a command ends when something outside ends it: one line, a code, nothing left over."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from proofs.kills import orphans

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals are otherwise there")

STOPPED = "aquatempo: stopped before it was done"
SAMPLES = str(Path(__file__).parents[1] / "sample_audio")


BEGIN = "import os; os.write(1, b'begun\\n'); from aquatempo.cli import main; main()"


def start(*arguments: str, home: Path) -> subprocess.Popen[str]:
    """Start a command in a session of its own; return when the interpreter is at our code."""
    process = subprocess.Popen(
        [sys.executable, "-c", BEGIN, *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        env={**os.environ, "XDG_CACHE_HOME": str(home), "XDG_DATA_HOME": str(home)},
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "begun\n"
    return process


@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
@pytest.mark.parametrize("after_s", [0.05, 0.3, 1.0, 2.5])
@pytest.mark.parametrize("kind", [signal.SIGINT, signal.SIGTERM])
def test_signal_at_any_moment_is_one_line(
    tmp_path: Path, kind: signal.Signals, after_s: float
) -> None:
    """From the imports to the listening, a signal gives one line, 128 and its number, no orphan.

    The command waits for its workers. The resource tracker, a process of Python's own, ends by
    itself once the command has ended, some milliseconds later.
    """
    process = start("check", SAMPLES, "--save", str(tmp_path / "a.m3u"), home=tmp_path)
    time.sleep(after_s)
    process.send_signal(kind)
    out, err = process.communicate(timeout=60)
    if process.returncode == -signal.SIGTERM:  # before anybody took it: nothing was at work
        assert err == ""
        return
    assert process.returncode == 128 + kind, err
    assert err.strip() == STOPPED
    assert out == ""
    assert orphans(process.pid, wait_s=2.0) == []
    assert not list(tmp_path.glob("*.m3u"))


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
@pytest.mark.parametrize("arguments", [("tempo", "132"), ("vary", "jack", "--json"), ("--help",)])
def test_full_disk_behind_standard_output(arguments: tuple[str, ...]) -> None:
    """What cannot be written to standard output is one line and exit code 1."""
    with Path("/dev/full").open("w") as full:
        run = subprocess.run(
            [sys.executable, "-m", "aquatempo", *arguments],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert run.returncode == 1
    assert run.stderr == "aquatempo: cannot write standard output: No space left on device\n"


@pytest.mark.parametrize("arguments", ["vary jack --json", "vary jack", "--help"])
def test_reader_that_leaves_is_no_error(arguments: str) -> None:
    """A pipe that is closed early ends the command without a word."""
    run = subprocess.run(
        f"{sys.executable} -m aquatempo {arguments} | true; echo ${{PIPESTATUS[0]}}",
        shell=True,
        executable="/bin/bash",
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.stderr == ""
    assert run.stdout.strip() in ("0", "1", "141")


@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&-", ">&- 2>&- <&-"])
def test_closed_streams_are_no_error(closed: str, tmp_path: Path) -> None:
    """A command runs, and its files are whole, where a standard stream is closed."""
    picture = tmp_path / "range.svg"
    run = subprocess.run(
        f"{sys.executable} -m aquatempo judge 132 --move jack --plot {picture} {closed}",
        shell=True,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    text = picture.read_text(encoding="utf-8")
    assert text.startswith("<")
    assert text.rstrip().endswith("</svg>")


def test_working_folder_that_is_gone(tmp_path: Path) -> None:
    """A command in a folder that was deleted says so, or works without it."""
    folder = tmp_path / "gone"
    folder.mkdir()
    run = subprocess.run(
        f"cd {folder} && rmdir {folder} && {sys.executable} -m aquatempo listen x.mp3",
        shell=True,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])},
    )
    assert run.returncode == 1
    assert "Traceback" not in run.stderr
    assert run.stderr.startswith("aquatempo: ")
