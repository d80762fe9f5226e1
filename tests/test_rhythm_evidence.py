"""Evidence of count 1 beat by beat, written out or by hand (self-made values)."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from aquatempo.rhythm import evidence
from aquatempo.rhythm.evidence import (
    MIX,
    SONG,
    bar_inputs,
    bar_odds,
    beat_worth,
    bridge_odds,
    change,
    difference,
    end_odds,
    met,
    phrase_odds,
    restarts,
    score,
    start_inputs,
)
from aquatempo.rhythm.joins import join_signs, rows_of
from aquatempo.rhythm.perbeat import BeatCues
from aquatempo.rhythm.weights import weights_of

Doubles = NDArray[np.float64]


def cues(count: int, seed: int = 1, **given: Any) -> BeatCues:
    """Return cues without any order, some of them given."""
    random = np.random.default_rng(seed)
    made: dict[str, Any] = {
        "level": random.uniform(0, 1, count),
        "onset": random.normal(0, 1, (count, 10)),
        "busy": random.uniform(0, 1, (count, 10)),
        "timbre": random.uniform(0, 1, (count, 10)),
        "chroma": random.uniform(0, 1, (count, 12)),
        "bass": random.uniform(0, 1, (count, 24)),
        "beat": random.normal(0, 1, count),
        "downbeat": random.normal(0, 1, count),
        "phrase": random.normal(0, 1, count),
    }
    return BeatCues(**{**made, **given})


def before_after(rows: Doubles, place: int, beats: int) -> tuple[Doubles, Doubles]:
    """Return the means of up to so many rows before one, and of as many from it on."""
    after = rows[place : place + beats].mean(axis=0)
    return (rows[max(0, place - beats) : place].mean(axis=0) if place else after), after


def standard(values: Any) -> Doubles:
    """Return values in robust deviations above their median, cut at -2 and 6."""
    middle = np.median(values)
    spread = 1.4826 * np.median(abs(values - middle)) + 0.1 * np.std(values)
    return np.asarray([min(max((value - middle) / spread, -2), 6) for value in values])


@pytest.mark.parametrize("beats", [1, 2, 8, 32])
@pytest.mark.parametrize("count", [5, 40])
def test_change_is_by_the_angle_and_difference_by_the_distance(beats: int, count: int) -> None:
    """1 - cosine, and distance, of means before and from each beat on; the first has no before."""
    rows = np.random.default_rng(beats).uniform(0, 1, (count, 5))
    for place in range(count):
        before, after = before_after(rows, place, beats)
        cosine = before @ after / np.sqrt((before @ before) * (after @ after))
        assert change(rows, beats)[place] == pytest.approx(1 - cosine, abs=1e-9)
        expected = np.sqrt(((before - after) ** 2).sum())
        assert difference(rows, beats)[place] == pytest.approx(expected, abs=1e-9)


def test_change_to_or_from_nothing_is_none() -> None:
    """Rows 3 4, 4 3 change by 1 - 24 / 25; silence has no direction."""
    assert change(np.array([[3.0, 4.0], [4.0, 3.0], [0, 0], [0, 0], [1, 0]]), 1) == pytest.approx(
        [0, 0.04, 0, 0, 0]
    )
    assert difference(np.array([[3.0, 4.0], [0, 0], [0, 1]]), 1) == pytest.approx([0, 5, 1])


def test_scores_are_robust_deviations() -> None:
    """Of -2 .. 2 and an outlier of 50 the median is 0.5, the deviation 1.4826 x 1.5 + std / 10.

    What lies far out is cut at -2 and 6.
    """
    values = np.array([-2.0, -1, 0, 1, 2, 50])
    assert np.median(abs(values - 0.5)) == 1.5
    spread = 1.4826 * 1.5 + 0.1 * values.std()
    expected = (values - 0.5) / spread
    expected[-1] = 6
    assert score(values) == pytest.approx(expected)
    assert score(-values)[-1] == -2
    assert score(np.full(4, 3.0)).tolist() == [0, 0, 0, 0]


@pytest.mark.parametrize("joins", [[0], [9], [5, 6], [5, 9], []])
def test_joins_are_worth_more_and_their_neighbours_too(joins: list[int]) -> None:
    """A join and the beats beside it gain its worth, once."""
    odds = np.arange(10.0)
    near = [any(abs(beat - join) <= 1 for join in joins) for beat in range(10)]
    assert met(odds, joins, 3.0) == pytest.approx(odds + 3.0 * np.array(near))
    assert odds.tolist() == list(range(10))


def test_bar_inputs_are_what_a_beat_has_over_those_around_it() -> None:
    """Log-odds less their mean over four beats to each side; change of harmony over one and two."""
    made = cues(30)
    inputs = bar_inputs(made)
    for name, values in (("downbeat", made.downbeat), ("phrase", made.phrase)):
        around = [values[max(0, beat - 4) : beat + 5].mean() for beat in range(30)]
        assert inputs[name] == pytest.approx(values - around)
    for beats in (1, 2):
        expected = standard(change(made.chroma, beats))
        assert inputs[f"chroma {beats}"] == pytest.approx(expected)
    assert set(inputs) == {"downbeat", "phrase", "chroma 1", "chroma 2"}


def test_start_inputs_of_a_song() -> None:
    """Each by its words: peaks of the phrase, cymbals over 8 beats, fills of 2 over 16, changes.

    Fills are heard in the bands of a snare (3 to 6), cymbals in 8 and 9.
    """
    made, count = cues(60, 2), 60
    inputs = start_inputs(made)
    fill, cymbals = made.busy[:, 3:7].mean(axis=1), made.timbre[:, 8:10].mean(axis=1)

    def lead(values: Doubles, beats: int) -> Doubles:
        means = [before_after(values[:, None], beat, beats)[0][0] for beat in range(count)]
        return np.array(means)

    around = [made.phrase[max(0, beat - 8) : beat + 9].mean() for beat in range(count)]
    expected = {
        "phrase": made.phrase,
        "phrase peak": made.phrase - around,
        "cymbal level": standard(cymbals - lead(cymbals, 8)),
        "fill": standard(lead(fill, 2) - lead(fill, 16)),
        "timbre 2": standard(difference(made.timbre, 2)),
        "timbre 8": standard(difference(made.timbre, 8)),
        "key": standard(change(made.chroma, 32)),
        "low key": standard(change(made.bass, 32)),
        "tone": standard(difference(made.timbre, 32)),
    }
    assert set(inputs) == set(expected)
    for name, values in expected.items():
        assert inputs[name] == pytest.approx(values, abs=1e-6), name


def test_start_inputs_of_a_mix_listen_for_joins_too() -> None:
    """Signs of a join at each beat, standardised, and what the network makes of them."""
    made = cues(120, 3)
    inputs = start_inputs(made, MIX)
    assert set(start_inputs(made, SONG)) < set(inputs)
    for name, values in join_signs(made).items():
        assert inputs[name] == pytest.approx(standard(values), abs=1e-4)
    assert {"net phrase", "net bridge", "net join"} < set(inputs)


def test_odds_are_weighted_sums_of_inputs() -> None:
    """A constant and weight times input, by the names of the table."""
    made = cues(70, 4)
    inputs = bar_inputs(made)
    weights = dict(weights_of("bar"))
    total = weights.pop("constant") + sum(w * inputs[name] for name, w in weights.items())
    assert bar_odds(made) == pytest.approx(total)
    for kind in (SONG, MIX):
        known = {**start_inputs(made, MIX), "restart": np.zeros(70)}
        for table, found in (
            ("phrase", phrase_odds(made, known, (), kind)),
            ("bridge", bridge_odds(known, kind)),
        ):
            weights = dict(weights_of(f"{kind}{table}"))
            total = np.full(70, weights.pop("constant", 0.0))
            total += np.sum([w * known[name] for name, w in weights.items()], axis=0)
            assert found == pytest.approx(total)


def test_ends_are_heard_in_mixes_alone() -> None:
    """log(1 + exp(x)) of the sum of a join's odds in a mix; nothing in a song."""
    known = start_inputs(cues(70, 5), MIX)
    weights = dict(weights_of("mix end"))
    total = weights.pop("constant") + sum(w * known[name] for name, w in weights.items())
    assert end_odds(known, MIX) == pytest.approx(np.log(1 + np.exp(total)))
    assert end_odds(known, SONG).tolist() == [0.0] * 70


@pytest.mark.parametrize("starts", [(0, 32, 64, 96), (3, 50, 82, 127, 128, 140), (10, 60, 100)])
def test_restarts_are_likenesses_to_known_starts(starts: tuple[int, ...]) -> None:
    """The mean of the two best mean cosines of 32 beats, less that of beats 4, 8, 12 around.

    Starts without 32 beats after them, or less than 16 beats away, tell nothing.
    """
    count, made = 160, cues(160, 6)
    rows = rows_of(made)
    padded = np.concatenate([rows, np.zeros((40, rows.shape[1]))])
    best = []
    for beat in range(count):
        alike = []
        for start in (one for one in starts if one + 32 <= count):
            cosine = (padded[beat : beat + 32] * padded[start : start + 32]).sum() / 32
            alike.append(-1.0 if abs(beat - start) < 16 else float(cosine))
        best.append(max(float(np.mean(sorted(alike)[-2:])), -0.2))
    over = []
    for beat in range(count):
        around = [best[min(max(beat + k, 0), count - 1)] for k in (-12, -8, -4, 4, 8, 12)]
        over.append(best[beat] - np.mean(around))
    assert restarts(made, starts) == pytest.approx(standard(np.array(over)), abs=1e-6)


def test_two_starts_are_too_few_to_tell_restarts() -> None:
    """Fewer than three starts with 32 beats after them tell nothing."""
    made = cues(100, 7)
    assert not restarts(made, (0, 32)).any()
    assert not restarts(made, (0, 32, 69)).any()
    assert restarts(made, (0, 32, 68)).any()


def test_many_beats_are_compared_some_at_a_time() -> None:
    """Of 1100 beats with three starts each is told as if it were alone with them."""
    made = cues(1100, 8)
    rows, starts = rows_of(made), (40, 600, 1000)
    padded = np.concatenate([rows, np.zeros((40, rows.shape[1]))])
    best = np.empty(1100)
    for beat in range(1100):
        likenesses = [
            -1.0 if abs(beat - start) < 16 else
            float((padded[beat : beat + 32] * rows[start : start + 32]).sum() / 32)
            for start in starts
        ]  # fmt: skip
        best[beat] = max(float(np.mean(sorted(likenesses)[1:])), -0.2)
    ends = np.pad(best, 12, mode="edge")
    around = np.mean([ends[12 + k : 1112 + k] for k in (-12, -8, -4, 4, 8, 12)], axis=0)
    assert restarts(made, starts) == pytest.approx(standard(best - around), abs=1e-6)


def test_the_nearest_64_starts_are_enough() -> None:
    """A start farther away than 64 others tells nothing: the odds stay as without it."""
    made = cues(400, 9)
    starts = tuple(range(150, 214))
    assert restarts(made, (*starts, 360)) == pytest.approx(restarts(made, starts))
    assert restarts(made, (0, *starts)) == pytest.approx(restarts(made, starts))


def test_the_worth_of_beats_by_hand() -> None:
    """Beats x (mean log-odds + 1.5 log of chords + 0.5 log of bass + log of strokes).

    Two beats whose chords change by 1 - 24 / 25 at the second, a mean of 0.02; as the bass; of
    strokes 0.4 and -1 only rises count: 0.2. Log-odds below -3.5 say no more than that.
    """
    onset = np.array([[0.4], [-1.0]])
    made = cues(
        2, onset=onset, chroma=np.array([[3.0, 4.0], [4.0, 3.0]]),
        bass=np.array([[4.0, 3.0], [3.0, 4.0]]), beat=np.array([1.0, -9.0]),
    )  # fmt: skip
    expected = 2 * ((1.0 - 3.5) / 2 + 2.0 * np.log(0.02) + np.log(0.2))
    assert beat_worth(made) == pytest.approx(expected, abs=1e-3)
    still = cues(2, onset=onset * 0, chroma=np.ones((2, 2)), bass=np.ones((2, 2)), beat=np.zeros(2))
    assert beat_worth(still) == pytest.approx(2 * 3 * np.log(1e-6), rel=1e-3)
    assert evidence.LEAST_ODDS == -3.5
