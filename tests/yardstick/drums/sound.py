"""Drum loops as sound: one-shots of free packages, bass and chords by plain synthesis.

One-shots: hydrogen-data, hydrogen-drumkits, sonic-pi-samples, lmms-common of Debian, unpacked below
the content folder. Kits to fit on and kits to judge by are not the same.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from math import gcd
from pathlib import Path
from zlib import crc32

import numpy as np
import numpy.typing as npt
import soundfile as sf
from scipy import signal

from ..layout import CONTENT
from .judge import JUDGE
from .patterns import FIT, Random, one_of, within

__all__ = ["RATE_HZ", "song"]

RATE_HZ = 22_050
LENGTH_S = 40.0
ROLES = {
    "kick": r"(kick|bassdrum|^bd|bd_|_k_)", "snare": r"(snare|^sn|sd_|_sn_|^sd)",
    "hat": r"(closed|hat.?cl|chh|closehihat|hh_0|cl\.flac)",
    "open": r"(open|hat_op|ohh|ho_0|op\.flac)", "ped": r"(ped|pd\.flac|hh_p)",
    "ride": r"(ride|rc_0|cymbal)", "rim": r"(rim|stick|rs_0|clave|click)",
    "tom": r"(tom|t1_|t2_|ft_)", "clap": r"(clap)", "shaker": r"(shaker|maraca|tamb)",
    "conga": r"(conga|bongo|cowbell|djembe)",
}  # fmt: skip
NOT = {"hat": r"(open|semi|ped)", "snare": r"(rim|stick|roll)", "ride": r"(crash|bell|cup)",
       "kick": r"(snare)"}  # fmt: skip
INSTEAD = (
    ("ped", "hat"), ("open", "hat"), ("ride", "open"), ("rim", "snare"), ("clap", "snare"),
    ("shaker", "hat"), ("conga", "tom"), ("tom", "kick"), ("hat", "ped"), ("hat", "open"),
    ("hat", "shaker"),
)  # fmt: skip
FIT_KITS = (
    "GMRockKit", "TR808EmulationKit", "Millo-Drums_v.1", "HardElectro1", "ForzeeStereo",
    "VariBreaks", "sonic-pi",
)  # fmt: skip
JUDGE_KITS = (
    "ColomboAcousticDrumkit", "ElectricEmpireKit", "Millo_MultiLayered2", "Millo_MultiLayered3",
    "The Black Pearl 1.0", "lmms",
)  # fmt: skip
PROGRESSIONS = ([0, 5, 7, 0], [0, 9, 5, 7], [0, 0, 5, 5], [0, 3, 8, 10], [0, -2, 0, -4])
CHORDS = ((0, 4, 7), (0, 3, 7), (0, 3, 7, 10))

Sound = npt.NDArray[np.float64]
Note = tuple[bool, float, float, float, float]
"""Whether it is bass; its count, length [counts], pitch [MIDI] and loudness."""


@cache
def kit(name: str) -> dict[str, list[Path]]:
    """Return the one-shots of a kit by what they are."""
    share = CONTENT / "usr/share"
    if name == "sonic-pi":
        files = sorted((share / "sonic-pi/samples").glob("[bdse][dnrl]*_*.flac"))
    elif name == "lmms":
        found = sorted((share / "lmms/samples/drums").glob("*.ogg"))
        files = [path for path in found if path.read_bytes()[:4] == b"OggS"]
    else:
        files = sorted((share / "hydrogen/data/drumkits" / name).iterdir())
    out: dict[str, list[Path]] = {}
    for role, pattern in ROLES.items():
        fitting = []
        for path in files:
            stem = path.name.lower()
            if name == "sonic-pi":
                for word in ("closed", "open", "pedal"):
                    stem = stem.replace(f"cymbal_{word}", word)
            bad = role in NOT and re.search(NOT[role], stem)
            if re.search(pattern, stem) and not bad:
                fitting.append(path)
        if fitting:
            out[role] = fitting
    for role, other in INSTEAD:
        if role not in out and other in out:
            out[role] = out[other]
    return out


@cache
def take(path: Path) -> Sound:
    """Return a one-shot from its stroke on, two seconds at most, of peak 1."""
    sound, rate_hz = sf.read(path, always_2d=True)
    mono = sound.mean(axis=1)
    if rate_hz != RATE_HZ:
        common = gcd(RATE_HZ, rate_hz)
        mono = signal.resample_poly(mono, RATE_HZ // common, rate_hz // common)
    mono = mono[: 2 * RATE_HZ]
    loud = np.flatnonzero(np.abs(mono) > 0.02 * np.abs(mono).max() + 1e-9)
    mono = mono[max(0, int(loud[0]) - 20) :] if len(loud) else mono
    mono = mono / (np.abs(mono).max() + 1e-9)
    tail = min(len(mono), 400)
    mono[-tail:] *= np.linspace(1, 0, tail)
    return np.asarray(mono, dtype=np.float64)


def bass_of(kind: str | None, root: int, third: int, rng: Random) -> list[Note]:
    """Return a bar of bass on a root [MIDI]."""
    rows: dict[str, Callable[[], list[tuple[float, float, float, float]]]] = {
        "off": lambda: [(k + 0.5, 0.4, 0, 1) for k in range(4)],
        "on": lambda: [(k, 0.45, 0, 1) for k in range(4)],
        "octave": lambda: [(k / 2, 0.4, 12 * (k % 2), 1) for k in range(8)],
        "walk": lambda: [
            (k, 0.85, (0, third, 7, one_of(rng, 9, 10, 5))[k], 1) for k in range(4)
        ],
        "two": lambda: [
            (0, 1.3, 0, 1), (2, 1.3, 7, 1),
            *([(1.5, 0.4, 7, 0.6)] if rng.random() < 0.3 else []),
        ],
        "shuf": lambda: [
            (k + late, 0.3, (0, 0, 7, 9)[k], 1) for k in range(4) for late in (0, 0.66)
        ],
        "pedal": lambda: [
            (0, 1.5, 0, 1), (one_of(rng, 1.5, 2.5, 2.0), 1.0, 0, 0.9),
            (3.5, 0.4, one_of(rng, 0, 7, -2), 0.7),
        ],
    }  # fmt: skip
    found = rows[kind]() if kind else []
    return [(True, at, size, root + pitch, loud) for at, size, pitch, loud in found]


def chords_of(kind: str | None, bar: int, rng: Random) -> list[tuple[float, float, float]]:
    """Return where chords of a bar begin, how long they are [counts] and how loud."""
    if kind == "pad":
        return [(0, 3.9, 0.3)]
    if kind == "off":
        return [(j + 0.5, 0.3, 0.35) for j in range(4)]
    if kind == "stab":
        return [(at, 0.3, 0.35) for at in ((0, 0.75, 2.5) if bar % 2 else (0.0, 1.5, 2.75))]
    if kind == "comp":
        return [(at / 2, 0.4, 0.3) for at in range(8) if rng.random() < 0.3]
    return []


def pitched(parts: dict[str, str | None], counts: float, rng: Random) -> list[Note]:
    """Return the notes of bass and chords over some counts, one chord a bar."""
    home, steps = int(rng.integers(33, 45)), one_of(rng, *PROGRESSIONS)
    chord = one_of(rng, *CHORDS)
    notes: list[Note] = []
    for bar in range(int(counts // 4)):
        root = home + steps[bar % 4]
        bass = bass_of(parts.get("bass"), root, chord[1], rng)
        chords = chords_of(parts.get("chord"), bar, rng)
        notes += [(low, 4 * bar + at, size, pitch, loud) for low, at, size, pitch, loud in bass]
        notes += [
            (False, 4 * bar + at, size, root + 24 + step, loud)
            for at, size, loud in chords
            for step in chord
        ]
    return notes


def tone(pitch: float, length_s: float, bright: bool, loud: float) -> Sound:
    """Return a note of a few partials that dies away."""
    hz = 440 * 2 ** ((pitch - 69) / 12)
    time_s = np.arange(int(length_s * RATE_HZ)) / RATE_HZ
    partials = [k for k in range(1, 9 if bright else 4) if hz * k < 9000]
    wave = sum((np.sin(2 * np.pi * hz * k * time_s) / k for k in partials), np.zeros(len(time_s)))
    fall = np.exp(-time_s * (2.0 if bright else 4.0))
    end = np.minimum((length_s - time_s) / 0.01, 1).clip(0)
    return np.asarray(loud * wave * np.minimum(time_s / 0.004, 1) * fall * end)


def song(family: str, seed: int) -> tuple[npt.NDArray[np.float32], Sound, float]:
    """Return 40 s of a loop, its beats [s] and its tempo [beats/min].

    A quarter of the songs begin after silence, a quarter at a random moment of the loop.
    """
    rng = np.random.default_rng([crc32(family.encode()), seed])
    write, low_bpm, high_bpm = (FIT | JUDGE)[family]
    strokes, counts, parts = write(rng)
    sounds = kit(one_of(rng, *(FIT_KITS if family in FIT else JUDGE_KITS)))
    tempo_bpm = float(np.exp(within(rng, float(np.log(low_bpm)), float(np.log(high_bpm)))))
    size = round(counts * 60 / tempo_bpm * RATE_HZ)
    count_s = size / RATE_HZ / counts
    turn = np.zeros(size)
    spread_s = within(rng, 0, 0.008) if rng.random() < 0.4 else 0.0
    gains = {role: 10 ** (within(rng, -5, 4) / 20) for role in ROLES}
    chosen: dict[str, Sound] = {}
    for role, at, loud in strokes:
        if role not in sounds:
            continue
        if role not in chosen:
            chosen[role] = take(one_of(rng, *sounds[role]))
        first = round((at * count_s + float(rng.normal(0, 1)) * spread_s) * RATE_HZ)
        height = loud * gains[role] * within(rng, 0.8, 1.05)
        places = (first + np.arange(min(len(chosen[role]), size))) % size
        turn[places] += height * chosen[role][: len(places)]
    turns = int(LENGTH_S / (counts * count_s)) + 2
    samples = np.tile(turn, turns)
    if parts.get("bass") or parts.get("chord"):
        samples = samples + _played(parts, counts * turns, count_s, samples, rng)
    beats = np.arange(0, len(samples) / RATE_HZ, count_s)
    way = rng.random()
    if way < 0.25:
        silent = int(within(rng, 0.3, 2.0) * RATE_HZ)
        samples, beats = np.concatenate([np.zeros(silent), samples]), beats + silent / RATE_HZ
    elif way < 0.5:
        cut_s = within(rng, 0, counts * count_s)
        samples, beats = samples[int(cut_s * RATE_HZ) :], beats - cut_s
    samples = samples[: int(LENGTH_S * RATE_HZ)]
    samples = samples / np.abs(samples).max()
    if rng.random() < 0.5:
        samples = np.tanh(samples * within(rng, 1, 4))
        samples /= np.abs(samples).max()
    samples = samples * 0.9 + within(rng, 0, 0.0012) * rng.standard_normal(len(samples))
    return samples.astype(np.float32), beats[(beats >= 0) & (beats < LENGTH_S)], tempo_bpm


def _played(
    parts: dict[str, str | None], counts: float, count_s: float, drums: Sound, rng: Random
) -> Sound:
    """Return bass and chords beside some drums, 6 dB below them to 5 above."""
    out = np.zeros(len(drums) + 4 * RATE_HZ)
    bright = one_of(rng, True, False)
    for low, at, size, pitch, loud in pitched(parts, counts, rng):
        note = tone(pitch, size * count_s, bright or not low, loud * (0.5 if low else 0.25))
        first = int(at * count_s * RATE_HZ)
        if first + len(note) < len(out):
            out[first : first + len(note)] += note
    share = 10 ** (within(rng, -6, 5) / 20)
    level = np.sqrt(np.mean(drums**2)) / (np.sqrt(np.mean(out**2)) + 1e-9)
    return np.asarray(out[: len(drums)] * share * level)
