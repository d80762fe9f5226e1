"""What the network looks at: a mel spectrum and a semitone spectrum of the music.

The two share one clock. The mel spectrum is short in time and shows when something is
struck; the semitone spectrum is long and shows which notes sound, so that a change of
chord or bass note can be seen. Mel frame ``k`` is centred on sample ``220 k``,
semitone frame ``k`` on sample ``880 k``.

Audio may come in blocks of any size. Two hours of music then need no more memory than
their spectra, kept in half precision: about 70 MB an hour.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy import fft

from aquatempo.errors import InputError

__all__ = [
    "FRAMES_PER_SLOW_FRAME",
    "FRAME_RATE_HZ",
    "MEL_BANDS",
    "PITCHES",
    "SAMPLE_RATE_HZ",
    "SLOW_FRAME_RATE_HZ",
    "Features",
    "Floats",
    "extract",
    "log_mel",
]

Floats = npt.NDArray[np.float32]
Halves = npt.NDArray[np.float16]

SAMPLE_RATE_HZ = 22_050
HOP = 220
FRAMES_PER_SLOW_FRAME = 4
SLOW_HOP = HOP * FRAMES_PER_SLOW_FRAME
FRAME_RATE_HZ = SAMPLE_RATE_HZ / HOP
SLOW_FRAME_RATE_HZ = SAMPLE_RATE_HZ / SLOW_HOP
MEL_BANDS = 80
PITCHES = 64

_MEL_WINDOW = 1_024
_PITCH_WINDOW = 4_096
_MEL_RANGE_HZ = (30.0, 10_000.0)
_LOWEST_PITCH = 28  # MIDI number of the lowest string of a bass, 41.2 Hz
_SLOW_FRAMES_A_CHUNK = 256
_FULL_SCALE = 256.0  # puts full scale high in the range of half precision
_FLOOR = 0.005  # share of the mean power that is added before the logarithm
_ACTIVE = 1e-3  # a frame below this share of the mean power is taken as silence


@dataclass(frozen=True, slots=True, eq=False)
class Features:
    """Both spectra of one track, as amplitudes in half precision.

    mel: (frames, 80) at ``FRAME_RATE_HZ``, 30 to 10,000 Hz.
    pitch: (frames / 4, 64) at ``SLOW_FRAME_RATE_HZ``, semitones from MIDI number 28.
    mel_power, pitch_power: mean power of the frames that hold music, the reference
    that makes everything after it blind to the level of the file.
    """

    mel: Halves
    pitch: Halves
    mel_power: float
    pitch_power: float

    @property
    def frames(self) -> int:
        """Number of mel frames, always a multiple of four."""
        return len(self.mel)

    def log_mel(self, start: int, stop: int) -> Floats:
        """Return mel frames start to stop as log10(1 + power / (0.005 mean power))."""
        return _compress(self.mel[start:stop], self.mel_power)

    def log_pitch(self, start: int, stop: int) -> Floats:
        """Return semitone frames start to stop, compressed as ``log_mel`` is."""
        return _compress(self.pitch[start:stop], self.pitch_power)


def extract(samples: npt.NDArray[np.floating] | Iterable[npt.NDArray[np.floating]]) -> Features:
    """Return the spectra of mono audio at 22,050 Hz.

    samples: one array (n,) or an iterable of such blocks, in order; finite, full scale
    at 1. Memory grows with the spectra alone. Raises InputError where a block is not
    one-dimensional.

    >>> tone = np.sin(2 * np.pi * 440 / 22_050 * np.arange(22_050)).astype(np.float32)
    >>> features = extract([tone[:9_000], tone[9_000:]])
    >>> features.mel.shape, features.pitch.shape
    ((104, 80), (26, 64))
    >>> int(features.log_pitch(12, 13).argmax()) + 28  # A4 is MIDI number 69
    69
    """
    blocks = [samples] if isinstance(samples, np.ndarray) else samples
    mel_bytes, pitch_bytes = bytearray(), bytearray()  # grow without a second copy
    for part, slow_part in map(_spectra, _chunks(blocks)):
        mel_bytes += part.tobytes()
        pitch_bytes += slow_part.tobytes()
    mel = np.frombuffer(mel_bytes, np.float16).reshape(-1, MEL_BANDS)
    pitch = np.frombuffer(pitch_bytes, np.float16).reshape(-1, PITCHES)
    return Features(mel, pitch, _mean_power(mel), _mean_power(pitch))


def log_mel(samples: npt.NDArray[np.floating]) -> Floats:
    """Return the compressed mel spectrum (frames, 80) of mono audio at 22,050 Hz."""
    features = extract(samples)
    return features.log_mel(0, features.frames)


def _chunks(blocks: Iterable[npt.NDArray[np.floating]]) -> Iterator[Floats]:
    """Cut audio into overlapping chunks, each of a whole number of slow frames.

    The audio is taken to be silent before its start and after its end.
    """
    step = SLOW_HOP * _SLOW_FRAMES_A_CHUNK
    length = step + _PITCH_WINDOW - SLOW_HOP
    waiting = [np.zeros(_PITCH_WINDOW // 2, np.float32)]
    held, total, frames_done = _PITCH_WINDOW // 2, 0, 0
    for block in blocks:
        if block.ndim != 1:
            raise InputError(
                f"audio of shape {block.shape}: needs one dimension, mono samples "
                "(were the channels not mixed down?)"
            )
        waiting.append(np.asarray(block, np.float32))
        total += len(block)
        held += len(block)
        if held < length:
            continue
        joined = np.concatenate(waiting)
        while held >= length:
            start = len(joined) - held
            yield joined[start : start + length]
            frames_done += _SLOW_FRAMES_A_CHUNK
            held -= step
        waiting = [joined[len(joined) - held :]]
    frames_left = total // SLOW_HOP + 1 - frames_done
    pending = np.concatenate([*waiting, np.zeros(length, np.float32)])
    for first in range(0, frames_left, _SLOW_FRAMES_A_CHUNK):
        frames = min(_SLOW_FRAMES_A_CHUNK, frames_left - first)
        start = first * SLOW_HOP
        yield pending[start : start + (frames - 1) * SLOW_HOP + _PITCH_WINDOW]


def _spectra(chunk: Floats) -> tuple[Halves, Halves]:
    """Return mel and semitone amplitudes of one chunk."""
    slow_frames = (len(chunk) - _PITCH_WINDOW) // SLOW_HOP + 1
    frames = slow_frames * FRAMES_PER_SLOW_FRAME
    centred = chunk[(_PITCH_WINDOW - _MEL_WINDOW) // 2 :]
    mel = _amplitudes(centred, _MEL_WINDOW, HOP, frames, _mel_filters())
    pitch = _amplitudes(chunk, _PITCH_WINDOW, SLOW_HOP, slow_frames, _pitch_filters())
    return mel, pitch


def _amplitudes(samples: Floats, window: int, hop: int, frames: int, filters: Floats) -> Halves:
    """Return root of filtered power, (frames, bands), of frames that start ``hop`` apart."""
    framed = np.lib.stride_tricks.sliding_window_view(samples, window)[::hop][:frames]
    spectrum = fft.rfft(framed * _taper(window), axis=1)[:, : len(filters)]
    power = spectrum.real**2 + spectrum.imag**2
    amplitudes: Halves = np.sqrt(power @ filters).astype(np.float16)
    return amplitudes


@lru_cache
def _taper(window: int) -> Floats:
    """Return a Hann window whose spectrum of a full-scale sine peaks at ``_FULL_SCALE``."""
    taper = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(window) / window)
    scaled: Floats = (taper * (2 * _FULL_SCALE / taper.sum())).astype(np.float32)
    return scaled


@lru_cache
def _mel_filters() -> Floats:
    """Return triangles (bins, 80) equally wide on the scale 2595 log10(1 + f / 700 Hz)."""
    low, high = (2595 * np.log10(1 + np.array(_MEL_RANGE_HZ) / 700)).tolist()
    corners_hz = 700 * (10 ** (np.linspace(low, high, MEL_BANDS + 2) / 2595) - 1)
    return _triangles(corners_hz, _MEL_WINDOW)


@lru_cache
def _pitch_filters() -> Floats:
    """Return triangles (bins, 64) that reach from each semitone to its two neighbours."""
    numbers = _LOWEST_PITCH + np.arange(-1, PITCHES + 1)
    return _triangles(440 * 2 ** ((numbers - 69) / 12), _PITCH_WINDOW)


def _triangles(corners_hz: npt.NDArray[np.floating], window: int) -> Floats:
    """Return overlapping triangles, each at least one bin wide, cut off above the last."""
    bin_hz = SAMPLE_RATE_HZ / window
    bins_hz = np.arange(window // 2 + 1)[:, None] * bin_hz
    peak = corners_hz[1:-1]
    rise = np.maximum(peak - corners_hz[:-2], bin_hz)
    fall = np.maximum(corners_hz[2:] - peak, bin_hz)
    weights = np.minimum((bins_hz - peak + rise) / rise, (peak + fall - bins_hz) / fall)
    last = int(corners_hz[-1] / bin_hz) + 2
    return np.ascontiguousarray(np.clip(weights, 0, None)[:last].astype(np.float32))


def _mean_power(amplitudes: Halves) -> float:
    """Return the mean power of a band over the frames that are not silent, or 0."""
    by_frame = np.concatenate(
        [
            np.mean(np.square(part, dtype=np.float32), axis=1)
            for part in np.array_split(amplitudes, 1 + len(amplitudes) // 10_000)
        ]
    ).astype(np.float64)
    active = by_frame[by_frame > _ACTIVE * by_frame.mean()]
    return float(active.mean()) if len(active) else 0.0


def _compress(amplitudes: Halves, mean_power: float) -> Floats:
    """Return log10(1 + power / (0.005 mean power)); zeros where all is silent."""
    if mean_power == 0.0:
        return np.zeros(amplitudes.shape, np.float32)
    scale = np.float32(1 / np.sqrt(_FLOOR * mean_power))
    scaled = amplitudes.astype(np.float32) * scale
    np.log10(1 + np.square(scaled, out=scaled), out=scaled)
    return scaled
