"""Corrections worked by hand: beats at other levels, sections, borders that are forced."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from test_rhythm_corrections import heard  # noqa: F401 - a fixture

from aquatempo.errors import InputError, RangeError
from aquatempo.records.corrections import (
    BridgeMark,
    Corrections,
    CountOneMark,
    NoBeat,
    TempoMark,
)
from aquatempo.records.rhythm import BeatEvidence, PhraseKind, RhythmAnalysis, TempoSection
from aquatempo.rhythm import apply_corrections, corrections
from aquatempo.rhythm.recounting import Counted, at_level, level_for, without

Doubles = NDArray[np.float64]


@pytest.mark.parametrize(
    ("wanted", "level"),
    [
        (120, 1.0), (60, 0.5), (240, 2.0), (80, 2 / 3), (180, 1.5), (40, 1 / 3), (360, 3.0),
        (113, None), (113.5, 1.0), (127.6, 1.0), (128, None), (56.7, 0.5), (63.8, 0.5),
        (64, None), (20, None), (500, None), (170, 1.5), (169, None),
    ],
)  # fmt: skip
def test_a_tempo_within_6_percent_of_a_level_is_meant(wanted: float, level: float | None) -> None:
    """Of 120 bpm heard: halves, thirds, 3:2, double and treble, each within 6 %."""
    assert level_for(120.0, wanted) == level


def counted(bars: list[float], splices: tuple[int, ...] = ()) -> Counted:
    """Return beats every half second from 10 s on whose odds are told apart."""
    count = len(bars)
    row = tuple(float(beat) for beat in range(count))
    evidence = BeatEvidence(row, tuple(bars), row, row, splices)
    inferred = np.arange(count) % 2 == 0
    return Counted(10 + 0.5 * np.arange(count, dtype=np.float64), inferred, evidence)


ONES = [5.0, -1, -1, -1] * 3


@pytest.mark.parametrize(
    ("level", "first", "last", "end_s", "places"),
    [
        (1.0, 0, 12, 99, range(12)),
        (0.5, 0, 12, 99, range(0, 12, 2)),
        (0.5, 3, 9, 99, [0, 1, 2, 4, 6, 8, 9, 10, 11]),  # of 3 to 8, 4 and 8 hold count 1
        (0.5, 3, 4, 99, range(12)),  # a lone beat has no level
        (2.0, 2, 4, 99, [0, 1, 2, 2.5, 3, 3.5, *range(4, 12)]),
        (2.0, 10, 12, 99, [*range(10), 10, 10.5, 11, 11.5]),
        (2.0, 10, 12, 15.75, [*range(10), 10, 10.5, 11]),  # 11.5 would lie at 15.75 s
        (2.0, 10, 12, 15.76, [*range(10), 10, 10.5, 11, 11.5]),
        (1.5, 0, 3, 99, [0, 2 / 3, 4 / 3, 2, 8 / 3, *range(3, 12)]),
        (2 / 3, 0, 6, 99, [0, 1.5, 3, 4.5, *range(6, 12)]),
        (1 / 3, 0, 12, 99, [0, 3, 6, 9]),
        (3.0, 4, 6, 99, [*range(4), 4, 13 / 3, 14 / 3, 5, 16 / 3, 17 / 3, *range(6, 12)]),
    ],
)
def test_beats_at_a_level(
    level: float, first: int, last: int, end_s: float, places: list[float]
) -> None:
    """Beats that hold count 1 stay; beats between are new and show nothing of a bar (-3)."""
    found = at_level(counted(ONES), level, first, last, end_s)
    whole = [int(place) if abs(place - int(place)) < 1e-9 else None for place in places]
    assert found.beats_s == pytest.approx([10 + 0.5 * place for place in places])
    bars = [-3.0 if place is None else ONES[place] for place in whole]
    assert found.evidence.bar_odds == tuple(bars)
    plain = tuple(-3.0 if place is None else float(place) for place in whole)
    assert found.evidence.phrase_odds == found.evidence.bridge_odds == plain
    nearest = [int(place + 1e-9) for place in places]
    assert found.evidence.energy == tuple(float(place) for place in nearest)
    assert found.inferred.tolist() == [place % 2 == 0 for place in nearest]
    assert found.evidence.end_odds == ()


@pytest.mark.parametrize(("level", "splices"), [(0.5, (3, 4)), (2.0, (10, 14)), (1.0, (5, 7))])
def test_splices_go_to_the_first_beat_from_them_on(level: float, splices: tuple[int, ...]) -> None:
    """Beats 5 and 7 are the 10th and 14th at double tempo; at half the next beats are 6 and 8."""
    found = at_level(counted(ONES, (5, 7)), level, 0, 12, 99)
    assert found.evidence.splices == splices


def test_a_splice_after_the_last_beat_goes() -> None:
    """Of 12 beats at half the tempo the last is the 10th: a splice on the 11th is none any more."""
    assert at_level(counted(ONES, (11,)), 0.5, 0, 12, 99).evidence.splices == ()


def test_where_beats_are_left_out_another_grid_begins() -> None:
    """Without beats 3, 4 and 8 of 12, splices lie where the 5th and the 8th of before follow."""
    keep = np.ones(12, bool)
    keep[[3, 4, 8]] = False
    found = without(counted(ONES, (1,)), keep)
    assert found.beats_s == pytest.approx(10 + 0.5 * np.array([0, 1, 2, 5, 6, 7, 9, 10, 11]))
    assert found.evidence.splices == (1, 3, 6)
    assert found.evidence.energy == (0, 1, 2, 5, 6, 7, 9, 10, 11)


def section(start_s: float, end_s: float, bpm: float, sure: float) -> TempoSection:
    """Return a section of one tempo."""
    return TempoSection(start_s, end_s, bpm, sure)


@pytest.mark.parametrize(
    ("given", "joined"),
    [
        ([(0, 10, 120, 0.9), (10, 40, 120.5, 0.8)], [(0, 40, 120.5, 0.8)]),
        ([(0, 30, 120, 0.7), (30, 40, 120.5, 0.8)], [(0, 40, 120, 0.7)]),
        ([(0, 20, 120, 0.7), (20, 40, 120.5, 0.8)], [(0, 40, 120, 0.7)]),
        ([(0, 20, 120, 0.7), (20, 40, 120.7, 0.8)], [(0, 20, 120, 0.7), (20, 40, 120.7, 0.8)]),
        ([(0, 20, 120.7, 0.7), (20, 40, 120, 0.8)], [(0, 20, 120.7, 0.7), (20, 40, 120, 0.8)]),
        ([(5, 20, 120, 0.7), (20, 25, 120, 0.6), (25, 60, 121, 0.9), (60, 61, 121, 0.95)],
         [(5, 25, 120, 0.6), (25, 61, 121, 0.9)]),
        ([(30, 40, 120, 0.9), (40, 55, 120.5, 0.8)], [(30, 55, 120.5, 0.8)]),
    ],
)  # fmt: skip
def test_neighbours_of_one_tempo_are_one_section(
    given: list[tuple[float, ...]], joined: list[tuple[float, ...]]
) -> None:
    """Within half a percent; the longer one gives the tempo, the less sure one how sure it is."""
    found = corrections._united([section(*one) for one in given])
    assert found == tuple(section(*one) for one in joined)


def test_a_level_inside_a_section_cuts_it(heard: RhythmAnalysis) -> None:  # noqa: F811
    """120 up to 21 s, 60 up to 41 s, 120 on: three sections, beats twice as far in the middle.

    20 s hold 40 beats, 20 at half: 160 - 20 are left.
    """
    marks = (TempoMark(60.0, from_s=21.0), TempoMark(120.0, from_s=41.0))
    found = apply_corrections(heard, Corrections(tempi=marks))
    assert [(s.start_s, s.end_s, s.tempo_bpm, s.confidence) for s in found.tempo_sections] == [
        (1.0, 21.0, 120.0, 0.8), (21.0, 41.0, 60.0, 1.0), (41.0, 81.0, 120.0, 1.0),
    ]  # fmt: skip
    assert found.beats_s == (*heard.beats_s[:40], *heard.beats_s[40:80:2], *heard.beats_s[80:])
    assert found.tempo_bpm == 120.0
    assert found.tempo_confidence == 0.8


def test_each_section_without_such_a_level_is_told(heard: RhythmAnalysis) -> None:  # noqa: F811
    """97 for two sections of 120 and 130: two notes, in order, and no beat changes."""
    parts = (section(1.0, 41.0, 120.0, 0.8), section(41.0, 81.0, 130.0, 0.8))
    mixed = replace(heard, tempo_sections=parts, notes=("before",))
    found = apply_corrections(mixed, Corrections(tempi=(TempoMark(97.0),)))
    assert found.notes == (
        "before",
        "the correction to 97 bpm does not fit: 120.0 bpm is heard from 1.0 s on, half 60.0, "
        "double 240.0",
        "the correction to 97 bpm does not fit: 130.0 bpm is heard from 41.0 s on, half 65.0, "
        "double 260.0",
    )
    assert found.beats_s == heard.beats_s
    assert found.tempo_sections == parts


BEATS_S = 1.0 + 0.5 * np.arange(100, dtype=np.float64)


@pytest.mark.parametrize(
    ("given", "starts", "bans"),
    [
        (Corrections(not_starts_s=(6.0, 6.1)), [], [10]),
        (Corrections(phrase_starts_s=(6.0,)), [10], [*range(11, 42)]),
        (Corrections(phrase_starts_s=(6.0, 10.9)), [10, 20], [*range(11, 20), *range(21, 52)]),
        (Corrections(bridges=(BridgeMark(6.0, 4),)), [10, 14], [11, 12, 13, *range(15, 46)]),
        (Corrections(bridges=(BridgeMark(6.0, 1),)), [10, 11], [*range(12, 43)]),
        (Corrections(bridges=(BridgeMark(6.0),)), [10, 18], [*range(11, 18), *range(19, 50)]),
        (Corrections(phrase_starts_s=(46.0,)), [90], [*range(91, 100)]),
        (Corrections(bridges=(BridgeMark(46.0, 10),)), [90], [*range(91, 100)]),
        (Corrections(phrase_starts_s=(6.0,), bridges=(BridgeMark(14.0, 2),)), [10, 26, 28],
         [*range(11, 26), 27, *range(29, 60)]),
    ],
)  # fmt: skip
def test_what_must_and_must_not_start(
    given: Corrections, starts: list[int], bans: list[int]
) -> None:
    """A start forbids the 31 beats after it unless another is marked there; a bridge its own."""
    forced = corrections._forced(BEATS_S, given)
    assert sorted(beat for beat, wanted in forced.items() if wanted) == starts
    assert sorted(beat for beat, wanted in forced.items() if not wanted) == bans


@pytest.mark.parametrize(("time_s", "beat"), [(0.5, 0), (1.24, 0), (1.26, 1), (51.0, 99)])
def test_the_nearest_beat_is_meant(time_s: float, beat: int) -> None:
    """A time may lie a beat before the first and after the last, no more."""
    assert corrections._nearest(BEATS_S, time_s) == beat
    for far_s in (0.49, 51.01):
        with pytest.raises(RangeError) as caught:
            corrections._nearest(BEATS_S, far_s)
        assert str(caught.value) == f"time {far_s:g} s: needs 1 to 50.5 s (no beat is there)"


def test_breaks_are_gaps_of_nearly_two_beats() -> None:
    """A gap longer than 1.9 of the longer one beside it breaks the count; a new level does not."""
    steps = np.array([0.5, 0.5, 0.96, 0.5, 0.5, 0.94, 0.5, 1.0, 1.0, 0.5, 3.0, 1.6])
    beats_s = np.concatenate([[1.0], 1 + np.cumsum(steps)])
    made = replace(counted([0.0] * 13), beats_s=beats_s)
    assert corrections._breaks(made) == (3,)
    late = replace(counted([0.0] * 4), beats_s=np.array([0.0, 0.5, 1.0, 3.0]))
    assert corrections._breaks(late) == (3,)


@pytest.mark.parametrize("left", [7, 8, 9])
def test_eight_beats_must_be_left(heard: RhythmAnalysis, left: int) -> None:  # noqa: F811
    """Eight beats of a song are still counted, seven are not."""
    span = NoBeat(heard.beats_s[left] - 0.1, 90.0)
    if left < 8:
        with pytest.raises(InputError) as caught:
            apply_corrections(heard, Corrections(no_beat=(span,)))
        assert str(caught.value) == "no beat would be left: leave out less"
    else:
        assert len(apply_corrections(heard, Corrections(no_beat=(span,))).beats_s) == left


@pytest.mark.parametrize(("end_s", "gone"), [(5.4, 0), (5.5, 1), (5.9, 1), (6.0, 2)])
def test_both_ends_of_a_stretch_without_beats_go(
    heard: RhythmAnalysis, end_s: float, gone: int  # noqa: F811
) -> None:  # fmt: skip
    """From 5.2 s on, beats lie at 5.5 and 6.0 s; one that lies on the end is left out too."""
    found = apply_corrections(heard, Corrections(no_beat=(NoBeat(5.2, end_s), NoBeat(60, 60.1))))
    assert len(found.beats_s) == 160 - gone - 1
    with pytest.raises(InputError) as caught:
        apply_corrections(heard, Corrections(no_beat=(NoBeat(9.0, 9.0),)))
    assert str(caught.value) == "no beat from 9 to 9 s: needs a start before the end"


@pytest.mark.parametrize("shift", [-16, -15, -3, 0, 1, 7, 15])
def test_count_one_moves_by_the_shorter_way(heard: RhythmAnalysis, shift: int) -> None:  # noqa: F811
    """A mark anywhere moves all starts by -16 to 15 beats, to the nearest place it asks for."""
    one = heard.beats_s[64 + shift]
    found = apply_corrections(heard, Corrections(count_ones=(CountOneMark(one),)))
    starts = {phrase.start_beat for phrase in found.phrases if phrase.kind is PhraseKind.PHRASE}
    assert starts
    assert {(start - shift) % 32 for start in starts} == {0}
    assert heard.evidence is not None
    assert found.evidence is not None
    assert found.evidence.phrase_odds == tuple(np.roll(heard.evidence.phrase_odds, shift))
    assert found.evidence.bar_odds == tuple(np.roll(heard.evidence.bar_odds, shift))
    assert found.evidence.splices == ()


def test_evidence_of_what_was_entered(heard: RhythmAnalysis) -> None:  # noqa: F811
    """Bars that were entered are certain by 6 nats, phrases by 12; all else speaks against it."""
    energies = tuple(
        replace(phrase, energy=number / 10) for number, phrase in enumerate(heard.phrases)
    )
    made = corrections._evidence(replace(heard, evidence=None, phrases=energies))
    beats = np.arange(160)
    assert made.bar_odds == tuple(np.where(beats % 4 == 0, 6.0, -6.0).tolist())
    starts = tuple(np.where(beats % 32 == 0, 12.0, -6.0).tolist())
    assert made.phrase_odds == made.bridge_odds == starts
    assert made.energy == tuple((beats // 32 / 10).round(3).tolist())
    assert corrections._evidence(heard) is heard.evidence


def test_a_mix_keeps_the_prices_of_a_mix(
    heard: RhythmAnalysis, monkeypatch: pytest.MonkeyPatch  # noqa: F811
) -> None:  # fmt: skip
    """What was heard as a mix is segmented as one again, in its own bars."""
    asked = []

    def told(*_: object, kind: str, **__: object) -> None:
        asked.append(kind)
        raise InputError(kind)

    assert heard.evidence is not None
    monkeypatch.setattr(corrections, "segment", told)
    for mix in (True, False):
        known = replace(heard, evidence=replace(heard.evidence, mix=mix))
        with pytest.raises(InputError):
            apply_corrections(known, Corrections(phrase_starts_s=(9.0,)))
    assert asked == ["mix ", ""]
