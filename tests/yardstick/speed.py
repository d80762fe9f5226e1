"""Paired timing: whole processes, the same files in turn, on one core."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from statistics import median

import soundfile as sf

from .calls import Answer, call
from .layout import ROOT, TRACKS

SONG_S = 240


def four_minute_mp3() -> Path:
    """Return a 4-minute mp3 of about 190 kbit/s, made of two songs of the form set."""
    made = ROOT / "speed" / "four_minutes.mp3"
    if made.exists():
        return made
    made.parent.mkdir(parents=True, exist_ok=True)
    songs = sorted((TRACKS / "form").glob("*.wav"))[:2]
    rate = sf.info(songs[0]).samplerate
    left = SONG_S * rate
    # Block by block: the memory of this process would count as that of those it starts.
    with sf.SoundFile(made, "w", rate, 2, format="MP3", subtype="MPEG_LAYER_III") as file:
        for song in songs:
            for block in sf.blocks(song, rate, always_2d=True):
                file.write(block[:left])
                left -= min(left, len(block))
    return made


def compare_speed(systems: Sequence[str], files: Sequence[str], repeats: int) -> str:
    """Time the systems on every file ``repeats`` times; return a markdown table.

    Each call is a whole process, so imports count, as they do for a user. The order turns
    from round to round and the first call of each is thrown away. Everything is pinned to one
    core, so let nothing else run. Times against the first system are medians of pairs. Processor
    time is shown too, because it suffers less where other work goes on.
    """
    files = list(files) or [str(four_minute_mp3())]
    os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
    lengths = [sf.info(file).duration for file in files]
    for system in systems:
        timed(system, files[0])
    runs: dict[str, list[Answer]] = {system: [] for system in systems}
    for turn in range(repeats):
        order = [*systems[turn % len(systems) :], *systems[: turn % len(systems)]]
        for file in files:
            for system in order:
                runs[system].append(timed(system, file))
    lines = [
        "| system | calls | s a call | x real time | times the first "
        "| CPU s a call | x real time by CPU | peak MB |",
        "|---|---|---|---|---|---|---|---|",
    ]
    first = [answer["wall_s"] for answer in runs[systems[0]]]
    for system, answers in runs.items():
        walls = [answer["wall_s"] for answer in answers]
        pace = median(length / wall for length, wall in zip(lengths * repeats, walls, strict=True))
        by_cpu = median(
            length / answer["cpu_s"]
            for length, answer in zip(lengths * repeats, answers, strict=True)
        )
        ratios = [wall / base for wall, base in zip(walls, first, strict=True)]
        lines.append(
            f"| {system} | {len(walls)} | {median(walls):.2f} | {pace:.0f} "
            f"| {median(ratios):.2f} ({min(ratios):.2f} to {max(ratios):.2f}) "
            f"| {median(answer['cpu_s'] for answer in answers):.2f} | {by_cpu:.0f} "
            f"| {max(answer['peak_mb'] for answer in answers):.0f} |"
        )
    return "\n".join(lines)


def timed(system: str, file: str) -> Answer:
    """Return one call's answer; a failure ends the timing, its time means nothing."""
    answer = call(system, file, fresh=True)
    if "error" in answer:
        raise SystemExit(f"{system} failed on {file}: {answer['error']}")
    return answer
