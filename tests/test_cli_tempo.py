"""``aquatempo tempo`` as people and machines see it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from conftest import Command


def test_json_has_the_conversion(aquatempo: Command) -> None:
    """``--json`` prints one line with the schema and every tempo option."""
    run = aquatempo("tempo", "132", "--pattern", "2-2-4", "--json")
    data = json.loads(run.stdout)
    assert data["schema"] == "aquatempo/tempo/1"
    cadences = {option["pattern"]: option["movements_per_minute"] for option in data["options"]}
    assert (cadences["1"], cadences["2"], cadences["4"]) == pytest.approx((132, 66, 33))
    assert cadences["2-2-4"] == pytest.approx(3 * 132 / 8)  # 3 movements in 8 counts


@pytest.mark.parametrize("width", [60, 80, 200])
def test_fits_the_terminal(aquatempo: Command, width: int) -> None:
    """No line is wider than the terminal, and no figure is lost on a narrow one."""
    run = aquatempo("tempo", "132", "--pattern", "2-2-4", env={"COLUMNS": str(width)})
    assert max(len(line.rstrip()) for line in run.stdout.splitlines()) <= width
    for figure in ("132.0", "66.0", "33.0", "49.5", "2-2-4"):
        assert figure in run.stdout


def test_plain_ascii_where_the_terminal_has_no_more(aquatempo_process: Command) -> None:
    """With an ASCII terminal nothing fails, and everything printed is ASCII."""
    run = aquatempo_process("tempo", "132", env={"PYTHONIOENCODING": "ascii"})
    assert run.returncode == 0
    assert run.stdout.isascii()
    assert "66.0" in run.stdout


def test_no_colours_off_a_terminal_or_where_unwanted(aquatempo_process: Command) -> None:
    """No escape sequence reaches a pipe, nor a terminal whose user set NO_COLOR."""
    assert "\x1b" not in aquatempo_process("tempo", "132").stdout
    forced = aquatempo_process("tempo", "132", env={"FORCE_COLOR": "1", "NO_COLOR": "1"})
    assert "\x1b[3" not in forced.stdout


def test_taps_as_lines(aquatempo: Command) -> None:
    """Off a terminal, the times of taps are read one a line: 0.5 s apart is 120 bpm."""
    run = aquatempo("tempo", "--tap", "--json", given="0\n0.5\n1.0\n\n1.5\n2,0\n")
    data = json.loads(run.stdout)
    assert data["tempo_bpm"] == 120.0
    assert data["tapped"]["taps"] == 5


@pytest.mark.parametrize(
    ("given", "said"),
    [("0\nsoon\n", "line 2 of the taps, 'soon'"), ("", "0 taps: needs 4 or more")],
)
def test_taps_that_make_no_sense(aquatempo: Command, given: str, said: str) -> None:
    """A tap that is no time, or no tap at all, is one line with its place."""
    run = aquatempo("tempo", "--tap", given=given)
    assert (run.returncode, run.stdout) == (1, "")
    assert said in run.stderr
    assert len(run.stderr.splitlines()) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_taps_as_key_presses(tmp_path: Path) -> None:
    """On a terminal, space bar presses 0.25 s apart come out near 240 bpm; Enter ends."""
    import pty

    ours, theirs = pty.openpty()
    run = subprocess.Popen(
        [sys.executable, "-m", "aquatempo", "tempo", "--tap", "--json"],
        stdin=theirs,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=tmp_path,
        text=True,
    )
    assert run.stderr is not None
    assert "Press a key" in run.stderr.readline()
    for _ in range(8):
        time.sleep(0.25)
        os.write(ours, b" ")
    os.write(ours, b"\n")
    output, _ = run.communicate(timeout=20)
    os.close(ours)
    os.close(theirs)
    data = json.loads(output)
    assert data["tapped"]["taps"] == 8
    assert data["tempo_bpm"] == pytest.approx(240, rel=0.1)  # a loaded machine sleeps too long


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_ctrl_c_while_tapping(tmp_path: Path) -> None:
    """An interrupted command says so in one line, exits with 130 and leaves the terminal sane."""
    import pty
    import signal
    import termios

    ours, theirs = pty.openpty()
    before = termios.tcgetattr(theirs)
    run = subprocess.Popen(
        [sys.executable, "-m", "aquatempo", "tempo", "--tap"],
        stdin=theirs,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=tmp_path,
        text=True,
    )
    assert run.stderr is not None
    assert "Press a key" in run.stderr.readline()
    run.send_signal(signal.SIGINT)
    output, talk = run.communicate(timeout=20)
    after = termios.tcgetattr(theirs)
    os.close(ours)
    os.close(theirs)
    assert (run.returncode, output) == (130, "")
    assert talk.strip() == "aquatempo: stopped before it was done"
    assert after == before
