"""Fit how sure an analysis may be, and show by cross-validation how well that holds.

    cd tests && python -m yardstick.calibrate --set recorded,midi,tracker,scaled

Each track is heard as it is and, every second one, drowned in noise; noises, clicks at odd
times, syllables and pads without a beat are heard too. A track is right when its tempo is
within 4 % and its downbeat F above 0.9. Five folds; no song with its copies in noise and at
other tempi, and no songs of one game, lie in two of them. Prints the weights of
``aquatempo/rhythm/data/weights.toml``.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from zlib import crc32

import numpy as np
import numpy.typing as npt
from scipy import optimize, signal

from aquatempo.audio import load_mono
from aquatempo.rhythm.features import SAMPLE_RATE_HZ
from aquatempo.rhythm.frames import frames_of
from aquatempo.rhythm.hearing import hear
from aquatempo.rhythm.weights import weights_of

from .layout import Truth, load_tracks
from .tables import scored

FOLDS = 5
LONGEST_S = 100.0  # of a track in noise
SHRINK = 2.0  # strength of the pull of weights towards 0
BANDS = (0.0, 0.1, 0.4, 0.7, 0.9, 0.97, 1.0)
TEMPO_NAMES, BAR_NAMES = (
    tuple(name for name in weights_of(table) if name != "constant")
    for table in ("tempo confidence", "confidence")
)

Samples = npt.NDArray[np.float32]
Doubles = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """One hearing: where from, its measures, whether tempo, and tempo and bars, are right."""

    kind: str
    fold: int
    measures: dict[str, float]
    tempo_right: bool
    right: bool


def cases_of(tracks: Sequence[Truth]) -> Iterator[Case]:
    """Return the tracks as they are, every second one in noise, and sounds without a beat."""
    for number, track in enumerate(tracks):
        mono = load_mono(track["audio"], SAMPLE_RATE_HZ).samples
        yield from judged(track, mono, track["set"])
        if number % 2 == 0:
            yield from judged(track, drowned(mono, number), f"{track['set']} in noise")
    for number, sound in enumerate(beatless()):
        heard = hear(frames_of([sound]))
        if heard is not None:
            yield Case("no beat", number % FOLDS, heard.measures, False, False)


def judged(track: Truth, samples: Samples, kind: str) -> Iterator[Case]:
    """Return the hearing of a track whose bars are known, if there is any."""
    heard = hear(frames_of([samples]))
    truth = until(track, len(samples) / SAMPLE_RATE_HZ)
    if heard is None or len(truth["downbeats_s"]) < 5 or track.get("beat_trust") == "tempo only":
        return
    longest = max(heard.stretches, key=lambda stretch: len(stretch.times_s))
    answer = {
        "tempo_bpm": longest.tempo_bpm,
        "beats_s": heard.beats_s.tolist(),
        "downbeats_s": heard.beats_s[list(heard.found.downbeats)].tolist(),
    }
    score = scored(truth, answer).score
    right = bool(score.tempo_near and (score.downbeat_f or 0) > 0.9)
    fold = crc32(family(track).encode()) % FOLDS
    yield Case(kind, fold, heard.measures, bool(score.tempo_near), right)


def until(track: Truth, end_s: float) -> Truth:
    """Return the truth of a track that is cut off, without phrases."""
    known = {
        name: [time_s for time_s in track.get(name) or () if time_s < end_s]
        for name in ("beats_s", "downbeats_s")
    }
    return {**track, **known, "phrases": None}


def family(track: Truth) -> str:
    """Return what tracks have in common that must not be split: song or game, by their names."""
    return str(track["id"]).lower().split("_")[0].rstrip("0123456789")


def drowned(samples: Samples, seed: int) -> Samples:
    """Return the beginning of a track in noise of some colour, 6 dB below it to 16 dB above."""
    random = np.random.default_rng(seed)
    part = samples[: round(LONGEST_S * SAMPLE_RATE_HZ)].astype(np.float64)
    noise = random.standard_normal(len(part))
    noise = signal.lfilter(*signal.butter(1, random.uniform(300, 5000), fs=SAMPLE_RATE_HZ), noise)
    level = np.sqrt(np.mean(part**2)) / noise.std() * 10 ** (random.uniform(-6, 16) / 20)
    mixed = part + level * noise
    if random.random() < 0.5:
        low = signal.butter(3, random.uniform(800, 6000), fs=SAMPLE_RATE_HZ)
        mixed = signal.lfilter(*low, mixed)
    return np.asarray(mixed / np.abs(mixed).max(), dtype=np.float32)


def beatless() -> Iterator[Samples]:
    """Return sounds that have no beat: noise, clicks at odd times, syllables, pads."""
    random = np.random.default_rng(3)
    count = 40 * SAMPLE_RATE_HZ
    time_s = np.arange(count) / SAMPLE_RATE_HZ
    for _ in range(6):
        yield np.asarray(0.1 * random.standard_normal(count), dtype=np.float32)
        clicks = np.zeros(count)
        clicks[random.choice(count, 110, replace=False)] = 1.0
        stroke = np.exp(-np.arange(600) / 90) * np.sin(0.4 * np.arange(600))
        yield np.asarray(signal.fftconvolve(clicks, stroke)[:count], dtype=np.float32)
        speech, at = 0.001 * random.standard_normal(count), 0
        while at < count - SAMPLE_RATE_HZ:
            size = int(random.uniform(0.08, 0.35) * SAMPLE_RATE_HZ)
            voice = signal.sawtooth(2 * np.pi * random.uniform(90, 220) * time_s[:size])
            band = (random.uniform(200, 600), random.uniform(1200, 3500))
            formed = signal.lfilter(*signal.butter(2, band, "band", fs=SAMPLE_RATE_HZ), voice)
            speech[at : at + size] += np.hanning(size) * formed
            at += size + int(random.exponential(0.08) * SAMPLE_RATE_HZ)
        yield speech.astype(np.float32)
        pad = np.zeros(count)
        for pitch_hz in random.uniform(100, 900, 8):
            swell = 1 + np.sin(2 * np.pi * random.uniform(0.02, 0.09) * time_s)
            pad += 0.03 * swell * np.sin(2 * np.pi * pitch_hz * time_s)
        yield pad.astype(np.float32)


def fitted(rows: Doubles, right: npt.NDArray[np.bool_]) -> Doubles:
    """Return constant and weights of a logistic regression."""
    inputs = np.column_stack([np.ones(len(rows)), rows])

    def loss(weights: Doubles) -> tuple[float, Doubles]:
        odds = inputs @ weights
        wrong = 1 / (1 + np.exp(-odds)) - right
        pull = SHRINK * np.append(0.0, weights[1:])
        value = np.logaddexp(0, odds).sum() - odds @ right + 0.5 * pull @ weights
        return float(value), inputs.T @ wrong + pull

    return np.asarray(optimize.minimize(loss, np.zeros(inputs.shape[1]), jac=True).x)


def crossed(cases: Sequence[Case], names: Sequence[str], right: Sequence[bool]) -> Doubles:
    """Print the weights; return the probability of each case by the weights of other folds."""
    rows = np.array([[case.measures[name] for name in names] for case in cases])
    truth, folds = np.array(right), np.array([case.fold for case in cases])
    weights = fitted(rows, truth).round(2).tolist()
    print(dict(zip(("constant", *names), weights, strict=True)))
    odds = np.empty(len(cases))
    for fold in range(FOLDS):
        inside = folds == fold
        part = fitted(rows[~inside], truth[~inside])
        odds[inside] = part[0] + rows[inside] @ part[1:]
    return np.asarray(1 / (1 + np.exp(-odds)))


def main() -> None:
    """Hear, fit, and print weights and the curve."""
    parser = argparse.ArgumentParser(description="Fit and check the confidence of analyses.")
    parser.add_argument("--set", default="recorded,midi,tracker,scaled")
    options = parser.parse_args()
    cases = list(cases_of(load_tracks(tuple(options.set.split(",")))))
    tempo = crossed(cases, TEMPO_NAMES, [case.tempo_right for case in cases])
    bars = crossed(cases, BAR_NAMES, [case.right for case in cases])
    sure, right = np.minimum(tempo, bars), np.array([case.right for case in cases])
    print("\n| confidence | cases | mean confidence | right |\n|---|---|---|---|")
    for low, high in zip(BANDS[-2::-1], BANDS[:0:-1], strict=True):
        inside = (sure >= low) & (sure < high)
        if inside.any():
            share = f"{sure[inside].mean():.2f} | {100 * right[inside].mean():.0f} %"
            print(f"| {low:g} to {high:g} | {inside.sum()} | {share} |")
    print("\n| kind | cases | reach 0.9 | of these right |\n|---|---|---|---|")
    kinds = np.array([case.kind for case in cases])
    for kind in (*dict.fromkeys(kinds.tolist()), ""):
        of_kind = (kinds == kind) | (kind == "")
        high_up = of_kind & (sure >= 0.9)
        good = f"{100 * right[high_up].mean():.0f} %" if high_up.any() else "-"
        share = f"{100 * high_up.sum() / of_kind.sum():.0f} % | {good}"
        print(f"| {kind or 'all'} | {of_kind.sum()} | {share} |")


if __name__ == "__main__":
    main()
