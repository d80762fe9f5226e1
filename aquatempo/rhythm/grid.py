"""From beats on frames to beats in time: exact grids where the music keeps one.

Three kinds of stretch are told apart by what is left over when a robust line or curve is
taken off: *steady* (one straight line from first to last), *drifting* (a smooth curve) and
*live* (neither: every beat keeps its own place).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.features import FRAME_RATE_HZ

__all__ = ["Observed", "Stretch", "observe", "stretches_of"]

REACH = 4  # frames to each side of a decoded beat in which its peak is looked for
SHORTEST = 16  # beats of the shortest stretch with a tempo of its own
STRAIGHT_S = 0.012  # a line may leave this much, averaged over a few bars
LIVE_S = 0.012  # scatter about a smooth curve above which beats keep their own places
SMOOTH_BEATS = 16
DRIFT_STEP = 0.015  # the most that the tempo of neighbouring pieces of one performance differs
JOIN_S = 0.04  # and the most that they miss each other by
EDGE_S = 0.03  # a beat may lie this much before the first sound
GRID_BONUS = 0.35  # nats a beat in favour of going on with an exact grid

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Observed:
    """Where each beat was heard [s], and how clearly (0 to 1)."""

    times_s: Doubles
    weights: Doubles


@dataclass(frozen=True, slots=True)
class Stretch:
    """Beats of one tempo regime.

    times_s [s]; tempo_bpm of the whole stretch; residual_s: scatter of what was heard about
    ``times_s`` [s]; kind: steady, drifting or live.
    """

    times_s: Doubles
    tempo_bpm: float
    residual_s: float
    kind: str


def observe(activation: Floats, frames: NDArray[np.int64], frame_rate_hz: float) -> Observed:
    """Return the sub-frame place of the peak near each decoded beat, and its height."""
    padded = np.pad(activation.astype(np.float64), REACH + 2)
    offsets = np.arange(-REACH, REACH + 1)
    around = padded[frames[:, None] + offsets + REACH + 2]
    distance = np.exp(-0.5 * (offsets / 3.0) ** 2)
    peak = frames + offsets[(around * distance).argmax(axis=1)]
    near = np.arange(-2, 3)
    heights = padded[np.clip(peak, 0, len(activation) - 1)[:, None] + near + REACH + 2]
    mass = heights.sum(axis=1)
    shift = np.where(mass > 1e-6, (heights * near).sum(axis=1) / np.maximum(mass, 1e-6), 0.0)
    return Observed((peak + shift) / frame_rate_hz, heights[:, 2])


def line_fit(index: Doubles, times: Doubles, weights: Doubles) -> tuple[float, float]:
    """Return start and period of the robust line times = start + period * index.

    Least squares, weighted again with Tukey's biweight until it settles.
    """
    keep = weights.copy() + 1e-9
    start, period = _least_squares(index, times, keep)
    for _ in range(12):
        left = times - (start + period * index)
        scale = max(_scatter(left, weights), 0.002)
        keep = (weights + 1e-9) * np.clip(1 - (left / (5 * scale)) ** 2, 0, None) ** 2
        if keep.sum() < 1e-6:
            break
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


def _scatter(left: Doubles, weights: Doubles) -> float:
    """Return a robust standard deviation: 1.48 times the weighted median of |left|."""
    order = np.argsort(np.abs(left))
    mass = np.cumsum(weights[order] + 1e-12)
    return float(1.4826 * np.abs(left)[order][np.searchsorted(mass, mass[-1] / 2)])


def smooth(values: Doubles, weights: Doubles, beats: int) -> Doubles:
    """Return the running weighted local line of values, Gaussian window of some beats."""
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


def stretches_of(
    observed: Observed, odds: Floats, activation: Floats, span_s: tuple[float, float]
) -> list[Stretch]:
    """Return the stretches of a track; their beats run through span_s [s] without a gap."""
    frames = _heal(observed, odds)
    observed = observe(activation, frames, FRAME_RATE_HZ)
    pieces = _pieces(observed)
    runs = [[pieces[0]]]
    for piece in pieces[1:]:
        if _continues(runs[-1][-1], piece):
            runs[-1].append(piece)
        else:
            runs.append([piece])
    found = [_stretch(run, observed) for run in runs]
    return _to_ends(found, span_s)


@dataclass(frozen=True, slots=True)
class _Piece:
    """Beats first to last (exclusive) on the line start + period * index [s]."""

    first: int
    last: int
    start_s: float
    period_s: float

    def at(self, index: Doubles | float) -> Doubles:
        """Return the time of a beat by its index [s]."""
        return np.asarray(self.start_s + self.period_s * np.asarray(index, dtype=np.float64))


def _pieces(observed: Observed) -> list[_Piece]:
    """Split the beats until a straight line explains each piece, or it is too short."""
    done: list[_Piece] = []
    todo = [(0, len(observed.times_s))]
    while todo:
        first, last = todo.pop()
        piece, left = _line(observed, first, last)
        if last - first >= 2 * SHORTEST and _bent(left, observed.weights[first:last]):
            cut = first + _best_cut(left, observed.weights[first:last])
            todo += [(cut, last), (first, cut)]
        else:
            done.append(piece)
    return _united(done, observed)


def _line(observed: Observed, first: int, last: int) -> tuple[_Piece, Doubles]:
    """Return the robust line through some beats, and what it leaves of each [s]."""
    index = np.arange(first, last, dtype=np.float64)
    times = observed.times_s[first:last]
    start, period = line_fit(index, times, observed.weights[first:last])
    return _Piece(first, last, start, period), times - (start + period * index)


def _bent(left: Doubles, weights: Doubles) -> bool:
    return bool(np.abs(smooth(np.clip(left, -0.5, 0.5), weights, 4)).max() > STRAIGHT_S)


def _united(pieces: list[_Piece], observed: Observed) -> list[_Piece]:
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


def _heal(observed: Observed, odds: Floats) -> NDArray[np.int64]:
    """Return beats [frames] in which the longest straight pieces have run on.

    Where the decoder lost the beat or flipped its phase for a while, going on with the
    grid of a neighbouring piece scores nearly as well, or better; at a real change of
    tempo it scores far worse. Each piece runs on to where the difference is in its favour.
    """
    pieces = _pieces(observed)
    times = observed.times_s
    fixed = np.zeros(len(times), bool)
    for piece in sorted(pieces, key=lambda p: p.first - p.last):
        inside = (times > piece.at(piece.first - 0.5)) & (times < piece.at(piece.last - 0.5))
        if not inside.any() or fixed[inside].any():
            continue
        fixed |= inside
        for way in (1, -1):
            times, fixed = _run_on(piece, way, times, fixed, odds)
    return np.round(times * FRAME_RATE_HZ).astype(np.int64)


def _run_on(
    piece: _Piece, way: int, times: Doubles, fixed: NDArray[np.bool_], odds: Floats
) -> tuple[Doubles, NDArray[np.bool_]]:
    """Replace beats after (way 1) or before (way -1) a piece by its own grid while that pays."""
    edge = piece.last - 1 if way == 1 else piece.first
    edge_s = float(piece.at(edge + 0.5 * way))
    beyond = (times - edge_s) * way > 0
    stops = times[beyond & fixed]
    end_s = (len(odds) - 1) / FRAME_RATE_HZ if way == 1 else 0.0
    if len(stops):
        end_s = float(stops.min() if way == 1 else stops.max())
    steps = int(abs(end_s - edge_s) / piece.period_s + 0.5)
    if steps < 1:
        return times, fixed
    grid = piece.at(edge + way * np.arange(1.0, steps + 1))
    rivals = np.sort(times[beyond & ((end_s - times) * way > 0)] * way) * way
    gain = np.cumsum(_score(grid, odds) + GRID_BONUS)
    loss = np.concatenate([[0.0], np.cumsum(_score(rivals, odds))])
    passed = np.searchsorted(rivals * way, (grid + 0.5 * way * piece.period_s) * way)
    favour = gain - loss[passed]
    best = int(favour.argmax())
    if favour[best] <= 0:
        return times, fixed
    reached_s = grid[best] + 0.5 * way * piece.period_s
    gone = beyond & ((reached_s - times) * way > 0)
    merged = np.concatenate([times[~gone], grid[: best + 1]])
    held = np.concatenate([fixed[~gone], np.ones(best + 1, bool)])
    order = np.argsort(merged, kind="stable")
    return merged[order], held[order]


def _score(times_s: Doubles, odds: Floats) -> Doubles:
    """Return the log-odds near some times: the best within a frame to each side."""
    frames = np.round(times_s * FRAME_RATE_HZ).astype(int)
    near = np.clip(frames[:, None] + np.arange(-1, 2), 0, len(odds) - 1)
    return np.asarray(odds[near].max(axis=1), dtype=np.float64)


def _continues(before: _Piece, after: _Piece) -> bool:
    """Tell whether two pieces are one performance whose tempo moves slowly."""
    change = abs(after.period_s / before.period_s - 1)
    gap = abs(float(after.at(after.first) - before.at(after.first)))
    return change < DRIFT_STEP and gap < JOIN_S


def _stretch(run: list[_Piece], observed: Observed) -> Stretch:
    """Return the beats of a run of pieces that follow each other without a break."""
    first, last = run[0].first, run[-1].last
    times, weights = observed.times_s[first:last], observed.weights[first:last]
    if len(run) == 1:
        placed = run[0].at(np.arange(first, last, dtype=np.float64))
        return Stretch(placed, 60 / run[0].period_s, _scatter(times - placed, weights), "steady")
    placed = smooth(times, weights, SMOOTH_BEATS // 2)
    scatter = _scatter(times - placed, weights)
    kind = "live" if scatter > LIVE_S else "drifting"
    if kind == "live":
        placed = smooth(times, weights, 1)
    return Stretch(placed, 60 / float(np.median(np.diff(placed))), scatter, kind)


def _to_ends(found: list[Stretch], span_s: tuple[float, float]) -> list[Stretch]:
    """Carry the first and last stretch to the ends of the music, and cut what is outside."""
    first, last = found[0], found[-1]
    period = 60 / first.tempo_bpm
    missing = int((first.times_s[0] - span_s[0] + EDGE_S) / period)
    if missing > 0:
        lead = first.times_s[0] - period * np.arange(missing, 0, -1)
        found[0] = replace(first, times_s=np.concatenate([lead, first.times_s]))
    last = found[-1]
    period = 60 / last.tempo_bpm
    missing = int((span_s[1] - last.times_s[-1]) / period)
    if missing > 0:
        trail = last.times_s[-1] + period * np.arange(1, missing + 1)
        found[-1] = replace(last, times_s=np.concatenate([last.times_s, trail]))
    kept = []
    for stretch in found:
        inside = (stretch.times_s >= span_s[0] - EDGE_S) & (stretch.times_s < span_s[1])
        if inside.any():
            kept.append(replace(stretch, times_s=stretch.times_s[inside]))
    return kept
