"""What happens to a finished mix: compression, combs, filters that sweep, coarse coding."""

from __future__ import annotations

import numpy as np
from scipy import fft, signal

from aquatempo.training.form import Plan, Rng
from aquatempo.training.synth import RATE_HZ, Sound

__all__ = ["coarse_code", "comb", "compress", "crush", "sweep"]

_BLOCK = 220


def compress(rng: Rng, mix: Sound) -> Sound:
    """Press the loud parts down by several dB and let go again: it pumps, at times hard."""
    blocks = -(-len(mix) // _BLOCK)
    padded = np.pad(mix, (0, blocks * _BLOCK - len(mix))).reshape(blocks, _BLOCK)
    loud_db = 10 * np.log10((padded**2).mean(1) + 1e-10)
    threshold_db = np.percentile(loud_db, rng.uniform(20, 70))
    wanted_db = np.maximum(loud_db - threshold_db, 0) * rng.uniform(0.3, 0.95)
    attack, release = rng.uniform(0.2, 1.0), rng.uniform(0.02, 0.25)  # shares of a block
    down_db, state = [], 0.0
    for wanted in wanted_db.tolist():
        state += (wanted - state) * (attack if wanted > state else release)
        down_db.append(state)
    gain = 10 ** (-np.array(down_db) / 20)
    smooth = np.interp(np.arange(len(mix)), (np.arange(blocks) + 0.5) * _BLOCK, gain)
    return (mix * smooth).astype(np.float32)


def comb(rng: Rng, mix: Sound) -> Sound:
    """Add the mix to itself a few milliseconds later, as two channels made one may do."""
    delay = int(rng.uniform(0.0002, 0.02) * RATE_HZ) + 1
    out = mix.copy()
    out[delay:] += rng.uniform(0.4, 0.95) * rng.choice((-1, 1)) * mix[:-delay]
    return out


def sweep(rng: Rng, plan: Plan, mix: Sound) -> Sound:
    """Open a low or a high pass over a section, as in a breakdown."""
    section = plan.sections[int(rng.integers(len(plan.sections)))]
    ends_s = plan.time_s(np.array([section.start, section.start + section.counts], float))
    start, stop = np.clip((ends_s * RATE_HZ).astype(int), 0, len(mix))
    if stop - start < RATE_HZ:
        return mix
    kind, cut_hz = ("low", rng.uniform(200, 1200)) if rng.random() < 0.7 else ("high", 900.0)
    part = mix[start:stop]
    dull = signal.sosfilt(signal.butter(2, cut_hz, kind, fs=RATE_HZ, output="sos"), part)
    share = np.linspace(0, 1, stop - start) ** rng.uniform(1, 4)
    out = mix.copy()
    out[start:stop] = dull + share * (part - dull)
    return out


def crush(rng: Rng, mix: Sound) -> Sound:
    """Keep few bits and few samples a second, as old trackers and games do."""
    steps = 2.0 ** rng.uniform(5, 8) / 2
    held = int(rng.choice((1, 1, 2, 3)))
    scaled = mix / max(float(np.abs(mix).max()), 1e-9)
    return np.repeat(np.round(scaled[::held] * steps) / steps, held)[: len(mix)]


def coarse_code(rng: Rng, mix: Sound) -> Sound:
    """Lose what a coder at a low bit rate loses: faint partials, the top, the start of sounds."""
    hop = int(rng.choice((288, 576, 576, 1024)))
    window = np.sin(np.pi * (np.arange(2 * hop) + 0.5) / (2 * hop)).astype(np.float32)
    frames = len(mix) // hop - 1
    cut = np.lib.stride_tricks.sliding_window_view(mix.astype(np.float32), 2 * hop)[::hop][:frames]
    spectrum = fft.rfft(cut * window)
    edges = np.unique(np.geomspace(3, hop + 1, 20).astype(int))
    edges[0] = 0
    power = np.add.reduceat(spectrum.real**2 + spectrum.imag**2, edges[:-1], axis=1)
    step = np.sqrt(power / np.diff(edges)) * rng.uniform(0.7, 3.0)
    steps = np.repeat(step, np.diff(edges), axis=1) + 1e-9
    spectrum = spectrum[:, : steps.shape[1]]
    rough = np.round(spectrum.real / steps) * steps + 1j * np.round(spectrum.imag / steps) * steps
    rough[:, int(hop * rng.uniform(0.4, 1.0)) :] = 0
    blocks = fft.irfft(rough, 2 * hop).astype(np.float32) * window
    out = np.zeros((frames + 1, hop), np.float32)
    out[:-1] += blocks[:, :hop]
    out[1:] += blocks[:, hop:]
    return np.pad(out.ravel(), (0, len(mix) - out.size))
