"""A singing and speaking voice: vowels with formants, glides, vibrato, consonants."""

from __future__ import annotations

import numpy as np
from scipy import signal

from aquatempo.training.synth import RATE_HZ, Seconds, Sound

__all__ = ["choir", "sing", "talk"]

Rng = np.random.Generator

_VOWELS_HZ = (
    (730, 1090, 2440),
    (530, 1840, 2480),
    (270, 2290, 3010),
    (570, 840, 2410),
    (300, 870, 2240),
)
"""First three formants of five vowels of men: Peterson and Barney 1952, table II, from memory."""


def sing(notes: Seconds, samples: int, rng: Rng) -> Sound:
    """Render a melody as sung syllables with vibrato, glides and consonants.

    The vowel of a note starts on it; its consonant comes before, as singers do.
    """
    out = np.zeros(samples, np.float32)
    size = rng.uniform(0.95, 1.3)
    vibrato_hz, depth = rng.uniform(4.5, 6.5), rng.uniform(0.002, 0.02)
    glide_s = rng.uniform(0.01, 0.08)
    breath = rng.uniform(0.02, 0.25)
    clear = rng.uniform(0.3, 1.0)  # how much is heard of consonants
    last_hz = 0.0
    last_vowel = rng.integers(5)
    for start_s, length_s, pitch, strength in notes:
        start, stop = int(start_s * RATE_HZ), int((start_s + length_s) * RATE_HZ)
        stop = min(stop, samples)
        if start < 0 or stop - start < 600:
            continue
        time = np.arange(stop - start) / RATE_HZ
        hz = 440 * 2 ** ((pitch - 69) / 12)
        glide = (last_hz or hz) + (hz - (last_hz or hz)) * (1 - np.exp(-time / glide_s))
        last_hz = hz
        swell = np.minimum(1, time / 0.3)
        bend = glide * (1 + depth * swell * np.sin(2 * np.pi * vibrato_hz * time))
        phase = np.cumsum(bend) / RATE_HZ
        source = 2 * (phase - np.floor(phase)) - 1 + breath * rng.normal(size=len(time))
        vowel = rng.integers(5)
        voice = _vowel(source, int(vowel), size)
        if rng.random() < 0.3:  # a diphthong, or one vowel that runs into the next
            share = np.minimum(1, time / rng.uniform(0.08, 0.3))
            voice = share * voice + (1 - share) * _vowel(source, int(last_vowel), size)
        last_vowel = vowel
        envelope = np.minimum(1, time / rng.uniform(0.015, 0.09))
        envelope *= np.minimum(1, (time[-1] - time) / 0.05 + 0.01)
        envelope *= 1 - rng.uniform(0, 0.6) * time / (time[-1] + 0.5)
        out[start:stop] += 2.5 * voice * envelope * strength
        _consonant(rng, out, start, clear)
    return out


def _vowel(source: Sound, vowel: int, size: float) -> Sound:
    voice = np.zeros(len(source))
    for formant_hz, weight in zip(_VOWELS_HZ[vowel], (1.0, 0.6, 0.25), strict=True):
        voice += weight * signal.lfilter(
            *signal.iirpeak(min(formant_hz * size, 9000), 8, fs=RATE_HZ), source
        )
    return voice


def _consonant(rng: Rng, out: Sound, vowel_start: int, clear: float) -> None:
    """Add what comes before a vowel: nothing, a hiss or a burst, to a voice in place."""
    kind = rng.random()
    if kind < 0.35:
        return
    hissing = kind < 0.75
    length_s = rng.uniform(0.04, 0.14) if hissing else rng.uniform(0.008, 0.03)
    length = min(int(length_s * RATE_HZ), vowel_start)
    if length < 60:
        return
    noise = np.diff(rng.normal(size=length + 1))
    if rng.random() < 0.5:
        noise = np.cumsum(noise) - 0.5 * noise  # darker: f, ch, b, p
    shape = np.hanning(length) if hissing else np.exp(-np.arange(length) / (0.006 * RATE_HZ))
    out[vowel_start - length : vowel_start] += (
        noise * shape * clear * rng.uniform(0.1, 0.7 if hissing else 1.0)
    ).astype(np.float32)


def choir(notes: Seconds, samples: int, rng: Rng) -> Sound:
    """Render a melody by two or three voices, not quite together, at times in octaves."""
    out = np.zeros(samples, np.float32)
    up = int(rng.choice((0, 0, -12, 12)))
    for voice in range(int(rng.integers(2, 4))):
        late_s = rng.normal(0, 0.02, len(notes))
        shift = up if voice == 1 else 0
        own = [
            (max(0.0, start + late), length, pitch + shift, strength)
            for (start, length, pitch, strength), late in zip(notes, late_s.tolist(), strict=True)
        ]
        out += sing(own, samples, rng)
    return out


def talk(rng: Rng, samples: int) -> Sound:
    """Return someone speaking now and then, off the beat."""
    notes: Seconds = []
    time = float(rng.uniform(0, 5))
    while time < samples / RATE_HZ - 1:
        pitch = float(rng.uniform(45, 60))
        for _ in range(int(rng.integers(2, 12))):
            length = float(rng.uniform(0.08, 0.25))
            notes.append((time, length, round(pitch + rng.normal(0, 1.5)), 0.8))
            time += length + float(rng.uniform(0.02, 0.12))
        time += float(rng.exponential(4))
    return sing(notes, samples, rng)
