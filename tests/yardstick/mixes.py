"""Continuous mixes: tracks joined on the beat as for a class, and an hour of them.

Each part is a song of the sample tracks' instruments at its own tempo, cut at a phrase; the next
one starts on the beat where the last one ends, cross-faded over four counts. Half a phrase in a
plan is a part that was cut short: 16 counts, a bridge in the truth, then the count starts anew.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from studio.drums import RATE_HZ
from studio.mix import Stereo

from .arrangement import Piece, Render, Stretch, notes_of
from .forms import STYLES
from .rendering import render
from .timing import perform, truth_of

CROSS_COUNTS = 4


@dataclass(frozen=True)
class Plan:
    """A mix: parts as (style, tempo [bpm], number of phrases), and a seed."""

    name: str
    parts: tuple[tuple[str, float, float], ...]
    seed: int


JOINED = (("driving_trance", 128.0, 4), ("new_wave", 132.0, 4), ("disco", 126.0, 4))
HOUR_TEMPI = (112.0, 120.0, 126.0, 128.0, 130.0, 132.0, 135.0, 138.0, 132.0, 128.0, 120.0, 104.0)
HOUR_STYLES = ("disco", "new_wave", "driving_trance", "backbeat_soul", "two_step")

PLANS = (
    Plan("mix_128_132_126", JOINED, 8100),
    Plan(
        "mix_126_126_140", (("two_step", 126.0, 3.5), ("disco", 126.0, 3), ("surf", 140.0, 4)), 8200
    ),
    Plan(
        "mix_hour",
        tuple(
            (HOUR_STYLES[index % len(HOUR_STYLES)], HOUR_TEMPI[index // 2], 9 + index % 3)
            for index in range(2 * len(HOUR_TEMPI))
        ),
        8300,
    ),
)


def part(style: str, tempo_bpm: float, phrases: float, seed: int) -> Piece:
    """Return one part: phrases of 32 only, energy by turns."""
    levels = ("medium", "high", "low", "high")
    extra = ("arp", "riff")
    stretches = tuple(
        Stretch(
            32, "phrase", levels[i % 4], levels[i % 4], levels[i % 4],
            ("pad", "comp", *extra), levels[i % 4] == "high", "fill" if i % 2 else "none", 2,
            crash=i % 2 == 0, progression=i // 2 % 2,
        )
        for i in range(int(phrases))
    )  # fmt: skip
    if phrases % 1:
        stretches += (Stretch(16, "bridge", "medium", "medium", "medium", ("pad",)),)
    return Piece(
        name=style,
        tempo_bpm=tempo_bpm,
        seed=seed,
        style=STYLES[style],
        stretches=stretches,
        transpose=seed % 5 - 2,
        render=Render("synth" if seed % 2 else "csound"),
        silence_s=0.0,
    )


def play_part(piece: Piece) -> tuple[Stereo, dict[str, Any]]:
    """Return one part from its first beat to ``CROSS_COUNTS`` after its last, and its truth."""
    tail = Stretch(CROSS_COUNTS, "outro", "medium", "medium", "medium", ("pad",))
    longer = replace(piece, stretches=(*piece.stretches, tail))
    performance = perform(longer, notes_of(longer))
    samples = render(longer, performance.soundings, performance.end_s)
    size = round(longer.counts * 60 / piece.tempo_bpm * RATE_HZ)
    return samples[:size], truth_of(piece, perform(piece, notes_of(piece)))


def build(folder: Path, only: str | None) -> None:
    """Write the mixes: 16-bit WAV written part by part, truth beside it."""
    import soundfile as sf

    from .building import save_truth

    folder.mkdir(parents=True, exist_ok=True)
    for plan in PLANS:
        if only is not None and only not in plan.name:
            continue
        with sf.SoundFile(folder / f"{plan.name}.wav", "w", RATE_HZ, 2, "PCM_16") as file:
            truth = write_parts(plan, file)
        save_truth(folder, plan.name, truth)


def write_parts(plan: Plan, file: Any) -> dict[str, Any]:
    """Write all parts with equal-power cross-fades; return the truth of the whole."""
    beats: list[float] = []
    downbeats: list[float] = []
    phrases: list[dict[str, Any]] = []
    sections: list[dict[str, float]] = []
    carried = np.zeros((0, 2))
    now_s = 0.0
    for number, (style, tempo_bpm, count) in enumerate(plan.parts):
        samples, truth = play_part(part(style, tempo_bpm, count, plan.seed + number))
        samples = 0.7 * samples
        overlap = min(len(carried), len(samples))
        rise = np.sin(np.linspace(0, np.pi / 2, overlap))[:, None]
        samples[:overlap] = samples[:overlap] * rise + carried[:overlap] * rise[::-1]
        length_s = round(count * 32) * 60 / tempo_bpm
        cut = round((now_s + length_s) * RATE_HZ) - round(now_s * RATE_HZ)
        file.write(np.clip(samples[:cut], -1, 1).astype(np.float32))
        carried = samples[cut:]
        for phrase in truth["phrases"]:
            moved = {key: round(phrase[key] + now_s, 4) for key in ("start_s", "end_s")}
            phrases.append({**phrase, **moved, "start_beat": phrase["start_beat"] + len(beats)})
        last = number == len(plan.parts) - 1
        beats += [round(time + now_s, 4) for time in truth["beats_s"][: None if last else -1]]
        downbeats += [
            round(time + now_s, 4) for time in truth["downbeats_s"][: None if last else -1]
        ]
        sections.append(
            {
                "start_s": round(now_s, 4),
                "end_s": round(now_s + length_s, 4),
                "tempo_bpm": tempo_bpm,
            }
        )
        now_s += length_s
    file.write(np.clip(carried, -1, 1).astype(np.float32))
    return {
        "title": plan.name,
        "tempo_bpm": max(sections, key=lambda section: section["end_s"] - section["start_s"])[
            "tempo_bpm"
        ],
        "beats_per_bar": 4,
        "duration_s": round(now_s + len(carried) / RATE_HZ, 3),
        "beats_s": beats,
        "downbeats_s": downbeats,
        "phrases": phrases,
        "bridges": [phrase for phrase in phrases if phrase["kind"] == "bridge"],
        "tempo_sections": joined(sections),
        "splices_s": [section["start_s"] for section in sections[1:]],
        "steady": False,
        "level_arguable": False,
        "tags": ["mix"],
        "notes": "joined on the beat; each part restarts the count of phrases",
    }


def joined(sections: list[dict[str, float]]) -> list[dict[str, float]]:
    """Return the sections with neighbours of equal tempo made one."""
    merged: list[dict[str, float]] = []
    for section in sections:
        if merged and merged[-1]["tempo_bpm"] == section["tempo_bpm"]:
            merged[-1] = {**merged[-1], "end_s": section["end_s"]}
        else:
            merged.append(dict(section))
    return merged
