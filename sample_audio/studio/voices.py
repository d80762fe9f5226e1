"""Pitched voices: each returns one note, mono (n,) or stereo (n, 2), attack at sample 0.

Every voice takes the pitch as a MIDI note number and the length in seconds that the
key is held; what rings on after that is the voice's own.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from .drums import RATE_HZ, Samples, band, clock

Voice = Callable[[int, float, np.random.Generator], NDArray[np.float64]]


def pitch_hz(note: float) -> float:
    """Return the frequency [Hz] of a MIDI note number, A4 = 440 Hz."""
    return float(440 * 2 ** ((note - 69) / 12))


def gate(t: Samples, held_s: float, attack_s: float, release_s: float) -> Samples:
    """Return an envelope: rise, hold, fall after ``held_s``."""
    shape: Samples = np.minimum(t / attack_s, 1) * np.exp(-np.maximum(t - held_s, 0) / release_s)
    return shape


def harmonics(
    t: Samples, base_hz: float, weights: NDArray[np.float64], damping: float, wobble: Samples | None
) -> Samples:
    """Return a sum of harmonics; the k-th fades at ``damping`` times k a second.

    ``wobble`` is added to the phase of the first harmonic, times k for the k-th.
    """
    phase = 2 * np.pi * base_hz * t + (0 if wobble is None else wobble)
    total = np.zeros_like(t)
    for k, weight in enumerate(weights, start=1):
        if k * base_hz > 0.42 * RATE_HZ:
            break
        total += weight * np.sin(k * phase) * np.exp(-damping * (k - 1) * t)
    return total


def falling(count: int, slope: float) -> NDArray[np.float64]:
    """Return weights k ** -slope for k = 1 ... count."""
    return np.arange(1, count + 1, dtype=float) ** -slope


def bass_synth(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return a filtered saw with its sub-octave's weight."""
    t = clock(held_s + 0.08)
    tone = harmonics(t, pitch_hz(note), falling(28, 1.0), 4.0, None)
    return 0.6 * np.tanh(1.2 * tone) * gate(t, held_s, 0.003, 0.025)


def bass_finger(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return a plucked bass string."""
    t = clock(held_s + 0.12)
    tone = harmonics(t, pitch_hz(note), falling(14, 1.25), 3.0, None) * np.exp(-t / 0.9)
    finger = band(rng.standard_normal(t.size), 300, 1800) * np.exp(-t / 0.01)
    return (0.7 * tone + 0.12 * finger) * gate(t, held_s, 0.003, 0.04)


def electric_piano(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return a struck tine: frequency modulation that mellows."""
    t = clock(held_s + 0.35)
    base = 2 * np.pi * pitch_hz(note) * t
    tine = 1.1 * np.exp(-t / 0.35) * np.sin(base) + 0.25 * np.exp(-t / 0.03) * np.sin(7 * base)
    return 0.45 * np.sin(base + tine) * np.exp(-t / 1.3) * gate(t, held_s, 0.004, 0.1)


def stab(note: int, held_s: float, rng: np.random.Generator) -> NDArray[np.float64]:
    """Return a short bright chord voice, two detuned saws a side."""
    t = clock(held_s + 0.12)
    envelope = gate(t, held_s, 0.003, 0.05) * np.exp(-t / 0.35)
    sides = [
        harmonics(t, pitch_hz(note + detune), falling(20, 1.05), 5.0, None)
        + harmonics(t, pitch_hz(note - 0.7 * detune), falling(20, 1.05), 5.0, None)
        for detune in (0.06, -0.09)
    ]
    return 0.22 * np.stack(sides, axis=1) * envelope[:, None]


def pad(note: int, held_s: float, rng: np.random.Generator) -> NDArray[np.float64]:
    """Return a slow, wide string-like voice."""
    t = clock(held_s + 0.5)
    envelope = gate(t, held_s, 0.12, 0.18)
    sides = []
    for _ in range(2):
        layers = [
            harmonics(
                t,
                pitch_hz(note + detune),
                falling(10, 1.5),
                0.05,
                rng.uniform(0, 6) + 0.15 * np.sin(2 * np.pi * rng.uniform(0.3, 0.9) * t),
            )
            for detune in rng.uniform(-0.09, 0.09, 3)
        ]
        sides.append(np.sum(layers, axis=0))
    return 0.13 * np.stack(sides, axis=1) * envelope[:, None]


def organ(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return drawbars with a slow rotor."""
    t = clock(held_s + 0.06)
    weights = np.array([0.8, 0.9, 0.5, 0.5, 0.0, 0.2, 0.0, 0.25])
    rotor = 0.25 * np.sin(2 * np.pi * 5.8 * t)
    return 0.16 * harmonics(t, pitch_hz(note), weights, 0.0, rotor) * gate(t, held_s, 0.006, 0.02)


def pluck(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return a short synthetic pluck."""
    t = clock(min(held_s, 0.5) + 0.25)
    tone = harmonics(t, pitch_hz(note), falling(16, 1.1), 6.0, None)
    return 0.35 * tone * np.exp(-t / 0.16) * gate(t, 0.5, 0.002, 0.1)


def string(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return a plucked steel string: noise going round a damped loop."""
    count = int((held_s + 0.25) * RATE_HZ)
    period = RATE_HZ / pitch_hz(note) - 0.5
    whole = int(period)
    burst = np.zeros(count)
    burst[: whole + 1] = rng.uniform(-1, 1, whole + 1)
    loss, part = 0.995, period - whole
    loop = np.zeros(whole + 3)
    loop[0] = 1
    taps = np.convolve([0.5, 0.5], [1 - part, part])
    loop[whole : whole + 3] -= loss * taps
    tone: Samples = signal.lfilter([1.0], loop, burst)
    tone = signal.sosfilt(signal.butter(1, 90, "highpass", fs=RATE_HZ, output="sos"), tone)
    return 0.5 * tone * gate(clock(count / RATE_HZ + 1e-4)[:count], held_s, 0.002, 0.06)


def power(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return a distorted guitar playing root, fifth and octave."""
    t = clock(held_s + 0.08)
    chord = sum(
        harmonics(t, pitch_hz(note + step), falling(18, 1.0), 0.8, None) for step in (0, 7, 12)
    )
    driven = np.tanh(3.5 * np.asarray(chord))
    cabinet = signal.butter(2, (95, 4300), "bandpass", fs=RATE_HZ, output="sos")
    heard: Samples = signal.sosfilt(cabinet, driven)
    return 0.32 * heard * gate(t, held_s, 0.003, 0.03)


def vibrato(t: Samples, rate_hz: float, depth: float, delay_s: float) -> Samples:
    """Return the phase wobble [rad] of a vibrato that sets in after ``delay_s``."""
    swell = np.clip((t - delay_s) / 0.25, 0, 1)
    wobble: Samples = depth * swell * np.sin(2 * np.pi * rate_hz * t)
    return wobble


def saw_lead(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return a singing saw."""
    t = clock(held_s + 0.12)
    tone = harmonics(t, pitch_hz(note), falling(18, 1.15), 0.6, vibrato(t, 5.5, 0.5, 0.15))
    return 0.3 * tone * gate(t, held_s, 0.006, 0.05)


def flute(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return a breathy flute."""
    t = clock(held_s + 0.15)
    weights = np.array([1.0, 0.35, 0.12, 0.04])
    tone = harmonics(t, pitch_hz(note), weights, 0.0, vibrato(t, 5.0, 0.6, 0.2))
    breath = band(rng.standard_normal(t.size), 1500, 5000) * (0.06 + 0.2 * np.exp(-t / 0.03))
    return (0.4 * tone + 0.25 * breath) * gate(t, held_s, 0.02, 0.06)


def singer(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return an open vowel: harmonics weighed by the formants of an 'ah'."""
    t = clock(held_s + 0.15)
    base = pitch_hz(note)
    partials = base * np.arange(1, 33)
    weights = np.zeros(32)
    for centre_hz, width_hz, height in ((730, 130, 1.0), (1090, 160, 0.6), (2440, 260, 0.25)):
        weights += height * np.exp(-0.5 * ((partials - centre_hz) / width_hz) ** 2)
    weights = (weights + 0.05 / np.arange(1, 33)) / np.sqrt(np.sum(weights**2) + 0.01)
    tone = harmonics(t, base, weights, 0.0, vibrato(t, 5.2, 0.9, 0.18))
    return 0.4 * tone * gate(t, held_s, 0.03, 0.07)


def bell(note: int, held_s: float, rng: np.random.Generator) -> Samples:
    """Return a struck metal bar."""
    t = clock(min(held_s, 1.2) + 0.8)
    base = 2 * np.pi * pitch_hz(note) * t
    return 0.4 * (
        np.sin(base) * np.exp(-t / 0.5)
        + 0.35 * np.sin(3.98 * base) * np.exp(-t / 0.12)
        + 0.1 * np.sin(9.9 * base) * np.exp(-t / 0.03)
    )


VOICES: dict[str, Voice] = {
    "bass_synth": bass_synth,
    "bass_finger": bass_finger,
    "electric_piano": electric_piano,
    "stab": stab,
    "pad": pad,
    "organ": organ,
    "pluck": pluck,
    "string": string,
    "power": power,
    "saw_lead": saw_lead,
    "flute": flute,
    "singer": singer,
    "bell": bell,
}
