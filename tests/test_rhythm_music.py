"""Floors of mir_eval (window 70 ms, its default) on music whose beats are known to the sample.

The music is made in the test (``rhythm_making``); the judge is mir_eval, an outside library.
"""

from __future__ import annotations

import mir_eval
import numpy as np
import pytest
from numpy.typing import NDArray
from rhythm_making import RATE_HZ, Song, song, steady_beats

from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.rhythm import analyse

TEMPOS_BPM = tuple(float(tempo) for tempo in np.linspace(70, 190, 16))


def f_measure(known_s: NDArray[np.float64], found_s: tuple[float, ...]) -> float:
    """Return mir_eval's beat F-measure, the first 5 s left out as it does."""
    known, found = mir_eval.beat.trim_beats(known_s), mir_eval.beat.trim_beats(np.array(found_s))
    return float(mir_eval.beat.f_measure(known, found))


def errors_ms(music: Song, found: RhythmAnalysis) -> NDArray[np.float64]:
    """Return how late each known beat was found [ms], where it was found at all."""
    heard = np.array(found.beats_s)
    late = [heard[np.abs(heard - beat_s).argmin()] - beat_s for beat_s in music.beats_s]
    return 1000 * np.array([value for value in late if abs(value) < 0.07])


def check(music: Song, tempo_bpm: float) -> RhythmAnalysis:
    """Analyse, and hold the floors that every clean steady song must reach."""
    found = analyse(music.samples, RATE_HZ)
    assert found.tempo_bpm == pytest.approx(tempo_bpm, abs=0.1)
    assert f_measure(music.beats_s, found.beats_s) >= 0.98
    assert f_measure(music.downbeats_s, found.downbeats_s) >= 0.95
    late_ms = errors_ms(music, found)
    assert np.median(np.abs(late_ms)) <= 8.0
    assert abs(np.median(late_ms)) <= 5.0
    return found


@pytest.mark.parametrize("tempo_bpm", TEMPOS_BPM)
def test_sixteen_tempos(tempo_bpm: float) -> None:
    """From 70 to 190 bpm: tempo to 0.1 bpm, beats and count 1 right, bias below 5 ms."""
    pattern = "rock" if tempo_bpm < 110 or tempo_bpm > 160 else "house"
    bars = round(38 * tempo_bpm / 240)  # about 38 s
    found = check(song(steady_beats(tempo_bpm, bars), pattern), tempo_bpm)
    assert found.steady
    assert found.beats_per_bar == 4


@pytest.mark.parametrize(
    "tempo_bpm", [140.0, *(pytest.param(one, marks=pytest.mark.long) for one in (84.0, 112.0))]
)
def test_swing(tempo_bpm: float) -> None:
    """A ride cymbal in triplets is no three-against-two tempo."""
    check(song(steady_beats(tempo_bpm, 20), "swing"), tempo_bpm)


def test_half_time() -> None:
    """Snare on 3 only at 140 bpm: beats at 140 or, as a person may count too, at 70."""
    music = song(steady_beats(140.0, 32), "half-time")
    found = analyse(music.samples, RATE_HZ)
    options = [option.tempo_bpm for option in found.tempo_alternatives]
    assert min(abs(tempo - 140.0) for tempo in options) < 0.1
    assert min(abs(tempo - 70.0) for tempo in options) < 0.1
    expected = analyse(music.samples, RATE_HZ, expect_bpm=(120, 150))
    assert expected.tempo_bpm == pytest.approx(140.0, abs=0.1)


@pytest.mark.parametrize("tempo_bpm", [126.0, 145.0])
def test_bass_off_the_beat(tempo_bpm: float) -> None:
    """A loud bass on every off-beat does not pull the beats half a beat away."""
    bass = (0.5, 1.5, 2.5, 3.5)
    check(song(steady_beats(tempo_bpm, 20), "house", bass=bass, bass_gain=0.5), tempo_bpm)


def test_silence_before_the_music_has_no_beats() -> None:
    """Three seconds of silence hold no beat, and the first one found is the first played."""
    music = song(steady_beats(128.0, 32, start_s=3.0), "house")
    found = check(music, 128.0)
    assert found.beats_s[0] == pytest.approx(3.0, abs=0.02)


def test_a_breakdown_is_bridged_and_marked() -> None:
    """Drums and bass out for eight bars: the grid goes on, phrases before and after hold."""
    music = song(steady_beats(128.0, 40), "house", silent_drums=(64, 96))
    found = check(music, 128.0)
    starts = [phrase.start_s for phrase in found.phrases]
    assert all(np.abs(np.array(starts) - time_s).min() < 0.1 for time_s in music.phrases_s[1:4])
    inside = np.array(found.beats_inferred)[66:94]
    assert inside.mean() > 0.8
    assert not any(found.beats_inferred[:60])
    assert PhraseKind.BREAK in [phrase.kind for phrase in found.phrases]


def test_drift_is_followed_and_reported() -> None:
    """A tempo that rises by 2 % keeps its beats, is not called steady, and tells its drift."""
    tempi = np.linspace(126.0, 128.5, 160)
    music = song(np.cumsum(np.concatenate([[0.5], 60 / tempi])), "rock")
    found = analyse(music.samples, RATE_HZ)
    assert not found.steady
    assert found.tempo_drift_percent == pytest.approx(2.0, abs=0.7)
    assert f_measure(music.beats_s, found.beats_s) >= 0.98


def test_a_waltz_has_three_beats_a_bar() -> None:
    """3/4 is reported as such, with count 1 on the bass note."""
    music = song(steady_beats(132.0, 40, meter=3), "waltz", meter=3, bass=(0,), phrase_beats=24)
    found = analyse(music.samples, RATE_HZ)
    assert found.beats_per_bar == 3
    assert f_measure(music.downbeats_s, found.downbeats_s) >= 0.95


def test_a_pick_up_is_not_count_one() -> None:
    """Two beats of drums before the first bar: count 1 is where the chords start."""
    music = song(steady_beats(124.0, 32), "rock")
    lead = song(steady_beats(124.0, 1, start_s=0.0), "rock").samples
    cut = lead[round(2 * 60 / 124.0 * RATE_HZ) : round(4 * 60 / 124.0 * RATE_HZ)]
    start = round(0.5 * RATE_HZ)
    samples = np.concatenate([music.samples[:start], cut, music.samples[start:]])
    shift_s = len(cut) / RATE_HZ
    found = analyse(samples, RATE_HZ)
    assert f_measure(music.downbeats_s + shift_s, found.downbeats_s) >= 0.95
