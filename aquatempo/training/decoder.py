"""Fit how phrases and bridges are chosen, on songs that the network has not seen.

``python -m aquatempo.training.decoder --fonts FluidR3_GM.sf2 --first 77000000 --songs 150``
prints weights for ``aquatempo.rhythm.evidence`` and prices for ``aquatempo.rhythm.phrases``,
and how well phrases and bridges are found on the half of the songs that was not fitted.

The model is a semi-Markov conditional random field (Sarawagi and Cohen, NIPS 2004): the
probability of a song's row of segments is the exponential of what the segments are worth,
over the sum of that of every other row. Its logarithm is raised by gradient ascent.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from scipy import optimize

from aquatempo.rhythm import evidence, phrases
from aquatempo.rhythm.features import SAMPLE_RATE_HZ, extract
from aquatempo.rhythm.frames import from_features
from aquatempo.rhythm.hearing import PASSES
from aquatempo.rhythm.perbeat import BeatCues, cues_of
from aquatempo.rhythm.phrases import BARS_PER_PHRASE, Segmentation
from aquatempo.rhythm.weights import weights_of
from aquatempo.training import form

if TYPE_CHECKING:
    from aquatempo.training.render import Fonts

LENGTH_S = 150.0
ROUNDS = 3  # of fitting, each with the starts that the one before finds
NEAR = 8  # counts by which the start of a bridge may be off
SHRINK = 3.0  # strength of the pull of weights towards 0
FREE = 0.01  # and of constants
HOLD = 0.3  # strength of the pull of prices towards the usual ones
USUAL = {1.0: 6.0, 2.0: 6.0, 4.0: 6.0}  # prices of bridges to begin with [nats]
DEAR, ODD = 9.0, 11.0  # of other lengths, and of a single beat
INPUTS = {
    kind: tuple(
        tuple(name for name in weights_of(f"{kind}{part}") if name != "constant")
        for part in ("phrase", "bridge", "end")
    )
    for kind in (evidence.SONG, evidence.MIX)
}
"""Names of what is weighed for phrases, bridges and ends, by kind of recording."""
BRIDGE_LENGTHS = tuple(float(bars) for bars in weights_of("prices"))  # in bars
LENGTHS = (*BRIDGE_LENGTHS, 0.0)  # in bars; the last stands for 1 or 3 beats

Doubles = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """A song: cues at its true beats; first beat, counts and kind of its sections.

    bars: log-odds. inputs: of phrases, bridges and ends, each (beats, inputs), as they are
    with the phrase starts that are known so far. kind: of recording.
    """

    cues: BeatCues
    sections: list[tuple[int, int, bool]]
    beats_per_bar: int
    bars: Doubles
    inputs: tuple[Doubles, Doubles, Doubles]
    kind: str = evidence.SONG

    @classmethod
    def of(
        cls,
        cues: BeatCues,
        sections: list[tuple[int, int, bool]],
        beats_per_bar: int,
        kind: str = evidence.SONG,
    ) -> Case:
        """Return a song of which no phrase starts are known yet."""
        inputs = inputs_of(cues, (), kind)
        return cls(cues, sections, beats_per_bar, evidence.bar_odds(cues), inputs, kind)

    def knowing(self, starts: Sequence[int]) -> Case:
        """Return the song with some phrase starts known."""
        return replace(self, inputs=inputs_of(self.cues, starts, self.kind))

    @property
    def whole(self) -> int:
        """Counts of a phrase."""
        return BARS_PER_PHRASE * self.beats_per_bar


@dataclass(frozen=True)
class Weights:
    """What is fitted, as one vector: phrases (constant first), bridges, ends, prices.

    Ends have a constant too, in the last place, where there is anything to weigh for them.
    """

    vector: Doubles
    kind: str = evidence.SONG

    @classmethod
    def usual(cls, kind: str = evidence.SONG) -> Weights:
        """Return what fitting begins with, and is pulled towards."""
        prices = [USUAL.get(length, DEAR) for length in BRIDGE_LENGTHS] + [ODD]
        free = 1 + sum(map(len, INPUTS[kind])) + bool(INPUTS[kind][2])
        return cls(np.array([0.0] * free + prices), kind)

    @property
    def parts(self) -> tuple[Doubles, Doubles, Doubles, Doubles]:
        """Constant and weights of phrases, weights of bridges and ends, prices by ``LENGTHS``."""
        phrase, bridge, end = map(len, INPUTS[self.kind])
        at = np.cumsum([1 + phrase, bridge, end + bool(end)])
        of_phrase, of_bridge, of_end, prices = np.split(self.vector, at)
        return of_phrase, of_bridge, of_end, prices

    def odds(self, case: Case) -> tuple[Doubles, Doubles, Doubles]:
        """Return what speaks for a phrase, a bridge and the end of one at each beat [nats]."""
        phrase, bridge, end, _ = self.parts
        return (
            phrase[0] + case.inputs[0] @ phrase[1:],
            case.inputs[1] @ bridge,
            np.logaddexp(0.0, self.joins(case)) if len(end) else np.zeros(len(case.bars)),
        )

    def joins(self, case: Case) -> Doubles:
        """Return the log-odds that a song which is cut ends before each beat [nats]."""
        end = self.parts[2]
        return case.inputs[2] @ end[:-1] + end[-1] if len(end) else np.zeros(len(case.bars))

    def prices(self, beats_per_bar: int) -> dict[int, float]:
        """Return the price of a segment by its length in beats."""
        priced = self.parts[3]
        return {
            length: 0.0 if place is None else float(priced[place])
            for length, place in places(beats_per_bar).items()
        }


def places(beats_per_bar: int) -> dict[int, int | None]:
    """Return where the price of a segment stands, by its length in beats; None: free."""
    found: dict[int, int | None] = {}
    for length in phrases.prices_of(beats_per_bar):
        bars = length / beats_per_bar
        found[length] = LENGTHS.index(bars) if bars in BRIDGE_LENGTHS else len(LENGTHS) - 1
    found[BARS_PER_PHRASE * beats_per_bar] = None
    return found


def make_case(seed: int, fonts: Fonts) -> Case:
    """Return a song of ``LENGTH_S`` as the decoder would see it, were all its beats found."""
    from aquatempo.training import render  # needs the soundfont player of a training

    form.LONG_ENOUGH_S, render.LENGTH_S = LENGTH_S + 15, LENGTH_S
    plan = form.plan_song(seed)
    frames = from_features(extract([render.render(plan, fonts)]), LENGTH_S)
    beats_s = plan.beat_times_s[plan.beat_times_s < LENGTH_S - 0.2]
    sections = [
        (section.start + plan.pickup, section.counts, section.is_phrase)
        for section in plan.sections
        if section.start + plan.pickup < len(beats_s)
    ]
    cues = cues_of(frames, beats_s)
    return Case.of(cues, sections, plan.style.beats_per_bar)


def make_mix_case(seed: int, fonts: Fonts, songs: int) -> Case:
    """Return a mix of so many songs as the decoder would see it, were all its beats found."""
    from aquatempo.training.mix import play_songs  # needs the soundfont player of a training

    mix = play_songs(seed, fonts, songs)
    length_s = len(mix.samples) / SAMPLE_RATE_HZ
    frames = from_features(extract([mix.samples]), length_s)
    return Case.of(cues_of(frames, mix.beats_s), mix.sections, 4, evidence.MIX)


def inputs_of(cues: BeatCues, starts: Sequence[int], kind: str) -> tuple[Doubles, Doubles, Doubles]:
    """Return the inputs of phrases, bridges and ends where some phrase starts are known."""
    named = {**evidence.start_inputs(cues, kind), "restart": evidence.restarts(cues, starts)}
    phrase, bridge, end = (
        np.array([named[name] for name in names]).reshape(len(names), -1).T
        if names
        else np.zeros((len(cues.beat), 0))
        for names in INPUTS[kind]
    )
    return phrase, bridge, end


def decide(case: Case, weights: Weights) -> Segmentation:
    """Return the segments that weights lead to."""
    prices = weights.prices(case.beats_per_bar)
    phrase, bridge, end = weights.odds(case)
    return phrases.segment(
        case.bars, phrase, bridge, case.beats_per_bar, prices=prices, end_odds=end
    )


def surprise(weights: Weights, case: Case) -> tuple[float, Doubles]:
    """Return minus the log-likelihood of a song's true segments [nats], and its gradient."""
    prices = weights.prices(case.beats_per_bar)
    odds = weights.odds(case)
    opening, values, closing = phrases.values_of(
        case.bars, odds[0], odds[1], case.beats_per_bar, prices, odds[2]
    )
    lengths = list(prices)
    count, columns = values.shape
    longest = max(lengths)
    back = longest - np.array(lengths)
    column = np.arange(columns)
    # ahead[n + longest]: log of the summed worth of all ways to begin a segment at beat n
    ahead = np.full(count + longest, -np.inf)
    padded = np.concatenate([np.full((longest, columns), -np.inf), values])
    for beat in range(count):
        ways = ahead[beat + back] + padded[beat + back, column]
        ahead[beat + longest] = np.logaddexp.reduce(np.append(ways, opening[beat]))
    ahead = ahead[longest:]
    # after[n]: the same of all ways to go on from a segment that starts at beat n
    after = np.full(count + longest, -np.inf)
    for beat in reversed(range(count)):
        ways = values[beat] + after[beat + np.array(lengths)]
        after[beat] = np.logaddexp.reduce(np.append(ways, closing[beat]))
    every = np.logaddexp.reduce(opening + after[:count])
    going_on = np.stack([after[length : length + count] for length in lengths], axis=1)
    chances = np.exp(ahead[:, None] + values + going_on - every)
    ending = np.exp(ahead + closing - every)
    starts = [first for first, _, _ in case.sections]
    worth = opening[starts[0]] + closing[starts[-1]]
    for first, stop in pairwise(starts):
        if stop - first not in prices:
            return 0.0, np.zeros_like(weights.vector)  # a section cut short: not our songs
        place = lengths.index(stop - first)
        worth += values[first, place]
        chances[first, place] -= 1.0
    ending[starts[-1]] -= 1.0
    whole = lengths.index(case.whole)
    phrase = chances[:, whole] + ending
    bridge = chances.sum(axis=1) - chances[:, whole]
    slopes = np.zeros(len(LENGTHS))
    for number, priced in enumerate(places(case.beats_per_bar).values()):
        if priced is not None:
            slopes[priced] -= chances[:, number].sum()
    ended = np.zeros(count)
    for number, length in enumerate(lengths):
        if number != whole:
            ended[length:] += chances[: count - length, number]
    if case.inputs[2].shape[1]:
        ended *= 1 / (1 + np.exp(-weights.joins(case)))
        slopes = np.append(ended.sum(), slopes)
    slope = [
        [phrase.sum()],
        phrase @ case.inputs[0],
        bridge @ case.inputs[1],
        ended @ case.inputs[2],
        slopes,
    ]
    return float(every - worth), np.concatenate(slope)


def fit(cases: Sequence[Case], weights: Weights) -> Weights:
    """Return the weights that make the true segments likeliest, held back by priors."""
    usual, kind = Weights.usual(weights.kind).vector, weights.kind
    pull = np.full(len(usual), SHRINK)
    pull[0], pull[-len(LENGTHS) :] = FREE, HOLD
    if INPUTS[kind][2]:
        pull[-len(LENGTHS) - 1] = FREE

    def loss(vector: Doubles) -> tuple[float, Doubles]:
        found = [surprise(Weights(vector, kind), case) for case in cases]
        away = vector - usual
        total = sum(value for value, _ in found) + 0.5 * float(pull @ away**2)
        return total, np.sum([slope for _, slope in found], axis=0) + pull * away

    options = {"maxiter": 40}
    return Weights(optimize.minimize(loss, weights.vector, jac=True, options=options).x, kind)


def fit_in_rounds(cases: Sequence[Case]) -> Weights:
    """Return weights fitted in rounds: each shows the restarts that the last one finds."""
    weights = fit(cases, Weights.usual(cases[0].kind))
    for _ in range(ROUNDS):
        cases = [case.knowing(decide(case, weights).phrases) for case in cases]
        weights = fit(cases, weights)
    return weights


def score(cases: Sequence[Case], weights: Weights) -> dict[str, float]:
    """Return F of phrase starts, precision and recall of bridges, as the analysis would go."""
    counts = np.zeros(6)
    for case in cases:
        found = decide(case, weights)
        for _ in range(PASSES):
            found = decide(case.knowing(found.phrases), weights)
        total = len(case.cues.beat)
        ends = (*found.starts[1:], total)
        heard = list(zip(found.starts, np.subtract(ends, found.starts).tolist(), strict=True))
        true = [(first, size) for first, size, _ in case.sections if first + size <= total]
        for place, wanted in enumerate((True, False)):
            one = [a for a, size in heard if (size == case.whole) == wanted and a > 0]
            two = [a for a, size in true if (size == case.whole) == wanted and a > 0]
            if not wanted:  # the last segment is cut off by the end
                one = [a for a in one if a != found.starts[-1]]
            far = 0 if wanted else NEAR
            hits = sum(any(abs(a - b) <= far for b in two) for a in one)
            counts[3 * place : 3 * place + 3] += hits, len(one), len(two)
    both, heard_sum, true_sum, bridges, heard_bridges, true_bridges = counts.tolist()
    return {
        "phrase F": 2 * both / max(heard_sum + true_sum, 1),
        "bridge precision": bridges / max(heard_bridges, 1),
        "bridge recall": bridges / max(true_bridges, 1),
    }


def main() -> None:
    """Make the songs, fit on one half, score the other, then fit on all."""
    parser = argparse.ArgumentParser(prog="python -m aquatempo.training.decoder")
    parser.add_argument("--fonts", type=Path, nargs="+", required=True)
    parser.add_argument("--first", type=int, default=77_000_000, help="first seed")
    parser.add_argument("--songs", type=int, default=150)
    parser.add_argument("--mix", type=int, metavar="N", help="fit mixes, each of N songs")
    parser.add_argument("--jobs", type=int, default=1)
    options = parser.parse_args()
    from aquatempo.training.render import Fonts  # needs the soundfont player of a training

    fonts = Fonts.load(options.fonts)
    make = partial(make_case, fonts=fonts)
    if options.mix:
        make = partial(make_mix_case, fonts=fonts, songs=options.mix)
    seeds = [options.first + number for number in range(options.songs)]
    if options.jobs > 1:
        global _make
        _make = make
        with get_context("fork").Pool(options.jobs) as pool:
            cases = pool.map(_made, seeds, chunksize=1)
    else:
        cases = [make(seed) for seed in seeds]
    kind = cases[0].kind
    print(score(cases[1::2], fit_in_rounds(cases[::2])))
    phrase, bridge, end, prices = (part.round(2).tolist() for part in fit_in_rounds(cases).parts)
    named = zip(("phrase", "bridge", "end"), INPUTS[kind], (phrase, bridge, end), strict=True)
    for table, names, values in named:
        names = ("constant", *names) if table == "phrase" else names
        names = (*names, "constant") if table == "end" and names else names
        print(f"[{kind}{table}]", *map("{!r} = {}".format, names, values), sep="\n")
    print(f"[{kind}prices]  # by bars; the last is that of a single beat", *prices, sep="\n")


_make: Callable[[int], Case] | None = None


def _made(seed: int) -> Case:
    assert _make is not None
    return _make(seed)


if __name__ == "__main__":
    main()
