"""Segments of a song against a search of every possible row of them, and prices by hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from aquatempo.rhythm import phrases
from aquatempo.rhythm.phrases import Segmentation, bounds, prices_of, segment

Doubles = NDArray[np.float64]
BARS = 2  # bars of a phrase in the small songs here


def rows(first: int, count: int, whole: int, lengths: Mapping[int, float]) -> Iterator[list[int]]:
    """Yield all starts from a first one on whose last segment is no longer than a phrase."""
    if first >= count - whole:
        yield [first]
    for length in lengths:
        if first + length < count:
            for row in rows(first + length, count, whole, lengths):
                yield [first, *row]


def worth(
    row: list[int], bar: Doubles, phrase: Doubles, bridge: Doubles, end: Doubles, meter: int,
    prices: Mapping[int, float], splices: tuple[int, ...], again: float,
) -> float:  # fmt: skip
    """Return the evidence of a row of segments less its prices, segment by segment."""
    count, whole = len(bar), BARS * meter
    total = float(sum(bar[beat] for beat in range(row[0] - meter, -1, -meter)))
    if row[0]:
        total -= 7.9 if row[0] >= meter else 4.3  # an intro, a pick-up
    short_before = False
    for first, last in pairwise(row):
        total += float(bar[first:last:meter].sum())
        short = last - first != whole
        if not short:
            total += float(phrase[first])
        else:
            price = prices[last - first]
            if any(abs(last - splice) <= 4 for splice in splices):
                price = min(price, 8.0)
            total += float(bridge[first] + end[last]) - price - again * short_before
        short_before = short
    return total + float(phrase[row[-1]] + bar[row[-1] : count : meter].sum())


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("meter", [2, 3])
@pytest.mark.parametrize(("kind", "splices"), [("", ()), ("mix ", (8,)), ("mix ", ()), ("", (6,))])
def test_segments_are_the_best_of_all_rows(
    seed: int, meter: int, kind: str, splices: tuple[int, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of every row of phrases and shorter segments, the one with the most evidence is found.

    Phrases of two bars here, so that all rows can be tried.
    """
    monkeypatch.setattr(phrases, "BARS_PER_PHRASE", BARS)
    random = np.random.default_rng(seed)
    count, whole = 10 + seed % 2, BARS * meter
    bar, phrase, bridge, end = random.normal(0, 3, (4, count))
    prices = {whole: 0.0, **{n: float(random.uniform(1, 14)) for n in (1, 2, 3) if n != whole}}
    known = dict(prices)
    if splices:
        known |= {n: 40.0 for n in range(1, whole) if n not in known}
    again = 4.0 if kind else 0.0
    scores = {
        tuple(row): worth(row, bar, phrase, bridge, end, meter, known, splices, again)
        for first in range(min(whole, count))
        for row in rows(first, count, whole, known)
    }
    best = max(scores, key=lambda row: scores[row])
    found = segment(
        bar, phrase, bridge, meter, splices=splices, prices=prices, end_odds=end, kind=kind
    )
    assert found.score == pytest.approx(scores[best])
    expected = [best[0]] if best[0] == 0 else [0, best[0]]
    assert found.starts == tuple(phrases._united([*expected, *best[1:]], count, whole))
    ones = {beat for a, b in bounds(best, count) for beat in range(a, b, meter)}
    ones |= set(range(best[0] % meter, best[0], meter))
    assert found.downbeats == tuple(sorted(ones))
    assert found.beats_per_bar == meter


@pytest.mark.parametrize("seed", range(4))
def test_forced_starts_hold_and_bans_too(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With two beats forced and two banned, the best row of those that keep to it is found.

    Any length may be needed then; one that has no price costs 40.
    """
    monkeypatch.setattr(phrases, "BARS_PER_PHRASE", BARS)
    random = np.random.default_rng(seed)
    bar, phrase, bridge = random.normal(0, 3, (3, 12))
    forced = {3: True, 8: True, 4: False, 10: False}
    prices = {4: 0.0, 2: 3.0, 1: 40.0, 3: 40.0}
    scores = {
        tuple(row): worth(row, bar, phrase, bridge, np.zeros(12), 2, prices, (), 0.0)
        for first in range(4)
        for row in rows(first, 12, 4, prices)
        if {3, 8} <= set(row) and not {4, 10} & set(row)
    }
    best = max(scores, key=lambda row: scores[row])
    found = segment(bar, phrase, bridge, 2, forced=forced, prices={4: 0.0, 2: 3.0})
    assert found.starts == (best if best[0] == 0 else (0, *best))
    assert found.score == pytest.approx(scores[best] + 2e6, abs=1e-3)


@pytest.mark.parametrize(
    ("starts", "kept"),
    [
        ([0, 32, 64, 72, 76, 108], [0, 32, 64, 76, 108]),
        ([0, 32, 64, 72, 76, 80, 112], [0, 32, 64, 80, 112]),
        ([0, 32, 40, 63, 95], [0, 32, 63, 95]),  # 8 and 23 make 31
        ([0, 32, 40, 64, 96], [0, 32, 40, 64, 96]),  # 8 and 24 would be a phrase
        ([0, 4, 8, 40], [0, 4, 8, 40]),  # before the first start nothing is a bridge
        ([0, 3, 7, 11, 43], [0, 3, 11, 43]),
        ([0, 32, 64, 72], [0, 32, 64, 72]),
        ([0, 32, 64, 72, 76], [0, 32, 64, 76]),
        ([0, 32, 64, 96, 104], [0, 32, 64, 96, 104]),  # what ends the song stays apart
        ([0], [0]),
    ],
)
def test_bridges_in_a_row_are_one(starts: list[int], kept: list[int]) -> None:
    """Of 120 counts: short segments that follow each other are one bridge, if short together."""
    assert phrases._united(starts, 120, 32) == kept


def test_prices_by_lengths() -> None:
    """A phrase is free, a bridge costs what the table says of its bars, odd beats 40 nats.

    Halves of a bar count where they are whole beats.
    """
    four = {32: 0.0, 4: 6.8, 8: 6.3, 12: 9.8, 16: 6.5, 20: 9.8, 24: 9.7, 28: 9.8}
    assert prices_of(4) == {**four, 2: 30.0, 6: 30.0, 10: 30.0, 1: 40.0, 3: 40.0}
    three = {24: 0.0, 3: 6.8, 6: 6.3, 9: 9.8, 12: 6.5, 15: 9.8, 18: 9.7, 21: 9.8}
    assert prices_of(3) == {**three, 1: 40.0, 2: 40.0}
    assert prices_of(2)[1] == prices_of(2)[3] == 30.0
    mix = prices_of(4, "mix ")
    assert (mix[32], mix[4], mix[28], mix[2], mix[3]) == (0.0, 5.88, 8.42, 30.0, 40.0)


def test_phrases_of_a_segmentation_are_its_whole_ones() -> None:
    """Of segments of 3, 32, 8, 32 and the rest, two are phrases; the last is open."""
    found = Segmentation((0, 3, 35, 43, 75), (), 4, 0.0)
    assert found.phrases == (3, 43)
    assert Segmentation((0, 24, 48), (), 3, 0.0).phrases == (0, 24)
    assert bounds((0, 3, 35), 50) == [(0, 3), (3, 35), (35, 50)]


def test_what_comes_before_is_less_than_a_phrase() -> None:
    """The first start lies within 32 beats, and the last segment is no longer than that."""
    strong = np.full(70, -50.0)
    strong[[31, 32, 69]] = 50.0
    found = segment(np.zeros(70), strong, strong)
    assert found.starts[1] in (31, 32)
    late = np.full(90, -20.0)
    late[32] = 500.0
    assert segment(np.zeros(90), late, late).starts[:2] == (0, 32)
