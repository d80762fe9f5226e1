"""Paired timing: whole processes, the same files in turn, on one core."""

from __future__ import annotations

import os
from collections.abc import Sequence
from statistics import median

import soundfile as sf

from .calls import Answer, call


def compare_speed(systems: Sequence[str], files: Sequence[str], repeats: int) -> str:
    """Time the systems on every file ``repeats`` times; return a markdown table.

    Each call is a whole process, so imports count, as they do for a user. The order turns
    from round to round and the first call of each is thrown away. Everything is pinned to one
    core, so let nothing else run. Times against the first system are medians of pairs.
    """
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
        "| system | calls | s a call | x real time | times the first | CPU s a call | peak MB |",
        "|---|---|---|---|---|---|---|",
    ]
    first = [answer["wall_s"] for answer in runs[systems[0]]]
    for system, answers in runs.items():
        walls = [answer["wall_s"] for answer in answers]
        pace = median(length / wall for length, wall in zip(lengths * repeats, walls, strict=True))
        ratios = [wall / base for wall, base in zip(walls, first, strict=True)]
        lines.append(
            f"| {system} | {len(walls)} | {median(walls):.2f} | {pace:.0f} "
            f"| {median(ratios):.2f} ({min(ratios):.2f} to {max(ratios):.2f}) "
            f"| {median(answer['cpu_s'] for answer in answers):.2f} "
            f"| {max(answer['peak_mb'] for answer in answers):.0f} |"
        )
    return "\n".join(lines)


def timed(system: str, file: str) -> Answer:
    """Return one call's answer; a failure ends the timing, its time means nothing."""
    answer = call(system, file, fresh=True)
    if "error" in answer:
        raise SystemExit(f"{system} failed on {file}: {answer['error']}")
    return answer
