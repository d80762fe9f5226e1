"""Beats by the bar-pointer model in its semi-Markov form.

A state is (frame, period). Inside a beat it has no choice, so only moves from beat to
beat are searched. With independent frames, the likelihood of a path is, up to a
constant, the sum of the log-odds of the activation at its beats; a cost for a change of
period and for a beat off the period's own length completes the score. No period is shorter
than the shortest, so that many frames are solved at a time.

After the bar-pointer model of N. Whiteley, A. T. Cemgil and S. Godsill, "Bayesian
modelling of temporal structure in musical audio" (ISMIR 2006), and its beat-to-beat tempo
transitions after F. Krebs, S. Boeck and G. Widmer, "An efficient state-space model for
joint tempo and meter tracking" (ISMIR 2015); from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["BeatPath", "decode", "log_odds", "period_grid"]

PERIOD_STEP = 0.015  # relative spacing of the period grid
CHANGE_COST = 2.0  # nats a step of the period grid
STEPS = 3  # the most steps of the grid between two beats
DEVIATION_FRAMES = 1.0  # standard deviation of one beat's length about its period
CLIP = 0.03  # activations below this say no more than this

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class BeatPath:
    """Beats as frame numbers, the period of each [frames] and the score of the path [nats]."""

    frames: NDArray[np.int64]
    periods: Floats
    score: float


def log_odds(activation: Floats) -> Floats:
    """Return the log-odds of clipped activations [nats]."""
    clipped = np.clip(activation, CLIP, 1 - CLIP)
    return np.asarray(np.log(clipped / (1 - clipped)), dtype=np.float32)


def period_grid(low_bpm: float, high_bpm: float, frame_rate_hz: float) -> Floats:
    """Return periods [frames], evenly spaced in log, shortest first.

    low_bpm, high_bpm: ends of the grid [beats/min]; frame_rate_hz: of the frames [1/s].
    """
    shortest, longest = 60 * frame_rate_hz / high_bpm, 60 * frame_rate_hz / low_bpm
    count = max(3, int(np.ceil(np.log(longest / shortest) / PERIOD_STEP)) + 1)
    return np.geomspace(shortest, longest, count).astype(np.float32)


def decode(odds: Floats, periods: Floats, change_cost: float = CHANGE_COST) -> BeatPath:
    """Return the best path of beats through log-odds at frame rate.

    The path covers the whole input: its first beat lies within the first period and its last
    within the last one. periods: those that may be [frames]; change_cost: of another period from a
    beat to the next [nats per unit of log period].
    """
    count, width = len(odds), len(periods)
    lengths = np.round(periods).astype(int)
    history = int(lengths.max()) + 2
    block = int(lengths.min()) - 1
    back = np.empty((count, width), np.int8)
    reach = np.full((history + block, width), -np.inf, np.float32)  # best score after a tempo move
    moves = np.zeros((history + block, width), np.int8)
    tail = np.full((history, width), -np.inf, np.float32)
    sources, penalties = _sources(periods, history, block)
    for start in range(0, count, block):
        size = min(block, count - start)
        value = np.full((size, width), -np.inf, np.float32)
        code = np.zeros((size, width), np.int8)
        for deviation, (source, penalty) in enumerate(zip(sources, penalties, strict=True)):
            option = reach.take(source[:size]) - penalty
            better = option > value
            value = np.where(better, option, value)
            code = np.where(better, moves.take(source[:size]) * np.int8(3) + deviation, code)
        if start < history:  # a path may start within its first period
            fresh = ((start + np.arange(size))[:, None] < lengths) & (value < 0)
            value, code = np.where(fresh, 0, value), np.where(fresh, -1, code)
        value = (value + odds[start : start + size, None]).astype(np.float32)
        back[start : start + size] = code
        tail = np.concatenate([tail, value])[-history:]
        moved, step = _tempo_moves(value, change_cost)
        reach[: history - size] = reach[size:history].copy()
        moves[: history - size] = moves[size:history].copy()
        reach[history - size : history], moves[history - size : history] = moved, step
    return _trace(back, tail, lengths, periods)


def _sources(
    periods: Floats, history: int, block: int
) -> tuple[list[NDArray[np.int64]], list[Floats]]:
    """Return, for a beat a frame short, right and long, where it comes from and its penalty.

    Places are flat indices into ``history`` past frames by periods.
    """
    lengths = np.round(periods).astype(int)
    rows = history + np.arange(block)[:, None]
    sources, penalties = [], []
    for deviation in (-1, 0, 1):
        sources.append((rows - lengths - deviation) * len(periods) + np.arange(len(periods)))
        off = (lengths + deviation - periods) / DEVIATION_FRAMES
        penalties.append((off**2 / 2).astype(np.float32))
    return sources, penalties


def _tempo_moves(value: Floats, change_cost: float) -> tuple[Floats, NDArray[np.int8]]:
    """Return the best score reachable at each period by a step of the grid, and the step."""
    width = value.shape[1]
    best = value.copy()
    step = np.full(value.shape, STEPS, np.int8)
    for move in (-1, 1, -2, 2, -3, 3):
        if abs(move) >= width:
            continue
        target = slice(max(0, move), width + min(0, move))
        source = slice(max(0, -move), width + min(0, -move))
        candidate = value[:, source] - change_cost * abs(move)
        better = candidate > best[:, target]
        best[:, target] = np.where(better, candidate, best[:, target])
        step[:, target] = np.where(better, STEPS + move, step[:, target])
    return best, step


def _trace(
    back: NDArray[np.int8], tail: Floats, lengths: NDArray[np.int64], periods: Floats
) -> BeatPath:
    """Follow the best end back to its first beat."""
    count = len(back)
    ages = np.arange(len(tail))[::-1, None]
    ends = np.where((ages < lengths) & (ages < count), tail, -np.inf)
    row, column = np.unravel_index(int(ends.argmax()), ends.shape)
    score = float(ends[row, column])
    frame, state = count - 1 - int(ages[row, 0]), int(column)
    frames, states = [], []
    while frame >= 0:
        frames.append(frame)
        states.append(state)
        code = int(back[frame, state])
        if code < 0:
            break
        move, deviation = divmod(code, 3)
        frame -= int(lengths[state]) + deviation - 1
        state -= move - STEPS
    order = slice(None, None, -1)
    return BeatPath(np.array(frames[order]), periods[np.array(states[order])], score)
