"""Grids that run on, come back or stand: small arrays of log-odds with known beats."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from aquatempo.rhythm import grid, hold
from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.grid import Stretch, stretches_of
from aquatempo.rhythm.lines import LinePiece, Observed, pieces_of, scatter, smooth

Doubles = NDArray[np.float64]
Floats = NDArray[np.float32]
GRID_S = 1.0 + 0.5 * np.arange(200, dtype=np.float64)


def odds_at(*heard: tuple[Doubles, float], length_s: float = 110.0, floor: float = 0.0) -> Floats:
    """Return log-odds of a floor, and of some heights at some times [s]."""
    out = np.full(int(length_s * FRAME_RATE_HZ), floor, np.float32)
    for times_s, height in heard:
        out[np.round(times_s * FRAME_RATE_HZ).astype(int)] = height
    return out


def clear(times_s: Doubles) -> Observed:
    """Return beats that were heard clearly."""
    return Observed(np.asarray(times_s, np.float64), np.ones(len(times_s)))


def frames_s(frames: NDArray[np.int64]) -> Doubles:
    """Return frames as times [s]."""
    return np.asarray(frames / FRAME_RATE_HZ, np.float64)


def best_near(odds: Floats, time_s: float) -> float:
    """Return the best log-odds within a frame of a time [s]."""
    frame = round(time_s * FRAME_RATE_HZ)
    return float(max(odds[min(max(frame + step, 0), len(odds) - 1)] for step in (-1, 0, 1)))


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("stop", [True, False])
def test_a_piece_runs_on_as_far_as_that_pays(seed: int, way: int, stop: bool) -> None:
    """Every length is tried: log-odds of its beats and 0.35 each, less those of what they replace.

    It ends at beats of another piece, or at the ends of the track.
    """
    random = np.random.default_rng(seed)
    piece = LinePiece(20, 30, 0.0, 0.5)  # 10 to 14.5 s
    others = np.sort(np.concatenate([random.uniform(0, 9.7, 18), random.uniform(14.8, 24, 18)]))
    times = np.sort(np.concatenate([others, piece.at(np.arange(20.0, 30))]))
    fixed = (times >= 10) & (times <= 14.5)
    if stop:
        fixed |= (times < 3) | (times > 21)
    odds = random.normal(-0.2, 1.0, int(25 * FRAME_RATE_HZ)).astype(np.float32)
    edge_s = 14.75 if way == 1 else 9.75
    beyond = [t for t in times[fixed] if (t - edge_s) * way > 0]
    end_s = min(beyond, key=lambda t: abs(t - edge_s)) if beyond else 0.0
    if way == 1 and not beyond:
        end_s = (len(odds) - 1) / FRAME_RATE_HZ
    steps, best, kept = int(abs(end_s - edge_s) / 0.5 + 0.5), 0.0, 0
    for count in range(1, steps + 1):
        run = [edge_s + way * (0.5 * number - 0.25) for number in range(1, count + 1)]
        rivals = [
            t for t in times
            if 0 < (t - edge_s) * way < 0.5 * count and (end_s - t) * way > 0
        ]  # fmt: skip
        favour = sum(best_near(odds, t) + 0.35 for t in run) - sum(
            best_near(odds, t) for t in rivals
        )
        if favour > best:
            best, kept = favour, count
    found, held = grid._run_on(piece, way, times, fixed, odds)
    added = [edge_s + way * (0.5 * number - 0.25) for number in range(1, kept + 1)]
    left = [t for t in times if not 0 < (t - edge_s) * way < 0.5 * kept]
    assert found == pytest.approx(sorted([*left, *added]))
    known = [any(abs(t - one) < 1e-9 for one in [*times[fixed], *added]) for t in found]
    assert held.tolist() == known


def test_a_piece_at_the_end_of_the_track_does_not_run_on() -> None:
    """Where less than half a beat is left there is no further beat."""
    piece, times = LinePiece(0, 20, 1.0, 0.5), GRID_S[:20]
    odds = odds_at(length_s=10.7)
    same, fixed = grid._run_on(piece, 1, times, np.ones(20, bool), odds)
    assert same is times
    assert fixed.all()


@pytest.mark.parametrize("lost", [range(60, 75), range(0, 12), range(120, 130)])
def test_beats_that_flipped_for_a_while_come_back(lost: range) -> None:
    """Beats half a beat off while the true ones are heard as well are put back on the grid."""
    times = GRID_S[:130].copy()
    times[lost] += 0.25
    odds = odds_at((GRID_S[:130], 2.0), length_s=66.2, floor=-3.0)
    odds[np.round(times * FRAME_RATE_HZ).astype(int)] = 2.0
    healed = frames_s(grid._heal(clear(times), odds))
    assert healed == pytest.approx(GRID_S[: len(healed)], abs=0.006)
    assert len(healed) in (130, 131)


def test_another_tempo_is_not_run_over() -> None:
    """Where the old beat is heard no more and a new one is, each keeps its beats."""
    new = 41.0 + 0.43 * np.arange(90)
    times = np.concatenate([GRID_S[:80], new])
    odds = odds_at((times, 2.0), length_s=80.0, floor=-3.0)
    assert frames_s(grid._heal(clear(times), odds)) == pytest.approx(times, abs=0.006)


@pytest.mark.parametrize(("gap", "bridged"), [(20, True), (64, True), (65, False)])
def test_a_grid_that_comes_back_never_left(gap: int, bridged: bool) -> None:
    """Up to 64 other beats between two pieces of one grid are replaced by the grid's."""
    away = 31.0 + 30.0 / gap * np.arange(gap)  # as many beats in 30 s: at another tempo
    times = np.concatenate([GRID_S[:60], away + 0.03, GRID_S[120:200]])
    heard = clear(times)
    found = frames_s(grid._bridged(heard))
    if bridged:
        assert found == pytest.approx(GRID_S, abs=0.006)
    else:
        assert found == pytest.approx(times, abs=0.006)


def test_what_comes_back_elsewhere_did_leave() -> None:
    """After a passage the beat goes on a third of a beat off the old grid: all stays as heard."""
    times = np.concatenate([GRID_S[:60], 31.0 + 0.6 * np.arange(40), GRID_S[120:200] + 0.17])
    assert frames_s(grid._bridged(clear(times))) == pytest.approx(times, abs=0.006)


def test_one_piece_is_steady_and_lies_on_its_line() -> None:
    """Its beats are the line's, its tempo 60 / period, what is left the scatter about it."""
    times = GRID_S[:40] + 0.004 * np.where(np.arange(40) % 3 == 0, 1, -0.5)
    piece = LinePiece(5, 25, 1.0, 0.5)
    found = grid._stretch([piece], clear(times))
    assert found.kind == "steady"
    assert found.times_s == pytest.approx(GRID_S[5:25])
    assert found.tempo_bpm == pytest.approx(120.0)
    assert found.residual_s == pytest.approx(1.4826 * 0.002)  # two of three are 2 ms off


@pytest.mark.parametrize(("wander_s", "kind"), [(0.004, "drifting"), (0.02, "live")])
def test_several_pieces_are_a_curve(wander_s: float, kind: str) -> None:
    """Drifting beats lie on a curve over three beats, live ones over one; tempo over eight.

    Live is what scatters by more than 9 ms about the curve.
    """
    periods = np.linspace(0.5, 0.52, 90)
    times = 1 + np.cumsum(periods) + np.random.default_rng(3).normal(0, wander_s, 90)
    run = [LinePiece(0, 40, 1.0, 0.5), LinePiece(40, 80, 1.0, 0.51)]
    found = grid._stretch(run, clear(times))
    curve = smooth(times[:80], np.ones(80), 3)
    left_s = scatter(times[:80] - curve, np.ones(80))
    assert (left_s > 0.009) == (kind == "live")
    assert found.kind == kind
    assert found.residual_s == pytest.approx(left_s)
    drawn = smooth(times[:80], np.ones(80), 1 if kind == "live" else 3)
    assert found.times_s == pytest.approx(drawn)
    even = np.diff(smooth(times[:80], np.ones(80), 8))
    assert found.tempo_bpm == pytest.approx(60 / np.median(even))


@pytest.mark.parametrize(
    ("gap", "period_s", "joined"),
    [
        (0.5, 0.5, True), (1.5, 0.5, True), (0.57, 0.5, True), (0.43, 0.5, True),
        (0.59, 0.5, False), (0.41, 0.5, False), (1.0, 0.5, False), (2.5, 0.5, False),
        (1.5, 0.5009, True), (1.5, 0.5011, False), (1.5, 0.4991, True), (1.5, 0.4989, False),
    ],
)  # fmt: skip
def test_what_is_a_jump_by_half_a_beat(gap: float, period_s: float, joined: bool) -> None:
    """Within 8 % of a half, up to two beats, between tempi within 2 in 1000."""
    before = Stretch(GRID_S[:40], 120.0, 0.0, "steady")
    start_s = GRID_S[39] + 0.5 * gap
    after = Stretch(start_s + period_s * np.arange(40), 60 / period_s, 0.0, "steady")
    found = grid._in_one_phase([before, after], lambda times_s: -float(times_s[0]))
    assert len(found) == (1 if joined else 2)
    if joined:
        steps = np.diff(found[0].times_s)
        assert steps == pytest.approx(np.full(len(steps), 0.5), abs=0.08 * 0.5)


def test_stretches_run_through_the_music_on_the_meeting_beat() -> None:
    """Two songs of 120 and 123 bpm that share a beat meet on it, and reach to both ends."""
    new_s = 60 / 123
    old, new = GRID_S[:80], 41.0 + new_s * np.arange(80)
    times = np.concatenate([old, new])
    odds = odds_at((times, 3.0), length_s=81.0, floor=-3.0)
    activation = odds_at((times, 0.9), length_s=81.0)
    strokes = activation / activation.mean()
    found = stretches_of(clear(times), odds, activation, (0.2, 80.9), strokes=strokes)
    assert [stretch.kind for stretch in found] == ["steady", "steady"]
    assert [s.tempo_bpm for s in found] == pytest.approx([120, 123], abs=0.05)
    assert found[0].times_s[0] == pytest.approx(0.5, abs=0.01)
    assert found[1].times_s[0] == pytest.approx(41.0, abs=0.51)
    assert 80.9 - found[1].times_s[-1] < new_s + 0.08


def away_song(away: Doubles, ending: bool = False) -> tuple[Doubles, Doubles]:
    """Return a grid of 100 beats, other beats in the next 20 s, and the grid again; and the grid.

    ending: whether the song ends with the other beats.
    """
    times = np.concatenate([GRID_S[:100], away, GRID_S[:0] if ending else GRID_S[140:180]])
    return times, GRID_S[:180]


@pytest.mark.parametrize(("gain", "left"), [(29.9, False), (30.1, True)])
@pytest.mark.parametrize("ending", [True, False])
def test_another_line_must_be_better_by_30_nats(gain: float, left: bool, ending: bool) -> None:
    """40 beats on a line of their own are kept from 30 nats on, else the old grid runs on."""
    away = np.asarray(51.04 + 0.505 * np.arange(40), np.float64)
    if not ending:
        away = away[:39]
    times, _ = away_song(away, ending)
    odds = odds_at((away[20:21], gain))
    found = frames_s(hold.held(clear(times), odds))
    if left:
        assert found == pytest.approx(times, abs=0.006)
    else:
        assert found == pytest.approx(GRID_S[: len(found)], abs=0.006)
        assert len(found) == (180 if not ending else pytest.approx(140, abs=1))


@pytest.mark.parametrize(("more", "left"), [(-0.1, False), (0.1, True)])
def test_beats_without_a_line_must_be_better_by_2_5_nats_each(more: float, left: bool) -> None:
    """30 beats in disorder need 2.5 nats each to stay."""
    random = np.random.default_rng(5)
    away = 51.2 + 0.66 * np.arange(30) + random.uniform(-0.15, 0.15, 30)
    times, _ = away_song(away)
    pieces = pieces_of(clear(times))
    anchor = max(pieces, key=lambda piece: piece.last - piece.first)
    ((first, last),) = hold._away(pieces, anchor)
    assert 28 <= last - first <= 33
    odds = odds_at((away[15:16], 2.5 * (last - first) + more))
    found = frames_s(hold.held(clear(times), odds))
    expected = times if left else GRID_S[:180]
    assert found == pytest.approx(expected, abs=0.006)


@pytest.mark.parametrize(("beats", "left"), [(16, True), (17, False)])
def test_the_last_16_beats_may_slow_down(beats: int, left: bool) -> None:
    """An ending that slows down keeps its beats; one beat more does not without evidence."""
    observed = clear(np.concatenate([GRID_S[:100], 50.6 + 0.53 * np.arange(1, beats + 1)]))
    pieces = [LinePiece(0, 100, 1.0, 0.5), LinePiece(100, 100 + beats, 50.6 - 52.47, 0.53)]
    patched = pytest.MonkeyPatch()
    patched.setattr(hold, "pieces_of", lambda heard: pieces if heard is observed else [pieces[0]])
    found = frames_s(hold.held(observed, odds_at()))
    patched.undo()
    if left:
        assert found == pytest.approx(observed.times_s, abs=0.006)
    else:
        assert found == pytest.approx(GRID_S[: len(found)], abs=0.006)
        assert len(found) == pytest.approx(100 + 17 * 0.53 / 0.5, abs=1)


@pytest.mark.parametrize(
    ("beats", "period_s", "wander_s", "stands"),
    [
        (80, 0.5, 0.0, True), (79, 0.5, 0.0, False), (80, 0.49, 0.0, False),
        (100, 0.5, 0.0040, True), (100, 0.5, 0.0041, False),
    ],
)  # fmt: skip
def test_which_grid_stands(beats: int, period_s: float, wander_s: float, stands: bool) -> None:
    """40 s or longer, and a scatter below 6 ms: 1.4826 x 4.05 ms where beats lie to both sides."""
    piece = LinePiece(10, 10 + beats, 1.0, period_s)
    times = 1.0 + period_s * np.arange(10 + beats) + wander_s * (-1.0) ** np.arange(10 + beats)
    assert hold._stands(piece, clear(times)) is stands


@pytest.mark.parametrize(
    ("lengths", "wander_s", "straight"),
    [
        ((32,), 0.0, True), ((31,), 0.0, False), ((40, 17), 0.0, True), ((40, 18), 0.0, False),
        ((32, 32), 0.0080, True), ((32, 32), 0.0082, False), ((), 0.0, False),
        ((10, 35), 0.0, True), ((10, 10, 33), 0.0, False),
    ],
)  # fmt: skip
def test_what_is_mostly_on_lines(lengths: tuple[int, ...], wander_s: float, straight: bool) -> None:
    """Seven tenths of the beats on pieces of 32 beats or more that scatter by less than 12 ms."""
    ends = np.cumsum([0, *lengths]).tolist()
    pieces = [LinePiece(a, b, 1.0, 0.5) for a, b in pairwise(ends)]
    times = GRID_S + wander_s * (-1.0) ** np.arange(200)
    assert hold._straight(pieces, clear(times)) is straight


def test_runs_of_pieces_off_a_grid() -> None:
    """Neighbours off the grid are one run; pieces on it, and the grid itself, are none."""
    anchor = LinePiece(40, 140, 1.0, 0.5)
    off = [
        LinePiece(0, 20, 1.2, 0.5), LinePiece(20, 40, 1.0, 0.51), anchor,
        LinePiece(140, 160, 1.1, 0.5), LinePiece(160, 170, 1.0, 0.5), LinePiece(170, 190, 0.9, 0.5),
        LinePiece(190, 200, 0.8, 0.5),
    ]  # fmt: skip
    assert hold._away(off, anchor) == [(0, 40), (140, 160), (170, 200)]


@pytest.mark.parametrize(
    ("start_s", "stop_s", "expected"),
    [
        (2.0, 5.0, [2.5, 3, 3.5, 4, 4.5]),
        (2.2, 4.8, [2.5, 3, 3.5, 4, 4.5]),
        (2.26, 4.7, [3, 3.5, 4]),
        (2.24, 4.74, [2.5, 3, 3.5, 4]),
        (-0.4, 1.0, [0, 0.5]),
        (2.0, 2.6, []),
    ],
)
def test_beats_of_a_grid_between_two_times(
    start_s: float, stop_s: float, expected: list[float]
) -> None:
    """At least half a beat after the one and before the other."""
    anchor = LinePiece(50, 150, 1.0, 0.5)
    assert hold._grid_between(anchor, start_s, stop_s) == pytest.approx(expected)


@pytest.mark.parametrize("first_s", [50.8, 51.3, 51.34])
@pytest.mark.parametrize("last_s", [70.2, 70.27, 70.6])
def test_a_grid_that_runs_on_has_no_hole(first_s: float, last_s: float) -> None:
    """However near the beats that it replaces lie to its own, none of the grid's is left out."""
    away = np.linspace(first_s, last_s, 38)
    times, whole = away_song(away)
    assert frames_s(hold.held(clear(times), odds_at())) == pytest.approx(whole, abs=0.006)


def test_beats_put_in_weigh_as_their_neighbours() -> None:
    """Weights run straight between those of beats that were heard."""
    heard = Observed(np.array([1.0, 2.0, 3.0]), np.array([0.2, 0.8, 0.4]))
    made = hold._as_observed(np.array([1.0, 1.5, 2.75, 4.0]), heard)
    assert made.weights == pytest.approx([0.2, 0.5, 0.5, 0.4])
    assert made.times_s.tolist() == [1.0, 1.5, 2.75, 4.0]


@pytest.mark.parametrize(
    ("off_s", "same"), [(0.0, True), (0.019, True), (0.021, False), (0.25, False)]
)
def test_a_grid_may_begin_anywhere(off_s: float, same: bool) -> None:
    """Pieces on a grid that does not begin on a round time are on it, within 20 ms."""
    anchor = LinePiece(101, 300, 10.13, 0.5)
    for first, last in ((0, 16), (3, 16), (310, 331)):
        assert hold.agree(anchor, LinePiece(first, last, 10.13 + off_s, 0.5)) is same
