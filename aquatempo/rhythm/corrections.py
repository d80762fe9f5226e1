"""An instructor's corrections, applied to what was heard.

Pure: the same analysis and corrections give the same result, so they are applied anew to
every later analysis of the track, and never stored in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError, RangeError
from aquatempo.records.corrections import Corrections
from aquatempo.records.origin import Origin
from aquatempo.records.rhythm import BeatEvidence, PhraseKind, RhythmAnalysis, TempoSection
from aquatempo.rhythm.assemble import phrases_of
from aquatempo.rhythm.phrases import segment
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["apply_corrections"]

FACTORS = (0.5, 1.0, 2.0)
CERTAIN = 6.0  # log-odds of what was entered, where no evidence is at hand

Doubles = NDArray[np.float64]


def apply_corrections(analysis: RhythmAnalysis, corrections: Corrections) -> RhythmAnalysis:
    """Return the analysis with the corrections in force and bars and phrases decided anew.

    Raises InputError for a tempo factor other than 0.5, 1 and 2, for a bridge without
    counts, and RangeError for a time outside the beats.
    """
    if corrections.empty or analysis.tempo_bpm is None:
        return analysis
    if corrections.tempo_factor not in FACTORS:
        raise InputError(
            f"tempo factor {corrections.tempo_factor:g}: needs 0.5 (half), 1 or 2 (double)"
        )
    analysis = replace(analysis, evidence=_evidence(analysis))
    if corrections.tempo_factor == 2.0:
        analysis = _doubled(analysis)
    elif corrections.tempo_factor == 0.5:
        analysis = _halved(analysis)
    return _bars_anew(analysis, corrections)


def _evidence(analysis: RhythmAnalysis) -> BeatEvidence:
    """Return the evidence, made from the bars and phrases themselves where there is none."""
    if analysis.evidence is not None:
        return analysis.evidence
    beats_s = np.array(analysis.beats_s)
    bars = np.full(len(beats_s), -CERTAIN)
    bars[[int(np.abs(beats_s - time_s).argmin()) for time_s in analysis.downbeats_s]] = CERTAIN
    starts = np.full(len(beats_s), -CERTAIN)
    energy = np.zeros(len(beats_s))
    for phrase in analysis.phrases:
        energy[phrase.start_beat : phrase.start_beat + phrase.counts] = phrase.energy
        if phrase.start_beat < len(starts):
            starts[phrase.start_beat] = 2 * CERTAIN
    return BeatEvidence(_plain(energy), _plain(bars), _plain(starts), _plain(starts))


def _doubled(analysis: RhythmAnalysis) -> RhythmAnalysis:
    """Put a beat into the middle of every two; the new ones show nothing of a bar."""
    evidence = _evidence(analysis)
    beats_s = np.array(analysis.beats_s)
    between = (beats_s[1:] + beats_s[:-1]) / 2
    last_s = beats_s[-1] + (beats_s[-1] - beats_s[-2]) / 2
    between = np.append(between, last_s)
    whole = np.column_stack([beats_s, between]).ravel()
    inferred = np.repeat(np.array(analysis.beats_inferred), 2)
    nothing = np.full(len(beats_s), -CERTAIN / 2)
    if last_s >= analysis.duration_s:
        whole, inferred = whole[:-1], inferred[:-1]

    def woven(values: tuple[float, ...], others: Doubles) -> tuple[float, ...]:
        return _plain(np.column_stack([np.array(values), others]).ravel()[: len(whole)])

    evidence = BeatEvidence(
        energy=woven(evidence.energy, np.array(evidence.energy)),
        bar_odds=woven(evidence.bar_odds, nothing),
        phrase_odds=woven(evidence.phrase_odds, nothing),
        bridge_odds=woven(evidence.bridge_odds, nothing),
        splices=tuple(2 * beat for beat in evidence.splices),
    )
    return _at_level(analysis, 2.0, whole, inferred, evidence)


def _halved(analysis: RhythmAnalysis) -> RhythmAnalysis:
    """Keep every second beat: those that hold more of the count 1s."""
    evidence = _evidence(analysis)
    ones = np.searchsorted(np.array(analysis.beats_s), np.array(analysis.downbeats_s) - 0.01)
    first = int(2 * (ones % 2).sum() > len(ones))
    kept = slice(first, None, 2)
    evidence = BeatEvidence(
        evidence.energy[kept],
        evidence.bar_odds[kept],
        evidence.phrase_odds[kept],
        evidence.bridge_odds[kept],
        tuple((beat - first + 1) // 2 for beat in evidence.splices),
    )
    beats_s, inferred = np.array(analysis.beats_s)[kept], np.array(analysis.beats_inferred)[kept]
    return _at_level(analysis, 0.5, beats_s, inferred, evidence)


def _at_level(
    analysis: RhythmAnalysis,
    factor: float,
    beats_s: Doubles,
    inferred: NDArray[np.bool_],
    evidence: BeatEvidence,
) -> RhythmAnalysis:
    """Return the analysis with other beats, at a factor of its tempo."""
    sections = tuple(
        TempoSection(part.start_s, part.end_s, part.tempo_bpm * factor, part.confidence)
        for part in analysis.tempo_sections
    )
    return replace(
        analysis,
        tempo_bpm=(analysis.tempo_bpm or 0.0) * factor,
        tempo_confidence=1.0,
        tempo_sections=sections,
        beats_s=tuple(round(float(time_s), 4) for time_s in beats_s),
        beats_inferred=tuple(bool(value) for value in inferred),
        evidence=evidence,
    )


def _bars_anew(analysis: RhythmAnalysis, corrections: Corrections) -> RhythmAnalysis:
    evidence = _evidence(analysis)
    beats_s = np.array(analysis.beats_s)
    forced = _forced(beats_s, corrections)
    shift = corrections.shift_beats
    beats_per_bar = analysis.beats_per_bar or 4
    bars, starts, bridges = (
        np.roll(odds, shift)  # what falls off comes in at the other end
        for odds in (evidence.bar_odds, evidence.phrase_odds, evidence.bridge_odds)
    )
    found = segment(bars, starts, bridges, beats_per_bar, forced=forced, splices=evidence.splices)
    phrases = phrases_of(
        found,
        beats_s,
        np.array(evidence.energy),
        np.array(analysis.beats_inferred),
        analysis.duration_s,
    )
    marked = {_nearest(beats_s, mark.start_s) for mark in corrections.bridges}
    phrases = tuple(
        replace(phrase, kind=PhraseKind.BRIDGE) if phrase.start_beat in marked else phrase
        for phrase in phrases
    )
    settled = bool(shift or forced)
    return replace(
        analysis,
        confidence=1.0 if settled else analysis.confidence,
        tempo_confidence=1.0 if settled else analysis.tempo_confidence,
        downbeats_s=tuple(analysis.beats_s[beat] for beat in found.downbeats),
        phrases=phrases,
        origin=Origin.CORRECTED,
        evidence=BeatEvidence(
            evidence.energy, _plain(bars), _plain(starts), _plain(bridges), evidence.splices
        ),
    )


def _forced(beats_s: Doubles, corrections: Corrections) -> Mapping[int, bool]:
    """Return the beats that must, and must not, start a segment."""
    forced: dict[int, bool] = {}
    phrases = [_nearest(beats_s, time_s) for time_s in corrections.phrase_starts_s]
    for mark in corrections.bridges:
        if mark.counts < 1:
            raise InputError(f"a bridge of {mark.counts} counts: needs at least 1")
        first = _nearest(beats_s, mark.start_s)
        forced.update(dict.fromkeys(range(first + 1, first + mark.counts), False))
        forced[first] = True
        forced[first + mark.counts] = True
        phrases.append(first + mark.counts)
    # Where a person says that a phrase starts, it is a whole one, unless they say otherwise.
    for first in phrases:
        forced[first] = True
        for beat in range(first + 1, first + COUNTS_PER_PHRASE):
            forced.setdefault(beat, False)
    return {beat: wanted for beat, wanted in forced.items() if beat < len(beats_s)}


def _nearest(beats_s: Doubles, time_s: float) -> int:
    margin = float(np.median(np.diff(beats_s)))
    if not beats_s[0] - margin <= time_s <= beats_s[-1] + margin:
        raise RangeError(
            "time", time_s, "s", float(beats_s[0]), float(beats_s[-1]), "no beat is there"
        )
    return int(np.abs(beats_s - time_s).argmin())


def _plain(values: Doubles) -> tuple[float, ...]:
    return tuple(round(float(value), 3) for value in values)
