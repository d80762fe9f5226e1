"""The learned front end: from spectra to beat, downbeat, phrase and tempo evidence.

A temporal convolution network in plain matrix products. Its layers are described in
docs/design/training.md; the same layers in a training library live in
``aquatempo.training.net``, and a test holds the two together. Weights are packaged
beside this module (docs/model_card.md says what they were trained on).
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import numpy as np
import numpy.typing as npt

from aquatempo.rhythm import features as spectra
from aquatempo.rhythm.features import Features, Floats

__all__ = [
    "OFFSET_S",
    "TEMPO_CLASSES_BPM",
    "Activations",
    "activations",
    "activations_of",
    "forward",
]

TEMPO_CLASSES_BPM: npt.NDArray[np.float64] = 55.0 * (220 / 55) ** (np.arange(49) / 48)
"""Centres of the tempo classes [beats/min]: 49 of equal ratio from 55 to 220."""

SLOW_FRAMES_A_ROW = 25
FAST_DILATIONS = (1, 2, 4, 8)
SLOW_CYCLE = 9  # slow blocks have dilations 1, 2, 4 ... 256, then 1 again
LAST_DILATIONS = (1, 2, 4)
PITCH_DILATION = 2
REGISTERS = 4  # groups of pitches: bass, low, middle, high
MEL_STRIDE = 5

OFFSET_S = -0.0002  # clicks are marked 1.2 ms late, drums 0.3 (medians): docs/model_card.md
_SILENCE = 1e-5  # share of the mean power of the music: 50 dB below it
_HALO = 1_400  # slow frames; more than the network sees to either side
_BLOCK = 328 * SLOW_FRAMES_A_ROW  # slow frames worked on at once, 5.5 minutes
_ROWS = 2_048  # rows of a convolution worked on at once, so that they stay in the cache


@dataclass(frozen=True, slots=True, eq=False)
class Activations:
    """What the network hears.

    beat, downbeat, phrase: probability, (frames,), that a beat, the first beat of a
    bar, count 1 of a phrase or bridge falls on each frame. Frame ``k`` stands for the
    time ``k / frame_rate_hz + offset_s``.
    tempo: (rows, 49) probability of each of ``TEMPO_CLASSES_BPM``, about one row a
    second (row ``j`` covers frames ``100 j`` to ``100 j + 99``).
    """

    beat: Floats
    downbeat: Floats
    phrase: Floats
    tempo: Floats
    frame_rate_hz: float = spectra.FRAME_RATE_HZ
    offset_s: float = OFFSET_S


def activations(
    samples: npt.NDArray[np.floating] | Iterable[npt.NDArray[np.floating]],
) -> Activations:
    """Return the evidence in mono audio at 22,050 Hz, one array or blocks in order.

    Shape of samples: (n,), of a block likewise.
    """
    return activations_of(spectra.extract(samples))


def activations_of(features: Features) -> Activations:
    """Return the evidence in the spectra of one track.

    Long tracks are worked on in blocks that overlap by more than the network sees, so
    that the answer does not depend on where the blocks meet.
    """
    weights = _weights()
    slow_frames = features.frames // spectra.FRAMES_PER_SLOW_FRAME
    heads, tempi = [], []
    for start in range(0, slow_frames, _BLOCK):
        stop = min(start + _BLOCK, slow_frames)
        first, last = max(0, start - _HALO), min(slow_frames, stop + _HALO)
        head, tempo = forward(
            weights,
            features.log_mel(4 * first, 4 * last),
            features.log_pitch(first, last),
        )
        heads.append(head[4 * (start - first) : 4 * (stop - first)])
        tempi.append(_tempo_rows(tempo[start - first : stop - first]))
    beat, downbeat, phrase = _sigmoid(np.concatenate(heads)).T * _sounding(features)
    return Activations(beat, downbeat, phrase, np.concatenate(tempi))


def forward(weights: Mapping[str, Floats], mel: Floats, pitch: Floats) -> tuple[Floats, Floats]:
    """Run the network: logits (frames, 3) of the heads and (frames / 4, 49) of the tempo.

    mel: (frames, 80) and pitch: (frames / 4, 64), compressed; weights by layer name.
    """
    x = _mel_front(weights, mel)
    for index, dilation in enumerate(FAST_DILATIONS):
        x = _block(weights, f"fast{index}", x, dilation)
    slow = _dense(weights, "down", x.reshape(len(pitch), -1))
    np.maximum(slow, 0, out=slow)
    slow += _pitch_front(weights, pitch)
    blocks = sum(name.startswith("slow") and name.endswith("conv.w") for name in weights)
    for index in range(blocks):
        slow = _block(weights, f"slow{index}", slow, 2 ** (index % SLOW_CYCLE))
    np.maximum(slow, 0, out=slow)
    x = x + _dense(weights, "up", slow).reshape(x.shape)
    for index, dilation in enumerate(LAST_DILATIONS):
        x = _block(weights, f"last{index}", x, dilation)
    return _dense(weights, "head", np.maximum(x, 0)), _dense(weights, "tempo", slow)


def _mel_front(weights: Mapping[str, Floats], mel: Floats) -> Floats:
    """Fold the mel bands: small patches of time and band first, then all bands at once."""
    patch = weights["patch.w"]
    bands = len(patch) // 3
    padded = np.pad(mel, ((1, 1), (0, 0)))
    windows = np.lib.stride_tricks.sliding_window_view(padded, (3, bands))[:, ::MEL_STRIDE]
    out = []
    for start in range(0, len(mel), _ROWS):
        rows = windows[start : start + _ROWS]
        patches = rows.reshape(len(rows) * rows.shape[1], -1) @ patch + weights["patch.b"]
        np.maximum(patches, 0, out=patches)
        folded = _dense(weights, "fold", patches.reshape(len(rows), -1))
        out.append(np.maximum(folded, 0, out=folded))
    return np.concatenate(out)


def _pitch_front(weights: Mapping[str, Floats], pitch: Floats) -> Floats:
    """Look for change in each semitone with the same filters, then sum up by register."""
    filters = weights["change.w"]
    reach = (len(filters) - 1) * PITCH_DILATION
    padded = np.pad(pitch, ((reach // 2, reach // 2), (0, 0)))
    windows = np.lib.stride_tricks.sliding_window_view(padded, reach + 1, axis=0)
    out = []
    for start in range(0, len(pitch), _ROWS):
        rows = windows[start : start + _ROWS, :, ::PITCH_DILATION]
        change = rows.reshape(-1, len(filters)) @ filters + weights["change.b"]
        np.maximum(change, 0, out=change)
        by_register = change.reshape(len(rows), REGISTERS, -1, filters.shape[1]).mean(axis=2)
        seen = np.concatenate(
            [by_register.reshape(len(rows), -1), pitch[start : start + _ROWS]], axis=1
        )
        merged = _dense(weights, "pitch", seen)
        out.append(np.maximum(merged, 0, out=merged))
    return np.concatenate(out)


def _block(weights: Mapping[str, Floats], name: str, x: Floats, dilation: int) -> Floats:
    """Add to x what a dilated convolution over time and a mixing of channels find."""
    kernel = weights[f"{name}.conv.w"]
    taps = len(kernel) // x.shape[1]
    reach = (taps - 1) * dilation
    padded = np.pad(x, ((reach // 2, reach // 2), (0, 0)))
    out = np.empty_like(x)
    for start in range(0, len(x), _ROWS):
        stop = min(start + _ROWS, len(x))
        shifted = [padded[start + lag : stop + lag] for lag in range(0, reach + 1, dilation)]
        hidden = np.concatenate(shifted, axis=1) @ kernel
        hidden += weights[f"{name}.conv.b"]
        np.maximum(hidden, 0, out=hidden)
        np.add(x[start:stop], _dense(weights, f"{name}.mix", hidden), out=out[start:stop])
    return out


def _sounding(features: Features) -> Floats:
    """Return 1 from the first to the last frame that is not silent, 0 around them.

    The network carries the beat on where nothing plays, also before the music.
    """
    power = np.einsum("fb,fb->f", features.mel, features.mel, dtype=np.float32)
    loud = np.flatnonzero(power > _SILENCE * spectra.MEL_BANDS * features.mel_power)
    sounding = np.zeros(features.frames, np.float32)
    if len(loud):
        sounding[loud[0] : loud[-1] + 1] = 1
    return sounding


def _dense(weights: Mapping[str, Floats], name: str, x: Floats) -> Floats:
    """Multiply the last axis by a layer's weights and add its bias."""
    out: Floats = x @ weights[f"{name}.w"]
    out += weights[f"{name}.b"]
    return out


def _sigmoid(logits: Floats) -> Floats:
    """Return probabilities of logits, safe for large ones."""
    return np.asarray(0.5 + 0.5 * np.tanh(0.5 * logits), np.float32)


def _tempo_rows(logits: Floats) -> Floats:
    """Return class probabilities of the mean logits of each stretch of about a second."""
    starts = np.arange(0, len(logits), SLOW_FRAMES_A_ROW)
    counts = np.diff(np.append(starts, len(logits)))
    rows = np.add.reduceat(logits, starts, axis=0) / counts[:, None]
    odds = np.exp(rows - rows.max(axis=1, keepdims=True))
    return np.asarray(odds / odds.sum(axis=1, keepdims=True), np.float32)


@lru_cache
def _weights() -> Mapping[str, Floats]:
    """Return the packaged weights by layer, as float32."""
    data = resources.files("aquatempo.rhythm").joinpath("data/network.npz").read_bytes()
    with np.load(io.BytesIO(data)) as stored:
        return {name: stored[name].astype(np.float32) for name in stored.files}
