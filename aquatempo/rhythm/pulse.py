"""How curves lie on a pulse: on its beats, between them, on every second one."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["best_near", "by_two", "lean", "struck_share", "unevenness"]

STRUCK = 2.0  # of the mean rise of all bands: above it something is struck

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]


def best_near(values: Floats, places: Doubles) -> Doubles:
    """Return the largest value within two frames of each place.

    values: a curve at frame rate; places [frames].
    """
    near = np.round(places).astype(np.int64)[:, None] + np.arange(-2, 3)
    heard = values[np.clip(near, 0, len(values) - 1)].max(axis=1)
    return np.asarray(heard, dtype=np.float64)


def unevenness(values: Doubles, cycle: int) -> float:
    """Return how far the strongest place in a cycle of beats stands above the others.

    values: one a beat; cycle: how many beats it has.
    """
    usable = len(values) // cycle * cycle
    if usable == 0:
        return 0.0
    means = np.sort(values[:usable].reshape(-1, cycle).mean(axis=0))
    return float(means[-1] - means[:-1].mean())


def lean(curve: Floats, beats: Doubles, middles: Doubles) -> float:
    """Return by how much a curve is higher on the beats than between them, -1 to 1.

    curve: at frame rate; beats, middles: on the beats and between them [frames].
    """
    on, between = (float(best_near(curve, places).mean()) for places in (beats, middles))
    return (on - between) / (on + between + 1e-6)


def struck_share(strokes: Floats, beats: Doubles) -> float:
    """Return on how many of some beats something is struck, 0 to 1.

    A count on which nothing is ever struck is no beat, however loud the others are. strokes: how
    fast the sound rises at each frame, of mean 1; beats [frames].
    """
    return float((best_near(strokes, beats) > STRUCK).mean())


def by_two(curve: Floats, beats: Doubles) -> float:
    """Return by how much every second beat is stronger than the others, 0 to 1.

    curve: at frame rate; beats [frames].
    """
    on = best_near(curve, beats)
    even, odd = float(on[::2].mean()), float(on[1::2].mean()) if len(on) > 1 else 0.0
    return abs(even - odd) / (even + odd + 1e-6)
