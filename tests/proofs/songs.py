"""Thousands of distinct songs really heard: made, added, killed once, gone on with, counted.

``python -m proofs.songs --songs 3000 --out FOLDER`` from ``tests``; docs/scale.md has the last
figures. Each song is half a minute drawn from its number: tempo, key, mode, chords, drum
pattern, bass and tune of its own, so that no two sound alike. ``aquatempo library add`` hears
them; in the middle it is killed, and the next run goes on. ``--minutes`` stops it, and the same
command goes on another time.
"""

from __future__ import annotations

import argparse
import json
import os
import signal
import statistics
import subprocess
import sys
import time
from collections import Counter
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

from aquatempo.store.library import places
from aquatempo.store.library.tables import open_library
from proofs.kills import orphans

__all__ = ["main", "song_of", "tempo_of"]

RATE_HZ = 22_050
LENGTH_S = 30.0
NEAR = 0.01  # of the tempo: what counts as the same
LEVELS = {"exact": 1.0, "half": 0.5, "double": 2.0}
# Sixteenths of a bar of four on which each drum sounds; common practice, no source.
PATTERNS = (
    ((0, 4, 8, 12), (4, 12), (2, 6, 10, 14)),
    ((0, 8), (4, 12), (0, 2, 4, 6, 8, 10, 12, 14)),
    ((0, 4, 8, 12), (4, 12), tuple(range(16))),
    ((0, 10), (4, 12), (0, 2, 4, 6, 8, 10, 12, 14)),
    ((0, 6, 8), (4, 12), (0, 4, 8, 12)),
    ((0, 3, 8, 11), (4, 12), (2, 6, 10, 14)),
)
CHORDS = ((0, 5, 7, 0), (0, 9, 5, 7), (0, 7, 9, 5), (9, 5, 0, 7), (0, 0, 5, 7), (0, 3, 5, 7))
SCALES = ((0, 2, 4, 5, 7, 9, 11), (0, 2, 3, 5, 7, 8, 10))
Samples = NDArray[np.float64]


def tempo_of(number: int) -> float:
    """Return the tempo of a song by its number [beats/min], 80 to 170."""
    return round(float(np.random.default_rng([16, number]).uniform(80, 170)), 2)


def song_of(number: int, length_s: float = LENGTH_S) -> Samples:
    """Return the samples of a song by its number, at RATE_HZ."""
    rng = np.random.default_rng([17, number])
    step_s = 15 / tempo_of(number)
    out = np.zeros(round(length_s * RATE_HZ) + RATE_HZ)
    kick, snare, hat = _drums(rng)
    where = PATTERNS[rng.integers(len(PATTERNS))]
    scale, chords = SCALES[rng.integers(2)], CHORDS[rng.integers(len(CHORDS))]
    root = 36 + int(rng.integers(12))
    tune = rng.integers(0, 7, 32)
    plays_tune = rng.random(32) < rng.uniform(0.2, 0.7)
    bass_steps = (0, 4, 8, 12) if rng.random() < 0.5 else (0, 3, 6, 10)
    notes: dict[tuple[int, float], Samples] = {}

    def note(pitch: int, held_s: float) -> Samples:
        if (pitch, held_s) not in notes:
            t_s = np.arange(round(held_s * RATE_HZ)) / RATE_HZ
            f_hz = 440 * 2 ** ((pitch - 69) / 12)
            tone = sum(np.sin(2 * np.pi * f_hz * k * t_s) / k**1.5 for k in (1, 2, 3))
            ends = np.minimum(1, np.minimum(t_s, t_s[::-1]) / 0.008)
            notes[pitch, held_s] = tone * ends * np.exp(-t_s / (0.6 * held_s))
        return notes[pitch, held_s]

    first_s, steps = float(rng.uniform(0.05, 0.4)), int((length_s - 0.5) / step_s)
    for step in range(steps):
        at, place = round((first_s + step * step_s) * RATE_HZ), step % 16
        degree = root + chords[step // 16 % 4] % 12
        sounds = [(kick, 0.8), (snare, 0.5), (hat, 0.15)]
        played = [one for one, on in zip(sounds, where, strict=True) if place in on]
        if place in bass_steps:
            played.append((note(degree, 3 * step_s), 0.3))
        if place == 0:
            third = 4 if scale[2] == 4 else 3
            played += [(note(degree + 12 + up, 15 * step_s), 0.07) for up in (0, third, 7)]
        if step % 2 == 0 and plays_tune[step // 2 % 32]:
            pitch = root + 24 + scale[tune[step // 2 % 32]]
            played.append((note(pitch, 2 * step_s), 0.12))
        for sound, gain in played:
            out[at : at + len(sound)] += gain * sound[: len(out) - at]
    out = out[: round(length_s * RATE_HZ)] + 0.002 * rng.standard_normal(round(length_s * RATE_HZ))
    quiet: Samples = 0.8 * out / np.max(np.abs(out))
    return quiet


def _drums(rng: np.random.Generator) -> tuple[Samples, Samples, Samples]:
    t_s = np.arange(round(0.25 * RATE_HZ)) / RATE_HZ
    sweep_hz = rng.uniform(42, 60) + rng.uniform(80, 160) * np.exp(-t_s / 0.03)
    kick = np.sin(2 * np.pi * np.cumsum(sweep_hz) / RATE_HZ) * np.exp(
        -t_s / rng.uniform(0.06, 0.12)
    )
    noise = rng.standard_normal(len(t_s))
    body = 0.5 * np.sin(2 * np.pi * rng.uniform(160, 240) * t_s)
    snare = (noise + body) * np.exp(-t_s / rng.uniform(0.03, 0.08)) / 2
    hat = np.diff(noise, prepend=0.0) * np.exp(-t_s / rng.uniform(0.01, 0.04))
    return kick, snare, hat


def made(music: Path, songs: int) -> float:
    """Make the songs that are not there yet; return the processor time of each [s]."""
    music.mkdir(parents=True, exist_ok=True)
    before, new = time.process_time(), 0
    for number in range(songs):
        path = music / f"{number:05d}.flac"
        if not path.exists():
            part = music / ".part.flac"
            soundfile.write(part, song_of(number), RATE_HZ, subtype="PCM_16")
            part.rename(path)
            new += 1
    return (time.process_time() - before) / max(1, new)


def states(books: Path) -> Counter[str]:
    """Return how many files of a library are heard, waiting, failed."""
    if not books.exists():
        return Counter()
    with open_library(books) as opened:
        state = places.progress(opened, 0)
    return Counter(heard=state.heard, waiting=state.waiting, failed=state.failed)


def added(out: Path, jobs: int, until: float, kill_at: int | None) -> dict[str, float]:
    """Let the library hear, until a moment of the clock or killed at so many; return what it took.

    Processor time [s] and the largest memory of a process [MB] are of the run and its workers,
    as far as it waited for them: nothing of one that was killed.
    """
    books = out / "songs.sqlite"
    command = [sys.executable, "-m", "aquatempo", "library", "add", str(out / "music")]
    before, started = states(books)["heard"], time.monotonic()
    process = subprocess.Popen(
        [*command, "--library", str(books), "--jobs", str(jobs), "--json"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
        env={**os.environ, "XDG_DATA_HOME": str(out), "XDG_CACHE_HOME": str(out)},
    )  # fmt: skip
    sent = signal.SIGCONT
    while (ended := os.wait4(process.pid, os.WNOHANG))[0] == 0:
        time.sleep(0.5)
        if sent == signal.SIGCONT and time.monotonic() > until:
            sent = signal.SIGINT
            process.send_signal(sent)
        elif sent == signal.SIGCONT and kill_at is not None and states(books)["heard"] >= kill_at:
            sent = signal.SIGKILL
            process.send_signal(sent)
    process.returncode = os.waitstatus_to_exitcode(ended[1])
    usage, left = ended[2], orphans(process.pid)
    return {
        "code": process.returncode,
        "sent": int(sent),
        "heard": states(books)["heard"] - before,
        "wall_s": time.monotonic() - started,
        "cpu_s": usage.ru_utime + usage.ru_stime,
        "peak_mb": usage.ru_maxrss / 1024,
        "left": len(left),
    }


def exactness(books: Path) -> dict[str, Any]:
    """Return what was kept of each song beside what it was made with, and what is not once."""
    with (
        open_library(books) as opened,
        closing(
            opened.execute(
                "SELECT file, tempo_bpm, confidence FROM places JOIN tracks ON number = track "
                "WHERE state = 'heard' ORDER BY file"
            )
        ) as rows,
    ):
        found = [(int(Path(os.fsdecode(file)).stem), bpm, sure) for file, bpm, sure in rows]
        (tracks,) = opened.execute("SELECT count(*) FROM tracks").fetchone()
        (analyses,) = opened.execute("SELECT count(*) FROM analyses").fetchone()
        (sound,) = opened.execute("PRAGMA integrity_check").fetchone()
    levels: Counter[str] = Counter()
    off, sure_wrong = [], 0
    for number, bpm, sure in found:
        true = tempo_of(number)
        near = [n for n, k in LEVELS.items() if bpm and abs(bpm - k * true) <= NEAR * k * true]
        levels[near[0] if near else "other" if bpm else "none"] += 1
        sure_wrong += sure >= 0.8 and near[:1] != ["exact"]
        if near[:1] == ["exact"]:
            off.append(100 * abs(bpm - true) / true)
    return {
        "songs": len(found),
        "tracks": tracks,
        "analyses": analyses,
        "integrity": sound,
        **{f"tempo {level}": count for level, count in sorted(levels.items())},
        "sure and not exact": sure_wrong,
        "off, median [%]": statistics.median(off) if off else None,
        "off, 99 in 100 [%]": sorted(off)[int(0.99 * len(off))] if off else None,
    }


def main(arguments: list[str] | None = None) -> None:
    """Make, add, kill, go on; keep figures.json; exit with 1 where songs miss."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--songs", type=int, default=3000)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=10_000.0)
    given = parser.parse_args(arguments)
    until = time.monotonic() + 60 * given.minutes
    kept, books = given.out / "figures.json", given.out / "songs.sqlite"
    given.out.mkdir(parents=True, exist_ok=True)
    figures: dict[str, Any] = json.loads(kept.read_text()) if kept.exists() else {"runs": []}
    make_cpu_s = made(given.out / "music", given.songs)
    print(f"{given.songs} songs of {LENGTH_S:g} s made, {1e3 * make_cpu_s:.0f} ms each", flush=True)
    while states(books)["heard"] < given.songs and time.monotonic() < until:
        not_yet = not any(run["sent"] == signal.SIGKILL for run in figures["runs"])
        run = added(given.out, given.jobs, until, given.songs // 2 if not_yet else None)
        figures["runs"].append(run)
        print(json.dumps({name: round(value, 2) for name, value in run.items()}), flush=True)
        figures |= {"states": states(books), "kept": exactness(books)}
        whole = [one for one in figures["runs"] if one["sent"] != signal.SIGKILL and one["heard"]]
        if whole:
            heard = sum(one["heard"] for one in whole)
            figures["cpu_s_a_song"] = sum(one["cpu_s"] for one in whole) / heard
        kept.write_text(json.dumps(figures, indent=1))
        if run["code"] not in (0, 130, -signal.SIGKILL) or run["heard"] == 0:
            break
    print(json.dumps({name: one for name, one in figures.items() if name != "runs"}, indent=1))
    once = figures["kept"]["songs"] == figures["kept"]["tracks"] == figures["kept"]["analyses"]
    left = any(run["left"] for run in figures["runs"])
    raise SystemExit(not once or left or states(books)["heard"] < given.songs)


if __name__ == "__main__":
    main()
