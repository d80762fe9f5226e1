"""Small computing steps of hearing, each against a slow computation of its own or by hand."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from aquatempo.rhythm import grid, one_level
from aquatempo.rhythm.beats import BeatPath, decode, log_odds, period_grid
from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.grid import Stretch
from aquatempo.rhythm.hold import agree, score
from aquatempo.rhythm.joins import break_of, novelty, unit
from aquatempo.rhythm.lines import LinePiece
from aquatempo.rhythm.meeting import where_lines_meet

Doubles = NDArray[np.float64]


def test_log_odds_are_clipped_at_3_percent() -> None:
    """The log-odds of p are log(p / (1 - p)) between 3 and 97 percent, and no more beyond."""
    odds = log_odds(np.array([0.0, 0.03, 0.2, 0.9, 0.97, 1.0], np.float32))
    edge = np.log(0.97 / 0.03)
    assert odds == pytest.approx([-edge, -edge, np.log(0.25), np.log(9), edge, edge], abs=1e-5)


@pytest.mark.parametrize(("low", "high"), [(55.0, 215.0), (100.0, 101.0), (60.0, 120.0)])
def test_periods_run_evenly_from_the_fastest_to_the_slowest(low: float, high: float) -> None:
    """60 x frame rate / tempo at both ends, steps of 1.5 % at most, three periods at least."""
    periods = period_grid(low, high, 50.0).astype(float)
    assert (periods[0], periods[-1]) == pytest.approx((3000 / high, 3000 / low))
    steps = np.diff(np.log(periods))
    assert steps == pytest.approx(np.full(len(steps), steps[0]), abs=1e-5)
    assert 2 <= len(steps) < max(3, np.log(high / low) / 0.015 + 1)
    assert steps[0] <= 0.015 + 1e-6


def best_by_search(odds: Doubles, periods: Doubles, change_cost: float) -> float:
    """Return the best score of any path of beats, by trying what may follow each beat.

    A beat lasts its period rounded, or a frame more or less, at a cost of half the squared
    difference; up to three steps of the grid change the period, at a cost each.
    """
    count, lengths = len(odds), np.round(periods).astype(int)
    best = np.full((count, len(periods)), -np.inf)
    for frame, state in itertools.product(range(count), range(len(periods))):
        options = [0.0] if frame < lengths[state] else []
        for deviation, source in itertools.product((-1, 0, 1), range(len(periods))):
            last = frame - lengths[state] - deviation
            if last >= 0 and abs(source - state) <= 3:
                off = lengths[state] + deviation - periods[state]
                options.append(best[last, source] - change_cost * abs(source - state) - off**2 / 2)
        best[frame, state] = max(options, default=-np.inf) + odds[frame]
    ends = [best[count - length :, state].max() for state, length in enumerate(lengths)]
    return float(max(ends))


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
@pytest.mark.parametrize("change_cost", [0.3, 2.0])
def test_the_path_of_beats_is_the_best_of_all(seed: int, change_cost: float) -> None:
    """On random log-odds the decoder's score is that of a search of every path, and its own."""
    odds = np.random.default_rng(seed).normal(-0.5, 1.5, 70).astype(np.float32)
    periods = np.array([7.2, 8.1, 9.4, 10.3, 11.0], np.float32)
    path = decode(odds, periods, change_cost)
    assert path.score == pytest.approx(
        best_by_search(odds.astype(float), periods.astype(float), change_cost), abs=1e-3
    )
    states = [int(np.abs(periods - period).argmin()) for period in path.periods]
    steps, own = np.diff(path.frames), path.periods[1:]
    total = float(odds[path.frames].sum() - ((steps - own) ** 2).sum() / 2)
    total -= change_cost * float(np.abs(np.diff(states)).sum())
    assert path.score == pytest.approx(total, abs=1e-3)
    assert path.frames[0] < round(float(path.periods[0]))
    assert path.frames[-1] >= 70 - round(float(path.periods[-1]))


def rows(seed: int, count: int) -> Doubles:
    """Return random rows of length 1, shape (beats, 3)."""
    drawn = np.random.default_rng(seed).normal(size=(count, 3))
    return np.asarray(drawn / np.linalg.norm(drawn, axis=1, keepdims=True))


def test_rows_of_length_1() -> None:
    """3 and 4 have length 5; a row of nothing stays nothing."""
    assert unit(np.array([[3.0, 4.0], [0.0, 0.0]])) == pytest.approx(
        np.array([[0.6, 0.8], [0, 0]]), abs=1e-6
    )


@pytest.mark.parametrize(("count", "loop"), [(60, 8), (50, 16), (24, 8)])
def test_a_break_is_less_repetition_after_than_before(count: int, loop: int) -> None:
    """The mean cosine with the row a loop earlier, over a loop before less a loop after.

    Where not all of that can be heard it is the median of where it can.
    """
    made = rows(count, count)
    expected = {}
    for at in range(2 * loop, count - loop + 1):
        before = [made[i] @ made[i - loop] for i in range(at - loop, at)]
        after = [made[i] @ made[i - loop] for i in range(at, at + loop)]
        expected[at] = np.mean(before) - np.mean(after)
    usual = np.median([expected[at] for at in range(count) if at in expected])
    assert break_of(made, loop) == pytest.approx([expected.get(i, usual) for i in range(count)])


def test_too_short_for_a_loop_tells_no_break() -> None:
    """Twenty beats hold no loop of 16 before and after: nothing is told, and nothing fails."""
    assert break_of(rows(1, 20), 16) == pytest.approx(np.zeros(20))
    assert break_of(rows(1, 5), 16) == pytest.approx(np.zeros(5))
    assert novelty(rows(1, 20)) == pytest.approx(np.zeros(20))


def test_what_was_never_heard_is_new() -> None:
    """1 less the mean, over passages 0, 4 .. 28 beats on, of the best of the 64 beats before."""
    count = 150
    made = rows(3, count)
    cosines = made @ made.T
    alike = np.full((count, 93), -1.0)  # of the 16 beats from start with those so many earlier
    for start in range(count - 15):
        for lag in range(16, min(start, 92) + 1):
            alike[start, lag] = (
                np.trace(cosines[start : start + 16, start - lag : start - lag + 16]) / 16
            )
    expected = {
        at: 1 - np.mean([alike[at + on, 16 + on : 65 + on].max() for on in range(0, 32, 4)])
        for at in range(16, count - 28 - 16 + 1)
    }
    usual = np.median(list(expected.values()))
    assert novelty(made) == pytest.approx([expected.get(i, usual) for i in range(count)])


@pytest.mark.parametrize(
    ("first", "last", "start_s", "period_s", "same"),
    [
        (8, 24, 0.0, 0.5, True),
        (8, 25, 0.0, 0.5, True),
        (8, 24, 0.019, 0.5, True),
        (8, 24, 0.021, 0.5, False),
        (8, 24, -0.019, 0.5, True),
        (8, 25, -0.021, 0.5, False),
        (8, 24, 0.25, 0.5, False),
        (8, 24, 1.5, 0.5, True),
        (0, 0, 0.0, 0.5009, True),
        (0, 0, 0.0, 0.5011, False),
        (0, 0, 0.0, 0.4989, False),
    ],
)
def test_one_grid_within_20_ms_and_2_in_1000(
    first: int, last: int, start_s: float, period_s: float, same: bool
) -> None:
    """A piece lies on a grid of 0.5 s whichever beats it has, off it when more than 20 ms away."""
    anchor = LinePiece(100, 300, 10.0, 0.5)
    assert agree(anchor, LinePiece(first, last, 10.0 + start_s, period_s)) is same


def test_odds_near_a_time_are_the_best_within_a_frame() -> None:
    """The nearest frame, the one before and the one after; beyond the ends, the last one."""
    odds = np.array([0, 1, 5, 2, -1, -2, -3, 4], np.float32)
    times_s = np.array([0.0, 1.0, 3.6, 5.0, 6.4, 9.0]) / FRAME_RATE_HZ
    assert score(times_s, odds).tolist() == [1, 5, 2, -1, 4, 4]


def test_a_median_of_five_and_passages_between_jumps() -> None:
    """A lone odd period starts no passage, a jump of more than 12 % does, brief ones join."""
    values = np.array([1, 9, 2, 3, 4, 5], np.float32)
    # the median of edge, edge, 1, 9, 2 is 1; of 1, 1, 9, 2, 3 it is 2, and so on
    assert one_level._median_of_five(values).tolist() == [1, 2, 3, 4, 4, 5]
    lone = np.array([20.0] * 10 + [40.0] * 2 + [20.0] * 10, np.float32)
    assert one_level._passages(lone) == [(0, 22)]
    jumps = np.array([20.0] * 10 + [22.2] * 10 + [26.0] * 9, np.float32)
    assert one_level._passages(jumps) == [(0, 20), (20, 29)]
    brief = np.array([20.0] * 10 + [30.0] * 7 + [20.0] * 8, np.float32)
    assert one_level._passages(brief) == [(0, 25)]


@pytest.mark.parametrize(
    ("between", "parts"),
    [
        ([], [(0, 40), (40, 80)]),
        ([54.0, 48.0, 44.0, 40.0, 36.0, 33.0], [(0, 43), (43, 86)]),
        (np.linspace(60, 30, 300), [(0, 380)]),
    ],
)
def test_a_passage_begins_in_the_middle_of_a_slide(
    between: object, parts: list[tuple[int, int]]
) -> None:
    """A period may jump to half or slide there in a few beats; over 300 beats it is one song."""
    periods = np.concatenate([np.full(40, 60.0), np.asarray(between, float), np.full(40, 30.0)])
    assert one_level._passages(periods.astype(np.float32)) == parts


@pytest.mark.parametrize("whole", [False, True])
def test_a_slide_to_half_the_tempo_is_counted_anew_with_its_passage(whole: bool) -> None:
    """Beats that are off while the path slides from one level to the other come back as well."""
    true = 5 + 25 * np.arange(180)
    odds = np.full(int(true[-1]) + 10, -3.0, np.float32)
    odds[true] = 3.0
    slide = np.cumsum([46.0, 42.0, 37.0, 33.0, 29.0, 27.0])  # 214 frames, 8.6 beats
    opening = true[:60:2].tolist()
    down = (opening[-1] + slide / slide[-1] * 225).round().astype(int).tolist()
    middle = true[(true > down[-1]) & (true < (true[130] if whole else 10**6))].tolist()
    frames = np.array([*opening, *down, *middle, *(true[132::2].tolist() if whole else [])])
    path = BeatPath(frames, np.append(np.diff(frames), 25.0).astype(np.float32), 1.0)
    if whole:
        path.periods[-1] = 50.0
    assert one_level.at_one_level(path, odds).frames.tolist() == true.tolist()


@pytest.mark.parametrize(
    ("ratio", "brief", "plain"),
    [
        *[(ratio * near, brief, True) for ratio in (0.5, 2.0, 2 / 3, 1.5, 1 / 3, 3.0)
          for near in (0.972, 1.028) for brief in (True, False)],
        *[(ratio, True, True) for ratio in (0.75, 4 / 3)],
        *[(ratio, False, False) for ratio in (0.75, 4 / 3, 1.0, 0.515 * 1.01, 2.07)],
        (1.0, True, False), (1.07, True, False), (0.85, True, False),
    ],
)  # fmt: skip
def test_plain_ratios_are_counted_anew(ratio: float, brief: bool, plain: bool) -> None:
    """Half, double, thirds and 3:2 within 3 % are another level; 3:4 only in a brief passage."""
    assert one_level._plain_ratio(ratio, brief) is plain


@pytest.mark.parametrize("places", [range(0, 20), range(60, 80), range(30, 50)])
def test_a_passage_at_half_the_tempo_is_counted_as_the_rest(places: range) -> None:
    """Where every second beat of twenty is left out, all beats of an exact song come back."""
    period, count = 25, 80
    beats = 5 + period * np.arange(count)
    odds = np.full(int(beats[-1]) + 10, -3.0, np.float32)
    odds[beats] = 3.0
    inside = np.isin(np.arange(count), places)
    kept = ~inside | (np.arange(count) % 2 == 0)
    periods = np.where(inside, 50.0, 25.0)[kept].astype(np.float32)
    path = one_level.at_one_level(BeatPath(beats[kept], periods, 1.0), odds)
    assert path.frames.tolist() == beats.tolist()
    assert path.periods == pytest.approx(np.full(count, 25.0), rel=0.03)
    even = BeatPath(beats, np.full(count, 25.0, np.float32), 1.0)
    assert one_level.at_one_level(even, odds) is even


@pytest.mark.parametrize(
    ("lengths", "period_s", "gap_s", "goes_on"),
    [
        ((60, 60), 0.5 * 1.014, 0.0, True),
        ((60, 60), 0.5 * 1.016, 0.0, False),
        ((60, 60), 0.5 * 0.984, 0.0, False),
        ((60, 47), 0.5 * 1.049, 0.0, True),
        ((47, 60), 0.5 * 0.951, 0.0, True),
        ((48, 48), 0.5 * 1.02, 0.0, False),
        ((60, 47), 0.5 * 1.051, 0.0, False),
        ((60, 60), 0.5, 0.059, True),
        ((60, 60), 0.5, -0.061, False),
    ],
)
def test_pieces_of_one_performance(
    lengths: tuple[int, int], period_s: float, gap_s: float, goes_on: bool
) -> None:
    """Long pieces go on within 1.5 %, brief ones (less than 48 beats) within 5 %, and 60 ms."""
    first, second = lengths
    before = LinePiece(0, first, 1.0, 0.5)
    meet_s = 1.0 + 0.5 * first + gap_s
    after = LinePiece(first, first + second, meet_s - period_s * first, period_s)
    assert grid._continues(before, after) is goes_on


def steady(times_s: Any, tempo_bpm: float) -> Stretch:
    """Return a stretch of exact beats."""
    return Stretch(np.asarray(times_s, np.float64), tempo_bpm, 0.0, "steady")


def test_beats_are_carried_to_the_ends_of_the_music() -> None:
    """Beats reach from 30 ms before the first sound to 80 ms before the last, at their tempo."""
    heard = steady(10.0 + 0.5 * np.arange(20), 120.0)
    (found,) = grid._to_ends([heard], (2.02, 25.1))
    assert found.times_s == pytest.approx(np.arange(2.0, 25.01, 0.5))
    (found,) = grid._to_ends([heard], (2.04, 25.07))
    assert found.times_s == pytest.approx(np.arange(2.5, 24.6, 0.5))
    (found,) = grid._to_ends([heard], (10.6, 19.0))  # what lies outside goes
    assert found.times_s == pytest.approx(np.arange(11.0, 18.6, 0.5))
    late = steady(30.0 + 0.4 * np.arange(5), 150.0)
    kept = grid._to_ends([heard, late], (12.0, 40.0))
    assert kept[0].times_s == pytest.approx(np.arange(12.0, 19.6, 0.5))
    assert kept[1].times_s == pytest.approx(np.arange(30.0, 39.8, 0.4))


@pytest.mark.parametrize("right", ["before", "after"])
def test_a_jump_by_half_a_beat_is_undone(right: str) -> None:
    """The phase that is worth more holds for both sides of a jump; a real change stays."""
    before = steady(1 + 0.5 * np.arange(40), 120.0)
    after = steady(21.25 + 0.5 * np.arange(40), 120.0)
    shift = 0.0 if right == "before" else 0.25

    def worth(times_s: Doubles) -> float:
        return float(np.cos(2 * np.pi * (times_s - shift) / 0.5).sum())

    (found,) = grid._in_one_phase([before, after], worth)
    assert np.diff(found.times_s) == pytest.approx(np.full(len(found.times_s) - 1, 0.5))
    assert (found.times_s[0] - shift) % 0.5 == pytest.approx(0, abs=1e-6)
    assert found.times_s[0] == pytest.approx(1.0 - shift)
    assert found.times_s[-1] == pytest.approx(40.75, abs=0.251)
    assert found.tempo_bpm == pytest.approx(120.0)
    faster = steady(21.25 + 0.49 * np.arange(40), 60 / 0.49)
    assert len(grid._in_one_phase([before, faster], worth)) == 2
    later = steady(22.25 + 0.5 * np.arange(40), 120.0)
    assert len(grid._in_one_phase([before, later], worth)) == 2  # 2.5 beats apart: a pause


@pytest.mark.parametrize("change", [0.02, -0.02])
@pytest.mark.parametrize("late", [-2, 0, 10, 30])
def test_two_tempi_meet_on_the_beat_that_both_share(change: float, late: int) -> None:
    """A border up to 32 beats late moves to the shared beat, where both songs sound on."""
    old_period, new_period = 0.5, 0.5 / (1 + change)
    meet_s = 40.0
    old = meet_s + old_period * np.arange(-80, late)
    new = meet_s + new_period * np.arange(late, 100)
    strokes = np.full(int(100 * FRAME_RATE_HZ), 0.1, np.float32)
    for times_s in (old, meet_s + new_period * np.arange(0, 100)):
        strokes[np.round(times_s * FRAME_RATE_HZ).astype(int)] = 1.0
    pair = [
        steady(old, 60 / old_period), steady(new, 60 / new_period),
    ]  # fmt: skip
    before, after = where_lines_meet(pair, strokes)
    assert before.times_s == pytest.approx(meet_s + old_period * np.arange(-80, 0))
    assert after.times_s == pytest.approx(meet_s + new_period * np.arange(0, 100))
