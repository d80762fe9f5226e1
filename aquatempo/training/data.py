"""Songs as training examples: spectra, and for each frame what is true of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import numpy.typing as npt

from aquatempo.rhythm.features import FRAME_RATE_HZ, FRAMES_PER_SLOW_FRAME, extract
from aquatempo.training.form import Plan, plan_song
from aquatempo.training.render import LENGTH_S, RATE_HZ, Fonts, render

__all__ = ["FRAMES", "Example", "examples", "make_example"]

FRAMES = FRAMES_PER_SLOW_FRAME * (int(LENGTH_S * RATE_HZ) // 880 + 1)

_HALF_WIDTH = 1.6  # frames from the top of a target to its foot
_fonts: Fonts | None = None


@dataclass(frozen=True)
class Example:
    """One song.

    mel (frames, 80) and pitch (frames / 4, 64): amplitudes over the root of their mean
    power. target: (frames, 3), 255 where a beat, downbeat, phrase start falls exactly
    on a frame. tempo_bpm: (frames / 4,), 0 where there is no music.
    """

    style: str
    mel: npt.NDArray[np.float16]
    pitch: npt.NDArray[np.float16]
    target: npt.NDArray[np.uint8]
    tempo_bpm: npt.NDArray[np.float16]


def make_example(seed: int, fonts: Fonts) -> Example:
    """Write, play and analyse the song of one seed."""
    plan = plan_song(seed)
    samples = render(plan, fonts)
    rng = np.random.default_rng([seed, 5])
    end_s = _ending(rng, plan, samples)
    heard = extract(samples)
    target = np.zeros((heard.frames, 3), np.uint8)
    beats = plan.beat_times_s[:-1]
    downbeats = plan.time_s(np.array([bar.start for bar in plan.bars]))
    phrases = plan.time_s(np.array([part.start for part in plan.sections if part.is_phrase]))
    for column, times_s in enumerate((beats, downbeats, phrases)):
        target[:, column] = _triangles(times_s[times_s < end_s], heard.frames)
    slow_times_s = np.arange(heard.frames // 4) * FRAMES_PER_SLOW_FRAME / FRAME_RATE_HZ
    period = np.gradient(plan.beat_times_s)
    tempo = 60 / np.interp(slow_times_s, plan.beat_times_s, period)
    tempo[(slow_times_s < beats[0]) | (slow_times_s > end_s)] = 0
    return Example(
        plan.name,
        _scaled(heard.mel, heard.mel_power),
        _scaled(heard.pitch, heard.pitch_power),
        target,
        tempo.astype(np.float16),
    )


def examples(seeds: Sequence[int], font_paths: list[Path], workers: int) -> Iterator[Example]:
    """Yield the examples of the seeds in order, made by several processes."""
    global _fonts
    _fonts = Fonts.load(font_paths)
    if workers == 0:
        yield from map(_work, seeds)
        return
    with get_context("fork").Pool(workers) as pool:
        yield from pool.imap(_work, seeds, chunksize=4)


def _work(seed: int) -> Example:
    assert _fonts is not None
    return make_example(seed, _fonts)


def _ending(rng: np.random.Generator, plan: Plan, samples: npt.NDArray[np.float32]) -> float:
    """Let some songs stop or fade out, in place; return when their last beat may be."""
    kind = rng.random()
    if kind > 0.2:
        return LENGTH_S
    end_s = float(rng.uniform(0.55, 0.95)) * LENGTH_S
    if kind < 0.1:  # a clean stop on a downbeat that rings for a while
        downbeats = plan.time_s(np.array([bar.start for bar in plan.bars]))
        end_s = float(downbeats[np.searchsorted(downbeats, end_s) - 1])
        length = int(rng.uniform(0.3, 2.0) * RATE_HZ)
        start = int((end_s + 0.15) * RATE_HZ)
        tail = samples[start : start + length]
        tail *= np.linspace(1, 0, len(tail), dtype=np.float32) ** 2
        samples[start + length :] = 0
        return end_s + 0.05
    length = int(rng.uniform(4, 15) * RATE_HZ)  # a fade that is done at end_s
    stop = int(end_s * RATE_HZ)
    start = max(0, stop - length)
    samples[start:stop] *= 10 ** np.linspace(0, -3, stop - start, dtype=np.float32)
    samples[stop:] = 0
    return end_s - 0.3 * (stop - start) / RATE_HZ


def _triangles(times_s: npt.NDArray[np.float64], frames: int) -> npt.NDArray[np.uint8]:
    """Return 255 at each time, falling to 0 at ``_HALF_WIDTH`` frames from it."""
    out = np.zeros(frames)
    places = times_s * FRAME_RATE_HZ
    for offset in (-1, 0, 1, 2):
        index = np.floor(places).astype(int) + offset
        height = 1 - np.abs(index - places) / _HALF_WIDTH
        valid = (index >= 0) & (index < frames) & (height > 0)
        np.maximum.at(out, index[valid], height[valid])
    return (255 * out).astype(np.uint8)


def _scaled(amplitudes: npt.NDArray[np.float16], power: float) -> npt.NDArray[np.float16]:
    scaled = amplitudes.astype(np.float32) / np.sqrt(max(power, 1e-9))
    return scaled.astype(np.float16)
