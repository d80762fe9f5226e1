"""Robust lines and local lines through beats: compared with fits written out beat by beat."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from aquatempo.rhythm import lines
from aquatempo.rhythm.lines import Observed, line_fit, observe, pieces_of, scatter, smooth

Doubles = NDArray[np.float64]


def draws(seed: int, count: int) -> tuple[Doubles, Doubles]:
    """Return values and weights from 0.05 to 1 without any order."""
    random = np.random.default_rng(seed)
    return random.normal(0, 1, count), random.uniform(0.05, 1, count)


@pytest.mark.parametrize(("count", "beats"), [(1, 1), (2, 3), (9, 1), (40, 3), (60, 8)])
def test_smoothing_is_a_weighted_line_about_each_beat(count: int, beats: int) -> None:
    """Each value is numpy.polyfit's line within two deviations of a Gaussian, read off there."""
    values, weights = draws(count, count)
    found = smooth(values, weights, beats)
    assert len(found) == count
    for place in range(count if count > 1 else 0):
        near = np.arange(max(0, place - 2 * beats), min(count, place + 2 * beats + 1))
        mass = (weights[near] + 1e-6) * np.exp(-0.5 * ((near - place) / beats) ** 2)
        level = np.polyfit(near - place, values[near], 1, w=np.sqrt(mass))[1]
        assert found[place] == pytest.approx(level, abs=1e-6)


def test_a_lone_value_is_its_own_smooth_curve() -> None:
    """One beat bears no slope: what is drawn through it is the beat itself."""
    assert smooth(np.array([3.5]), np.array([0.7]), 4) == pytest.approx([3.5])
    far = np.zeros(30)
    far[11], weight = 2.0, np.zeros(30)
    weight[11] = 1.0
    assert smooth(far, weight, 2)[11] == pytest.approx(2.0, abs=1e-4)


@pytest.mark.parametrize("beats", [1, 4])
def test_a_straight_line_stays_as_it_is(beats: int) -> None:
    """A local line keeps any line, to its first and last beat and under any weights."""
    _, weights = draws(5, 50)
    line = np.asarray(2.0 - 0.3 * np.arange(50), np.float64)
    assert smooth(line, weights, beats) == pytest.approx(line, abs=1e-9)


def test_scatter_of_normal_values_is_their_deviation() -> None:
    """1.4826 times the median of absolute normal values is their standard deviation.

    The factor is 1 / 0.67449, the third quartile of the normal distribution.
    """
    values = 0.01 * np.random.default_rng(2).normal(size=40_001)
    assert scatter(values, np.ones(len(values))) == pytest.approx(0.01, rel=0.02)
    assert scatter(np.array([-3.0, 1.0, 2.0]), np.ones(3)) == pytest.approx(2 / 0.67449, rel=1e-4)


def test_a_weight_counts_as_so_many_values() -> None:
    """A whole weight is worth as many equal values; a value of weight 0 is worth none."""
    left = np.array([0.5, -0.1, 0.9, -0.3, 7.0])
    weights = np.array([2, 1, 3, 3, 0])
    repeated = np.repeat(left, weights)
    whole = scatter(left, weights.astype(float))
    assert whole == pytest.approx(scatter(repeated, np.ones(len(repeated))))
    assert whole == pytest.approx(0.5 / 0.67449, rel=1e-4)  # 1 3 3 3 5 5 9 9 9: the fifth


@pytest.mark.parametrize(("start", "period"), [(0.31, 0.46), (-12.0, 0.5), (900.0, 0.333)])
def test_an_exact_line_is_found_in_spite_of_strays(start: float, period: float) -> None:
    """Beats on a line give it to a microsecond though one in five lies anywhere."""
    random = np.random.default_rng(4)
    index = np.arange(100.0)
    times = start + period * index
    stray = random.permutation(100)[:20]
    times[stray] += random.uniform(0.02, 0.2, 20)
    found = line_fit(index, times, np.ones(100))
    assert found == pytest.approx((start, period), abs=1e-6)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_robust_line_settles_where_its_own_weights_agree(seed: int) -> None:
    """Under Tukey's biweight at 5 deviations the left-overs have no mean and no slope.

    Those are the equations of an M-estimator (P. J. Huber, Robust Statistics, 1981).
    """
    noise, weights = draws(seed, 80)
    index = np.arange(20.0, 100.0)
    times = 3 + 0.5 * index + 0.006 * noise
    start, period = line_fit(index, times, weights)
    left = times - start - period * index
    reach = 5 * max(scatter(left, weights), 0.002)
    mass = weights * np.maximum(1 - (left / reach) ** 2, 0) ** 2
    assert mass @ left / mass.sum() == pytest.approx(0, abs=2e-6)
    assert mass @ (left * (index - 60)) / (mass @ (index - 60) ** 2) == pytest.approx(0, abs=2e-7)


def test_beats_that_lie_too_close_count_for_2_ms_of_scatter() -> None:
    """One beat 5 ms off among exact ones keeps (1 - (5 / 10)^2)^2 = 0.5625 of its weight.

    Exact beats scatter by nothing; the least that is reckoned with is 2 ms, five of which are 10.
    """
    index = np.arange(-20.0, 21.0)
    times = 0.5 * index
    times[20] += 0.005
    start, _ = line_fit(index, times, np.ones(41))
    # mean of a lone stray of weight w among 40 others: w x (5 ms - mean) = 40 x mean
    assert start == pytest.approx(0.005 * 0.57 / 40.57, rel=0.02)


def test_one_beat_is_a_line_without_a_period() -> None:
    """A single beat gives its time, and no period; nothing heard gives the plain line."""
    assert line_fit(np.array([4.0]), np.array([2.5]), np.ones(1)) == (2.5, 0.0)
    index = np.arange(10.0)
    assert line_fit(index, 1 + 2 * index, np.zeros(10)) == pytest.approx((1.0, 2.0))


def bumps(places: list[tuple[float, float]], length: int = 60) -> NDArray[np.float32]:
    """Return an activation whose peaks, (place [frames], height), share two frames by place."""
    out = np.zeros(length, np.float32)
    for place, height in places:
        low = int(np.floor(place))
        out[low] += height * (1 - (place - low))
        if place > low:
            out[low + 1] += height * (place - low)
    return out


@pytest.mark.parametrize(
    ("place", "decoded"), [(20.0, 20), (20.25, 20), (20.75, 17), (20.0, 24), (20.0, 16), (1.0, 0),
                           (0.0, 0), (59.0, 59), (58.0, 59), (57.0, 59)],
)  # fmt: skip
def test_a_beat_is_heard_at_the_centre_of_its_peak(place: float, decoded: int) -> None:
    """The centre of a peak up to four frames away is the beat; its height is the weight."""
    heard = observe(bumps([(place, 0.8)]), np.array([decoded]), 50.0, 2.0)
    assert heard.times_s == pytest.approx([2.0 + place / 50.0], abs=1e-6)
    share = max(place % 1, 1 - place % 1)
    assert heard.weights == pytest.approx([0.8 * share], abs=1e-6)


def test_a_peak_out_of_reach_is_not_heard() -> None:
    """A peak five frames away is not near: the beat stays where it was decoded, without weight."""
    heard = observe(bumps([(25.0, 0.8)]), np.array([20, 30, 40]), 50.0)
    assert heard.weights == pytest.approx([0.0, 0.0, 0.0])
    assert heard.times_s * 50 == pytest.approx([20, 30, 40], abs=1e-6)


def test_of_two_peaks_the_nearer_one_wins_unless_far_weaker() -> None:
    """A peak 4 frames off counts exp(-(4/3)^2/2) = 0.41 of its height, one frame off 0.95."""
    near = observe(bumps([(21.0, 0.4), (16.0, 0.9)]), np.array([20]), 50.0)
    far = observe(bumps([(21.0, 0.4), (16.0, 0.95)]), np.array([20]), 50.0)
    assert near.times_s * 50 == pytest.approx([21.0])  # 0.38 against 0.37
    assert far.times_s * 50 == pytest.approx([16.0])  # 0.38 against 0.39


def tempi(*spans: tuple[int, float], weight: float = 1.0) -> Observed:
    """Return beats heard exactly: (beats, period [s]) one after the other."""
    steps = np.concatenate([np.full(count, period) for count, period in spans])
    times = np.concatenate([[0.3], 0.3 + np.cumsum(steps)[:-1]])
    return Observed(times, np.full(len(times), weight))


@pytest.mark.parametrize("counts", [(100, 100), (40, 90), (20, 120), (64, 33)])
def test_two_tempi_are_cut_on_the_beat_where_they_change(counts: tuple[int, int]) -> None:
    """Exact beats of two tempi give their two lines, the border a beat away at most."""
    pieces = pieces_of(tempi((counts[0], 0.5), (counts[1], 0.46)))
    assert [piece.period_s for piece in pieces] == pytest.approx([0.5, 0.46], abs=1e-6)
    assert pieces[0].first == 0
    assert pieces[0].last == pieces[1].first == pytest.approx(counts[0], abs=1)
    assert pieces[1].last == sum(counts)
    assert pieces[1].at(counts[0] + 1) == pytest.approx(0.3 + counts[0] * 0.5 + 0.46)


def test_pieces_cover_all_beats_once_and_in_order() -> None:
    """Four tempi are four lines whose borders lie where the tempo changes."""
    pieces = pieces_of(tempi((80, 0.5), (70, 0.46), (64, 0.52), (50, 0.41)))
    assert [piece.first for piece in pieces] == pytest.approx([0, 80, 150, 214], abs=1)
    assert [piece.first for piece in pieces[1:]] == [piece.last for piece in pieces[:-1]]
    assert [piece.period_s for piece in pieces] == pytest.approx([0.5, 0.46, 0.52, 0.41])


def test_what_one_line_explains_is_one_piece() -> None:
    """A steady song is one line; so is one too short for two, and one with a lone late beat."""
    assert len(pieces_of(tempi((300, 0.47)))) == 1
    assert len(pieces_of(tempi((15, 0.5), (16, 0.4)))) == 1  # 31 beats: less than 2 x 16
    assert len(pieces_of(tempi((16, 0.5), (16, 0.4)))) == 2
    late = tempi((100, 0.5))
    late.times_s[50] += 0.05
    assert len(pieces_of(late)) == 1


def test_beats_hardly_heard_bend_no_line() -> None:
    """A tempo that only weights of 1 % of a clear beat speak for is not believed."""
    assert len(pieces_of(tempi((60, 0.5), (60, 0.49), weight=0.002))) == 1
    assert len(pieces_of(tempi((60, 0.5), (60, 0.49), weight=0.2))) == 2


@pytest.mark.parametrize(("bend_s", "bent"), [(0.008, False), (0.0115, False), (0.0125, True)])
def test_a_line_may_leave_12_ms_over_a_few_beats(bend_s: float, bent: bool) -> None:
    """What is left may lie 12 ms off for long, either way, and no more."""
    for sign in (1, -1):
        left = np.full(40, sign * bend_s)
        assert lines._bent(left, np.ones(40)) is bent
        assert lines._bent(left, np.full(40, 0.2)) is bent  # clear from 0.2 on
        assert lines._bent(left * 4, np.full(40, 0.05)) is bent  # a quarter as clear: x 4


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_the_cut_is_where_two_fitted_lines_leave_least(seed: int) -> None:
    """Of all cuts 16 beats from both ends, numpy.polyfit leaves the least squares at that one."""
    noise, weights = draws(seed, 64)
    at = 16 + 8 * seed
    left = 0.002 * noise + 0.01 * np.maximum(np.arange(64.0) - at, 0)

    def cost(part: slice) -> float:
        index, w = np.arange(64.0)[part], weights[part] + 1e-3
        fit = np.polyval(np.polyfit(index, left[part], 1, w=np.sqrt(w)), index)
        return float(w @ (left[part] - fit) ** 2)

    costs = {cut: cost(slice(0, cut)) + cost(slice(cut, 64)) for cut in range(16, 49)}
    assert lines._best_cut(left, weights) == min(costs, key=lambda cut: costs[cut])


def test_a_shared_border_lies_where_lines_take_over_from_each_other() -> None:
    """Of all borders 8 beats from both ends, the one that leaves the least misses is taken.

    Misses are summed beat by beat here, none above a tenth of a second.
    """
    heard = tempi((50, 0.5), (50, 0.49))
    heard.times_s[:] += 0.01 * np.random.default_rng(6).normal(size=100)
    before, after = (lines._line(heard, *span)[0] for span in ((0, 34), (62, 100)))
    misses = {}
    for cut in range(8, 92):
        sides = [(before, range(8, cut)), (after, range(cut, 92))]
        misses[cut] = sum(
            min(abs(heard.times_s[beat] - float(line.at(beat))), 0.1)
            for line, beats in sides for beat in beats
        )  # fmt: skip
    found = lines._shared(before, after, heard)
    assert found[0].last == found[1].first == min(misses, key=lambda cut: misses[cut])
    assert (found[0].first, found[1].last) == (0, 100)
