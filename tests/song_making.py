"""Invented songs as files with beats known to the sample, and classes made of them."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate, pairwise
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray
from scipy.signal import butter, find_peaks, sosfiltfilt
from scipy.signal.windows import hann

from aquatempo.moves import catalogue
from aquatempo.records.people import Group, Pool
from aquatempo.records.plan import Brief, ClassPlan, PlannedTrack
from aquatempo.records.rhythm import EnergyLevel, Phrase, PhraseKind, RhythmAnalysis
from aquatempo.records.track import Track
from aquatempo.workflow.cueing import fill_track

__all__ = ["FORM", "RATE_HZ", "make_class", "make_planned", "make_song", "onsets_s"]

RATE_HZ = 44_100
FORM = (32, 8, 32)  # a phrase, a bridge, a phrase
AFTER = 6  # beats played on after the last phrase
Samples = NDArray[np.float32]


def make_song(path: Path, tempo_bpm: float, first_s: float = 0.31) -> Track:
    """Write a stereo file of drums on each beat over a held low note; return it as heard."""
    period_s = 60.0 / tempo_bpm
    beats_s = tuple(first_s + period_s * beat for beat in range(sum(FORM) + AFTER))
    duration_s = beats_s[-1] + 0.4
    time_s = np.arange(round(duration_s * RATE_HZ)) / RATE_HZ
    samples = 0.25 * np.sin(2 * np.pi * 165 * time_s)
    generator = np.random.default_rng(12)
    for beat_s in beats_s:
        start = round(beat_s * RATE_HZ)
        drum = 0.4 * generator.standard_normal(4000) * np.exp(-np.arange(4000) / 600)
        samples[start : start + 4000] += drum[: len(samples) - start]
    stereo = np.stack((samples, 0.8 * samples), axis=1)
    soundfile.write(path, stereo, RATE_HZ, subtype="PCM_16")
    phrases = tuple(
        Phrase(
            beats_s[first],
            beats_s[last],
            first,
            last - first,
            PhraseKind.PHRASE if last - first == 32 else PhraseKind.BRIDGE,
            0.5,
            EnergyLevel.MEDIUM,
        )
        for first, last in pairwise(accumulate(FORM, initial=0))
    )
    analysis = RhythmAnalysis(
        duration_s=len(samples) / RATE_HZ,
        tempo_bpm=tempo_bpm,
        tempo_confidence=1.0,
        confidence=1.0,
        tempo_alternatives=(),
        tempo_sections=(),
        steady=True,
        tempo_drift_percent=0.0,
        beats_per_bar=4,
        beats_s=beats_s,
        beats_inferred=(False,) * len(beats_s),
        downbeats_s=beats_s[::4],
        phrases=phrases,
    )
    return Track(str(path), path.stem.replace("_", " "), analysis)


def make_planned(track: Track, speed: float = 1.0) -> PlannedTrack:
    """Return a track with knee lifts and jacks in its phrases, played at a speed."""
    planned = fill_track(track, ["knee lift", "jack"], catalogue(), Pool(), Group())
    return replace(planned, speed=speed, analysis=track.analysis)


def make_class(*tracks: PlannedTrack, language: str = "en") -> ClassPlan:
    """Return the class of an invented group at the Lindenbad."""
    brief = Brief(title="Tuesday group at the Lindenbad", language=language)
    return ClassPlan(brief=brief, tracks=tracks)


def onsets_s(samples: Samples, rate_hz: int, least: float = 0.3) -> NDArray[np.float64]:
    """Return onsets [s] by a detector of its own: rises of short-time energy above 700 Hz.

    least: share of the steepest rise that counts as an onset.
    """
    high = sosfiltfilt(butter(4, 700, "highpass", fs=rate_hz, output="sos"), samples)
    window = hann(round(0.003 * rate_hz))
    energy = np.convolve(np.square(high), window / window.sum(), mode="same")
    rise = np.maximum(np.diff(np.sqrt(energy)), 0)
    peaks, _ = find_peaks(rise, height=least * rise.max(), distance=round(0.2 * rate_hz))
    return np.asarray(peaks / rate_hz, dtype=np.float64)
