"""What is done to sound after it is played: levels, side-chain, echoes, rooms."""

from __future__ import annotations

import numpy as np
from scipy import signal

from aquatempo.training.drums import Stroke
from aquatempo.training.form import Plan, Rng
from aquatempo.training.synth import RATE_HZ, Sound

__all__ = ["duck", "echo", "level", "risers", "room"]


def level(sound: Sound) -> Sound:
    """Scale to a root mean square of 0.1 over what is not silent."""
    power = sound**2
    loud = power > 1e-8
    return sound * (0.1 / np.sqrt(power[loud].mean())) if loud.any() else sound


def duck(rng: Rng, strokes: list[Stroke], samples: int) -> Sound:
    """Return a gain that dips at each kick, as a side-chained compressor does."""
    gain = np.ones(samples, np.float32)
    length = int(rng.uniform(0.12, 0.4) * RATE_HZ)
    dip = 1 - rng.uniform(0.4, 0.95) * (1 - np.linspace(0, 1, length)) ** 0.7
    for time, name, _ in strokes:
        start = int(time * RATE_HZ)
        if name == "kick" and start < samples:
            stop = min(samples, start + length)
            gain[start:stop] = np.minimum(gain[start:stop], dip[: stop - start])
    return gain


def risers(rng: Rng, plan: Plan, samples: int) -> Sound:
    """Return noise that swells before some phrases and, at times, an impact on count 1."""
    out = np.zeros(samples, np.float32)
    for section in plan.sections:
        if not section.is_phrase or section.fill != "riser":
            continue
        end_s, start_s = plan.time_s(
            np.array([section.start + section.counts, section.start + section.counts - 4.0])
        )
        start, stop = int(start_s * RATE_HZ), min(int(end_s * RATE_HZ), samples)
        if stop - start > 1000:
            swell = np.linspace(0, 1, stop - start) ** 2
            out[start:stop] += 0.15 * rng.normal(size=stop - start) * swell
    return out


def echo(rng: Rng, plan: Plan, sound: Sound) -> Sound:
    """Repeat a sound, softer and softer, a part of a beat later each time."""
    beats = float(rng.choice((0.5, 0.75, 0.75, 1.0, 0.333, 1.5)))
    delay = int(beats * 60 / plan.tempo_bpm * RATE_HZ)
    gain = float(rng.uniform(0.2, 0.6))
    out = sound.copy()
    for repeat in range(1, 5):
        out[repeat * delay :] += gain**repeat * sound[: len(sound) - repeat * delay]
    return out


def room(rng: Rng, sound: Sound) -> Sound:
    """Add a decaying, darkened noise tail: a room, at times a hall or a church."""
    length_s = rng.uniform(0.15, 1.2) if rng.random() < 0.75 else rng.uniform(1.2, 4.0)
    time = np.arange(int(length_s * RATE_HZ)) / RATE_HZ
    tail = rng.normal(size=len(time)) * np.exp(-6.9 * time / length_s)
    tail = signal.sosfilt(signal.butter(1, rng.uniform(1500, 7000), fs=RATE_HZ, output="sos"), tail)
    tail[: int(rng.uniform(0.002, 0.03) * RATE_HZ)] = 0
    tail /= np.sqrt((tail**2).sum())
    wet = signal.oaconvolve(sound, tail)[: len(sound)]
    return sound + rng.uniform(0.05, 1.0) * wet
