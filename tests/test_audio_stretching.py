"""Stretching: onsets where they should be, the length exact, the pitch kept."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from aquatempo import audio
from aquatempo.errors import RangeError

RATE_HZ = 44_100
BEATS_S = np.arange(0.3, 11.5, 60 / 128)
Samples = NDArray[np.float32]


@pytest.fixture(scope="module")
def music() -> Samples:
    """Return 12 s of drum-like bursts at 128 bpm over a tone of 440 Hz, stereo."""
    samples = 0.1 * np.sin(2 * np.pi * 440 * np.arange(12 * RATE_HZ) / RATE_HZ)
    generator = np.random.default_rng(10)
    for beat_s in BEATS_S:
        start = round(beat_s * RATE_HZ)
        samples[start : start + 2000] += (
            0.6 * generator.standard_normal(2000) * np.exp(-np.arange(2000) / 300)
        )
    return np.stack([samples, samples], axis=1).astype(np.float32)


@pytest.mark.parametrize("speed", [0.9, 0.96, 1.04, 1.1])
def test_onsets_move_to_their_place(music: Samples, speed: float) -> None:
    """At another speed each onset lies within 3 ms of its time divided by the speed."""
    moved = np.abs(audio.stretch(music, RATE_HZ, speed)[:, 0])
    for expected_s in BEATS_S / speed:
        first = round((expected_s - 0.05) * RATE_HZ)
        near = moved[first : first + round(0.1 * RATE_HZ)]
        onset_s = (first + int(np.argmax(near > 0.3 * near.max()))) / RATE_HZ
        assert onset_s == pytest.approx(expected_s, abs=0.003)


@pytest.mark.parametrize("speed", [0.9, 0.97, 1.0, 1.033, 1.1])
def test_length_is_exact(music: Samples, speed: float) -> None:
    """The stretched song has the length over the speed, rounded to a sample."""
    moved = audio.stretch(music, RATE_HZ, speed)
    assert moved.shape == (round(len(music) / speed), 2)
    assert audio.stretched_frames(len(music), speed) == len(moved)


def test_pitch_is_kept(music: Samples) -> None:
    """A tone of 440 Hz stays at 440 Hz when the song is played 8 percent faster."""
    moved = audio.stretch(music, RATE_HZ, 1.08)[:, 0]
    spectrum = np.abs(np.fft.rfft(moved * np.hanning(len(moved))))
    pitch_hz = np.fft.rfftfreq(len(moved), 1 / RATE_HZ)[np.argmax(spectrum)]
    assert pitch_hz == pytest.approx(440.0, abs=0.5)  # some bins of 0.09 Hz


def test_same_song_gives_the_same_file(music: Samples) -> None:
    """Stretching a song twice gives the same samples."""
    part = music[: 2 * RATE_HZ]
    np.testing.assert_array_equal(
        audio.stretch(part, RATE_HZ, 1.05), audio.stretch(part, RATE_HZ, 1.05)
    )


def test_own_speed_changes_nothing(music: Samples) -> None:
    """At speed 1 the song is untouched."""
    np.testing.assert_array_equal(audio.stretch(music, RATE_HZ, 1.0), music)


def test_percent_taken_for_a_factor() -> None:
    """A speed of 105 is refused with the likely slip."""
    with pytest.raises(RangeError) as caught:
        audio.stretched_frames(1000, 105)
    assert str(caught.value) == "speed 105: needs 0.5 to 2 (1.05 is five percent faster)"
