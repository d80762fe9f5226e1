"""Drum sounds: each function returns one mono hit of full velocity, attack at sample 0."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy import signal

RATE_HZ = 44100
Samples = NDArray[np.float64]


def clock(length_s: float) -> Samples:
    """Return sample times [s]."""
    return np.arange(int(length_s * RATE_HZ)) / RATE_HZ


def band(noise: Samples, low_hz: float, high_hz: float | None = None) -> Samples:
    """Return noise above ``low_hz`` (and below ``high_hz``)."""
    if high_hz is None:
        sos = signal.butter(2, low_hz, "highpass", fs=RATE_HZ, output="sos")
    else:
        sos = signal.butter(2, (low_hz, high_hz), "bandpass", fs=RATE_HZ, output="sos")
    filtered: Samples = signal.sosfilt(sos, noise)
    return filtered


def swept(time_s: Samples, end_hz: float, start_hz: float, fall_s: float) -> Samples:
    """Return a sine whose pitch falls from ``start_hz`` to ``end_hz``."""
    pitch_hz = end_hz + (start_hz - end_hz) * np.exp(-time_s / fall_s)
    wave: Samples = np.sin(2 * np.pi * np.cumsum(pitch_hz) / RATE_HZ)
    return wave


def kick(rng: np.random.Generator) -> Samples:
    """Return a bass drum: a falling sine with a short click."""
    t = clock(0.34)
    body = swept(t, 49, 210, 0.022) * np.exp(-t / 0.11)
    click = band(rng.standard_normal(t.size), 1500, 6000) * np.exp(-t / 0.004)
    return np.tanh(1.8 * body) * 0.7 + 0.3 * click


def kick_soft(rng: np.random.Generator) -> Samples:
    """Return a rounder, quieter bass drum."""
    t = clock(0.3)
    felt = band(rng.standard_normal(t.size), 300, 2500) * np.exp(-t / 0.008)
    return 0.8 * swept(t, 56, 130, 0.02) * np.exp(-t / 0.09) + 0.12 * felt


def snare(rng: np.random.Generator) -> Samples:
    """Return a snare: two drum modes and rattling wires."""
    t = clock(0.32)
    head = swept(t, 182, 260, 0.012) * np.exp(-t / 0.06) + 0.6 * np.sin(660 * np.pi * t) * np.exp(
        -t / 0.035
    )
    wires = band(rng.standard_normal(t.size), 1400, 9500) * np.exp(-t / 0.085)
    return 0.55 * head + 0.75 * wires


def snare_tight(rng: np.random.Generator) -> Samples:
    """Return a short, high snare."""
    t = clock(0.2)
    head = swept(t, 235, 340, 0.01) * np.exp(-t / 0.04)
    return 0.5 * head + 0.8 * band(rng.standard_normal(t.size), 2200, 11000) * np.exp(-t / 0.05)


def brush(rng: np.random.Generator) -> Samples:
    """Return a snare struck with a brush."""
    t = clock(0.24)
    return 0.7 * band(rng.standard_normal(t.size), 1200, 7000) * np.exp(-t / 0.06)


def clap(rng: np.random.Generator) -> Samples:
    """Return several hands, the first one on time."""
    t = clock(0.3)
    envelope = 0.6 * np.exp(-t / 0.09)
    for delay_s in (0.0, 0.007, 0.015):
        envelope += np.where(t >= delay_s, np.exp(-np.maximum(t - delay_s, 0) / 0.005), 0)
    return 0.5 * band(rng.standard_normal(t.size), 900, 4200) * envelope


def rim(rng: np.random.Generator) -> Samples:
    """Return a stick laid across the rim."""
    t = clock(0.08)
    wood = np.sin(2 * np.pi * 1720 * t) + 0.6 * np.sin(2 * np.pi * 830 * t)
    return 0.5 * wood * np.exp(-t / 0.012) + 0.2 * rng.standard_normal(t.size) * np.exp(-t / 0.003)


def metal(t: Samples, base_hz: float, rng: np.random.Generator) -> Samples:
    """Return the clangour of a cymbal: partials that share no common pitch."""
    ratios = np.array([1.0, 1.342, 1.553, 1.832, 2.187, 2.464, 2.917, 3.501])
    phases = rng.uniform(0, 2 * np.pi, ratios.size)
    waves = np.sign(np.sin(2 * np.pi * base_hz * np.outer(ratios, t) + phases[:, None]))
    clang: Samples = waves.mean(axis=0)
    return clang


def hat(rng: np.random.Generator) -> Samples:
    """Return closed hi-hats."""
    t = clock(0.09)
    mixed = metal(t, 2050, rng) + 0.7 * rng.standard_normal(t.size)
    return 0.55 * band(mixed, 7200) * np.exp(-t / 0.018)


def hat_open(rng: np.random.Generator) -> Samples:
    """Return open hi-hats."""
    t = clock(0.45)
    mixed = metal(t, 2050, rng) + 0.7 * rng.standard_normal(t.size)
    return 0.5 * band(mixed, 6500) * np.exp(-t / 0.13)


def ride(rng: np.random.Generator) -> Samples:
    """Return a ride cymbal struck with the tip."""
    t = clock(0.9)
    ping = np.sin(2 * np.pi * 5210 * t) * np.exp(-t / 0.05)
    wash = band(metal(t, 1180, rng) + 0.25 * rng.standard_normal(t.size), 4200) * np.exp(-t / 0.28)
    return 0.3 * ping + 0.4 * wash


def crash(rng: np.random.Generator) -> Samples:
    """Return a crash cymbal."""
    t = clock(2.4)
    bright = band(metal(t, 980, rng) + rng.standard_normal(t.size), 2600) * np.exp(-t / 0.55)
    dark = band(rng.standard_normal(t.size), 500, 2600) * np.exp(-t / 0.18)
    return 0.5 * bright + 0.25 * dark


def tom(pitch_hz: float) -> Callable[[np.random.Generator], Samples]:
    """Return the maker of a tom of that pitch."""

    def hit(rng: np.random.Generator) -> Samples:
        t = clock(0.4)
        skin = band(rng.standard_normal(t.size), 400, 3000) * np.exp(-t / 0.012)
        return 0.85 * swept(t, pitch_hz, pitch_hz * 1.7, 0.03) * np.exp(-t / 0.13) + 0.25 * skin

    return hit


def hand_drum(pitch_hz: float) -> Callable[[np.random.Generator], Samples]:
    """Return the maker of a hand drum of that pitch."""

    def hit(rng: np.random.Generator) -> Samples:
        t = clock(0.25)
        slap = band(rng.standard_normal(t.size), 900, 4500) * np.exp(-t / 0.006)
        return 0.7 * swept(t, pitch_hz, pitch_hz * 1.15, 0.02) * np.exp(-t / 0.07) + 0.3 * slap

    return hit


def shaker(rng: np.random.Generator) -> Samples:
    """Return a shaker; grains swell over 4 ms."""
    t = clock(0.11)
    return (
        0.5 * band(rng.standard_normal(t.size), 5000) * np.minimum(t / 0.004, 1) * np.exp(-t / 0.03)
    )


def tambourine(rng: np.random.Generator) -> Samples:
    """Return a tambourine."""
    t = clock(0.2)
    jingles = band(metal(t, 3300, rng) + 0.5 * rng.standard_normal(t.size), 6000)
    return 0.5 * jingles * np.exp(-t / 0.05)


def cowbell(rng: np.random.Generator) -> Samples:
    """Return a cowbell."""
    t = clock(0.22)
    tone = np.sign(np.sin(2 * np.pi * 562 * t)) + np.sign(np.sin(2 * np.pi * 845 * t))
    return 0.3 * band(tone, 500, 5000) * np.exp(-t / 0.05)


KIT: dict[str, Callable[[np.random.Generator], Samples]] = {
    "kick": kick,
    "kick_soft": kick_soft,
    "snare": snare,
    "snare_tight": snare_tight,
    "brush": brush,
    "clap": clap,
    "rim": rim,
    "hat": hat,
    "hat_open": hat_open,
    "ride": ride,
    "crash": crash,
    "tom_high": tom(172),
    "tom_mid": tom(126),
    "tom_low": tom(88),
    "conga_high": hand_drum(330),
    "conga_low": hand_drum(215),
    "shaker": shaker,
    "tambourine": tambourine,
    "cowbell": cowbell,
}
