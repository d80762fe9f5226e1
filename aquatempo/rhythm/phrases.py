"""Bars and phrases together: one dynamic program over the beats of the whole song.

A song is a row of segments: whole phrases of eight bars, and shorter bridges at a price.
Each segment starts a bar, so the choice of segments is the choice of bars too, and the
bar phase can move only where a bridge of an odd length is paid for. The prices are those
of a semi-Markov conditional random field (Sarawagi and Cohen, NIPS 2004), fitted together
with the weights of ``aquatempo.rhythm.evidence`` by ``aquatempo.training.decoder``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.weights import weights_of

__all__ = [
    "BARS_PER_PHRASE",
    "Segmentation",
    "bounds",
    "prices_of",
    "segment",
    "values_of",
]

BARS_PER_PHRASE = 8
ODD_PRICE = 40.0  # a segment of 1 or 3 beats: the bar itself is broken
PICK_UP_PRICE = 4.3  # anything before the first start
INTRO_PRICE = 7.9  # a bar or more before the first start
SPLICE_PRICE = 8.0  # at most, of a segment of any length that ends where another grid begins
AGAIN_PRICE = 4.0  # more, in a mix, of a short segment right after another
SPLICE_REACH = 4  # beats by which the place of a splice may be off
FORCED = 1e6  # evidence of an instructor outweighs everything

Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Segmentation:
    """Starts of the segments (beat indices, the first always 0), downbeats, and the score.

    Every segment but the first starts on count 1; the first may begin with a pick-up.
    """

    starts: tuple[int, ...]
    downbeats: tuple[int, ...]
    beats_per_bar: int
    score: float

    @property
    def phrases(self) -> tuple[int, ...]:
        """Starts of the whole phrases."""
        whole = BARS_PER_PHRASE * self.beats_per_bar
        ends = self.starts[1:]
        return tuple(a for a, b in zip(self.starts, ends, strict=False) if b - a == whole)


def segment(
    bar_odds: Doubles,
    phrase_odds: Doubles,
    bridge_odds: Doubles,
    beats_per_bar: int = 4,
    *,
    forced: Mapping[int, bool] | None = None,
    splices: Sequence[int] = (),
    prices: Mapping[int, float] | None = None,
    end_odds: Doubles | None = None,
    kind: str = "",
) -> Segmentation:
    """Return the best segmentation of beats with log-odds of being count 1.

    bar_odds, phrase_odds, bridge_odds: of a bar, a phrase, a bridge [nats]. forced: beats that
    must (True) or must not (False) start a segment. splices: beats where another grid begins, to
    ``SPLICE_REACH``, as in a mix: what was before may be cut short. prices: other ones [nats] than
    those of the table, by length in beats. end_odds: of the end of a segment that is no whole
    phrase [nats]. kind: whose prices hold, of a song or a mix. beats_per_bar: 2, 3 or 4, the same
    in the whole track.
    """
    count = len(bar_odds)
    odds = np.array([phrase_odds, bridge_odds], dtype=np.float64)
    for beat, wanted in (forced or {}).items():
        odds[:, beat] += FORCED if wanted else -FORCED
    prices = dict(prices or prices_of(beats_per_bar, kind))
    if forced or splices:  # what an instructor marks, or a splice cuts, may have any length
        whole = BARS_PER_PHRASE * beats_per_bar
        prices |= {length: ODD_PRICE for length in range(1, whole) if length not in prices}
    opening, values, closing = values_of(
        bar_odds, odds[0], odds[1], beats_per_bar, prices, end_odds
    )
    reach = range(-SPLICE_REACH, SPLICE_REACH + 1)
    near = np.array(sorted({splice + step for splice in splices for step in reach}), dtype=int)
    for column, (length, price) in enumerate(prices.items()):
        cut = near[(near >= length) & (near < count)] - length
        values[cut, column] += max(price - SPLICE_PRICE, 0.0)
    columns = list(zip(prices, values.T.tolist(), strict=True))
    best = opening.tolist()  # where any segment may follow
    origin = [-1] * count
    after = opening.tolist()  # where a short one may: the one before is whole, or dearer
    before = [-1] * count
    whole, again = BARS_PER_PHRASE * beats_per_bar, AGAIN_PRICE if kind else 0.0
    for beat in range(1, count):
        for length, column in columns:
            first = beat - length
            if first < 0:
                continue
            worth = (best if length == whole else after)[first] + column[first]
            if worth > best[beat]:
                best[beat], origin[beat] = worth, first
            if length != whole:
                worth -= again
            if worth > after[beat]:
                after[beat], before[beat] = worth, first
    finals = np.array(best) + closing
    starts = [int(finals.argmax())]
    back = origin
    while back[starts[-1]] >= 0:
        first = back[starts[-1]]
        back = origin if starts[-1] - first == whole else before
        starts.append(first)
    starts.reverse()
    downbeats = list(range(starts[0] % beats_per_bar, starts[0], beats_per_bar))
    for first, stop in zip(starts, [*starts[1:], count], strict=True):
        downbeats += range(first, stop, beats_per_bar)
    if starts[0] > 0:
        starts.insert(0, 0)
    if not forced:
        starts = _united(starts, count, BARS_PER_PHRASE * beats_per_bar)
    return Segmentation(tuple(starts), tuple(downbeats), beats_per_bar, float(finals.max()))


def _united(starts: list[int], count: int, whole: int) -> list[int]:
    """Return the starts without those where one bridge follows another: the two are one."""
    kept = starts[:2]
    for start, end in bounds(starts, count)[2:]:
        inside = kept[-1] > 0 and end < count
        if not (inside and start - kept[-1] < whole and end - kept[-1] < whole):
            kept.append(start)
    return kept


def values_of(
    bar_odds: Doubles,
    phrase_odds: Doubles,
    bridge_odds: Doubles,
    beats_per_bar: int,
    prices: Mapping[int, float],
    end_odds: Doubles | None = None,
) -> tuple[Doubles, Doubles, Doubles]:
    """Return what it is worth [nats] to begin, to have, and to end with a segment.

    opening (beats,): the first segment starts here. values (beats, prices): a segment of that
    length starts here. closing (beats,): the last segment starts here. What cannot be is minus
    infinity. bar_odds, phrase_odds, bridge_odds, end_odds, beats_per_bar, prices: as ``segment``
    takes them.
    """
    count = len(bar_odds)
    whole = BARS_PER_PHRASE * beats_per_bar
    # ladder[n + bar]: sum of bar odds at n, n - bar, n - 2 bars ...
    ladder = np.concatenate([np.zeros(beats_per_bar), bar_odds])
    for beat in range(beats_per_bar, count + beats_per_bar):
        ladder[beat] += ladder[beat - beats_per_bar]
    beats = np.arange(count)
    opening = ladder[:count] - np.where(beats >= beats_per_bar, INTRO_PRICE, PICK_UP_PRICE)
    opening[0] = 0.0
    opening[whole:] = -np.inf
    values = np.full((count, len(prices)), -np.inf)
    for column, (length, price) in enumerate(prices.items()):
        odds = phrase_odds if length == whole else bridge_odds
        fits = beats[: max(count - length, 0)]
        top = fits + (length - 1) // beats_per_bar * beats_per_bar + beats_per_bar
        values[fits, column] = odds[fits] + ladder[top] - ladder[fits] - price
        if end_odds is not None and length != whole:
            values[fits, column] += end_odds[fits + length]
    top = beats + (count - 1 - beats) // beats_per_bar * beats_per_bar + beats_per_bar
    closing = phrase_odds + ladder[top] - ladder[:count]
    closing[: max(count - whole, 0)] = -np.inf
    return opening, values, closing


def prices_of(beats_per_bar: int, kind: str = "") -> dict[int, float]:
    """Return the price [nats] of a segment by its length in beats; a phrase costs nothing.

    kind: of a song, or "mix ". beats_per_bar: of the track.
    """
    prices = {BARS_PER_PHRASE * beats_per_bar: 0.0}
    for bars, price in weights_of(f"{kind}prices").items():
        length = float(bars) * beats_per_bar
        if length == int(length):
            prices[int(length)] = price
    for length in (1, beats_per_bar - 1):
        prices.setdefault(length, ODD_PRICE)
    return prices


def bounds(starts: Sequence[int], count: int) -> list[tuple[int, int]]:
    """Return pairs of first beat and end (exclusive) of segments with these starts.

    starts: first beats, ascending; count: of all beats.
    """
    return list(zip(starts, [*starts[1:], count], strict=True))
