"""An instructor's corrections, applied to what was heard.

Pure: the same analysis and corrections give the same result, so they are applied anew to
every later analysis of the track, and never stored in it. Levels come first, then stretches
without a count, then count 1, then borders of phrases and bridges.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError, RangeError
from aquatempo.records.corrections import Corrections, CountOneMark, TempoMark
from aquatempo.records.origin import Origin
from aquatempo.records.rhythm import BeatEvidence, PhraseKind, RhythmAnalysis, TempoSection
from aquatempo.records.steadiness import STEADY_PERCENT, drift_percent
from aquatempo.rhythm.assemble import phrases_of
from aquatempo.rhythm.phrases import Segmentation, segment
from aquatempo.rhythm.recounting import Counted, at_level, level_for, without
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["apply_corrections"]

CERTAIN = 6.0  # log-odds of what was entered, where no evidence is at hand
AT_MOST = 0.98  # how sure of count 1 one can be by ear alone (docs/rhythm.md, Confidence)
SAME_TEMPO = 0.005  # relative: tempi nearer than this are one section

Doubles = NDArray[np.float64]


def apply_corrections(analysis: RhythmAnalysis, corrections: Corrections) -> RhythmAnalysis:
    """Return the analysis with the corrections in force and bars and phrases decided anew.

    A tempo that is no level of what is heard is told in the notes and changes nothing.
    Raises InputError for a bridge without counts and a stretch that ends before it starts,
    RangeError for a time outside the beats.
    """
    if corrections.empty or analysis.tempo_bpm is None:
        return analysis
    counted = Counted(
        np.array(analysis.beats_s), np.array(analysis.beats_inferred), _evidence(analysis)
    )
    counted, sections, notes = _levels(counted, analysis, corrections.tempi)
    counted = _silenced(counted, corrections)
    analysis = replace(analysis, notes=(*analysis.notes, *notes))
    moved = _moved(counted, analysis, corrections.count_ones)
    found = _segmented(moved, analysis, _forced(moved.beats_s, corrections))
    return _told(analysis, corrections, moved, sections, found, settled=not notes)


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


def _levels(
    counted: Counted, analysis: RhythmAnalysis, marks: Sequence[TempoMark]
) -> tuple[Counted, tuple[TempoSection, ...], list[str]]:
    """Return the beats at the levels meant, the tempo sections, and what does not fit."""
    sections: list[TempoSection] = []
    notes: list[str] = []
    bounds = [*(mark.from_s for mark in marks), np.inf]
    for section in analysis.tempo_sections:  # cut where a mark begins
        edges = [section.start_s, *(b for b in bounds if section.start_s < b < section.end_s)]
        for start_s, end_s in zip(edges, [*edges[1:], section.end_s], strict=True):
            sections.append(replace(section, start_s=start_s, end_s=end_s))
    for number, section in reversed(list(enumerate(sections))):
        mark = next((m for m in reversed(marks) if m.from_s <= section.start_s + 1e-6), None)
        if mark is None:
            continue
        level = level_for(section.tempo_bpm, mark.tempo_bpm)
        if level is None:
            notes.insert(0, _no_such_level(section, mark))
            continue
        edge_s = 0.25 * 60 / section.tempo_bpm
        first = int(np.searchsorted(counted.beats_s, section.start_s - edge_s)) if number else 0
        last = int(np.searchsorted(counted.beats_s, section.end_s - edge_s))
        if number == len(sections) - 1:
            last = len(counted.beats_s)
        counted = at_level(counted, level, first, last, analysis.duration_s)
        sections[number] = replace(section, tempo_bpm=section.tempo_bpm * level, confidence=1.0)
    return counted, _united(sections), notes


def _no_such_level(section: TempoSection, mark: TempoMark) -> str:
    heard = section.tempo_bpm
    return (
        f"the correction to {mark.tempo_bpm:g} bpm does not fit: {heard:.1f} bpm is heard from "
        f"{section.start_s:.1f} s on, half {heard / 2:.1f}, double {heard * 2:.1f}"
    )


def _united(sections: Sequence[TempoSection]) -> tuple[TempoSection, ...]:
    """Return the sections, neighbours of one tempo joined."""
    joined: list[TempoSection] = []
    for section in sections:
        before = joined[-1] if joined else None
        if before and abs(before.tempo_bpm / section.tempo_bpm - 1) < SAME_TEMPO:
            lengths = before.end_s - before.start_s, section.end_s - section.start_s
            longer = before if lengths[0] >= lengths[1] else section
            sure = min(before.confidence, section.confidence)
            joined[-1] = replace(
                longer, start_s=before.start_s, end_s=section.end_s, confidence=sure
            )
        else:
            joined.append(section)
    return tuple(joined)


def _silenced(counted: Counted, corrections: Corrections) -> Counted:
    """Return the beats without those in stretches that have none."""
    keep = np.ones(len(counted.beats_s), bool)
    for span in corrections.no_beat:
        if span.end_s <= span.start_s:
            raise InputError(
                f"no beat from {span.start_s:g} to {span.end_s:g} s: needs a start before the end"
            )
        keep &= (counted.beats_s < span.start_s) | (counted.beats_s > span.end_s)
    if keep.sum() < COUNTS_PER_PHRASE // 4:
        raise InputError("no beat would be left: leave out less")
    return counted if keep.all() else without(counted, keep)


def _moved(counted: Counted, analysis: RhythmAnalysis, marks: Sequence[CountOneMark]) -> Counted:
    """Return the evidence moved so that count 1 falls where it is marked."""
    if not marks:
        return counted
    evidence, beats_s = counted.evidence, counted.beats_s
    whole = 8 * (analysis.beats_per_bar or 4)
    starts = np.array(_segmented(counted, analysis, {}).starts)
    names = ("bar_odds", "phrase_odds", "bridge_odds", "end_odds")
    odds = {name: np.array(getattr(evidence, name)) for name in names}
    edges = [int(np.searchsorted(beats_s, mark.from_s - 1e-3)) for mark in marks]
    for mark, first, last in zip(marks, edges, [*edges[1:], len(beats_s)], strict=True):
        one = _nearest(beats_s, mark.time_s)
        inside = starts[(starts >= first) & (starts < last)]
        known = inside if len(inside) else starts
        off = one - known[np.abs(known - one).argmin()]
        shift = int((off + whole // 2) % whole - whole // 2)
        for values in odds.values():
            if len(values):  # what falls off comes in at the other end
                values[first:last] = np.roll(values[first:last], shift)
        if mark.from_s > 0 and len(inside):  # what comes before runs on up to here
            odds["bridge_odds"][inside[0]] = max(odds["bridge_odds"][inside[0]], CERTAIN)
    cut = {first for mark, first in zip(marks, edges, strict=True) if mark.from_s > 0}
    bars, begins, bridges, ends = (_plain(odds[name]) for name in names)
    moved = replace(
        evidence,
        bar_odds=bars,
        phrase_odds=begins,
        bridge_odds=bridges,
        end_odds=ends,
        splices=tuple(sorted({*evidence.splices, *cut})),
    )
    return replace(counted, evidence=moved)


def _segmented(
    counted: Counted, analysis: RhythmAnalysis, forced: Mapping[int, bool]
) -> Segmentation:
    evidence = counted.evidence
    return segment(
        np.array(evidence.bar_odds),
        np.array(evidence.phrase_odds),
        np.array(evidence.bridge_odds),
        analysis.beats_per_bar or 4,
        forced=forced,
        splices=evidence.splices,
        end_odds=np.array(evidence.end_odds) if evidence.end_odds else None,
        kind="mix " if evidence.mix else "",
    )


def _told(
    analysis: RhythmAnalysis,
    corrections: Corrections,
    counted: Counted,
    sections: tuple[TempoSection, ...],
    found: Segmentation,
    settled: bool,
) -> RhythmAnalysis:
    """Return the record of the corrected track; a correction settles no more than it says."""
    beats_s = counted.beats_s
    phrases = phrases_of(
        found, beats_s, np.array(counted.evidence.energy), counted.inferred, analysis.duration_s
    )
    marked = {_nearest(beats_s, mark.start_s) for mark in corrections.bridges}
    phrases = tuple(
        replace(phrase, kind=PhraseKind.BRIDGE) if phrase.start_beat in marked else phrase
        for phrase in phrases
    )
    tempo_sure, ones_sure = analysis.tempo_confidence, 1.0
    if tempo_sure > 0:  # that count 1 is right where the tempo is
        ones_sure = min(AT_MOST, analysis.confidence / tempo_sure)
    if settled and corrections.tempi and corrections.tempi[0].from_s == 0:
        tempo_sure = 1.0
    if corrections.count_ones and corrections.count_ones[0].from_s == 0:
        ones_sure = 1.0
    times = [round(float(time_s), 4) for time_s in beats_s]
    drift = drift_percent(beats_s.tolist(), _breaks(counted))
    return replace(
        analysis,
        tempo_bpm=max(sections, key=lambda part: part.end_s - part.start_s).tempo_bpm,
        tempo_confidence=round(tempo_sure, 4),
        confidence=round(tempo_sure * ones_sure, 4),
        tempo_sections=sections,
        steady=len(sections) == 1 and drift <= STEADY_PERCENT,
        tempo_drift_percent=round(drift, 3),
        beats_s=tuple(times),
        beats_inferred=tuple(bool(value) for value in counted.inferred),
        downbeats_s=tuple(times[beat] for beat in found.downbeats),
        phrases=phrases,
        origin=Origin.CORRECTED,
        evidence=counted.evidence,
    )


def _breaks(counted: Counted) -> tuple[int, ...]:
    """Return beats before which the count is broken, so that no tempo runs across them."""
    gaps = np.diff(counted.beats_s)
    padded = np.pad(gaps, 1)
    beside = np.maximum(padded[:-2], padded[2:])  # where a level changes, one side has such gaps
    return tuple((np.flatnonzero(gaps > 1.9 * beside) + 1).tolist())


def _forced(beats_s: Doubles, corrections: Corrections) -> Mapping[int, bool]:
    """Return the beats that must, and must not, start a segment."""
    forced = {_nearest(beats_s, time_s): False for time_s in corrections.not_starts_s}
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
