"""What comes out where there is little or nothing to hear, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from rhythm_making import RATE_HZ, click_track, song, steady_beats

from aquatempo.errors import InputError, RangeError
from aquatempo.rhythm import analyse, analyse_blocks
from aquatempo.rhythm.features import extract
from aquatempo.rhythm.frames import from_features
from aquatempo.rhythm.perbeat import cues_of


@pytest.mark.parametrize("length_s", [0.0, 0.01, 3.0, 30.0])
def test_silence_has_no_beats(length_s: float) -> None:
    """Silence of any length gives an empty answer with a reason, not an error."""
    found = analyse(np.zeros(int(length_s * RATE_HZ), np.float32), RATE_HZ)
    assert found.tempo_bpm is None
    assert found.beats_s == ()
    assert found.confidence == 0.0
    assert found.notes


def test_no_blocks_at_all() -> None:
    """An empty stream is an empty answer."""
    assert analyse_blocks([], RATE_HZ).duration_s == 0.0


def test_one_click_has_no_tempo() -> None:
    """A single click is no beat to count."""
    found = analyse(click_track(np.array([2.0]), 10.0), RATE_HZ)
    assert found.confidence < 0.5


@pytest.mark.parametrize("seconds", [2.0, 2.1, 2.2])
def test_two_seconds_of_sound_are_no_beat_and_no_warning(seconds: float) -> None:
    """Three beats or four cannot be counted in nine ways; a numpy warning came of the empty ones.

    Two tones a second, dying away, in eight seconds of silence (made up).
    """
    times_s = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    sound = 0.3 * np.sin(2 * np.pi * 220.0 * times_s) * np.exp(-12 * (times_s % 0.5))
    samples = np.zeros(8 * RATE_HZ, np.float32)
    samples[RATE_HZ : RATE_HZ + len(sound)] = sound
    assert analyse(samples, RATE_HZ).tempo_bpm is None


def test_noise_is_not_trusted() -> None:
    """Steady noise has no beat: whatever is answered, confidence stays low."""
    noise = np.random.default_rng(1).standard_normal(30 * RATE_HZ).astype(np.float32) * 0.1
    assert analyse(noise, RATE_HZ).confidence < 0.5


def test_values_that_are_no_numbers_are_passed_over() -> None:
    """A few NaN and infinite samples do not spoil the rest."""
    music = song(steady_beats(120.0, 12), "rock").samples.copy()
    music[5_000:5_050] = np.nan
    music[90_000] = np.inf
    assert analyse(music, RATE_HZ).tempo_bpm == pytest.approx(120.0, abs=0.1)


def test_clipped_music_keeps_its_beat() -> None:
    """Music driven 20 dB into clipping has the same tempo."""
    music = np.clip(song(steady_beats(128.0, 16), "house").samples * 10, -0.5, 0.5)
    assert analyse(music, RATE_HZ).tempo_bpm == pytest.approx(128.0, abs=0.1)


def test_a_long_stop_has_no_beats() -> None:
    """Six seconds of silence inside the music hold no beat; the music on both sides does."""
    one = song(steady_beats(120.0, 12), "rock")
    gap = np.zeros(6 * RATE_HZ, np.float32)
    found = analyse(np.concatenate([one.samples, gap, one.samples]), RATE_HZ)
    end_s = len(one.samples) / RATE_HZ
    beats_s = np.array(found.beats_s)
    assert not ((beats_s > end_s + 0.5) & (beats_s < end_s + 5.9)).any()
    assert (beats_s < end_s - 2).sum() >= 44
    assert (beats_s > end_s + 6).sum() >= 44


def test_another_sample_rate_is_refused() -> None:
    """The analysis says which rate it needs and what was probably forgotten."""
    with pytest.raises(InputError, match="samples at 44100 Hz: the analysis needs 22050 Hz"):
        analyse(np.zeros(44_100, np.float32), 44_100)


def test_integers_are_refused() -> None:
    """Samples in whole numbers of 16 bits are named as such, not analysed as noise."""
    music = np.round(song(steady_beats(120.0, 4), "rock").samples * 32_767)
    with pytest.raises(InputError, match=r"full scale is 1 \(were integers not scaled"):
        analyse(music, RATE_HZ)


def test_an_expectation_upside_down_is_refused() -> None:
    """A tempo range from high to low is named, with the likely slip."""
    music = song(steady_beats(120.0, 4), "rock").samples
    with pytest.raises(RangeError, match="give the lower number first"):
        analyse(music, RATE_HZ, expect_bpm=(150, 120))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_beats_ascend_whatever_is_played(seed: int) -> None:
    """Music cut up at random, at three tempos: beats still ascend, and bars are among them."""
    random = np.random.default_rng(seed)
    songs = [song(steady_beats(tempo, 8), "rock").samples for tempo in (97.0, 128.0, 171.0)]
    pieces = []
    for _ in range(9):
        music = songs[random.integers(3)]
        first = int(random.integers(len(music) - 3 * RATE_HZ))
        pieces.append(music[first : first + int(random.uniform(1.5, 6) * RATE_HZ)])
    found = analyse(np.concatenate(pieces), RATE_HZ)
    assert (np.diff(found.beats_s) > 0).all()
    assert set(found.downbeats_s) <= set(found.beats_s)
    assert all(phrase.end_s > phrase.start_s for phrase in found.phrases)


def test_an_expectation_chooses_among_levels_and_forces_none() -> None:
    """A song of 126 is 63 where that is expected, and stays 126 where 90 to 100 is.

    63 is half of 126; from 90 to 100 lies no level of it, and the note says so.
    """
    music = song(steady_beats(126.0, 20), "rock").samples
    assert analyse(music, RATE_HZ, expect_bpm=(60, 70)).tempo_bpm == pytest.approx(63, abs=0.1)
    kept = analyse(music, RATE_HZ, expect_bpm=(90, 100))
    assert kept.tempo_bpm == pytest.approx(126, abs=0.1)
    assert kept.notes == (
        "expected 90 to 100 bpm: 126.0 is heard, and neither half (63.0) nor double (252.0) "
        "lies in that range",
    )


def test_beats_before_the_sound_have_cues() -> None:
    """Beats counted back by half a beat from a first stroke at 0 s get a row of cues each."""
    made = song(steady_beats(120, 8, start_s=0.0))
    frames = from_features(extract([made.samples]), len(made.samples) / RATE_HZ)
    cues = cues_of(frames, made.beats_s - 0.25)
    assert len(cues.chroma) == len(made.beats_s)
    assert np.isfinite(cues.chroma).all()
