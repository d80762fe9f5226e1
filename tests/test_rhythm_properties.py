"""What must hold for any music: time shifts, gain, speed, repeatability, blocks."""

from __future__ import annotations

import numpy as np
import pytest
from rhythm_making import RATE_HZ, Song, song, steady_beats

from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.rhythm import analyse, analyse_blocks


@pytest.fixture(scope="module")
def music() -> Song:
    """Sixteen bars of rock at 123.4 bpm."""
    return song(steady_beats(123.4, 16), "rock")


@pytest.fixture(scope="module")
def heard(music: Song) -> RhythmAnalysis:
    """Return what is heard in it."""
    return analyse(music.samples, RATE_HZ)


@pytest.mark.parametrize("shift_s", [0.0137, 0.25, 1.777])
def test_a_shift_of_the_audio_shifts_the_beats(
    music: Song, heard: RhythmAnalysis, shift_s: float
) -> None:
    """Silence of any length in front moves every beat by as much, to 2 ms."""
    shift = round(shift_s * RATE_HZ)
    moved = analyse(np.concatenate([np.zeros(shift, np.float32), music.samples]), RATE_HZ)
    assert len(moved.beats_s) == len(heard.beats_s)
    difference_s = np.array(moved.beats_s) - np.array(heard.beats_s) - shift / RATE_HZ
    assert np.abs(difference_s).max() < 0.002


@pytest.mark.parametrize("gain", [0.01, 1.9])
def test_gain_changes_nothing(music: Song, heard: RhythmAnalysis, gain: float) -> None:
    """Forty decibels down, or nearly doubled: the same beats and bars, to 1 ms."""
    found = analyse(music.samples * np.float32(gain), RATE_HZ)
    assert found.tempo_bpm == pytest.approx(heard.tempo_bpm, abs=0.01)
    assert found.beats_s == pytest.approx(heard.beats_s, abs=0.001)
    assert found.downbeats_s == pytest.approx(heard.downbeats_s, abs=0.001)


def test_speed_multiplies_the_tempo(music: Song, heard: RhythmAnalysis) -> None:
    """Played 1.05 times as fast, pitch and all, the tempo is 1.05 times as high to 0.05 bpm."""
    places = np.arange(0, len(music.samples) - 1, 1.05)
    faster = np.interp(places, np.arange(len(music.samples)), music.samples)
    found = analyse(faster.astype(np.float32), RATE_HZ)
    assert heard.tempo_bpm is not None
    assert found.tempo_bpm == pytest.approx(1.05 * heard.tempo_bpm, abs=0.05)


def test_the_same_input_gives_the_same_output(music: Song, heard: RhythmAnalysis) -> None:
    """Analysis is deterministic to the last digit."""
    assert analyse(music.samples, RATE_HZ) == heard


@pytest.mark.parametrize("size", [1_000, 65_536])
def test_blocks_do_not_matter(music: Song, heard: RhythmAnalysis, size: int) -> None:
    """Samples in blocks of any size give what the whole array gives."""
    blocks = (music.samples[start : start + size] for start in range(0, len(music.samples), size))
    found = analyse_blocks(blocks, RATE_HZ)
    assert found.beats_s == pytest.approx(heard.beats_s, abs=0.0005)
    assert found.duration_s == heard.duration_s


def test_a_record_is_consistent(heard: RhythmAnalysis) -> None:
    """Downbeats are beats, phrases tile them, and every list has its length."""
    assert set(heard.downbeats_s) <= set(heard.beats_s)
    assert len(heard.beats_inferred) == len(heard.beats_s)
    assert heard.phrases[0].start_beat == 0
    for phrase, following in zip(heard.phrases, heard.phrases[1:], strict=False):
        assert phrase.start_beat + phrase.counts == following.start_beat
        assert phrase.end_s == following.start_s
    assert sum(phrase.counts for phrase in heard.phrases) == len(heard.beats_s)
    assert 0 <= heard.confidence <= heard.tempo_confidence <= 1
    assert sum(option.odds for option in heard.tempo_alternatives) == pytest.approx(1, abs=0.01)
    levels = [option.tempo_bpm for option in heard.tempo_alternatives]
    assert levels[0] == pytest.approx(heard.tempo_bpm, abs=0.01)
    for factor in (0.5, 2.0):
        assert min(abs(level - factor * levels[0]) for level in levels) < 0.02
