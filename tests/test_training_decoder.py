"""The fit of phrases and bridges: its likelihood against plain enumeration and differences."""

from __future__ import annotations

import numpy as np
import pytest

from aquatempo.rhythm.evidence import MIX, SONG
from aquatempo.rhythm.perbeat import BeatCues
from aquatempo.rhythm.phrases import values_of
from aquatempo.training.decoder import INPUTS, Case, Weights, surprise

BEATS = 44


@pytest.fixture(params=[SONG, MIX], ids=["song", "mix"])
def case(request: pytest.FixtureRequest) -> Case:
    """Return a song of a pick-up, a phrase, a bridge of a bar and the beginning of a phrase."""
    random = np.random.default_rng(3)
    nothing = np.zeros(BEATS)
    cues = BeatCues(*(nothing,) * 9)
    sections = [(1, 32, True), (33, 4, False), (37, 32, True)]
    inputs = tuple(random.normal(0, 1, (BEATS, len(names))) for names in INPUTS[request.param])
    one, two, three = inputs
    odds = random.normal(-1, 1, BEATS)
    return Case(cues, sections, 4, odds, (one, two, three), request.param)


@pytest.fixture
def weights(case: Case) -> Weights:
    """Return weights off their usual values."""
    usual = Weights.usual(case.kind).vector
    return Weights(usual + np.random.default_rng(4).normal(0, 0.3, len(usual)), case.kind)


def test_likelihood_agrees_with_enumeration(case: Case, weights: Weights) -> None:
    """The sum over all rows of segments, listed one by one, is the sum that the fit uses."""
    prices = weights.prices(4)
    phrase, bridge, end = weights.odds(case)
    opening, values, closing = values_of(case.bars, phrase, bridge, 4, prices, end)
    lengths = list(prices)
    rows = 0

    def summed(first: int) -> float:
        nonlocal rows
        rows += 1
        total = float(np.exp(closing[first]))
        for place, length in enumerate(lengths):
            if first + length < BEATS:
                total += float(np.exp(values[first, place])) * summed(first + length)
        return total

    # from beat 26 on, to keep the list short: later beats have few ways to go on
    late = {first: summed(first) for first in range(26, BEATS)}
    assert rows > 10_000

    def worth(first: int) -> float:
        if first in late:
            return late[first]
        total = float(np.exp(closing[first]))
        for place, length in enumerate(lengths):
            if first + length < BEATS:
                total += float(np.exp(values[first, place])) * worth(first + length)
        late[first] = total
        return total

    every = sum(float(np.exp(opening[first])) * worth(first) for first in range(32))
    starts = [first for first, _, _ in case.sections]
    true = opening[1] + values[1, lengths.index(32)] + values[33, lengths.index(4)] + closing[37]
    assert starts == [1, 33, 37]
    assert surprise(weights, case)[0] == pytest.approx(np.log(every) - true, abs=1e-9)


def test_gradient_agrees_with_differences(case: Case, weights: Weights) -> None:
    """Each slope is what a small step either way shows."""
    _, slope = surprise(weights, case)
    for place in range(len(slope)):
        step = np.zeros(len(slope))
        step[place] = 1e-5
        up = surprise(Weights(weights.vector + step, case.kind), case)[0]
        down = surprise(Weights(weights.vector - step, case.kind), case)[0]
        assert slope[place] == pytest.approx((up - down) / 2e-5, abs=1e-4)
