"""When beats fall and how players stray from them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

__all__ = ["beat_times", "wander"]

Rng = np.random.Generator
Times = npt.NDArray[np.float64]


def beat_times(rng: Rng, tempo_bpm: float, beats: int, live: bool) -> Times:
    """Return beat times [s] with a lead-in of silence and, now and then, tempo that moves."""
    period = np.full(beats, 60 / tempo_bpm)
    kind = rng.random()
    position = np.linspace(0, 1, beats)
    if kind < 0.12:  # a slow drift to one side
        period *= 1 + rng.uniform(-0.04, 0.04) * position
    elif kind < 0.17:  # another tempo from some phrase on
        period[32 * int(rng.integers(1, max(2, beats // 32))) :] *= rng.uniform(0.9, 1.1)
    elif live:  # a drummer: slow wander and little shifts from beat to beat
        knots = rng.normal(0, rng.uniform(0.002, 0.02), 2 + beats // 16)
        period *= 1 + np.interp(position, np.linspace(0, 1, len(knots)), knots)
        period *= 1 + rng.normal(0, 0.004, beats)
    lead_in = rng.uniform(0, 0.5) if rng.random() < 0.7 else rng.uniform(0.5, 4.0)
    return lead_in + np.concatenate([[0.0], np.cumsum(period)])


def wander(rng: Rng, times_s: Times, spread_s: float, seconds: float = 1.5) -> Times:
    """Return by how much a player is late [s] at each time: slowly rushing and dragging."""
    if not len(times_s) or spread_s == 0:
        return np.zeros(len(times_s))
    knots = np.arange(min(0.0, times_s.min()), times_s.max() + 2 * seconds, seconds)
    return np.interp(times_s, knots, rng.normal(0, spread_s, len(knots)))
