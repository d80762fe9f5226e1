"""A grid that stands is not left for nothing.

Music made by machines keeps one grid to the millisecond. Where a straight line holds for most
of a minute or longer, beats that wander off it for a while are more likely misheard than
played, so leaving it has a price in nats, and without a straight line of their own they need
clear evidence on every beat.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.lines import LinePiece, Observed, pieces_of, scatter

__all__ = ["SAME_PERIOD", "agree", "held", "score"]

STANDS_S = 40.0  # a straight piece of this length is a grid that stands
EXACT_S = 0.006  # and its beats scatter by less than this
LEAVE = 30.0  # nats that another straight line must be better by
BENT = 2.5  # nats a beat that beats without a line must be better by
STRAIGHT_BEATS = 32  # the shortest line that may take over
ENDING = 16  # beats at the end that may slow down
SAME_S, SAME_PERIOD = 0.02, 0.002  # how near the grids of two pieces of one grid are

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]


def held(observed: Observed, odds: Floats) -> NDArray[np.int64]:
    """Return beats [frames] in which a grid that stands runs on where leaving it does not pay.

    odds: log-odds at frame rate [nats]. observed: peaks near the decoded beats.
    """
    pieces = pieces_of(observed)
    times = observed.times_s
    anchor = max(pieces, key=lambda piece: piece.last - piece.first)
    if not _stands(anchor, observed):
        return np.asarray(np.round(times * FRAME_RATE_HZ), dtype=np.int64)
    for first, last in _away(pieces, anchor):
        own = times[first:last]
        open_end = last == len(times)
        if open_end and last - first <= ENDING:
            continue
        start_s = times[first - 1] if first else own[0] - anchor.period_s
        stop_s = own[-1] + anchor.period_s if open_end else times[last]
        grid = _grid_between(anchor, start_s, stop_s)
        gain = float(score(own, odds).sum() - score(grid, odds).sum())
        inside = [piece for piece in pieces if first <= piece.first and piece.last <= last]
        price = LEAVE if _straight(inside, observed) else max(LEAVE, BENT * (last - first))
        if gain < price:
            beyond = (times < own[0] - 1e-9) | (times > own[-1] + 1e-9)
            times = np.sort(np.concatenate([times[beyond], grid]))
            return held(_as_observed(times, observed), odds)
    return np.asarray(np.round(times * FRAME_RATE_HZ), dtype=np.int64)


def _as_observed(times: Doubles, observed: Observed) -> Observed:
    """Return beats at some times; those that were not observed weigh little."""
    weights = np.interp(times, observed.times_s, observed.weights)
    return Observed(times, weights)


def _stands(piece: LinePiece, observed: Observed) -> bool:
    """Tell whether a piece is long and exact."""
    index = np.arange(piece.first, piece.last, dtype=np.float64)
    weights = observed.weights[piece.first : piece.last]
    left = observed.times_s[piece.first : piece.last] - piece.at(index)
    long_enough = (piece.last - piece.first) * piece.period_s >= STANDS_S
    return bool(long_enough and scatter(left, weights) < EXACT_S)


def _straight(pieces: list[LinePiece], observed: Observed) -> bool:
    """Tell whether most of some pieces lies on lines of their own."""
    beats = sum(piece.last - piece.first for piece in pieces)
    good = 0
    for piece in pieces:
        index = np.arange(piece.first, piece.last, dtype=np.float64)
        left = observed.times_s[piece.first : piece.last] - piece.at(index)
        weights = observed.weights[piece.first : piece.last]
        exact = scatter(left, weights) < 2 * EXACT_S
        good += (piece.last - piece.first) * (piece.last - piece.first >= STRAIGHT_BEATS and exact)
    return beats > 0 and good >= 0.7 * beats


def _away(pieces: list[LinePiece], anchor: LinePiece) -> list[tuple[int, int]]:
    """Return first and last (exclusive) beat of the runs of pieces that are off a grid."""
    runs: list[tuple[int, int]] = []
    for piece in pieces:
        if piece is anchor or agree(anchor, piece):
            continue
        if runs and runs[-1][1] == piece.first:
            runs[-1] = (runs[-1][0], piece.last)
        else:
            runs.append((piece.first, piece.last))
    return runs


def agree(anchor: LinePiece, piece: LinePiece) -> bool:
    """Tell whether a piece lies on the grid of another.

    anchor: the other, longer one.
    """
    beats = (float(piece.at((piece.first + piece.last) / 2)) - anchor.start_s) / anchor.period_s
    beats -= ((piece.first + piece.last) % 2) / 2
    off_s = abs(beats - round(beats)) * anchor.period_s
    return off_s < SAME_S and abs(piece.period_s / anchor.period_s - 1) < SAME_PERIOD


def _grid_between(anchor: LinePiece, start_s: float, stop_s: float) -> Doubles:
    """Return the beats of a grid half a period or more after start_s, and as far before stop_s."""
    first = np.ceil((start_s - anchor.start_s) / anchor.period_s + 0.5)
    last = np.floor((stop_s - anchor.start_s) / anchor.period_s - 0.5)
    return anchor.at(np.arange(first, last + 1))


def score(times_s: Doubles, odds: Floats) -> Doubles:
    """Return the log-odds near some times: the best within a frame to each side.

    times_s: from the first frame on [s]; odds: at frame rate [nats].
    """
    frames = np.round(times_s * FRAME_RATE_HZ).astype(int)
    near = np.clip(frames[:, None] + np.arange(-1, 2), 0, len(odds) - 1)
    return np.asarray(odds[near].max(axis=1), dtype=np.float64)
