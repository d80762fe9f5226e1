"""A small network over the beats of a mix: where phrases, bridges and the next song begin.

Its rows tell how much each beat is like those a loop earlier and later, in harmony, rhythm and
sound. Under a fade two songs sound at once, and only the pattern of what repeats over the counts
around tells where the new one began. Residual convolutions, dilated by ``DILATIONS``, see 128
counts to either side; ``aquatempo.training.joins`` trains the same layers.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.joins import rhythm_rows, rows_of, standard, unit
from aquatempo.rhythm.perbeat import BeatCues

__all__ = [
    "DILATIONS",
    "HEADS",
    "SIGNS",
    "clear_joins",
    "forward",
    "network_rows",
    "network_signs",
]

HEADS = ("net phrase", "net bridge", "net join")
"""What each beat is judged for: count 1 of a phrase, of a bridge, of the next song."""
SIGNS = (
    "phrase",
    "phrase peak",
    "cymbal level",
    "fill",
    "timbre 2",
    "timbre 8",
    "key",
    "low key",
    "tone",
    "sound breaks",
    "loop breaks",
    "new rhythm",
    "new harmony",
)
"""Names of the signs of ``aquatempo.rhythm.evidence`` that the network is shown."""
LAGS = (4, 8, 16, 24, 32, 48, 64, 96)  # beats over which likeness is told
AROUND = (16, 32)  # beats to either side that are compared, the beat between left out
DILATIONS = (1, 2, 4, 8, 16, 32)
ODDS_UNIT = 3.0  # nats: log-odds of the front end are shown in these
FAR = 6.0  # standard deviations at which rows are cut
SURE = 8.0  # nats at which the answers are cut
CLEAR = 1.5  # nats of a join that is heard for itself: 4 to 1
APART = 16  # counts between two joins, at least

Doubles = NDArray[np.float64]
Floats = NDArray[np.float32]


def network_signs(
    cues: BeatCues, signs: Mapping[str, Doubles], level: Doubles
) -> dict[str, Doubles]:
    """Return the log-odds of each of ``HEADS`` at each beat [nats], by name.

    signs: the ``SIGNS``; level: loudness, standardised within the recording. cues: at the beats.
    """
    heard = forward(_weights(), network_rows(cues, signs, level)).astype(np.float64)
    return dict(zip(HEADS, np.clip(heard, -SURE, SURE).T, strict=True))


def clear_joins(odds: Doubles) -> list[int]:
    """Return the beats of the joins that are heard for themselves, in order.

    odds [nats]: of "net join" at each beat. A join is the best of the counts to either side, and
    the first of equals.
    """
    found: list[int] = []
    for beat in np.flatnonzero(odds >= CLEAR).tolist():
        near = odds[max(beat - APART, 0) : beat + APART + 1]
        if odds[beat] == near.max() and (not found or beat - found[-1] > APART):
            found.append(beat)
    return found


def network_rows(cues: BeatCues, signs: Mapping[str, Doubles], level: Doubles) -> Floats:
    """Return what the network is shown, shape (beats, values).

    signs: the ``SIGNS``; level: loudness, standardised within the recording. cues: at the beats.
    """
    sound = standard(cues.timbre)
    columns = [signs[name] for name in SIGNS]
    columns += [odds / ODDS_UNIT for odds in (cues.phrase, cues.downbeat, cues.beat)]
    columns += [level, *np.clip(sound, -3, 3).T]
    for rows in (rows_of(cues), rhythm_rows(cues), unit(sound)):
        for lag in LAGS:
            alike = _alike(rows, lag)
            columns += [alike, _ahead(alike, lag)]
        columns += [_ahead(_alike(rows, 2 * beats), beats) for beats in AROUND]
    return np.array(columns, dtype=np.float32).T


def forward(weights: Mapping[str, Floats], rows: Floats) -> Floats:
    """Run the network: log-odds (beats, 3) of the ``HEADS`` [nats].

    rows: of ``network_rows``; weights: by layer, each kernel (taps, inputs, outputs).
    """
    shown = np.clip((rows - weights["mean"]) / weights["std"], -FAR, FAR)
    x = _relu(_convolved(shown, weights, "in", 1))
    for place, dilation in enumerate(DILATIONS):
        hidden = _relu(_convolved(_relu(x), weights, f"block{place}", dilation))
        x = x + _convolved(hidden, weights, f"mix{place}", 1)
    return _convolved(_relu(x), weights, "out", 1)


def _convolved(x: Floats, weights: Mapping[str, Floats], layer: str, dilation: int) -> Floats:
    """Return a convolution over the beats, as long as x, with silence beyond both ends."""
    kernel = weights[f"{layer}.w"]
    reach = dilation * (len(kernel) // 2)
    padded = np.pad(x, ((reach, reach), (0, 0)))
    out = np.tile(weights[f"{layer}.b"], (len(x), 1))
    for tap, matrix in enumerate(kernel):
        out += padded[tap * dilation : tap * dilation + len(x)] @ matrix
    return out


def _relu(x: Floats) -> Floats:
    return np.maximum(x, np.float32(0))


def _alike(rows: Doubles, lag: int) -> Doubles:
    """Return the likeness of each beat to the one ``lag`` earlier, 0 where there is none."""
    out = np.zeros(len(rows))
    if lag < len(rows):
        out[lag:] = (rows[lag:] * rows[:-lag]).sum(axis=1)
    return out


def _ahead(values: Doubles, beats: int) -> Doubles:
    """Return what stands so many beats later, 0 where there is nothing."""
    return np.append(values[beats:], np.zeros(min(beats, len(values))))


@cache
def _weights() -> Mapping[str, Floats]:
    """Return the packaged weights by layer, as float32."""
    data = resources.files("aquatempo.rhythm").joinpath("data/joins.npz").read_bytes()
    with np.load(io.BytesIO(data)) as stored:
        return {name: stored[name].astype(np.float32) for name in stored.files}
