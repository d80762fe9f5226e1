"""Run a system on one file as a process of its own: answer, time and memory."""

from __future__ import annotations

import json
import os
import shlex
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

from .layout import ROOT
from .peers import PEERS

TOOL = "aquatempo"
SYSTEMS = (*PEERS, TOOL)
TIME_LIMIT_S = 900
ONE_THREAD = {f"{name}_NUM_THREADS": "1" for name in ("OMP", "OPENBLAS", "MKL", "NUMBA")}

Answer = dict[str, Any]


def command_for(system: str, audio: str) -> list[str]:
    """Return the command line that analyses ``audio``; AQUATEMPO_CMD names another of ours."""
    if system == TOOL:
        here = shlex.quote(str(Path(sys.executable).with_name("aquatempo")))
        template = os.environ.get("AQUATEMPO_CMD", f"{here} listen {{audio}} --json")
        return [part.replace("{audio}", audio) for part in shlex.split(template)]
    python = os.environ.get("PEERS_PYTHON") or str(ROOT / "venv/bin/python")
    return [python, str(Path(__file__).with_name("peers.py")), system, audio]


def call(system: str, audio: str, *, fresh: bool = True) -> Answer:
    """Return what the system heard, with ``wall_s, cpu_s, peak_mb``; ``error`` if it failed.

    One thread for the numeric libraries. fresh: empty XDG folders, so that no cache and no
    stored correction of an earlier call answers.
    """
    with (
        tempfile.TemporaryDirectory() as folder,
        tempfile.TemporaryFile() as out,
        tempfile.TemporaryFile() as err,
    ):
        names = ("CACHE", "CONFIG", "DATA", "STATE") if fresh else ()
        empty = {f"XDG_{name}_HOME": f"{folder}/{name}" for name in names}
        start = time.perf_counter()
        try:
            process = subprocess.Popen(
                command_for(system, audio),
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=err,
                env={**os.environ, **ONE_THREAD, **empty},
                start_new_session=True,
            )
        except OSError as exc:
            return {"error": f"cannot start {exc.filename}: {exc.strerror}"}
        watchdog = threading.Timer(TIME_LIMIT_S, os.killpg, (process.pid, signal.SIGKILL))
        watchdog.start()
        _, status, usage = os.wait4(process.pid, 0)
        watchdog.cancel()
        cost = {
            "wall_s": time.perf_counter() - start,
            "cpu_s": usage.ru_utime + usage.ru_stime,
            "peak_mb": usage.ru_maxrss / 1024,
        }
        process.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        err.seek(0)
        text, talk = (stream.read().decode("utf8", "replace") for stream in (out, err))
    if process.returncode:
        last = (talk.strip().splitlines() or ["nothing on standard error"])[-1]
        return {**cost, "error": f"exit {process.returncode}: {last[:200]}"}
    try:
        record = json.loads(text.strip())
        return {**{key: record.get(key) for key in KEPT}, **cost}
    except (ValueError, AttributeError) as exc:
        return {**cost, "error": f"bad JSON: {exc}"}


KEPT = (
    "tempo_bpm",
    "beats_s",
    "downbeats_s",
    "phrases",
    "confidence",
    "tempo_confidence",
    "tempo_sections",
    "load_s",
    "run_s",
)
