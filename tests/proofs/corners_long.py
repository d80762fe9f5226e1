"""Corners of size: hours of sound in bounded memory, long files in time."""

from __future__ import annotations

import os
import subprocess
import sys
import time

import numpy as np
import soundfile
from audio_making import silent_wav

from proofs.corners import Scene, corner

__all__: list[str] = []
MOST_MB = 600.0
PEAK = (
    "import sys, resource; from aquatempo.cli import main\n"
    "try: main(sys.argv[1:])\n"
    "finally:\n"
    "  kinds = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)\n"
    "  peak = max(resource.getrusage(kind).ru_maxrss for kind in kinds) / 1024\n"
    "  print(f'peak {peak:.0f}', file=sys.stderr)"
)


def peak_mb(scene: Scene, *arguments: str) -> tuple[float, float, int, str]:
    """Run a command in a process of its own; return peak memory [MB], time [s], code, stderr."""
    started = time.monotonic()
    run = subprocess.run(
        [sys.executable, "-c", PEAK, *arguments],
        cwd=scene.root, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, check=False,
        env={**os.environ, "XDG_CACHE_HOME": str(scene.home), "XDG_DATA_HOME": str(scene.home)},
    )  # fmt: skip
    words, _, peak = run.stderr.rpartition("peak ")
    return float(peak), time.monotonic() - started, run.returncode, words


def told(name: str, mb: float, took_s: float, code: int, said: str) -> None:
    """Tell the figures of a run."""
    last = said.strip()[-150:]
    print(f"  {name}: {mb:.0f} MB, {took_s:.1f} s, code {code}: {last}", file=sys.stderr)


@corner("24 hours of sound: heard under 600 MB, or refused at a stated length", quick=False)
def _day(scene: Scene) -> list[str]:
    wrong = []
    for name, hours, channels in (("day.wav", 24.0, 1), ("six.wav", 6.0, 2)):
        silent_wav(scene.root / name, hours, 11_025 if hours > 6 else 44_100, channels)
        mb, took_s, code, said = peak_mb(scene, "listen", name)
        print(
            f"  {name}: {mb:.0f} MB, {took_s:.1f} s, code {code}: {said.strip()[-150:]}",
            file=sys.stderr,
        )
        if mb > MOST_MB or "Traceback" in said:
            wrong.append(f"{name}: {mb:.0f} MB, {said[-200:]}")
        (scene.root / name).unlink()
    return wrong


@corner("three hours that begin silent: heard under 600 MB", quick=False)
def _silent(scene: Scene) -> list[str]:
    samples, rate = soundfile.read(scene.root / "music" / "lanes.wav", dtype="int16")
    path = scene.root / "late.flac"
    silence = np.zeros((rate * 60, 2), dtype="int16")
    with soundfile.SoundFile(path, "w", rate, 2) as file:
        for _ in range(150):
            file.write(silence)
        for _ in range(25):
            file.write(samples)
    mb, took_s, code, said = peak_mb(scene, "listen", "late.flac")
    print(
        f"  late.flac: {mb:.0f} MB, {took_s:.1f} s, code {code}: {said.strip()[-150:]}",
        file=sys.stderr,
    )
    return [] if mb <= MOST_MB and "Traceback" not in said else [f"{mb:.0f} MB, {said[-200:]}"]
