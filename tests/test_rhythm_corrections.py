"""Corrections of an instructor, applied to what was heard (self-made values)."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest

from aquatempo.errors import InputError, RangeError
from aquatempo.records.corrections import (
    BridgeMark,
    Corrections,
    CountOneMark,
    NoBeat,
    TempoMark,
)
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
from aquatempo.workflow.checking import phrase_health

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


def half(heard: RhythmAnalysis) -> Corrections:
    """Return the correction to half of the tempo heard."""
    assert heard.tempo_bpm is not None
    return Corrections(tempi=(TempoMark(heard.tempo_bpm / 2),))


def test_count_one_moves_to_its_moment(heard: RhythmAnalysis) -> None:
    """Count 1 two beats later moves every downbeat and phrase two beats later."""
    found = apply_corrections(heard, Corrections(count_ones=(CountOneMark(heard.beats_s[2]),)))
    assert found.downbeats_s[0] == heard.beats_s[2]
    assert starts(found)[:3] == [(0, 2), (2, 32), (34, 32)]
    assert found.origin is Origin.CORRECTED


def test_count_one_that_is_heard_right_by_now_changes_nothing(heard: RhythmAnalysis) -> None:
    """A mark keeps its meaning: where a newer hearing agrees with it, nothing moves."""
    found = apply_corrections(heard, Corrections(count_ones=(CountOneMark(heard.beats_s[32]),)))
    assert starts(found) == starts(heard)


def test_count_one_from_a_time_on(heard: RhythmAnalysis) -> None:
    """Before the time phrases stay where they were; from it on they start four beats later."""
    mark = CountOneMark(heard.beats_s[68], from_s=heard.beats_s[64])
    found = apply_corrections(heard, Corrections(count_ones=(mark,)))
    assert starts(found) == [(0, 32), (32, 32), (64, 4), (68, 32), (100, 32), (132, 28)]


def test_half_tempo_keeps_the_beats_that_hold_count_one(heard: RhythmAnalysis) -> None:
    """Half the tempo drops every second beat, none of them a downbeat."""
    found = apply_corrections(heard, half(heard))
    assert found.tempo_bpm == 60.0
    assert found.tempo_sections[0].tempo_bpm == 60.0
    assert found.beats_s == heard.beats_s[::2]


def test_double_tempo_puts_beats_between(heard: RhythmAnalysis) -> None:
    """Double the tempo keeps all beats and adds their midpoints, within the track."""
    found = apply_corrections(heard, Corrections(tempi=(TempoMark(240.0),)))
    assert found.tempo_bpm == 240.0
    assert found.beats_s[:3] == (1.0, 1.25, 1.5)
    assert set(heard.beats_s) <= set(found.beats_s)
    assert found.beats_s[-1] < found.duration_s
    assert len(found.beats_s) == len(found.beats_inferred)


def test_two_thirds_of_the_tempo(heard: RhythmAnalysis) -> None:
    """At 80 instead of 120, beats are three halves of a beat apart; the first downbeat stays."""
    found = apply_corrections(heard, Corrections(tempi=(TempoMark(80.0),)))
    assert np.allclose(np.diff(found.beats_s), 0.75)
    assert found.tempo_bpm == pytest.approx(80.0)


def test_a_tempo_that_is_heard_by_now_changes_no_beat(heard: RhythmAnalysis) -> None:
    """A stored tempo is absolute: heard at 120, a correction to 120 leaves all beats."""
    found = apply_corrections(heard, Corrections(tempi=(TempoMark(120.4),)))
    assert found.beats_s == heard.beats_s
    assert found.tempo_confidence == 1.0


def test_level_from_a_time_on(heard: RhythmAnalysis) -> None:
    """Heard at 120, counted at 60 up to 17 s: one tempo for each part, no beat lost between."""
    marks = (TempoMark(60.0), TempoMark(120.0, from_s=heard.beats_s[32]))
    found = apply_corrections(heard, Corrections(tempi=marks))
    assert [part.tempo_bpm for part in found.tempo_sections] == [60.0, 120.0]
    assert found.beats_s[:17] == (*heard.beats_s[:32:2], heard.beats_s[32])
    assert found.beats_s[16:] == heard.beats_s[32:]
    assert not found.steady


def test_two_levels_are_told_as_such(heard: RhythmAnalysis) -> None:
    """A song counted at half from a time on is not steady: its tempi are told, not "0.0 %"."""
    found = apply_corrections(heard, Corrections(tempi=(TempoMark(60.0, from_s=41.0),)))
    assert not found.steady
    assert found.tempo_drift_percent == pytest.approx(50)  # 120 - 60 over the median, 120
    health, breaking = phrase_health(found)
    assert breaking == "its tempo changes: 120.0 from 0:01.0, 60.0 from 0:41.0"
    assert breaking in health


def test_an_opening_at_half_is_mended(heard: RhythmAnalysis) -> None:
    """An opening heard at 60 before 120 becomes one steady song of 120 by one mark."""
    opening = (*heard.beats_s[:32:2], *heard.beats_s[32:])
    count = len(opening)
    assert heard.evidence is not None
    mixed = replace(
        heard,
        beats_s=opening,
        beats_inferred=(False,) * count,
        steady=False,
        tempo_sections=(TempoSection(1, 17, 60.0, 0.5), TempoSection(17, 81, 120.0, 0.8)),
        evidence=BeatEvidence((0.1,) * count, (0.1,) * count, (0.1,) * count, (0.1,) * count),
    )
    found = apply_corrections(mixed, Corrections(tempi=(TempoMark(120.0),)))
    assert np.allclose(found.beats_s, heard.beats_s)
    assert found.steady
    assert found.tempo_drift_percent == 0
    assert [part.tempo_bpm for part in found.tempo_sections] == [120.0]


def test_no_beat_in_a_stretch(heard: RhythmAnalysis) -> None:
    """Beats in the stretch go, and a phrase starts on the first count after it."""
    span = NoBeat(heard.beats_s[40] - 0.1, heard.beats_s[49] + 0.1)
    found = apply_corrections(heard, Corrections(no_beat=(span,)))
    assert len(found.beats_s) == BEATS - 10
    assert not any(span.start_s <= time_s <= span.end_s for time_s in found.beats_s)
    assert found.tempo_drift_percent == 0
    assert 54 in [first for first, _ in starts(found)]  # beat 64 of before


def test_a_border_can_be_taken_away(heard: RhythmAnalysis) -> None:
    """Where no phrase starts, none does, and the others are decided anew around it."""
    found = apply_corrections(heard, Corrections(not_starts_s=(heard.beats_s[64],)))
    assert 64 not in [first for first, _ in starts(found)]


def test_a_tempo_that_is_no_level_is_told(heard: RhythmAnalysis) -> None:
    """97 for a song of 120 changes no beat; a note says what could be meant."""
    found = apply_corrections(heard, Corrections(tempi=(TempoMark(97.0),)))
    assert found.beats_s == heard.beats_s
    assert found.tempo_confidence == heard.tempo_confidence
    assert found.notes == (
        "the correction to 97 bpm does not fit: 120.0 bpm is heard from 1.0 s on, "
        "half 60.0, double 240.0",
    )


def test_a_correction_settles_what_it_settles(heard: RhythmAnalysis) -> None:
    """A level settles the tempo, count 1 the bars; a bridge or one border settle neither."""
    given_tempo = heard.confidence / heard.tempo_confidence
    one = CountOneMark(heard.beats_s[2])
    levelled = apply_corrections(heard, half(heard))
    assert levelled.tempo_confidence == 1.0
    assert levelled.confidence == pytest.approx(given_tempo)
    certain = apply_corrections(replace(heard, confidence=0.8), half(heard))
    assert certain.confidence < 0.99  # count 1 was not entered
    counted = apply_corrections(heard, Corrections(count_ones=(one,)))
    assert counted.tempo_confidence == heard.tempo_confidence
    assert counted.confidence == pytest.approx(heard.tempo_confidence)
    both = apply_corrections(heard, replace(half(heard), count_ones=(one,)))
    assert both.confidence == 1.0
    for small in (
        Corrections(bridges=(BridgeMark(heard.beats_s[64]),)),
        Corrections(phrase_starts_s=(heard.beats_s[32],)),
        Corrections(count_ones=(replace(one, from_s=30.0, time_s=33.0),)),
    ):
        found = apply_corrections(heard, small)
        assert (found.tempo_confidence, found.confidence) == (0.8, 0.6)


def test_corrections_are_quick(heard: RhythmAnalysis) -> None:
    """All kinds together on ten minutes at 120 take less than a tenth of a second."""
    count = 1200
    bars, begins = np.full(count, -3.0), np.full(count, -4.0)
    bars[::4], begins[::32] = 3.0, 4.0
    odds = tuple(begins.tolist())
    beats_s = tuple((1.0 + 0.5 * np.arange(count)).tolist())
    song = replace(
        heard,
        duration_s=601.0,
        beats_s=beats_s,
        beats_inferred=(False,) * count,
        tempo_sections=(TempoSection(1.0, 601.0, 120.0, 0.8),),
        evidence=BeatEvidence((0.5,) * count, tuple(bars.tolist()), odds, odds),
    )
    wanted = Corrections(
        tempi=(TempoMark(60.0), TempoMark(120.0, 100.0)),
        count_ones=(CountOneMark(120.0),),
        phrase_starts_s=(200.0,),
        bridges=(BridgeMark(300.0, 8),),
        no_beat=(NoBeat(400.0, 420.0),),
    )
    took_s = []
    for _ in range(3):
        begun = time.process_time()
        apply_corrections(song, wanted)
        took_s.append(time.process_time() - begun)
    assert min(took_s) < 0.1


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
    one = (CountOneMark(heard.beats_s[1]),)
    wanted = replace(half(heard), count_ones=one, phrase_starts_s=(20.0,))
    assert apply_corrections(heard, wanted) == apply_corrections(heard, wanted)
    assert heard.tempo_bpm == 120.0


def test_an_entered_track_can_be_corrected(heard: RhythmAnalysis) -> None:
    """Without evidence, the bars and phrases themselves are what is moved."""
    entered = replace(heard, evidence=None, origin=Origin.ENTERED)
    found = apply_corrections(entered, Corrections(count_ones=(CountOneMark(heard.beats_s[4]),)))
    assert starts(found)[:2] == [(0, 4), (4, 32)]


def test_wrong_corrections_are_refused(heard: RhythmAnalysis) -> None:
    """A time without beats, a bridge of no counts, a stretch that ends early are named."""
    with pytest.raises(RangeError, match=r"time 500 s: needs 1 to 80.5 s \(no beat is there\)"):
        apply_corrections(heard, Corrections(phrase_starts_s=(500.0,)))
    with pytest.raises(InputError, match="a bridge of 0 counts: needs at least 1"):
        apply_corrections(heard, Corrections(bridges=(BridgeMark(20.0, 0),)))
    with pytest.raises(InputError, match="no beat from 9 to 8 s: needs a start before the end"):
        apply_corrections(heard, Corrections(no_beat=(NoBeat(9.0, 8.0),)))
    with pytest.raises(InputError, match="no beat would be left"):
        apply_corrections(heard, Corrections(no_beat=(NoBeat(0.0, 99.0),)))


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
    found = apply_corrections(spliced, Corrections(tempi=(TempoMark(120.0 * factor),)))
    assert found.evidence is not None
    assert found.evidence.splices == (place,)
    assert found.beats_s[place] == pytest.approx(heard.beats_s[51], abs=0.51)
