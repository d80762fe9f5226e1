"""Set breaks: recorded drum loops, played over and over at several speeds; nothing else sounds."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import soundfile as sf

from ..devset import Times
from ..layout import CONTENT
from ..second.rows import PLAIN, save_track

LENGTH_S = 90.0
SAMPLES = CONTENT / "usr/share/sonic-pi/samples"
TABLE = Path(__file__).with_name("breaks.toml")


def make() -> None:
    """Build all tracks: beats follow from the loop's length and its counts."""
    table = tomllib.loads(TABLE.read_text(encoding="utf-8"))
    licence = table["packages"]["sonic-pi-samples"]["licence"]
    for name, row in table["loops"].items():
        loop, rate = sf.read(SAMPLES / f"{name}.flac", always_2d=True)
        for speed in row["speeds"]:
            samples, beats = over_and_over(loop, rate, speed, row["counts"])
            told = {
                **PLAIN,
                "name": f"{name}_{round(100 * speed)}",
                "package": "sonic-pi-samples",
                "licence": licence,
                "bars": row["bars"],
                "tags": ["break"],
            }
            span = (0.0, LENGTH_S - 0.05)
            save_track("breaks", told, samples, rate, (beats, beats[::4]), span)


def over_and_over(loop: Times, rate: int, speed: float, counts: int) -> tuple[Times, Times]:
    """Return a loop played again and again at a share of its speed, and its counts [s]."""
    size = round(len(loop) / speed)
    places = np.arange(size) * len(loop) / size
    turn = np.column_stack([np.interp(places, np.arange(len(loop)), one) for one in loop.T])
    samples = np.tile(turn, (int(LENGTH_S * rate / size) + 1, 1))[: int(LENGTH_S * rate)]
    return samples, np.arange(0, LENGTH_S, size / rate / counts)
