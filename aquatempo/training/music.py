"""Music by others as training examples: at other speeds, and only of what is known.

``python -m aquatempo.training.music --music FOLDER --folder EXAMPLES``: beside each audio file of
FOLDER lies a JSON file of its name with ``beats_s`` and, where count 1 is known, ``downbeats_s``.
"""

from __future__ import annotations

import argparse
import json
import zlib
from functools import partial
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy import signal

from aquatempo.audio import load_mono
from aquatempo.training.data import Example, labelled, write_example
from aquatempo.training.mix import Played
from aquatempo.training.render import LENGTH_S
from aquatempo.training.synth import RATE_HZ

__all__ = ["example_of", "write_music"]

SPEEDS = (0.85, 1.15)
"""Slowest and fastest that a piece is played: real songs are few."""
_STEPS = 200  # of its speed a piece is played at, in one of the original

Times = npt.NDArray[np.float64]


def example_of(
    rng: np.random.Generator,
    style: str,
    samples: npt.NDArray[np.float32],
    beats: Times,
    bars: Times,
) -> Example:
    """Return a stretch of a piece, faster or slower, with its beats and, where known, bars [s].

    samples: mono at ``RATE_HZ``; no bars: count 1 is not known. What sounds before the first and
    after the last beat is left out, as nobody says whether there are beats in it.
    """
    steps = int(rng.integers(round(_STEPS * SPEEDS[0]), round(_STEPS * SPEEDS[1]) + 1))
    interval_s = float(np.median(np.diff(beats)))
    latest_s = max(0.0, float(beats[-1]) - LENGTH_S * steps / _STEPS)
    from_s = max(0.0, float(beats[0]) - 0.5 * interval_s)
    if rng.random() < 0.6 and latest_s > from_s:
        from_s = float(rng.uniform(from_s, latest_s))
    to_s = min(float(beats[-1]) + 0.6 * interval_s, from_s + LENGTH_S * steps / _STEPS)
    first = int(from_s * RATE_HZ)
    played = signal.resample_poly(samples[first : int(to_s * RATE_HZ)], _STEPS, steps)
    sound = np.zeros(int(LENGTH_S * RATE_HZ), np.float32)
    length = min(len(sound), len(played))
    sound[:length] = played[:length]
    beats_s, bars_s = ((times - first / RATE_HZ) * _STEPS / steps for times in (beats, bars))
    song = Played(style, sound, beats_s, bars_s, np.zeros(0))
    return labelled(song, -0.02, length / RATE_HZ - 0.02, (1, int(len(bars) > 0), 0))


def write_music(music: Path, folder: Path, versions: int, workers: int) -> None:
    """Write examples of all pieces in a folder, each at as many speeds as versions says."""
    folder.mkdir(parents=True, exist_ok=True)
    truths = sorted(music.glob("*.json"))
    with get_context("fork").Pool(workers) as pool:
        for _ in pool.imap_unordered(partial(_write, folder=folder, versions=versions), truths):
            pass


def _write(truth: Path, folder: Path, versions: int) -> None:
    """Write the examples of one piece."""
    told = json.loads(truth.read_text(encoding="utf-8"))
    audio = next(path for path in sorted(truth.parent.glob(f"{truth.stem}.*")) if path != truth)
    samples = load_mono(audio, RATE_HZ).samples
    beats, bars = (np.array(told.get(key) or [], float) for key in ("beats_s", "downbeats_s"))
    for version in range(versions):
        rng = np.random.default_rng([zlib.crc32(truth.stem.encode()), version])
        example = example_of(rng, truth.stem, samples, beats, bars)
        write_example(example, folder / f"{truth.stem}-{version}.npz")


def main() -> None:
    """Read the settings and write the examples."""
    parser = argparse.ArgumentParser(
        prog="python -m aquatempo.training.music", description="Make examples of music by others."
    )
    parser.add_argument("--music", type=Path, required=True, help="audio, with JSON beside it")
    parser.add_argument("--folder", type=Path, required=True, help="where examples are written")
    parser.add_argument("--versions", type=int, default=4, help="speeds of each piece")
    parser.add_argument("--workers", type=int, default=4)
    told = parser.parse_args()
    write_music(told.music, told.folder, told.versions, told.workers)


if __name__ == "__main__":
    main()
