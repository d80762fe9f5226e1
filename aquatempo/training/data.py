"""Songs as training examples: spectra, and for each frame what is true of it."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import numpy.typing as npt

from aquatempo.files import replacing
from aquatempo.rhythm.features import FRAME_RATE_HZ, FRAMES_PER_SLOW_FRAME, extract
from aquatempo.training.mix import SHARE, Played, play, play_mix
from aquatempo.training.render import LENGTH_S, Fonts
from aquatempo.training.synth import RATE_HZ

__all__ = [
    "FRAMES",
    "Example",
    "labelled",
    "make_example",
    "read_example",
    "read_song",
    "song_path",
    "write_example",
    "write_songs",
]

FRAMES = FRAMES_PER_SLOW_FRAME * (int(LENGTH_S * RATE_HZ) // 880 + 1)

ALL = (1, 1, 1)
"""Beats, downbeats and starts are known, as of every song that is written here."""
_HALF_WIDTH = 1.6  # frames from the top of a target to its foot
_fonts: Fonts | None = None


@dataclass(frozen=True)
class Example:
    """One song.

    mel (frames, 80) and pitch (frames / 4, 64): amplitudes over the root of their mean
    power. target: (frames, 3), 255 where a beat, a downbeat, the start of a
    phrase or bridge falls exactly on a frame. tempo_bpm: (frames / 4,), 0 where there is no music.
    known: (3,), 1 for each of these of which the truth is known, else 0.
    """

    style: str
    mel: npt.NDArray[np.float16]
    pitch: npt.NDArray[np.float16]
    target: npt.NDArray[np.uint8]
    tempo_bpm: npt.NDArray[np.float16]
    known: npt.NDArray[np.uint8]


def make_example(seed: int, fonts: Fonts) -> Example:
    """Write, play and analyse the song of one seed."""
    rng = np.random.default_rng([seed, 5])
    song = (play_mix if rng.random() < SHARE else play)(seed, fonts)
    end_s = _ending(rng, song)
    loud = np.flatnonzero(np.abs(song.samples) > 0.003 * np.abs(song.samples).max())
    begin_s = loud[0] / RATE_HZ - 0.05  # no beat in the silence before the music
    return labelled(song, begin_s, end_s)


def labelled(song: Played, begin_s: float, end_s: float, known: Sequence[int] = ALL) -> Example:
    """Return the spectra of a song and what is true of each frame from begin_s to end_s [s].

    known: 1 or 0 for beats, downbeats, starts.
    """
    heard = extract(song.samples)
    target = np.zeros((heard.frames, 3), np.uint8)
    for column, times_s in enumerate((song.beats_s, song.downbeats_s, song.starts_s)):
        inside = (times_s > begin_s) & (times_s < end_s)
        target[:, column] = _triangles(times_s[inside], heard.frames)
    slow_times_s = np.arange(heard.frames // 4) * FRAMES_PER_SLOW_FRAME / FRAME_RATE_HZ
    tempo = 60 / np.interp(slow_times_s, song.beats_s, np.gradient(song.beats_s))
    tempo[(slow_times_s < max(begin_s, song.beats_s[0])) | (slow_times_s > end_s)] = 0
    return Example(
        song.style,
        _scaled(heard.mel, heard.mel_power),
        _scaled(heard.pitch, heard.pitch_power),
        target,
        tempo.astype(np.float16),
        np.array(known, np.uint8),
    )


def write_songs(seeds: Sequence[int], fonts: list[Path], folder: Path, workers: int) -> None:
    """Make the songs of the seeds with several processes; skip those already there."""
    global _fonts
    folder.mkdir(parents=True, exist_ok=True)
    _fonts = Fonts.load(fonts)
    missing = [(seed, folder) for seed in seeds if not song_path(folder, seed).exists()]
    with get_context("fork").Pool(workers) as pool:
        for _ in pool.imap_unordered(_write, missing):
            pass


def read_song(folder: Path, seed: int, keep: bool = True) -> Example:
    """Return a song from the folder; wait for it where it is still being made.

    keep: whether its file stays. Songs of a long training are more than a disk holds.
    """
    path = song_path(folder, seed)
    while not path.exists():
        time.sleep(0.02)
    example = read_example(path)
    if not keep:
        path.unlink()
    return example


def read_example(path: Path) -> Example:
    """Return an example from its file."""
    with np.load(path) as stored:
        parts = [stored[field.name] for field in fields(Example)[1:]]
        return Example(str(stored["style"]), *parts)


def write_example(example: Example, path: Path) -> None:
    """Write an example; the file appears under its name only when it is whole."""
    with replacing(path) as file:
        np.savez(file, allow_pickle=False, **asdict(example))


def song_path(folder: Path, seed: int) -> Path:
    """Return where the song of a seed is kept."""
    return folder / f"{seed}.npz"


def _write(job: tuple[int, Path]) -> None:
    """Make one song."""
    seed, folder = job
    assert _fonts is not None
    write_example(make_example(seed, _fonts), song_path(folder, seed))


def _ending(rng: np.random.Generator, song: Played) -> float:
    """Let some songs stop or fade out, in place; return when their last beat may be."""
    samples = song.samples
    kind = rng.random()
    if kind > 0.2:
        return LENGTH_S
    end_s = float(rng.uniform(0.55, 0.95)) * LENGTH_S
    if kind < 0.1:  # a clean stop on a downbeat that rings for a while
        end_s = float(song.downbeats_s[np.searchsorted(song.downbeats_s, end_s) - 1])
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
