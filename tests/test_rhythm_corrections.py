"""Corrections of an instructor, applied to what was heard (self-made values)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from aquatempo.errors import InputError, RangeError
from aquatempo.records.corrections import BridgeMark, Corrections
from aquatempo.records.origin import Origin
from aquatempo.records.rhythm import (
    BeatEvidence,
    EnergyLevel,
    Phrase,
    PhraseKind,
    RhythmAnalysis,
    TempoSection,
)
from aquatempo.rhythm import apply_corrections

BEATS = 160


@pytest.fixture
def heard() -> RhythmAnalysis:
    """Five phrases of 32 counts at 120 bpm from 1 s on."""
    beats_s = 1.0 + 0.5 * np.arange(BEATS)
    bars, starts = np.full(BEATS, -3.0), np.full(BEATS, -4.0)
    bars[::4], starts[::32] = 3.0, 4.0
    phrases = tuple(
        Phrase(1 + first / 2, 17 + first / 2, first, 32, PhraseKind.PHRASE, 0.5, EnergyLevel.MEDIUM)
        for first in range(0, BEATS, 32)
    )
    return RhythmAnalysis(
        duration_s=81.0,
        tempo_bpm=120.0,
        tempo_confidence=0.8,
        confidence=0.6,
        tempo_alternatives=(),
        tempo_sections=(TempoSection(1.0, 81.0, 120.0, 0.8),),
        steady=True,
        tempo_drift_percent=0.0,
        beats_per_bar=4,
        beats_s=tuple(beats_s.tolist()),
        beats_inferred=(False,) * BEATS,
        downbeats_s=tuple(beats_s[::4].tolist()),
        phrases=phrases,
        evidence=BeatEvidence(
            (0.5,) * BEATS, tuple(bars.tolist()), tuple(starts.tolist()), tuple(starts.tolist())
        ),
    )


def starts(analysis: RhythmAnalysis) -> list[tuple[int, int]]:
    """Return first beat and counts of each phrase."""
    return [(phrase.start_beat, phrase.counts) for phrase in analysis.phrases]


def test_nothing_to_correct_changes_nothing(heard: RhythmAnalysis) -> None:
    """Empty corrections return the very same analysis."""
    assert apply_corrections(heard, Corrections()) is heard


def test_count_one_moves_by_beats(heard: RhythmAnalysis) -> None:
    """A shift of two moves every downbeat and phrase two beats later."""
    found = apply_corrections(heard, Corrections(shift_beats=2))
    assert found.downbeats_s[0] == heard.beats_s[2]
    assert starts(found)[:3] == [(0, 2), (2, 32), (34, 32)]
    assert found.origin is Origin.CORRECTED
    assert found.confidence == 1.0


def test_half_tempo_keeps_the_beats_that_hold_count_one(heard: RhythmAnalysis) -> None:
    """Half the tempo drops every second beat, none of them a downbeat."""
    found = apply_corrections(heard, Corrections(tempo_factor=0.5))
    assert found.tempo_bpm == 60.0
    assert found.tempo_sections[0].tempo_bpm == 60.0
    assert found.beats_s == heard.beats_s[::2]
    assert found.tempo_confidence == 1.0


def test_double_tempo_puts_beats_between(heard: RhythmAnalysis) -> None:
    """Double the tempo keeps all beats and adds their midpoints, within the track."""
    found = apply_corrections(heard, Corrections(tempo_factor=2.0))
    assert found.tempo_bpm == 240.0
    assert found.beats_s[:3] == (1.0, 1.25, 1.5)
    assert set(heard.beats_s) <= set(found.beats_s)
    assert found.beats_s[-1] < found.duration_s
    assert len(found.beats_s) == len(found.beats_inferred)


def test_a_marked_phrase_start_holds(heard: RhythmAnalysis) -> None:
    """A phrase starts on the beat nearest to the time given, whatever was heard."""
    found = apply_corrections(heard, Corrections(phrase_starts_s=(1.0 + 0.5 * 40 + 0.1,)))
    assert 40 in [first for first, _ in starts(found)]


def test_a_marked_bridge_holds(heard: RhythmAnalysis) -> None:
    """A bridge of 12 counts is one segment, and a phrase follows it."""
    mark = BridgeMark(start_s=heard.beats_s[64], counts=12)
    found = apply_corrections(heard, Corrections(bridges=(mark,)))
    bridge = next(phrase for phrase in found.phrases if phrase.start_beat == 64)
    assert (bridge.counts, bridge.kind) == (12, PhraseKind.BRIDGE)
    assert 76 in [first for first, _ in starts(found)]


def test_corrections_are_repeatable(heard: RhythmAnalysis) -> None:
    """The same corrections on the same analysis give the same result, and leave it alone."""
    wanted = Corrections(tempo_factor=0.5, shift_beats=1, phrase_starts_s=(20.0,))
    assert apply_corrections(heard, wanted) == apply_corrections(heard, wanted)
    assert heard.tempo_bpm == 120.0


def test_an_entered_track_can_be_corrected(heard: RhythmAnalysis) -> None:
    """Without evidence, the bars and phrases themselves are what is moved."""
    entered = replace(heard, evidence=None, origin=Origin.ENTERED)
    found = apply_corrections(entered, Corrections(shift_beats=4))
    assert starts(found)[:2] == [(0, 4), (4, 32)]


def test_wrong_corrections_are_refused(heard: RhythmAnalysis) -> None:
    """A factor of 3, a time without beats and a bridge of no counts are named as such."""
    with pytest.raises(InputError, match=r"tempo factor 3: needs 0.5 \(half\), 1 or 2"):
        apply_corrections(heard, Corrections(tempo_factor=3.0))
    with pytest.raises(RangeError, match=r"time 500 s: needs 1 to 80.5 s \(no beat is there\)"):
        apply_corrections(heard, Corrections(phrase_starts_s=(500.0,)))
    with pytest.raises(InputError, match="a bridge of 0 counts: needs at least 1"):
        apply_corrections(heard, Corrections(bridges=(BridgeMark(20.0, 0),)))


def test_odd_stretches_that_were_entered_stay(heard: RhythmAnalysis) -> None:
    """Without evidence, a bridge of two counts that a person wrote down outlasts a correction."""
    lengths = (32, 32, 2, 32, 32, 30)
    firsts = np.cumsum((0, *lengths[:-1])).tolist()
    ones = [beat for a, n in zip(firsts, lengths, strict=True) for beat in range(a, a + n, 4)]
    entered = replace(
        heard,
        evidence=None,
        origin=Origin.ENTERED,
        downbeats_s=tuple(heard.beats_s[beat] for beat in ones),
        phrases=tuple(
            replace(heard.phrases[0], start_s=heard.beats_s[first], start_beat=first, counts=counts)
            for first, counts in zip(firsts, lengths, strict=True)
        ),
    )
    found = apply_corrections(entered, Corrections(phrase_starts_s=(heard.beats_s[0],)))
    assert starts(found) == list(zip(firsts, lengths, strict=True))


def test_a_splice_is_still_one_after_a_correction(heard: RhythmAnalysis) -> None:
    """Where a mix goes over to another song after 51 counts, phrases start anew at once."""
    bars, begins = np.full(BEATS, -0.7), np.full(BEATS, -4.0)
    for first, last in ((0, 51), (51, BEATS)):
        bars[first:last:4] = 0.1
        begins[first:last:32] = 4.0
    odds = tuple(begins.tolist())
    evidence = BeatEvidence((0.5,) * BEATS, tuple(bars.tolist()), odds, odds, (51,))
    mark = Corrections(phrase_starts_s=(heard.beats_s[0],))
    found = apply_corrections(replace(heard, evidence=evidence), mark)
    assert [first for first, _ in starts(found)] == [0, 32, 51, 83, 115, 147]


@pytest.mark.parametrize(("factor", "place"), [(2.0, 102), (0.5, 26)])
def test_a_splice_is_found_at_another_level(
    heard: RhythmAnalysis, factor: float, place: int
) -> None:
    """At double and half the tempo, a splice lies at the same time as before."""
    assert heard.evidence is not None
    spliced = replace(heard, evidence=replace(heard.evidence, splices=(51,)))
    found = apply_corrections(spliced, Corrections(tempo_factor=factor))
    assert found.evidence is not None
    assert found.evidence.splices == (place,)
    assert found.beats_s[place] == pytest.approx(heard.beats_s[51], abs=0.51)
