"""The mixing desk: notes to stems, stems to a mastered stereo track."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, signal

from .drums import KIT, RATE_HZ
from .voices import VOICES

Stereo = NDArray[np.float64]


@dataclass(frozen=True)
class Sounding:
    """One note in time: what sounds, when [s], how long [s], pitch, velocity 0 to 1."""

    sound: str
    time_s: float
    held_s: float
    pitch: int
    velocity: float


@dataclass(frozen=True)
class Channel:
    """A fader: gain [dB], pan -1 to 1, share sent to the room, depth of the pump under kicks."""

    gain_db: float = 0.0
    pan: float = 0.0
    room: float = 0.1
    pump: float = 0.0


def render_part(notes: Iterable[Sounding], length_s: float, rng: np.random.Generator) -> Stereo:
    """Return one part, dry, both channels; equal notes share one of three takes."""
    out = np.zeros((int(length_s * RATE_HZ) + 1, 2))
    takes: dict[tuple[str, int, int, int], NDArray[np.float64]] = {}
    for number, note in enumerate(notes):
        start = round(note.time_s * RATE_HZ)
        key = (note.sound, note.pitch, round(note.held_s * 200), number % 3)
        if key not in takes:
            if note.sound in KIT:
                takes[key] = KIT[note.sound](rng)
            else:
                takes[key] = VOICES[note.sound](note.pitch, key[2] / 200, rng)
        take = takes[key][: len(out) - start]
        level = note.velocity**1.4
        out[start : start + len(take)] += level * (take[:, None] if take.ndim == 1 else take)
    return out


def room(rng: np.random.Generator, length_s: float = 1.1, fall_s: float = 0.24) -> Stereo:
    """Return the impulse response of a mild, slightly dull room."""
    t = np.arange(int(length_s * RATE_HZ)) / RATE_HZ
    tail = rng.standard_normal((t.size, 2)) * np.exp(-t / fall_s)[:, None]
    tail[: int(0.012 * RATE_HZ)] = 0
    sos = signal.butter(1, (250, 5200), "bandpass", fs=RATE_HZ, output="sos")
    tail = signal.sosfilt(sos, tail, axis=0)
    response: Stereo = tail / np.sqrt(np.sum(tail**2) / 2)
    return response


def pump_curve(kicks_s: Iterable[float], size: int, depth: float) -> NDArray[np.float64]:
    """Return a gain that dips by ``depth`` at each kick and recovers within 200 ms."""
    gain = np.ones(size)
    t = np.arange(int(0.22 * RATE_HZ)) / RATE_HZ
    dip = 1 - depth * np.exp(-t / 0.07) * np.minimum(t / 0.004, 1)
    for kick_s in kicks_s:
        start = round(kick_s * RATE_HZ)
        part = gain[start : start + dip.size]
        np.minimum(part, dip[: part.size], out=part)
    return gain


def mix(
    parts: dict[str, list[Sounding]],
    channels: dict[str, Channel],
    length_s: float,
    rng: np.random.Generator,
) -> Stereo:
    """Return the sum of all parts through their channels and one shared room."""
    total = np.zeros((int(length_s * RATE_HZ) + 1, 2))
    sent = np.zeros_like(total)
    kicks = [note.time_s for part in parts.values() for note in part if note.sound == "kick"]
    for name, notes in parts.items():
        channel = channels[name]
        stem = render_part(notes, length_s, rng) * 10 ** (channel.gain_db / 20)
        angle = (channel.pan + 1) * np.pi / 4
        stem *= np.array([np.cos(angle), np.sin(angle)]) * np.sqrt(2)
        if channel.pump:
            stem *= pump_curve(kicks, len(stem), channel.pump)[:, None]
        total += stem
        sent += channel.room * stem
    wet: Stereo = signal.oaconvolve(sent, room(rng), axes=0)[: len(total)]
    return total + wet


def k_weighted(samples: Stereo) -> Stereo:
    """Return samples through the K-weighting of ITU-R BS.1770-4, for any rate."""
    for gain_db, centre_hz, q, shelf in (
        (3.999843853973347, 1681.974450955533, 0.7071752369554196, True),
        (0.0, 38.13547087602444, 0.5003270373238773, False),
    ):
        k = np.tan(np.pi * centre_hz / RATE_HZ)
        high, a0 = 10 ** (gain_db / 20), 1 + k / q + k * k
        middle = high**0.4996667741545416
        b = [high + middle * k / q + k * k, 2 * (k * k - high), high - middle * k / q + k * k]
        if not shelf:
            b = [a0, -2 * a0, a0]
        a = [1, 2 * (k * k - 1) / a0, (1 - k / q + k * k) / a0]
        samples = signal.lfilter(np.array(b) / a0, a, samples, axis=0)
    return samples


def loudness_lufs(samples: Stereo) -> float:
    """Return the gated programme loudness [LUFS], ITU-R BS.1770-4 (400 ms blocks, 75 % overlap)."""
    power = np.sum(k_weighted(samples) ** 2, axis=1)
    step = RATE_HZ // 10
    tenths = power[: len(power) // step * step].reshape(-1, step).mean(axis=1)
    blocks = np.convolve(tenths, np.full(4, 0.25), "valid")
    blocks = blocks[blocks > 10 ** ((-70 + 0.691) / 10)]
    blocks = blocks[blocks > blocks.mean() / 10]
    return float(-0.691 + 10 * np.log10(blocks.mean()))


def true_peak_db(samples: Stereo) -> float:
    """Return the largest value [dBTP], four-fold oversampled as BS.1770-4 annex 2 asks."""
    return float(20 * np.log10(np.abs(signal.resample_poly(samples, 4, 1, axis=0)).max()))


def limit(samples: Stereo, ceiling_db: float) -> Stereo:
    """Return samples whose true peak stays below the ceiling: 2 ms look-ahead, 60 ms recovery."""
    over = np.abs(signal.resample_poly(samples, 4, 1, axis=0)).max(axis=1)
    peaks = over[: len(samples) * 4].reshape(-1, 4).max(axis=1)
    wanted = np.minimum(1, 10 ** (ceiling_db / 20) / np.maximum(peaks, 1e-9))
    ahead = int(0.002 * RATE_HZ)
    floor = ndimage.minimum_filter1d(wanted, 2 * ahead + 1)
    slow = ndimage.minimum_filter1d(ndimage.uniform_filter1d(floor, int(0.06 * RATE_HZ)), 3)
    gain: NDArray[np.float64] = ndimage.uniform_filter1d(np.minimum(floor, slow), ahead)
    return samples * gain[:, None]


def master(samples: Stereo, target_lufs: float, ceiling_db: float) -> Stereo:
    """Return the finished track at the target loudness and below the true-peak ceiling."""
    sos = signal.butter(2, 32, "highpass", fs=RATE_HZ, output="sos")
    samples = signal.sosfilt(sos, samples, axis=0)
    samples = samples / np.percentile(np.abs(samples), 99.7)
    samples = np.tanh(0.8 * samples) / 0.8  # glue: rounds the highest peaks
    for _ in range(3):
        samples = samples * 10 ** ((target_lufs - loudness_lufs(samples)) / 20)
        samples = limit(samples, ceiling_db)
    return samples
