"""The whole hearing of a track, from samples to the record that everything else uses."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError
from aquatempo.records.rhythm import BeatEvidence, RhythmAnalysis, TempoSection
from aquatempo.rhythm.assemble import energy_of, phrases_of
from aquatempo.rhythm.beats import log_odds
from aquatempo.rhythm.confidence import bar_confidence, measures_of, tempo_confidence
from aquatempo.rhythm.evidence import bar_odds, beat_worth, bridge_odds, phrase_odds
from aquatempo.rhythm.features import FRAME_RATE_HZ, SAMPLE_RATE_HZ
from aquatempo.rhythm.frames import CYMBALS, KICK, Frames, frames_of
from aquatempo.rhythm.grid import Stretch, stretches_of
from aquatempo.rhythm.levels import choose_level
from aquatempo.rhythm.lines import observe
from aquatempo.rhythm.perbeat import BeatCues, cues_of
from aquatempo.rhythm.phrases import Segmentation, segment

__all__ = [
    "analyse",
    "analyse_blocks",
    "analyse_frames",
]

Doubles = NDArray[np.float64]

SHORTEST_S = 2.0
STOP_S = 4.0  # a silence longer than this ends the count
STRUCK = 0.1  # of the usual rise in level on a beat: below it nothing is struck
WEAK, ABRUPT = 0.3, 3.0  # nor below this share, after a stroke so many times as strong
LEAST_BEATS = 8  # fewer are no beat
RING_OUT = 8  # beats
PLAYED = 0.4  # of the usual rise of kick or cymbals over a bar: below it the drums are out
LEAST_CLEAR = 0.25  # mean activation on the beats: noise and speech stay below
TRIPLE_PRIOR = 4.0  # nats against three beats a bar
STEADY_PERCENT = 0.3
SAME_TEMPO = 0.005  # relative: tempi nearer than this are one section
PASSES = 2  # over the phrases, each with the starts of the one before
SURE_S = 20.0  # a section shorter than this is less sure


def analyse(
    samples: NDArray[np.floating],
    sample_rate_hz: int,
    *,
    expect_bpm: tuple[float, float] | None = None,
) -> RhythmAnalysis:
    """Return beats, bars and phrases of mono samples (n,) at 22,050 Hz.

    expect_bpm: range in which the tempo is known to lie [beats/min]. Raises InputError
    for another sample rate or shape, or samples far above full scale, which is 1.
    """
    return analyse_blocks([samples], sample_rate_hz, expect_bpm=expect_bpm)


def analyse_blocks(
    blocks: Iterable[NDArray[np.floating]],
    sample_rate_hz: int,
    *,
    expect_bpm: tuple[float, float] | None = None,
) -> RhythmAnalysis:
    """Return what ``analyse`` returns, from samples in blocks of any size.

    Memory grows by about 70 MB an hour of music.
    """
    if sample_rate_hz != SAMPLE_RATE_HZ:
        raise InputError(
            f"samples at {sample_rate_hz} Hz: the analysis needs {SAMPLE_RATE_HZ} Hz "
            "(was the audio read without resampling?)"
        )
    return analyse_frames(frames_of(blocks), expect_bpm)


def analyse_frames(frames: Frames, expect_bpm: tuple[float, float] | None) -> RhythmAnalysis:
    """Return what ``analyse`` returns, from the signals of a track."""
    span_s = frames.sounding
    if span_s[1] - span_s[0] < SHORTEST_S:
        return _nothing(frames, "silence: nothing to count")
    odds = log_odds(frames.beat)
    level = choose_level(frames, odds, span_s, expect_bpm)
    observed = observe(frames.beat, level.beats, FRAME_RATE_HZ)

    def worth(times_s: Doubles) -> float:
        return beat_worth(cues_of(frames, times_s))

    stretches = stretches_of(observed, odds, frames.beat, span_s, worth)
    beats_s = _without_stops(_joined(stretches), frames)
    if len(beats_s) >= LEAST_BEATS:
        beats_s = _without_ring_out(beats_s, frames)
    if len(beats_s) < LEAST_BEATS:
        return _nothing(frames, "no beat found")
    cues = cues_of(frames, beats_s)
    bars, phrases, bridges = bar_odds(cues), phrase_odds(cues), bridge_odds(cues)
    found = _bars_and_phrases(bars, phrases, bridges)
    for _ in range(PASSES):
        phrases = phrase_odds(cues, found.phrases)
        found = segment(bars, phrases, bridges, found.beats_per_bar)
    inferred = _inferred(cues)
    energy = energy_of(cues.level)
    measures = measures_of(level, stretches, cues, bars, found)
    if measures["clear"] < LEAST_CLEAR:
        return _nothing(frames, "no beat found")
    sure_of_tempo = tempo_confidence(measures)
    sections = _sections(stretches, sure_of_tempo)
    tempo_bpm = max(sections, key=lambda s: s.end_s - s.start_s).tempo_bpm
    drift = _drift_percent(beats_s, inferred)
    return RhythmAnalysis(
        duration_s=round(frames.duration_s, 4),
        tempo_bpm=round(tempo_bpm, 3),
        tempo_confidence=round(sure_of_tempo, 4),
        confidence=round(min(sure_of_tempo, bar_confidence(measures)), 4),
        tempo_alternatives=level.alternatives(tempo_bpm),
        tempo_sections=sections,
        steady=len(sections) == 1 and drift <= STEADY_PERCENT,
        tempo_drift_percent=round(drift, 3),
        beats_per_bar=found.beats_per_bar,
        beats_s=tuple(round(float(t), 4) for t in beats_s),
        beats_inferred=tuple(bool(value) for value in inferred),
        downbeats_s=tuple(round(float(beats_s[i]), 4) for i in found.downbeats),
        phrases=phrases_of(found, beats_s, energy, inferred, frames.duration_s),
        evidence=BeatEvidence(
            _rounded(energy), _rounded(bars), _rounded(phrases), _rounded(bridges)
        ),
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


def _joined(stretches: list[Stretch]) -> Doubles:
    """Return all beats in order, none closer than half a beat to the one before."""
    if not stretches:
        return np.zeros(0)
    beats_s = np.maximum(np.concatenate([stretch.times_s for stretch in stretches]), 0.0)
    least_s = 0.5 * float(np.median(np.abs(np.diff(beats_s)))) if len(beats_s) > 1 else 0.0
    kept = [float(beats_s[0])]
    for time_s in beats_s[1:].tolist():
        if time_s > kept[-1] + least_s:
            kept.append(time_s)
    return np.array(kept)


def _without_stops(beats_s: Doubles, frames: Frames) -> Doubles:
    """Drop the beats inside long silences."""
    quiet = np.concatenate([[0], (frames.level_db < -50.0).astype(np.int8), [0]])
    edges = np.flatnonzero(np.diff(quiet)).reshape(-1, 2) / FRAME_RATE_HZ
    keep = np.ones(len(beats_s), bool)
    for start_s, end_s in edges:
        if end_s - start_s > STOP_S:
            keep &= ~((beats_s > start_s) & (beats_s < end_s - 0.03))
    return beats_s[keep]


def _without_ring_out(beats_s: Doubles, frames: Frames) -> Doubles:
    """Drop the beats in the ring-out of a last chord, where nothing is struck any more.

    More than RING_OUT beats without a stroke are no ring-out but a quiet end: they stay.
    """
    rise = np.zeros(len(frames.bands))
    rise[3:-2] = np.maximum(frames.bands[5:] - frames.bands[:-5], 0).mean(axis=1)
    at = np.round(beats_s * FRAME_RATE_HZ).astype(int)[:, None] + np.arange(-4, 5)
    struck = rise[np.clip(at, 0, len(rise) - 1)].max(axis=1)
    for share, drop in ((WEAK, ABRUPT), (STRUCK, 0.0)):
        last = int(np.flatnonzero(struck >= share * np.median(struck))[-1])
        tail = struck[last + 1 :]
        if 0 < len(tail) <= RING_OUT and struck[last] >= drop * tail.max():
            return beats_s[: last + 1]
    return beats_s


def _inferred(cues: BeatCues) -> NDArray[np.bool_]:
    """Mark beats in passages where the drums of the track are out."""
    played = np.zeros(len(cues.beat))
    for bands in (KICK, CYMBALS):
        rise = cues.busy[:, bands].mean(axis=1)
        around = np.convolve(np.pad(rise, 2, mode="edge"), np.full(5, 0.2), mode="valid")
        played = np.maximum(played, around / (np.median(rise) + 1e-9))
    return np.asarray(played < PLAYED)


def _bars_and_phrases(bars: Doubles, phrases: Doubles, bridges: Doubles) -> Segmentation:
    """Return the best segmentation in bars of four or three beats."""
    fours, threes = (segment(bars, phrases, bridges, size) for size in (4, 3))
    return threes if threes.score - TRIPLE_PRIOR > fours.score else fours


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


def _drift_percent(beats_s: Doubles, inferred: NDArray[np.bool_]) -> float:
    """Return the range of the tempo over eight beats, over its median [%]."""
    span = min(8, len(beats_s) - 1)
    local = span / (beats_s[span:] - beats_s[:-span])
    low, high = np.quantile(local, [0.02, 0.98])
    return float(100 * (high - low) / np.median(local))
