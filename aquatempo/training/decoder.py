"""Fit what the decoder takes as evidence of a phrase, on songs that the network has not seen.

``python -m aquatempo.training.decoder --fonts FluidR3_GM.sf2 --first 77000000 --songs 90``
prints the weights for ``aquatempo.rhythm.evidence`` and how well phrases and bridges are
found on the half of the songs that was not fitted.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy import optimize

from aquatempo.rhythm import evidence
from aquatempo.rhythm.features import extract
from aquatempo.rhythm.frames import from_features
from aquatempo.rhythm.perbeat import BeatCues, cues_of
from aquatempo.rhythm.phrases import BARS_PER_PHRASE, segment
from aquatempo.training import form, render

LENGTH_S = 150.0
SHRINK = 3.0  # strength of the pull of weights towards 0
INPUTS = tuple(name for name in evidence.PHRASE_WEIGHTS if name != "constant")

Doubles = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """A song: its cues at the true beats, first beats and counts of its sections."""

    cues: BeatCues
    sections: list[tuple[int, int, bool]]
    beats_per_bar: int


def make_case(seed: int, fonts: render.Fonts) -> Case:
    """Return a song of ``LENGTH_S`` as the decoder would see it, were all its beats found."""
    form.LONG_ENOUGH_S, render.LENGTH_S = LENGTH_S + 15, LENGTH_S
    plan = form.plan_song(seed)
    frames = from_features(extract([render.render(plan, fonts)]), LENGTH_S)
    beats_s = plan.beat_times_s[plan.beat_times_s < LENGTH_S - 0.2]
    sections = [
        (section.start + plan.pickup, section.counts, section.is_phrase)
        for section in plan.sections
        if section.start + plan.pickup < len(beats_s)
    ]
    return Case(cues_of(frames, beats_s), sections, plan.style.beats_per_bar)


def inputs_of(case: Case) -> Doubles:
    """Return the inputs (beats, inputs); phrase starts of a first pass show restarts."""
    starts = decide(case, evidence.phrase_odds(case.cues))
    named = evidence.phrase_inputs(case.cues) | {"restart": evidence.restarts(case.cues, starts)}
    return np.column_stack([named[name] for name in INPUTS])


def decide(case: Case, odds: Doubles) -> tuple[int, ...]:
    """Return the starts of the segments that phrase odds lead to."""
    return segment(evidence.bar_odds(case.cues), odds, case.beats_per_bar).starts


def fit(inputs: list[Doubles], cases: list[Case]) -> Doubles:
    """Return the weights of a logistic regression, the constant first."""
    rows = np.column_stack([np.ones(sum(map(len, inputs))), np.concatenate(inputs)])
    truth = np.concatenate([_marks(case) for case in cases])

    def loss(weights: Doubles) -> tuple[float, Doubles]:
        odds = rows @ weights
        wrong = 1 / (1 + np.exp(-odds)) - truth
        pull = SHRINK * np.concatenate([[0.0], weights[1:]])
        value = np.logaddexp(0, odds).sum() - odds @ truth + 0.5 * pull @ weights
        return float(value), rows.T @ wrong + pull

    return np.asarray(optimize.minimize(loss, np.zeros(rows.shape[1]), jac=True).x)


def _marks(case: Case) -> Doubles:
    out = np.zeros(len(case.cues.beat))
    out[[first for first, _, _ in case.sections]] = 1.0
    return out


def score(cases: list[Case], odds: list[Doubles]) -> dict[str, float]:
    """Return F of phrase starts, precision and recall of bridges (exact start and length)."""
    counts = np.zeros(6)
    for case, song_odds in zip(cases, odds, strict=True):
        total, whole = len(song_odds), BARS_PER_PHRASE * case.beats_per_bar
        starts = decide(case, np.maximum(song_odds, evidence.LEAST_PHRASE_ODDS))
        heard = {(a, b - a) for a, b in zip(starts, [*starts[1:], total], strict=True)}
        true = {(first, count) for first, count, _ in case.sections if first + count <= total}
        for place, wanted in enumerate((True, False)):
            one = {part for part in heard if (part[1] == whole) == wanted and part[0] > 0}
            two = {part for part in true if (part[1] == whole) == wanted and part[0] > 0}
            one = {part for part in one if wanted or sum(part) < total}
            counts[3 * place : 3 * place + 3] += len(one & two), len(one), len(two)
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
    parser.add_argument("--songs", type=int, default=90)
    options = parser.parse_args()
    fonts = render.Fonts.load(options.fonts)
    cases = [make_case(options.first + number, fonts) for number in range(options.songs)]
    inputs = [inputs_of(case) for case in cases]
    weights = fit(inputs[::2], cases[::2])
    print(score(cases[1::2], [rows @ weights[1:] + weights[0] for rows in inputs[1::2]]))
    weights = fit(inputs, cases)
    print(dict(zip(("constant", *INPUTS), weights.round(2).tolist(), strict=True)))


if __name__ == "__main__":
    main()
