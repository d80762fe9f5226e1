"""Own synthesis: drums, bass, saws and pulses, with parameters drawn at random.

All functions return mono sound at ``RATE_HZ``; levels are about 1 at full strength.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy import signal

__all__ = ["RATE_HZ", "Seconds", "Sound", "drum", "line"]

Rng = np.random.Generator
Sound = npt.NDArray[np.floating]
Seconds = list[tuple[float, float, int, float]]
"""Notes: start [s], length [s], MIDI number, strength 0 to 1."""

RATE_HZ = 22_050


def drum(name: str, rng: Rng, machine: str = "") -> Sound:
    """Return one stroke of a drum, each call another one.

    machine: "chip" for the noise and sweeps of sound chips, "fm" for two operators; else
    drums that are nearer to real ones.
    """
    if machine == "chip":
        return _chip_drum(name, rng)
    if machine == "fm":
        return _fm_drum(name, rng)
    if name == "kick":
        return _kick(rng)
    if name in ("snare", "rim", "clap", "timbale"):
        return _snare(name, rng)
    if name.startswith(("tom", "conga", "bongo")):
        pitch_hz = {"tom1": 200, "tom2": 160, "tom3": 120, "tom4": 90}.get(name, 280)
        return _tone(rng, pitch_hz * rng.uniform(0.8, 1.2), rng.uniform(0.1, 0.3), 0.3)
    if name == "click":
        time = _time(0.1)
        return np.sin(2 * np.pi * rng.uniform(700, 3000) * time) * np.exp(
            -time / rng.uniform(0.003, 0.02)
        )
    if name in ("cowbell", "clave", "bell"):
        time = _time(0.25)
        low = rng.uniform(520, 900) * (2.5 if name == "clave" else 1)
        tone = np.sign(np.sin(2 * np.pi * low * time)) + np.sign(np.sin(3.01 * np.pi * low * time))
        return 0.4 * tone * np.exp(-time / rng.uniform(0.03, 0.1))
    length_s = {"open": 0.35, "crash": 1.6, "crash2": 1.4, "china": 1.2, "ride": 0.7}.get(
        name, 0.07
    )
    return _cymbal(rng, length_s * rng.uniform(0.6, 1.4), name)


def _range_of(name: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return where a drum lies [Hz] and how long it sounds [s], for machines."""
    if name == "kick":
        return (50, 140), (0.04, 0.15)
    if name.startswith("tom"):
        return (90, 300), (0.06, 0.2)
    if name in ("snare", "clap", "rim", "timbale"):
        return (150, 700), (0.03, 0.14)
    if name.startswith(("crash", "china")):
        return (1500, 5000), (0.25, 0.8)
    if name in ("open", "ride", "bell"):
        return (2000, 6000), (0.06, 0.25)
    return (800, 6000), (0.008, 0.05)


def _chip_drum(name: str, rng: Rng) -> Sound:
    """Return a stroke as sound chips make it: held noise, or a square that falls."""
    (low, high), (shortest, longest) = _range_of(name)
    decay_s = rng.uniform(shortest, longest)
    time = _time(min(decay_s * 5, 1.5))
    hold = 1 if low >= 800 else int(rng.integers(1, 9))
    noise = np.repeat(rng.choice((-1.0, 1.0), len(time) // hold + 1), hold)[: len(time)]
    hz = rng.uniform(low, high) * (1 + rng.uniform(0, 3) * np.exp(-time / 0.02))
    square = np.sign(np.sin(2 * np.pi * np.cumsum(hz) / RATE_HZ))
    tone = {"kick": 1.0}.get(name, 0.8 if name.startswith("tom") else rng.uniform(0, 0.4))
    if name == "kick" and rng.random() < 0.25:
        tone = 0.3
    sound = (tone * square + (1 - tone) * noise) * np.exp(-time / decay_s)
    steps = float(rng.choice((4, 8, 1000)))
    return 0.7 * np.round(sound * steps) / steps


def _fm_drum(name: str, rng: Rng) -> Sound:
    """Return a stroke of two operators, one bending the other, as old sound cards have it."""
    (low, high), (shortest, longest) = _range_of(name)
    decay_s = rng.uniform(shortest, longest)
    time = _time(min(decay_s * 5, 1.5))
    hz = rng.uniform(low, high) * (
        1 + rng.uniform(0, 1.5) * np.exp(-time / rng.uniform(0.005, 0.05))
    )
    phase = 2 * np.pi * np.cumsum(hz) / RATE_HZ
    bend = rng.uniform(0.5, 6) * np.exp(-time / (decay_s * rng.uniform(0.2, 1.5)))
    sound = np.sin(phase + bend * np.sin(phase * rng.choice((0.5, 1.0, 1.41, 2.0, 3.3, 7.1))))
    hiss = rng.uniform(0, 0.5) if name != "kick" else rng.uniform(0, 0.1)
    return (sound + hiss * rng.normal(size=len(time))) * np.exp(-time / decay_s) * 0.8


def _time(length_s: float) -> Sound:
    return np.arange(int(length_s * RATE_HZ)) / RATE_HZ


def _kick(rng: Rng) -> Sound:
    time = _time(rng.uniform(0.2, 0.5))
    end_hz, start_hz = rng.uniform(40, 65), rng.uniform(120, 400)
    sweep = end_hz + (start_hz - end_hz) * np.exp(-time / rng.uniform(0.008, 0.04))
    body = np.sin(2 * np.pi * np.cumsum(sweep) / RATE_HZ) * np.exp(-time / rng.uniform(0.06, 0.2))
    click = rng.normal(size=len(time)) * np.exp(-time / 0.003) * rng.uniform(0, 0.6)
    return np.tanh((body + click) * rng.uniform(1, 3))


def _snare(name: str, rng: Rng) -> Sound:
    time = _time(0.35)
    decay = {"rim": 0.02, "clap": rng.uniform(0.05, 0.12)}.get(name, rng.uniform(0.05, 0.16))
    noise = rng.normal(size=len(time)) * np.exp(-time / decay)
    low, high = rng.uniform(500, 1500), rng.uniform(5000, 10_000)
    noise = signal.sosfilt(signal.butter(2, (low, high), "band", fs=RATE_HZ, output="sos"), noise)
    if name == "clap":
        for delay_s in (0.011, 0.023):
            noise[int(delay_s * RATE_HZ) :] += 0.8 * noise[: -int(delay_s * RATE_HZ)]
        return noise * 1.2
    tone_hz = rng.uniform(160, 240) * (2.2 if name in ("rim", "timbale") else 1)
    tone = np.sin(2 * np.pi * tone_hz * time) * np.exp(-time / rng.uniform(0.03, 0.1))
    return noise * rng.uniform(0.7, 1.3) + tone * rng.uniform(0.3, 0.9)


def _tone(rng: Rng, pitch_hz: float, decay_s: float, noise: float) -> Sound:
    time = _time(decay_s * 4)
    sweep = pitch_hz * (1 + 0.4 * np.exp(-time / 0.03))
    body = np.sin(2 * np.pi * np.cumsum(sweep) / RATE_HZ) * np.exp(-time / decay_s)
    return body + noise * rng.normal(size=len(time)) * np.exp(-time / 0.01)


def _cymbal(rng: Rng, length_s: float, name: str) -> Sound:
    time = _time(max(0.05, length_s * 2.0))
    noise = rng.normal(size=len(time))
    partials = rng.uniform(2500, 9000, 5)
    noise += sum(np.sign(np.sin(2 * np.pi * f * time + rng.uniform(0, 6))) for f in partials)
    cut_hz = (
        rng.uniform(2500, 7500) if name not in ("shaker", "maracas") else rng.uniform(3500, 6000)
    )
    sound = signal.sosfilt(signal.butter(2, cut_hz, "high", fs=RATE_HZ, output="sos"), noise)
    attack = 0.012 if name in ("shaker", "maracas") else 0.001
    return 0.35 * sound * np.exp(-time / (length_s / 2)) * np.minimum(1, time / attack)


def line(notes: Seconds, samples: int, kind: str, rng: Rng) -> Sound:
    """Render notes of one voice, never overlapping, with an oscillator, a filter and an envelope.

    kind: ``bass``, ``pluck``, ``pad`` or ``lead``.
    """
    hz, gate = _pitch_and_gate(
        notes,
        samples,
        attack_s={"pad": rng.uniform(0.02, 0.25)}.get(kind, 0.004),
        release_s={"pad": 0.15, "pluck": 0.05}.get(kind, 0.03),
        decay_s={"pluck": rng.uniform(0.08, 0.3), "bass": rng.uniform(0.15, 1.0)}.get(kind, 9.0),
    )
    shapes = ("saw", "square", "saws", "sine", "pulse", "fm")
    shape = rng.choice(shapes, p=(0.28, 0.12, 0.2, 0.08, 0.12, 0.2))
    if kind == "bass" and shape == "saws":
        shape = "saw"
    detune = (1.0, 1.006, 0.994) if shape == "saws" else (1.0,)
    out = np.zeros(samples, np.float32)
    for ratio in detune:
        phase = np.cumsum(hz * np.float32(ratio / RATE_HZ), dtype=np.float64)
        phase = (phase - np.floor(phase)).astype(np.float32)
        if shape == "square":
            out += np.where(phase < 0.5, np.float32(0.8), np.float32(-0.8))
        elif shape == "pulse":  # thin, as sound chips have them
            width = np.float32(rng.choice((0.125, 0.25)))
            out += np.where(phase < width, np.float32(0.9), np.float32(-0.5))
        elif shape == "fm":  # two operators; the bend dies away with the note
            ratio_of = float(rng.choice((0.5, 1.0, 1.0, 2.0, 3.0, 3.5, 5.0)))
            bend = rng.uniform(0.5, 5) * gate
            turn = (2 * np.pi * phase).astype(np.float32)
            out += np.sin(turn + bend * np.sin(ratio_of * turn))
        elif shape == "sine":
            wave = np.sin(2 * np.pi * phase)
            out += wave + 0.3 * wave**3
        else:
            out += 2 * phase - 1
    cut_hz = {"bass": rng.uniform(150, 1500), "pad": rng.uniform(500, 5000)}.get(
        kind, rng.uniform(1200, 8000)
    )
    out = signal.sosfilt(signal.butter(2, cut_hz, fs=RATE_HZ, output="sos"), out * gate)
    return out / len(detune)


def _pitch_and_gate(
    notes: Seconds, samples: int, attack_s: float, release_s: float, decay_s: float
) -> tuple[Sound, Sound]:
    """Return frequency [Hz] and envelope, sample by sample."""
    hz = np.full(samples, 110.0, np.float32)
    gate = np.zeros(samples, np.float32)
    attack, release = max(1, int(attack_s * RATE_HZ)), max(1, int(release_s * RATE_HZ))
    longest = int(8 * RATE_HZ) + release
    clock = np.arange(longest)
    decaying = np.exp(-clock / (decay_s * RATE_HZ)) * np.minimum(1, clock / attack)
    decaying = decaying.astype(np.float32)
    fade = np.linspace(1, 0, release)
    for start_s, length_s, pitch, strength in notes:
        start = int(start_s * RATE_HZ)
        stop = min(start + max(int(length_s * RATE_HZ), attack), samples, start + 8 * RATE_HZ)
        if start < 0 or stop <= start:
            continue
        hz[start : stop + release] = 440 * 2 ** ((pitch - 69) / 12)
        gate[start:stop] = decaying[: stop - start] * strength
        tail = min(release, samples - stop)
        gate[stop : stop + tail] = gate[stop - 1] * fade[:tail]
    return hz, gate
