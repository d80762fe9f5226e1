"""Robust straight lines and smooth curves through beats that were heard."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Observed", "LinePiece", "line_fit", "observe", "pieces_of", "scatter", "smooth"]

REACH = 4  # frames to each side of a decoded beat in which its peak is looked for
SHORTEST = 16  # beats of the shortest stretch with a tempo of its own
FAR_S = 0.1  # a miss by more than this counts no more
CLEAR = 0.2  # mean weight of beats from which on their places can be relied on
STRAIGHT_S = 0.012  # a line may leave this much, averaged over a few beats

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Observed:
    """Where each beat was heard [s], and how clearly (0 to 1)."""

    times_s: Doubles
    weights: Doubles


@dataclass(frozen=True, slots=True)
class LinePiece:
    """Beats first to last (exclusive) on the line start + period * index [s]."""

    first: int
    last: int
    start_s: float
    period_s: float

    def at(self, index: Doubles | float) -> Doubles:
        """Return the time of a beat by its index [s]."""
        return np.asarray(self.start_s + self.period_s * np.asarray(index, dtype=np.float64))


def observe(
    activation: Floats, frames: NDArray[np.int64], frame_rate_hz: float, offset_s: float = 0.0
) -> Observed:
    """Return the sub-frame place of the peak near each decoded beat, and its height.

    offset_s: time of frame 0 [s]. activation: at frame rate (0 to 1); frames: decoded beats, shape
    (beats,); frame_rate_hz: of the activation [1/s].
    """
    padded = np.pad(activation.astype(np.float64), REACH + 2)
    offsets = np.arange(-REACH, REACH + 1)
    around = padded[frames[:, None] + offsets + REACH + 2] + 1e-9  # of nothing, the middle
    distance = np.exp(-0.5 * (offsets / 3.0) ** 2)
    peak = frames + offsets[(around * distance).argmax(axis=1)]
    near = np.arange(-2, 3)
    heights = padded[np.clip(peak, 0, len(activation) - 1)[:, None] + near + REACH + 2]
    shift = (heights * near).sum(axis=1) / np.maximum(heights.sum(axis=1), 1e-6)
    return Observed((peak + shift) / frame_rate_hz + offset_s, heights[:, 2])


def pieces_of(observed: Observed) -> list[LinePiece]:
    """Split the beats until a straight line explains each piece, or it is too short."""
    done: list[LinePiece] = []
    todo = [(0, len(observed.times_s))]
    while todo:
        first, last = todo.pop()
        piece, left = _line(observed, first, last)
        if last - first >= 2 * SHORTEST and _bent(left, observed.weights[first:last]):
            cut = first + _best_cut(left, observed.weights[first:last])
            todo += [(cut, last), (first, cut)]
        else:
            done.append(piece)
    return _united(_settled(done, observed), observed)


def _line(observed: Observed, first: int, last: int) -> tuple[LinePiece, Doubles]:
    """Return the robust line through some beats, and what it leaves of each [s]."""
    index = np.arange(first, last, dtype=np.float64)
    times = observed.times_s[first:last]
    start, period = line_fit(index, times, observed.weights[first:last])
    return LinePiece(first, last, start, period), times - (start + period * index)


def _bent(left: Doubles, weights: Doubles) -> bool:
    """Tell whether what a line leaves has a trend; faint beats count for little."""
    trend = np.abs(smooth(np.clip(left, -0.5, 0.5), weights, 4))
    support = np.clip(smooth(weights, np.ones(len(weights)), 4) / CLEAR, 0, 1)
    return bool((trend * support).max() > STRAIGHT_S)


def _settled(pieces: list[LinePiece], observed: Observed) -> list[LinePiece]:
    """Return pieces whose borders lie where the one line takes over from the other.

    A short piece that is bent itself may straddle a border: its neighbours share its beats.
    What would bend a line is left as it was.
    """
    out = list(pieces)
    place = 1
    while place < len(out) - 1:
        short = out[place].last - out[place].first < 2 * SHORTEST
        if short and not _straight(out[place], observed):
            shared = _shared(out[place - 1], out[place + 1], observed)
            if all(_straight(part, observed) for part in shared):
                out[place - 1 : place + 2] = shared
                continue
        place += 1
    for place in range(1, len(out)):
        shared = _shared(out[place - 1], out[place], observed)
        if all(_straight(part, observed) for part in shared):
            out[place - 1 : place + 1] = shared
    return out


def _straight(piece: LinePiece, observed: Observed) -> bool:
    _, left = _line(observed, piece.first, piece.last)
    return not _bent(left, observed.weights[piece.first : piece.last])


def _shared(before: LinePiece, after: LinePiece, observed: Observed) -> list[LinePiece]:
    """Return two pieces over the beats of both, cut where the lines of the two meet best."""
    first, last = before.first + SHORTEST // 2, after.last - SHORTEST // 2
    index = np.arange(first, last, dtype=np.float64)
    times, weights = observed.times_s[first:last], observed.weights[first:last]
    misses = [
        weights * np.minimum(np.abs(times - line.at(index)), FAR_S) for line in (before, after)
    ]
    totals = np.cumsum(misses[0]) - misses[0] + np.cumsum(misses[1][::-1])[::-1]
    cut = first + int(totals.argmin())
    return [_line(observed, before.first, cut)[0], _line(observed, cut, after.last)[0]]


def _united(pieces: list[LinePiece], observed: Observed) -> list[LinePiece]:
    """Join neighbours that one line explains after all: cuts are not always needed."""
    out = [pieces[0]]
    for piece in pieces[1:]:
        whole, left = _line(observed, out[-1].first, piece.last)
        if _bent(left, observed.weights[whole.first : whole.last]):
            out.append(piece)
        else:
            out[-1] = whole
    return out


def _best_cut(left: Doubles, weights: Doubles) -> int:
    """Return where two lines explain the left-overs best."""
    index = np.arange(len(left), dtype=np.float64)
    w = weights + 1e-3
    powers = ((0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (0, 2))
    sums = np.array([np.cumsum(w * index**a * left**b) for a, b in powers])

    def cost(sums: Doubles) -> Doubles:
        s0, s1, s2, t0, t1, u0 = sums
        spread = np.maximum(s2 - s1**2 / s0, 1e-9)
        return np.asarray(u0 - t0**2 / s0 - (t1 - s1 * t0 / s0) ** 2 / spread)

    cuts = np.arange(SHORTEST, len(left) - SHORTEST + 1)
    before = sums[:, cuts - 1]
    return int(cuts[np.argmin(cost(before) + cost(sums[:, -1:] - before))])


def line_fit(index: Doubles, times: Doubles, weights: Doubles) -> tuple[float, float]:
    """Return start and period of the robust line times = start + period * index.

    Least squares, weighted again with Tukey's biweight until it settles. index: number of each
    beat; times: of it; weights: of it, from 0 on.
    """
    keep = weights.copy() + 1e-9
    start, period = _least_squares(index, times, keep)
    for _ in range(12):
        left = times - (start + period * index)
        scale = max(scatter(left, weights), 0.002)
        keep = (weights + 1e-9) * np.clip(1 - (left / (5 * scale)) ** 2, 0, None) ** 2
        previous = period
        start, period = _least_squares(index, times, keep)
        if abs(period - previous) < 1e-9:
            break
    return start, period


def _least_squares(index: Doubles, times: Doubles, weights: Doubles) -> tuple[float, float]:
    total = weights.sum()
    middle, mean = (weights * index).sum() / total, (weights * times).sum() / total
    spread = (weights * (index - middle) ** 2).sum()
    if spread <= 0:
        return mean, 0.0
    period = (weights * (index - middle) * (times - mean)).sum() / spread
    return float(mean - period * middle), float(period)


def scatter(left: Doubles, weights: Doubles) -> float:
    """Return a robust standard deviation: 1.48 times the weighted median of |left|.

    left: what a fit leaves; weights: of each, from 0 on.
    """
    order = np.argsort(np.abs(left))
    mass = np.cumsum(weights[order] + 1e-12)
    return float(1.4826 * np.abs(left)[order][np.searchsorted(mass, mass[-1] / 2)])


def smooth(values: Doubles, weights: Doubles, beats: int) -> Doubles:
    """Return the running weighted local line of values, Gaussian window of some beats.

    weights: of each value, from 0 on.
    """
    half = 2 * beats
    offsets = np.arange(-half, half + 1)
    window = np.exp(-0.5 * (offsets / beats) ** 2)

    def spread(series: Doubles, power: int) -> Doubles:
        kernel = (window * offsets**power)[::-1]
        return np.convolve(series, kernel, mode="full")[half : half + len(series)]

    w = weights + 1e-6
    s0, s1, s2 = spread(w, 0), spread(w, 1), spread(w, 2)
    t0, t1 = spread(w * values, 0), spread(w * values, 1)
    bottom = s0 * s2 - s1**2
    return np.where(bottom > 1e-9, (s2 * t0 - s1 * t1) / np.maximum(bottom, 1e-9), t0 / s0)
