"""From beats on frames to beats in time: exact grids where the music keeps one.

Three kinds of stretch are told apart by what is left over when a robust line or curve is
taken off: *steady* (one straight line from first to last), *drifting* (a smooth curve) and
*live* (neither: every beat keeps its own place).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.hold import SAME_PERIOD, agree, held, score
from aquatempo.rhythm.lines import LinePiece, Observed, observe, pieces_of, scatter, smooth
from aquatempo.rhythm.meeting import where_lines_meet

__all__ = ["Stretch", "stretches_of"]

LIVE_S = 0.009  # scatter about a smooth curve above which beats keep their own places
SMOOTH_BEATS = 3  # standard deviation of the window that draws a drifting tempo
EVEN_BEATS = 8  # and of the one from which its tempo is told
DRIFT_STEP = 0.015  # the most that the tempo of neighbouring pieces of one performance differs
BENT_STEP = 0.05  # the same where one of them is brief, as players bend a tempo
HELD_BEATS = 48  # a piece shorter than this is brief
JOIN_S = 0.06  # and the most that they miss each other by
LONGEST_GAP = 64  # beats between two pieces of one grid that are taken to lie on it too
HALF_OFF = 0.08  # of a beat: how near to a half a jump must be to count as one
LAST_S = 0.08  # a beat needs at least this much sound after it
EDGE_S = 0.03  # a beat may lie this much before the first sound
GRID_BONUS = 0.35  # nats a beat in favour of going on with an exact grid

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]
Worth = Callable[[Doubles], float]


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


def stretches_of(
    observed: Observed,
    odds: Floats,
    activation: Floats,
    span_s: tuple[float, float],
    worth: Worth | None = None,
    strokes: Floats | None = None,
) -> list[Stretch]:
    """Return the stretches of a track; their beats run through span_s [s] without a gap.

    worth: how well beats at some times fit the music [nats]; where there is a jump by half a beat,
    it says which phase is right. By default the log-odds alone say so. observed: peaks near the
    decoded beats; odds [nats] and activation (0 to 1): at frame rate. strokes: how fast the
    sound rises, at frame rate; with it, borders of two tempi move to where these meet.
    """
    observed = observe(activation, _bridged(observed), FRAME_RATE_HZ)
    observed = observe(activation, _heal(observed, odds), FRAME_RATE_HZ)
    observed = observe(activation, held(observed, odds), FRAME_RATE_HZ)
    pieces = pieces_of(observed)
    runs = [[pieces[0]]]
    for piece in pieces[1:]:
        if _continues(runs[-1][-1], piece):
            runs[-1].append(piece)
        else:
            runs.append([piece])
    found = _in_one_phase(
        [_stretch(run, observed) for run in runs],
        worth or (lambda times_s: float(score(times_s, odds).sum())),
    )
    if strokes is not None:
        found = where_lines_meet(found, strokes)
    return _to_ends(found, span_s)


def _in_one_phase(found: list[Stretch], worth: Worth) -> list[Stretch]:
    """Undo jumps by half a beat between neighbours of one tempo: no music does that.

    The phase that scores better over both holds for both.
    """
    out = [found[0]]
    for stretch in found[1:]:
        before, period = out[-1], 60 / out[-1].tempo_bpm
        gap = float(stretch.times_s[0] - before.times_s[-1]) / period
        same = abs(stretch.tempo_bpm / before.tempo_bpm - 1) < SAME_PERIOD
        if not same or abs(gap % 1.0 - 0.5) > HALF_OFF or gap > 2:
            out.append(stretch)
            continue
        later = np.append(before.times_s, before.times_s[-1] + period) - period / 2
        sooner = np.append(stretch.times_s, stretch.times_s[-1] + period) - period / 2
        stays = (before.times_s, sooner)
        moves = (later, stretch.times_s)
        pair = stays if worth(np.concatenate(stays)) >= worth(np.concatenate(moves)) else moves
        times = np.concatenate(pair)
        times = times[np.concatenate([[True], np.diff(times) > 0.4 * period])]
        observed = Observed(times, np.ones(len(times)))
        whole = pieces_of(observed)
        tempo_bpm = 60 / whole[0].period_s
        out[-1] = replace(before, times_s=times, tempo_bpm=tempo_bpm)
    return out


def _bridged(observed: Observed) -> NDArray[np.int64]:
    """Return beats [frames] with what lies between pieces of one and the same grid replaced.

    Music that comes back to its old grid to the millisecond never left it.
    """
    pieces = pieces_of(observed)
    anchor = max(pieces, key=lambda piece: piece.last - piece.first)
    alike = [piece for piece in pieces if agree(anchor, piece)]
    times = observed.times_s
    for before, after in pairwise(alike):
        if 0 < after.first - before.last <= LONGEST_GAP:
            left_s, right_s = float(before.at(before.last - 1)), float(after.at(after.first))
            steps = round((right_s - left_s) / anchor.period_s)
            between = np.linspace(left_s, right_s, steps + 1)[1:-1]
            edge = 0.25 * anchor.period_s
            outside = (times < left_s + edge) | (times > right_s - edge)
            times = np.sort(np.concatenate([times[outside], between]))
    return np.asarray(np.round(times * FRAME_RATE_HZ), dtype=np.int64)


def _heal(observed: Observed, odds: Floats) -> NDArray[np.int64]:
    """Return beats [frames] in which the longest straight pieces have run on.

    Where the decoder lost the beat or flipped its phase for a while, going on with the
    grid of a neighbouring piece scores nearly as well, or better; at a real change of
    tempo it scores far worse. Each piece runs on to where the difference is in its favour.
    """
    pieces = pieces_of(observed)
    times = observed.times_s
    fixed = np.zeros(len(times), bool)
    for piece in sorted(pieces, key=lambda p: p.first - p.last):
        inside = (times > piece.at(piece.first - 0.5)) & (times < piece.at(piece.last - 0.5))
        if not inside.any() or fixed[inside].any():
            continue
        fixed |= inside
        for way in (1, -1):
            times, fixed = _run_on(piece, way, times, fixed, odds)
    return np.asarray(np.round(times * FRAME_RATE_HZ), dtype=np.int64)


def _run_on(
    piece: LinePiece, way: int, times: Doubles, fixed: NDArray[np.bool_], odds: Floats
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
    gain = np.cumsum(score(grid, odds) + GRID_BONUS)
    loss = np.concatenate([[0.0], np.cumsum(score(rivals, odds))])
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


def _continues(before: LinePiece, after: LinePiece) -> bool:
    """Tell whether two pieces are one performance whose tempo moves.

    Between long straight pieces only a small change is; players bend the tempo by more,
    but do not then hold it.
    """
    change = abs(after.period_s / before.period_s - 1)
    gap = abs(float(after.at(after.first) - before.at(after.first)))
    brief = min(after.last - after.first, before.last - before.first) < HELD_BEATS
    return change < (BENT_STEP if brief else DRIFT_STEP) and gap < JOIN_S


def _stretch(run: list[LinePiece], observed: Observed) -> Stretch:
    """Return the beats of a run of pieces that follow each other without a break."""
    first, last = run[0].first, run[-1].last
    times, weights = observed.times_s[first:last], observed.weights[first:last]
    if len(run) == 1:
        placed = run[0].at(np.arange(first, last, dtype=np.float64))
        return Stretch(placed, 60 / run[0].period_s, scatter(times - placed, weights), "steady")
    placed = smooth(times, weights, SMOOTH_BEATS)
    left_s = scatter(times - placed, weights)
    kind = "live" if left_s > LIVE_S else "drifting"
    if kind == "live":
        placed = smooth(times, weights, 1)
    even = smooth(times, weights, EVEN_BEATS)
    return Stretch(placed, 60 / float(np.median(np.diff(even))), left_s, kind)


def _to_ends(found: list[Stretch], span_s: tuple[float, float]) -> list[Stretch]:
    """Carry the first and last stretch to the ends of the music, and cut what is outside."""
    first = found[0]
    period = 60 / first.tempo_bpm
    missing = int((first.times_s[0] - span_s[0] + EDGE_S) / period)
    lead = first.times_s[0] - period * np.arange(missing, 0, -1)
    found[0] = replace(first, times_s=np.concatenate([lead, first.times_s]))
    last = found[-1]
    period = 60 / last.tempo_bpm
    missing = int((span_s[1] - LAST_S - last.times_s[-1]) / period)
    trail = last.times_s[-1] + period * np.arange(1, missing + 1)
    found[-1] = replace(last, times_s=np.concatenate([last.times_s, trail]))
    kept = []
    for stretch in found:
        inside = (stretch.times_s >= span_s[0] - EDGE_S) & (stretch.times_s < span_s[1] - LAST_S)
        if inside.any():
            kept.append(replace(stretch, times_s=stretch.times_s[inside]))
    return kept
