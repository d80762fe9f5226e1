"""From cues at each beat to log-odds that it is count 1 of a bar, a phrase, a bridge.

Logistic models of a few inputs each, all standardised within the song; how their weights
were found, and which inputs told nothing, is in docs/design/rhythm.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.frames import CYMBALS, SNARE
from aquatempo.rhythm.join_network import network_signs
from aquatempo.rhythm.joins import join_signs, rows_of
from aquatempo.rhythm.perbeat import BeatCues
from aquatempo.rhythm.weights import weights_of

__all__ = [
    "MIX",
    "SONG",
    "bar_inputs",
    "bar_odds",
    "beat_worth",
    "bridge_odds",
    "change",
    "difference",
    "end_odds",
    "met",
    "phrase_odds",
    "restarts",
    "score",
    "start_inputs",
]

SONG, MIX = "", "mix "
"""Kinds of recording: one song, or songs joined for a class; they have weights of their own."""
JOIN_BEATS = 32  # over which two songs are told apart by key and tone
RESTART_BEATS = 32  # what follows a beat is compared over so many
RESTART_STARTS = 64  # with what follows the nearest so many phrase starts
LEAST_ODDS = -3.5  # an activation of 3 %: the decoder clips there too

Doubles = NDArray[np.float64]
Inputs = Mapping[str, Doubles]


def bar_odds(cues: BeatCues) -> Doubles:
    """Return the log-odds that each beat is count 1 of a bar [nats]."""
    return _weighed(bar_inputs(cues), weights_of("bar"))


def phrase_odds(
    cues: BeatCues, inputs: Inputs, starts: Sequence[int] = (), kind: str = SONG
) -> Doubles:
    """Return the log-odds that each beat is count 1 of a phrase [nats].

    inputs: those of ``start_inputs``. starts: where phrases were found in a first pass; what
    sounds like the music after them speaks for another start. kind: ``SONG`` or ``MIX``. cues: at
    the beats.
    """
    named = {**inputs, "restart": restarts(cues, starts)}
    return _weighed(named, weights_of(f"{kind}phrase"))


def bridge_odds(inputs: Inputs, kind: str = SONG) -> Doubles:
    """Return the log-odds that each beat is count 1 of a bridge [nats], without its price.

    A bridge need not sound like a phrase: its constant is in the prices of its lengths.
    inputs: those of ``start_inputs``. kind: ``SONG`` or ``MIX``.
    """
    return _weighed(inputs, weights_of(f"{kind}bridge"))


def met(odds: Doubles, joins: Sequence[int], worth: float) -> Doubles:
    """Return log-odds with some more [nats] at joins that are known from two tempi, and beside.

    odds [nats]: of the start of a phrase or bridge; joins: beats that two grids share; worth: of
    such a start there [nats].
    """
    near = {join + step for join in joins for step in (-1, 0, 1)}
    out = odds.copy()
    out[[beat for beat in near if 0 <= beat < len(out)]] += worth
    return out


def end_odds(inputs: Inputs, kind: str = SONG) -> Doubles:
    """Return what speaks for the end of a short segment at each beat [nats].

    In a mix a short segment is a bridge or what is left of a song that is cut; the second ends
    where a join is heard. Either may be: log(1 + exp(odds of a join)). In a song it is 0.
    inputs: those of ``start_inputs``. kind: ``SONG`` or ``MIX``.
    """
    weights = weights_of(f"{kind}end")
    total = _weighed(inputs, weights)
    return np.logaddexp(0.0, total) if weights else total


def restarts(cues: BeatCues, starts: Sequence[int]) -> Doubles:
    """Return how much more than its neighbours each beat is like the known phrase starts.

    Chords of a song run in loops that begin with the phrase: the harmony and bass of the 32 counts
    from a beat are compared with those from each start, and the two best likenesses count. This
    tells whether a bridge lies before a phrase or after it. cues: at the beats; starts: the known
    ones.
    """
    count = len(cues.beat)
    known = np.array([start for start in starts if start + RESTART_BEATS <= count], dtype=int)
    if len(known) < 3:
        return np.zeros(count)
    rows = rows_of(cues)
    padded = np.concatenate([rows, np.zeros((RESTART_BEATS, rows.shape[1]))])
    best = np.empty(count)
    for first in range(0, count, 512):
        beats = np.arange(first, min(first + 512, count))
        nearest = known[np.argsort(np.abs(known - beats.mean()))[:RESTART_STARTS]]
        alike = np.zeros((len(beats), len(nearest)))
        for step in range(RESTART_BEATS):
            alike += padded[beats + step] @ padded[nearest + step].T / RESTART_BEATS
        alike[np.abs(beats[:, None] - nearest) < RESTART_BEATS / 2] = -1.0
        best[beats] = np.maximum(np.sort(alike, axis=1)[:, -2:].mean(axis=1), -0.2)
    around = np.pad(best, 12, mode="edge")
    usual = np.mean([around[12 + k : 12 + k + count] for k in (-12, -8, -4, 4, 8, 12)], axis=0)
    return score(best - usual)


def beat_worth(cues: BeatCues) -> float:
    """Return how well beats fit what happens at them [nats], to compare phases of one tempo.

    The front end's log-odds, and for where it is in two minds, that harmony and bass
    change and instruments are struck on the beat rather than between.
    """
    signs = (
        (1.5, change(cues.chroma, 1).mean()),
        (0.5, change(cues.bass, 1).mean()),
        (1.0, np.maximum(cues.onset, 0).mean()),
    )
    more = sum(weight * np.log(float(value) + 1e-6) for weight, value in signs)
    return float(len(cues.beat) * (np.maximum(cues.beat, LEAST_ODDS).mean() + more))


def _weighed(inputs: Inputs, weights: Mapping[str, float]) -> Doubles:
    total = np.full(len(next(iter(inputs.values()))), weights.get("constant", 0.0))
    for name, weight in weights.items():
        if name != "constant":
            total += weight * inputs[name]
    return total


def bar_inputs(cues: BeatCues) -> Inputs:
    """Return what may tell count 1 of a bar, by name, one value a beat."""
    return {
        "downbeat": cues.downbeat - _around(cues.downbeat, 4),
        "phrase": cues.phrase - _around(cues.phrase, 4),
        "chroma 1": score(change(cues.chroma, 1)),
        "chroma 2": score(change(cues.chroma, 2)),
    }


def start_inputs(cues: BeatCues, kind: str = SONG) -> Inputs:
    """Return what may tell count 1 of a phrase or bridge, by name, one value a beat.

    kind: ``SONG`` or ``MIX``, in which joins are listened for too. cues: at the beats.
    """
    busy = cues.busy[:, SNARE].mean(axis=1)
    cymbals = cues.timbre[:, CYMBALS].mean(axis=1)
    inputs = {
        "phrase": cues.phrase,
        "phrase peak": cues.phrase - _around(cues.phrase, 8),
        "cymbal level": score(cymbals - _before(cymbals, 8)),
        "fill": score(_before(busy, 2) - _before(busy, 16)),
        "timbre 2": score(difference(cues.timbre, 2)),
        "timbre 8": score(difference(cues.timbre, 8)),
        "key": score(change(cues.chroma, JOIN_BEATS)),
        "low key": score(change(cues.bass, JOIN_BEATS)),
        "tone": score(difference(cues.timbre, JOIN_BEATS)),
    }
    if kind == MIX:
        inputs |= {name: score(values) for name, values in join_signs(cues).items()}
        inputs |= network_signs(cues, inputs, score(cues.level))
    return inputs


def change(rows: Doubles, beats: int) -> Doubles:
    """Return 1 - cosine between what sounds before each beat and after it, 0 at the ends.

    rows: what sounds on each beat, shape (beats, values); beats: how many before and after.
    """
    before, after = _spans(rows, beats)
    product = (before * after).sum(axis=1)
    norms = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    return np.asarray(np.where(norms > 1e-9, 1 - product / np.maximum(norms, 1e-9), 0.0))


def difference(rows: Doubles, beats: int) -> Doubles:
    """Return the Euclidean distance between the means before and after each beat.

    rows: what sounds on each beat, shape (beats, values); beats: how many before and after.
    """
    before, after = _spans(rows, beats)
    return np.asarray(np.linalg.norm(after - before, axis=1))


def score(values: Doubles) -> Doubles:
    """Return values in robust standard deviations above their median, cut at -2 and 6."""
    middle = np.median(values)
    spread = 1.4826 * np.median(np.abs(values - middle)) + 0.1 * values.std() + 1e-9
    return np.asarray(np.clip((values - middle) / spread, -2, 6))


def _spans(rows: Doubles, beats: int) -> tuple[Doubles, Doubles]:
    """Return the means of up to so many rows before, and from, each row; edges repeat."""
    count = len(rows)
    sums = np.concatenate([np.zeros((1, rows.shape[1])), np.cumsum(rows, axis=0)])
    at = np.arange(count)
    low, high = np.maximum(at - beats, 0), np.minimum(at + beats, count)
    after = (sums[high] - sums[at]) / (high - at)[:, None]
    before = (sums[at] - sums[low]) / np.maximum(at - low, 1)[:, None]
    return np.where((at > low)[:, None], before, after), after


def _before(values: Doubles, beats: int) -> Doubles:
    """Return the mean of up to so many values before each."""
    return _spans(values[:, None], beats)[0][:, 0]


def _around(values: Doubles, beats: int) -> Doubles:
    """Return the mean of the values up to so many beats to each side."""
    kernel = np.ones(2 * beats + 1)
    total = np.convolve(values, kernel, mode="full")[beats : beats + len(values)]
    share = np.convolve(np.ones(len(values)), kernel, mode="full")[beats : beats + len(values)]
    return np.asarray(total / share)
