"""Fit which level of the beat is chosen, and show by cross-validation how often it is right.

    cd tests && python -m yardstick.fit_levels --set gm,groove,module,loop --uncut --drums 66
    cd tests && python -m yardstick.fit_levels --judge 30

Each track is counted in all the ways that the analysis compares; a conditional logistic model
of what speaks for each is fitted so that the true one is likeliest, held back towards the
weights of the version before. Unless told otherwise, every second track is also heard from a
random moment on, as a file that was cut, and each as if silence came before it: what sounds first
tells more there. Levels that are arguable and own drum loops (``yardstick.drums``) count three
tenths. Five folds; no songs of one game and no loops of one family lie in two. Prints the weights
of ``level`` in ``aquatempo/rhythm/data/weights.toml``. With ``--judge``: how often the packaged
weights are right on families of drum loops on which nothing is fitted.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from zlib import crc32

import numpy as np
import numpy.typing as npt
from scipy import optimize

from aquatempo.audio import load_mono
from aquatempo.rhythm import levels
from aquatempo.rhythm.features import FRAME_RATE_HZ, SAMPLE_RATE_HZ
from aquatempo.rhythm.frames import frames_of
from aquatempo.rhythm.weights import weights_of

from .calibrate import FOLDS, Samples, family
from .drums.judge import JUDGE
from .drums.patterns import FIT
from .drums.sound import song
from .layout import Truth, load_tracks

BEFORE = {
    "on": 0.35, "between": -0.26, "thirds": -1.87, "uneven by two": 0.11, "uneven by three": -0.35,
    "bars": 0.22, "tempo": 0.38, "far from usual": -4.9, "bass": -0.57, "middle": 0.73,
    "high": 2.19, "harmony": 2.03, "bass by two": 0.2, "middle by two": -3.17, "high by two": 2.68,
    "harmony by two": 1.1, "entry": 1.59, "entry at once": 1.3, "stroke at once": 0.19,
}  # fmt: skip
NAMES = tuple(weights_of("level"))
PULL = 1.0  # strength of the pull towards the weights before
WHOLE, CUT = 0.5, 0.4  # weights of a track (twice: at once and after silence), and cut
ARGUABLE = 0.3  # weight of a track whose level is arguable
DRUMS = 0.3  # weight of an own drum loop
ON_BEAT = 0.15  # of a beat: how far a count may be off

Doubles = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """A track: inputs (readings, names), which readings are right, its weight and fold."""

    name: str
    inputs: Doubles
    right: npt.NDArray[np.bool_]
    weight: float
    fold: int


def cases_of(tracks: Sequence[Truth], cuts: bool = True) -> Iterator[Case]:
    """Return the tracks whole, with silence before them, and with cuts every second one cut."""
    random = np.random.default_rng(5)
    for number, track in enumerate(tracks):
        samples = load_mono(track["audio"], SAMPLE_RATE_HZ).samples
        whole = case_of(track, samples, 0.0)
        if whole:
            yield replace(whole, weight=WHOLE * whole.weight)
            yield replace(whole, inputs=after_silence(whole.inputs), weight=WHOLE * whole.weight)
        if cuts and number % 2 == 0:
            cut_s = float(random.uniform(3, 28))
            part = case_of(track, samples[round(cut_s * SAMPLE_RATE_HZ) :], cut_s)
            if part:
                yield replace(part, name=f"{part.name} cut", weight=CUT * part.weight)


def drum_cases(families: Sequence[str], songs: int) -> Iterator[Case]:
    """Return so many drum loops of each family."""
    for name in families:
        for seed in range(songs):
            samples, beats_s, _ = song(name, seed)
            track = {"set": "drums", "id": f"{name}_{seed}", "beats_s": beats_s.tolist()}
            if len(beats_s) > 2 and (found := case_of(track, samples, 0.0)):
                yield replace(found, weight=DRUMS)


def judge(songs: int) -> None:
    """Print how often the packaged weights are right on the families to judge by."""
    weights = np.array(list(weights_of("level").values()))
    for name in JUDGE:
        right = [is_right(case, weights) for case in drum_cases([name], songs)]
        print(f"{name:10} {sum(right)} of {songs}", flush=True)


def after_silence(inputs: Doubles) -> Doubles:
    """Return inputs as they would be with silence before the first sound."""
    silent = inputs.copy()
    at_once, entry = NAMES.index("entry at once"), NAMES.index("entry")
    silent[:, entry] += silent[:, at_once]
    silent[:, [at_once, NAMES.index("stroke at once")]] = 0.0
    return silent


def case_of(track: Truth, samples: Samples, cut_s: float) -> Case | None:
    """Return a track from a time on counted in all ways; None where none of them is right."""
    found = levels.readings_in(frames_of([samples]))
    beats_s = np.array(track["beats_s"]) - cut_s
    beats_s = beats_s[beats_s > 0]
    period_s = float(np.median(np.diff(beats_s)))
    right = []
    for reading in found.readings:
        times_s = (reading.frames + found.first) / FRAME_RATE_HZ
        times_s = times_s[(times_s > beats_s[0]) & (times_s < beats_s[-1])]
        after = np.clip(np.searchsorted(beats_s, times_s), 1, len(beats_s) - 1)
        share = (times_s - beats_s[after - 1]) / (beats_s[after] - beats_s[after - 1])
        near = np.abs(share - np.round(share)) < ON_BEAT
        same = abs(reading.tempo_bpm * period_s / 60 - 1) < 0.04
        right.append(bool(same and near.mean() > 0.6))
    name = f"{track['set']}/{track['id']}"
    if not any(right):
        print(f"no reading of {name} is right")
        return None
    inputs = np.array([[values[name] for name in NAMES] for values in found.inputs])
    weight = ARGUABLE if track.get("level_arguable") else 1.0
    return Case(name, inputs, np.array(right), weight, crc32(family(track).encode()) % FOLDS)


def fitted(cases: Sequence[Case], scale: Doubles) -> Doubles:
    """Return the weights that make the true readings likeliest."""
    usual = np.array([BEFORE.get(name, 0.0) for name in NAMES])

    def loss(weights: Doubles) -> tuple[float, Doubles]:
        away = (weights - usual) * scale
        total, slope = 0.5 * PULL * float(away @ away), PULL * away * scale
        for case in cases:
            worth = case.inputs @ weights
            every = np.logaddexp.reduce(worth)
            true = np.logaddexp.reduce(worth[case.right])
            chance = np.exp(worth - every)
            wanted = np.where(case.right, np.exp(worth - true), 0.0)
            total += case.weight * float(every - true)
            slope += case.weight * (case.inputs.T @ (chance - wanted))
        return total, slope

    return np.asarray(optimize.minimize(loss, usual, jac=True, method="L-BFGS-B").x)


def is_right(case: Case, weights: Doubles) -> bool:
    """Tell whether weights choose a right reading."""
    return bool(case.right[int((case.inputs @ weights).argmax())])


def main() -> None:
    """Hear, fit, and print weights and how often the level is right."""
    parser = argparse.ArgumentParser(description="Fit the choice of the metrical level.")
    parser.add_argument("--set", default="gm,groove,module,loop,lmms")
    parser.add_argument("--uncut", action="store_true", help="no track is heard cut")
    parser.add_argument("--drums", type=int, default=0, help="so many drum loops of each family")
    parser.add_argument(
        "--judge", type=int, default=0, help="only judge, on so many of each family"
    )
    options = parser.parse_args()
    if options.judge:
        judge(options.judge)
        return
    tracks = load_tracks(tuple(options.set.split(",")))
    known = [track for track in tracks if track.get("beat_trust") != "tempo only"]
    cases = list(cases_of(known, not options.uncut)) + list(drum_cases(list(FIT), options.drums))
    scale = np.concatenate([case.inputs for case in cases]).std(axis=0)
    crossed: dict[str, bool] = {}
    for fold in range(FOLDS):
        weights = fitted([case for case in cases if case.fold != fold], scale)
        crossed |= {case.name: is_right(case, weights) for case in cases if case.fold == fold}
    clear = [crossed[case.name] for case in cases if case.weight == WHOLE]
    every = np.mean(list(crossed.values()))
    print(f"right, cross-validated: {every:.3f} of {len(crossed)} tracks and cut tracks")
    print(f"{np.mean(clear):.3f} of the {len(clear)} whose level is clear")
    print("wrong:", *(name for name, right in crossed.items() if not right))
    weights = fitted(cases, scale).round(2).tolist()
    print("[level]", *map("{!r} = {}".format, NAMES, weights), sep="\n")


if __name__ == "__main__":
    main()
