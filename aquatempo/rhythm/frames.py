"""Spectra to the few signals at frame rate that decoding needs.

Everything else of the audio is gone by now: about 50 bytes a frame stay.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError
from aquatempo.rhythm.features import (
    FRAME_RATE_HZ,
    MEL_BANDS,
    SAMPLE_RATE_HZ,
    Features,
    extract,
)
from aquatempo.rhythm.network import activations_of

__all__ = [
    "BANDS",
    "CYMBALS",
    "KICK",
    "SILENT_DB",
    "SNARE",
    "Frames",
    "frames_of",
    "from_features",
    "rises",
]

BAND_STARTS = (0, 3, 6, 10, 20, 30, 40, 50, 60, 70)  # groups of mel bands, finer at the bottom
BANDS = len(BAND_STARTS)
KICK, SNARE, CYMBALS = slice(0, 1), slice(3, 7), slice(8, 10)  # groups where each is strongest
CHUNK = 4096  # frames unpacked at a time
LOUDEST = 64.0  # times full scale: more is no audio in floats
SILENT_DB = -50.0  # below the loud passages of the track

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Frames:
    """Signals at ``FRAME_RATE_HZ``, one value or row a frame.

    beat, downbeat, phrase: activation, 0 to 1. tempo: probability of each tempo class, a
    row a second. level_db: loudness re the loud passages of the
    track. bands: compressed energy in ``BANDS`` groups of mel bands. features: the
    spectra, for what needs them per beat.
    """

    beat: Floats
    downbeat: Floats
    phrase: Floats
    tempo: Floats
    level_db: Floats
    bands: Floats
    features: Features
    duration_s: float

    def half_a_beat_later(self, beats: NDArray[np.int64]) -> Frames:
        """Return the signals with the front end's beats moved onto others, half a beat away.

        beats: frames that beats should be on. The front end's peak before each is heard there, so
        that everything that follows finds one and the same beat. Of count 1 it is not known which
        way it goes: it is heard half a beat later and half a beat earlier, half as likely. The
        shape of beats is (beats,).
        """
        at = np.arange(len(self.beat), dtype=np.float64)
        half = np.interp(at, beats[1:], np.diff(beats) / 2) if len(beats) > 1 else np.zeros(len(at))
        before, after = (
            np.clip(np.round(at + way * half), 0, len(at) - 1).astype(np.int64) for way in (-1, 1)
        )

        def either(heard: Floats) -> Floats:
            return np.asarray((heard[before] + heard[after]) / 2, np.float32)

        return replace(
            self,
            beat=self.beat[before],
            downbeat=either(self.downbeat),
            phrase=either(self.phrase),
        )

    @property
    def sounding(self) -> tuple[float, float]:
        """Start and end [s] of what can be heard; equal where nothing can."""
        heard = np.flatnonzero(self.level_db > SILENT_DB)
        if not len(heard):
            return 0.0, 0.0
        return float(heard[0] / FRAME_RATE_HZ), float((heard[-1] + 1) / FRAME_RATE_HZ)


def frames_of(blocks: Iterable[NDArray[np.floating]]) -> Frames:
    """Return the signals of mono samples at 22,050 Hz, given in blocks of any size."""
    counted = _CountedBlocks(blocks)
    features = extract(counted)
    return from_features(features, counted.samples / SAMPLE_RATE_HZ)


def from_features(features: Features, duration_s: float) -> Frames:
    """Return the signals of a track from its spectra.

    features: its spectra by frame; duration_s: of the track [s].
    """
    bands = np.empty((features.frames, BANDS), np.float32)
    sizes = np.diff((*BAND_STARTS, MEL_BANDS))
    power = np.empty(features.frames, np.float32)
    for start in range(0, features.frames, CHUNK):
        stop = min(start + CHUNK, features.frames)
        rows = features.log_mel(start, stop)
        bands[start:stop] = np.add.reduceat(rows, BAND_STARTS, axis=1) / sizes
        power[start:stop] = np.square(features.mel[start:stop], dtype=np.float32).sum(axis=1)
    loud = float(np.quantile(power, 0.95)) if len(power) else 0.0
    level_db = 10 * np.log10(power / (loud + 1e-12) + 1e-12) if loud > 0 else power - 120.0
    heard = activations_of(features)
    return Frames(
        heard.beat,
        heard.downbeat,
        heard.phrase,
        heard.tempo,
        level_db.astype(np.float32),
        bands,
        features,
        duration_s,
    )


class _CountedBlocks:
    """Blocks of samples, cleaned of values that are no numbers, and counted in passing."""

    def __init__(self, blocks: Iterable[NDArray[np.floating]]) -> None:
        self.blocks, self.samples = blocks, 0

    def __iter__(self) -> _CountedBlocks:
        self._source = iter(self.blocks)
        return self

    def __next__(self) -> Floats:
        block = np.asarray(next(self._source), dtype=np.float32)
        self.samples += len(block)
        clean = np.nan_to_num(block, nan=0.0, posinf=0.0, neginf=0.0)
        peak = float(np.abs(clean).max(initial=0.0))
        if peak > LOUDEST:
            raise InputError(
                f"samples up to {peak:.0f}: full scale is 1 (were integers not scaled to floats?)"
            )
        return clean


def rises(bands: Floats) -> Floats:
    """Return how fast some bands rise at each frame, of mean 1.

    bands: level, shape (frames, bands).
    """
    level = bands.mean(axis=1)
    rise = np.zeros(len(level), np.float32)
    rise[1:-1] = np.maximum(level[2:] - level[:-2], 0)
    return np.asarray(rise / (rise.mean() + 1e-6), np.float32)
