"""The whole hearing of a track, from samples to the record that everything else uses."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError
from aquatempo.records.rhythm import BeatEvidence, RhythmAnalysis, TempoSection
from aquatempo.records.steadiness import STEADY_PERCENT, drift_percent
from aquatempo.rhythm.assemble import energy_of, phrases_of
from aquatempo.rhythm.confidence import bar_confidence, tempo_confidence
from aquatempo.rhythm.evidence import MIX
from aquatempo.rhythm.features import SAMPLE_RATE_HZ
from aquatempo.rhythm.frames import CYMBALS, KICK, Frames, frames_of
from aquatempo.rhythm.grid import Stretch
from aquatempo.rhythm.hearing import hear
from aquatempo.rhythm.perbeat import BeatCues

__all__ = [
    "analyse",
    "analyse_blocks",
    "analyse_frames",
]

Doubles = NDArray[np.float64]

SHORTEST_S = 2.0
PLAYED = 0.4  # of the usual rise of kick or cymbals over a bar: below it the drums are out
LEAST_CLEAR = 0.25  # mean activation on the beats: noise and speech stay below
SAME_TEMPO = 0.005  # relative: tempi nearer than this are one section
SURE_S = 20.0  # a section shorter than this is less sure


def analyse(
    samples: NDArray[np.floating],
    sample_rate_hz: int,
    *,
    expect_bpm: tuple[float, float] | None = None,
) -> RhythmAnalysis:
    """Return beats, bars and phrases of mono samples (n,) at 22,050 Hz.

    expect_bpm: range in which the tempo is known to lie [beats/min]. Raises InputError for another
    sample rate or shape, or samples far above full scale, which is 1. sample_rate_hz: 22,050.
    """
    return analyse_blocks([samples], sample_rate_hz, expect_bpm=expect_bpm)


def analyse_blocks(
    blocks: Iterable[NDArray[np.floating]],
    sample_rate_hz: int,
    *,
    expect_bpm: tuple[float, float] | None = None,
) -> RhythmAnalysis:
    """Return what ``analyse`` returns, from samples in blocks of any size.

    Memory grows by about 70 MB an hour of music. sample_rate_hz, expect_bpm: as there.
    """
    if sample_rate_hz != SAMPLE_RATE_HZ:
        raise InputError(
            f"samples at {sample_rate_hz} Hz: the analysis needs {SAMPLE_RATE_HZ} Hz "
            "(was the audio read without resampling?)"
        )
    return analyse_frames(frames_of(blocks), expect_bpm)


def analyse_frames(frames: Frames, expect_bpm: tuple[float, float] | None) -> RhythmAnalysis:
    """Return what ``analyse`` returns, from the signals of a track.

    frames: those signals; expect_bpm: as in ``analyse`` [beats/min].
    """
    span_s = frames.sounding
    if span_s[1] - span_s[0] < SHORTEST_S:
        return _nothing(frames, "silence: nothing to count")
    heard = hear(frames, expect_bpm)
    if heard is None or heard.measures["clear"] < LEAST_CLEAR:
        return _nothing(frames, "no beat found")
    beats_s, found, measures = heard.beats_s, heard.found, heard.measures
    inferred = _inferred(heard.cues)
    energy = energy_of(heard.cues.level)
    sure_of_tempo = tempo_confidence(measures)
    sections = _sections(heard.stretches, sure_of_tempo)
    tempo_bpm = max(sections, key=lambda s: s.end_s - s.start_s).tempo_bpm
    drift = drift_percent(beats_s.tolist())
    return RhythmAnalysis(
        duration_s=round(frames.duration_s, 4),
        tempo_bpm=round(tempo_bpm, 3),
        tempo_confidence=round(sure_of_tempo, 4),
        confidence=round(min(sure_of_tempo, bar_confidence(measures)), 4),
        tempo_alternatives=heard.level.alternatives(tempo_bpm),
        tempo_sections=sections,
        steady=len(sections) == 1 and drift <= STEADY_PERCENT,
        tempo_drift_percent=round(drift, 3),
        beats_per_bar=found.beats_per_bar,
        beats_s=tuple(round(float(t), 4) for t in beats_s),
        beats_inferred=tuple(bool(value) for value in inferred),
        downbeats_s=tuple(round(float(beats_s[i]), 4) for i in found.downbeats),
        phrases=phrases_of(found, beats_s, energy, inferred, frames.duration_s),
        notes=_unexpected(tempo_bpm, expect_bpm) if expect_bpm and heard.level.missed else (),
        evidence=BeatEvidence(
            _rounded(energy),
            _rounded(heard.bars),
            _rounded(heard.phrases),
            _rounded(heard.bridges),
            tuple(heard.splices),
            _rounded(heard.ends),
            heard.kind == MIX,
        ),
    )


def _unexpected(tempo_bpm: float, expect_bpm: tuple[float, float]) -> tuple[str, ...]:
    """Tell that no level lies in the range expected."""
    low_bpm, high_bpm = expect_bpm
    return (
        f"expected {low_bpm:g} to {high_bpm:g} bpm: {tempo_bpm:.1f} is heard, and neither half "
        f"({tempo_bpm / 2:.1f}) nor double ({tempo_bpm * 2:.1f}) lies in that range",
    )


def _nothing(frames: Frames, note: str) -> RhythmAnalysis:
    return RhythmAnalysis(
        duration_s=round(frames.duration_s, 4),
        tempo_bpm=None,
        tempo_confidence=0.0,
        confidence=0.0,
        tempo_alternatives=(),
        tempo_sections=(),
        steady=False,
        tempo_drift_percent=0.0,
        beats_per_bar=None,
        beats_s=(),
        beats_inferred=(),
        downbeats_s=(),
        phrases=(),
        notes=(note,),
    )


def _rounded(values: Doubles) -> tuple[float, ...]:
    return tuple(round(float(value), 3) for value in values)


def _inferred(cues: BeatCues) -> NDArray[np.bool_]:
    """Mark beats in passages where the drums of the track are out."""
    played = np.zeros(len(cues.beat))
    for bands in (KICK, CYMBALS):
        rise = cues.busy[:, bands].mean(axis=1)
        around = np.convolve(np.pad(rise, 2, mode="edge"), np.full(5, 0.2), mode="valid")
        played = np.maximum(played, around / (np.median(rise) + 1e-9))
    return np.asarray(played < PLAYED)


def _sections(stretches: list[Stretch], confidence: float) -> tuple[TempoSection, ...]:
    """Return tempo sections that follow each other; neighbours of equal tempo are one.

    A short section is less sure than the track as a whole.
    """
    joined: list[tuple[float, float, float]] = []
    for stretch in stretches:
        start_s, tempo_bpm = max(float(stretch.times_s[0]), 0.0), stretch.tempo_bpm
        end_s = float(stretch.times_s[-1]) + 60 / tempo_bpm
        if joined and abs(joined[-1][2] / tempo_bpm - 1) < SAME_TEMPO:
            start_s, _, tempo_bpm = joined.pop()
        elif joined:
            joined[-1] = (joined[-1][0], start_s, joined[-1][2])
        joined.append((start_s, end_s, tempo_bpm))
    return tuple(
        TempoSection(
            round(start_s, 4),
            round(end_s, 4),
            round(tempo_bpm, 3),
            round(confidence * min(1.0, (end_s - start_s) / SURE_S), 4),
        )
        for start_s, end_s, tempo_bpm in joined
    )
