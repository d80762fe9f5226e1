"""Processes that hear tracks: one that dies costs its track, none outlives the command."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from dying import double, note_and_wait

from aquatempo.music.workers import Died, in_processes

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals are otherwise there")

PARENT = """
import sys
sys.path.insert(0, sys.argv[1])
from dying import note_and_wait
from aquatempo.music.workers import in_processes
if __name__ == "__main__":
    list(in_processes(note_and_wait, [sys.argv[2]] * 2, 2))
"""


def test_results_come_in_order() -> None:
    """However many processes work, results come in the order of the items."""
    items = [str(number) for number in range(20)]
    assert list(in_processes(double, items, 3)) == [item + item for item in items]
    assert list(in_processes(double, [], 3)) == []


def test_death_costs_its_item_only(tmp_path: Path) -> None:
    """An item whose process dies twice is told with how; one that dies once is done again."""
    once = f"die-once {tmp_path / 'mark'}"
    items = ["a", f"die {signal.SIGSEGV.value}", "b", once, f"die {signal.SIGKILL.value}", "c",
             "exhaust", "load", "d"]  # fmt: skip
    found = list(in_processes(double, items, 2))
    assert found == [
        "aa",
        Died("it crashed, a fault in a decoder"),
        "bb",
        once + once,
        Died("it was killed, as systems do when memory runs out"),
        "cc",
        Died("memory ran out"),
        Died("memory ran out"),
        "dd",
    ]


def test_exception_is_raised_with_its_place() -> None:
    """What a job raises is raised here too, with the traceback from there."""
    with pytest.raises(ValueError, match="no such song") as caught:
        list(in_processes(double, ["a", "raise no such song"], 2))
    assert "dying.py" in "".join(caught.value.__notes__)


def alive(pid: int) -> bool:
    """Tell whether a process runs."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    stat = Path(f"/proc/{pid}/stat")
    return not stat.exists() or stat.read_text().rpartition(")")[2].split()[0] != "Z"


def wait_until(happened: object, what: str, limit_s: float = 30.0) -> None:
    """Wait for something to become true, at most for a while."""
    assert callable(happened)
    until = time.monotonic() + limit_s
    while not happened():
        assert time.monotonic() < until, what
        time.sleep(0.02)


@pytest.mark.parametrize("kind", [signal.SIGTERM, signal.SIGKILL])
def test_no_process_outlives_its_parent(tmp_path: Path, kind: signal.Signals) -> None:
    """A parent that is ended or killed takes its processes with it."""
    here = str(Path(__file__).parent)
    (tmp_path / "main.py").write_text(PARENT)
    folder = tmp_path / "pids"
    folder.mkdir()
    parent = subprocess.Popen([sys.executable, str(tmp_path / "main.py"), here, str(folder)])
    wait_until(lambda: len(list(folder.iterdir())) == 2, "the processes did not start")
    pids = [int(one.name) for one in folder.iterdir()]
    parent.send_signal(kind)
    parent.wait()
    wait_until(lambda: not any(map(alive, pids)), f"{pids} outlive their parent")


def test_leaving_early_ends_the_processes(tmp_path: Path) -> None:
    """Whoever stops asking for results leaves no process behind, whatever it is at."""
    results = in_processes(note_and_wait, [str(tmp_path)] * 2, 2)

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGALRM, interrupt)
    try:
        signal.setitimer(signal.ITIMER_REAL, 3.0)
        with pytest.raises(KeyboardInterrupt):
            next(results)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
    results.close()
    assert not any(alive(int(one.name)) for one in tmp_path.iterdir())
