"""Corrections told to the count: what moves, what stays, and what is said (own values)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from test_rhythm_corrections import heard  # noqa: F401

from aquatempo.records.corrections import Corrections, CountOneMark, TempoMark
from aquatempo.records.rhythm import RhythmAnalysis, TempoSection
from aquatempo.records.steadiness import drift_percent
from aquatempo.rhythm import apply_corrections

CERTAIN = 6.0  # nats of what a person says (docs/rhythm.md)


def test_a_mark_from_33_s_on_moves_what_follows(heard: RhythmAnalysis) -> None:  # noqa: F811
    """From beat 64 on all evidence goes two beats later; there a splice, and surely a border."""
    assert heard.evidence is not None
    found = apply_corrections(heard, Corrections(count_ones=(CountOneMark(34.0, 33.0),))).evidence
    assert found is not None
    assert found.splices == (64,)
    for name in ("bar_odds", "phrase_odds", "bridge_odds"):
        old, new = np.array(getattr(heard.evidence, name)), np.array(getattr(found, name))
        wanted = np.concatenate([old[:64], np.roll(old[64:], 2)])
        if name == "bridge_odds":
            wanted[64] = CERTAIN
        assert new.tolist() == wanted.tolist()


def test_a_mark_from_the_start_on_makes_no_border(heard: RhythmAnalysis) -> None:  # noqa: F811
    """For the whole song the evidence only moves, with no splice and nothing certain."""
    assert heard.evidence is not None
    found = apply_corrections(heard, Corrections(count_ones=(CountOneMark(2.0),))).evidence
    assert found is not None
    assert found.splices == ()
    assert found.bridge_odds == tuple(np.roll(heard.evidence.bridge_odds, 2).tolist())


def test_tempi_that_do_not_fit_are_told_in_order(heard: RhythmAnalysis) -> None:  # noqa: F811
    """97 is no level of 120, 130 or 110: each section has its note, in the order of the song."""
    tempi = ((1.0, 31.0, 120.0), (31.0, 61.0, 130.0), (61.0, 81.0, 110.0))
    sections = tuple(TempoSection(start, end, bpm, 0.8) for start, end, bpm in tempi)
    several = replace(heard, tempo_sections=sections, notes=("heard before",))
    found = apply_corrections(several, Corrections(tempi=(TempoMark(97.0),)))
    assert found.beats_s == heard.beats_s
    assert found.notes == (
        "heard before",
        "the correction to 97 bpm does not fit: 120.0 bpm is heard from 1.0 s on, half 60.0, "
        "double 240.0",
        "the correction to 97 bpm does not fit: 130.0 bpm is heard from 31.0 s on, half 65.0, "
        "double 260.0",
        "the correction to 97 bpm does not fit: 110.0 bpm is heard from 61.0 s on, half 55.0, "
        "double 220.0",
    )


def test_drift_is_told_anew_with_three_decimals(heard: RhythmAnalysis) -> None:  # noqa: F811
    """A song that slows down by some percent keeps its drift through a correction."""
    beats_s = np.round(1.0 + 0.5 * np.arange(160) + 3e-5 * np.arange(160) ** 2, 4)
    slower = replace(heard, beats_s=tuple(beats_s.tolist()), duration_s=83.0)
    found = apply_corrections(slower, Corrections(phrase_starts_s=(float(beats_s[32]),)))
    drift = drift_percent(beats_s.tolist())
    assert drift > 0.5
    assert found.tempo_drift_percent == pytest.approx(drift, abs=0.0005)
    assert found.tempo_drift_percent == round(found.tempo_drift_percent, 3)
    assert not found.steady
