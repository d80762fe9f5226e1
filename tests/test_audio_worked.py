"""Levels, peaks and mixes of sound, worked by hand or frame by frame."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import resample_poly, sosfilt

from aquatempo import audio
from aquatempo.audio import peaks
from aquatempo.audio.clicks import Click, call_tone, click_track
from aquatempo.audio.loudness import k_weighting, loudness_lufs
from aquatempo.audio.mixdown import MonoMix, to_stereo
from aquatempo.audio.mixing import ducking_gain, fade, place_sounds
from aquatempo.records.cues import CueKind

RATE_HZ = 8_000
Samples = NDArray[np.float32]


def noise(frames: int, channels: int, seed: int = 1) -> Samples:
    """Return repeatable noise, shape (frames, channels)."""
    drawn = np.random.default_rng(seed).uniform(-0.6, 0.6, (frames, channels))
    return drawn.astype(np.float32)


def test_peaks_between_samples_are_seen() -> None:
    """A sine of a quarter of the rate at 45 degrees: samples of 0.707, a true peak of 0 dB.

    The example of ITU-R BS.1770-4, Annex 2.
    """
    wave = np.sin(np.pi / 2 * np.arange(4000) + np.pi / 4).astype(np.float32)
    wave *= np.hanning(4000).astype(np.float32)
    assert np.abs(wave).max() == pytest.approx(0.707, abs=0.001)
    assert peaks.true_peak_dbtp(wave, RATE_HZ) == pytest.approx(0.0, abs=0.05)
    assert peaks.true_peak_dbtp(wave[:, None] * 0.5, RATE_HZ) == pytest.approx(-6.02, abs=0.05)


def test_a_peak_is_seen_wherever_pieces_meet() -> None:
    """Music of more than 30 s has the peak of its loudest place, next to a border or not."""
    for place in (100, 30 * RATE_HZ - 1, 30 * RATE_HZ, 59 * RATE_HZ):
        long = np.zeros(60 * RATE_HZ, np.float32)
        long[place] = 0.5
        assert peaks.true_peak_dbtp(long, RATE_HZ) == pytest.approx(-6.02, abs=0.05)


def test_a_frame_has_the_highest_peak_around_it() -> None:
    """Of four times the samples, the three before and the three after belong to a frame."""
    samples = noise(200, 2)
    fine = np.abs(np.stack([resample_poly(column, 4, 1) for column in samples.T])).max(axis=0)
    expected = [fine[max(0, 4 * at - 3) : 4 * at + 4].max() for at in range(200)]
    assert peaks._peaks(samples) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("ceiling_dbtp", [-1.0, -3.0])
def test_the_gain_is_the_mean_of_the_lowest_needed_within_5_ms(ceiling_dbtp: float) -> None:
    """Frame by frame: what each frame needs, the least of 5 ms around, and its mean over as much.

    0.1 dB is kept for what moves between the samples.
    """
    samples = noise(600, 2, seed=3) * np.float32(0.5)
    samples[[150, 400, 405]] *= 4
    reach, ceiling = 40, 10 ** ((ceiling_dbtp - 0.1) / 20)  # 5 ms at 8 kHz
    needed = np.minimum(1, ceiling / np.maximum(peaks._peaks(samples), 1e-9).astype(float))
    padded = np.pad(needed, 2 * reach, mode="edge")
    lowest = np.array([padded[at : at + 2 * reach + 1].min() for at in range(600 + 2 * reach)])
    lowest[:reach], lowest[-reach:] = lowest[reach], lowest[-reach - 1]
    gain = np.array([lowest[at : at + 2 * reach + 1].mean() for at in range(600)])
    limited = peaks.limit(samples, RATE_HZ, ceiling_dbtp)
    assert limited == pytest.approx(samples * gain[:, None], abs=1e-5)
    cut = peaks.limit_blocks(np.split(samples, [90, 91, 300, 555]), RATE_HZ, ceiling_dbtp)
    assert np.concatenate(list(cut)) == pytest.approx(limited, abs=1e-6)


@pytest.mark.parametrize("channels", [1, 2, 5])
def test_loudness_block_by_block(channels: int) -> None:
    """Blocks of 0.4 s every 0.1 s, gated at -70 LUFS and 10 LU below their mean.

    ITU-R BS.1770-4, Annex 1, written out; surrounds count 1.41 times (Table 3).
    """
    rate = 8_000
    loud = np.repeat([0.5, 0.0, 0.02, 0.3, 1e-5, 0.12], rate)[:, None]
    samples = (noise(6 * rate, channels, 5) * loud).astype(np.float32)
    weighted = sosfilt(k_weighting(rate), samples.astype(float), axis=0)
    shares = np.array([1, 1, 1, 1.41, 1.41])[:channels]
    powers = []
    for start in range(0, 6 * rate - 3200 + 1, 800):
        powers.append(float((weighted[start : start + 3200] ** 2).mean(axis=0) @ shares))
    heard = [power for power in powers if -0.691 + 10 * np.log10(power + 1e-30) > -70]
    gate = np.mean(heard) / 10
    expected = -0.691 + 10 * np.log10(np.mean([power for power in heard if power > gate]))
    assert loudness_lufs(samples, rate) == pytest.approx(expected, abs=0.001)


def test_less_than_a_block_has_no_loudness() -> None:
    """0.4 s is a block and has a loudness; a hop less has none, as silence has."""
    assert np.isfinite(loudness_lufs(noise(3200, 1)[:, 0], RATE_HZ))
    assert loudness_lufs(noise(3199, 1), RATE_HZ) == -np.inf
    assert loudness_lufs(np.zeros((RATE_HZ, 2), np.float32), RATE_HZ) == -np.inf


@pytest.mark.parametrize(
    ("strength", "pitch_hz", "share"),
    [(Click.BEAT, 1000, 0.5), (Click.EIGHT, 1500, 0.7), (Click.PHRASE, 2000, 1)],
)
def test_a_click_is_a_cosine_that_dies_away(strength: Click, pitch_hz: int, share: float) -> None:
    """Level times the share of its strength, down to 1/e in 6 ms, silent after 30 ms."""
    rate, level = 48_000, 0.6
    track = click_track([0.1], [strength], rate, rate, level)
    t = np.arange(1440) / rate
    wave = level * share * np.exp(-t / 0.006) * np.cos(2 * np.pi * pitch_hz * t)
    assert track[4800:6240] == pytest.approx(wave, abs=1e-6)
    assert not track[:4800].any()
    assert not track[6240:].any()


@pytest.mark.parametrize("kind", list(CueKind))
def test_a_call_tone_keeps_its_level_and_begins_and_ends_softly(kind: CueKind) -> None:
    """Notes of 0.12 s each at one peak level; each starts from and falls to nothing."""
    rate = 48_000
    tone = call_tone(kind, rate, 0.8)
    notes = tone.reshape(-1, 5760)
    assert len(notes) == {"warn": 2, "preview": 3, "name": 3}.get(kind.value, 1)
    for note in notes:
        assert 0.6 < np.abs(note).max() <= 0.8
        assert np.abs(note[[0, -1]]).max() < 0.01
        assert np.abs(note[384:-384]).max() == np.abs(note).max()  # 8 ms of edge
        assert np.abs(note[:192]).max() < 0.5 * np.abs(note).max() * 1.05  # half-way up at 4 ms


def test_sounds_are_placed_and_cut_at_both_ends() -> None:
    """Sounds add where they overlap; what lies before 0 or after the end is cut off."""
    sound = np.array([1, 2, 3], np.float32)
    placed = place_sounds(
        [(-0.1, sound), (0.2, sound), (0.3, sound), (0.9, sound), (5, sound)], 10, 10
    )
    assert placed.tolist() == [2, 3, 1, 3, 5, 3, 0, 0, 0, 1]
    assert not place_sounds([(-0.3, sound), (1.0, sound)], 10, 10).any()


def test_ducking_runs_straight_in_decibels() -> None:
    """12 dB in 0.4 s at 10 frames a second is 3 dB a frame, down before and up after."""
    gain = ducking_gain([(1.0, 1.2), (1.3, 1.4)], 24, 10, 12.0, 0.4)
    lowered = -20 * np.log10(gain)
    expected = [0] * 7 + [3, 6, 9, 12, 12, 12, 12, 12, 9, 6, 3] + [0] * 6
    assert lowered == pytest.approx(expected, abs=1e-4)
    cut = ducking_gain([(-0.2, 0.1), (2.3, 9.0)], 24, 10, 12.0, 0.4)
    assert -20 * np.log10(cut) == pytest.approx(
        [12, 12, 9, 6, 3, *[0] * 14, 0, 3, 6, 9, 12], abs=1e-4
    )


def test_fades_are_quarter_sines() -> None:
    """Two frames rise by sin 22.5 and 67.5 degrees, and squares of a crossing add up to 1."""
    faded = fade(np.ones(6, np.float32), 2, 3)
    assert faded == pytest.approx(
        [np.sin(np.pi / 8), np.sin(3 * np.pi / 8), 1, *np.cos(np.pi * np.array([1, 3, 5]) / 12)]
    )
    up, down = fade(np.ones((9, 2), np.float32), 9), fade(np.ones((9, 2), np.float32), 0, 9)
    assert up**2 + down**2 == pytest.approx(np.ones((9, 2)))
    assert fade(np.ones(3, np.float32), 50, 0)[2] < 1


@pytest.mark.parametrize(("share", "cancels"), [(0.95, True), (0.9, False), (-1.0, False)])
def test_channels_cancel_below_a_thousandth_of_their_energy(share: float, cancels: bool) -> None:
    """Of x and -0.95 x the mean has 0.066 % of the energy of a channel: the first is heard.

    (1 - s)^2 / 4 over (1 + s^2) / 2: 0.00066 for 0.95, 0.0028 for 0.9.
    """
    left = noise(4000, 1)
    block = np.concatenate([left, -share * left], axis=1)
    mix = MonoMix()
    heard = [*mix.feed(block, 100), *mix.feed(block, 100)]
    assert mix.cancels is cancels
    one = left[:, 0] if cancels else left[:, 0] * (1 - share) / 2
    assert np.concatenate(heard) == pytest.approx(np.concatenate([one, one]), abs=1e-6)


def test_sound_waits_for_20_s_and_silence_before_it_does_not() -> None:
    """19.9 s of sound wait, the next tenth settles them; silence ahead is handed on at once."""
    mix, block = MonoMix(), noise(10, 3)
    silent = np.zeros((500, 3), np.float32)
    assert [len(out) for out in mix.feed(silent, 100)] == [500]
    for _ in range(199):
        assert list(mix.feed(block, 100)) == []
    assert list(mix.feed(silent, 100)) == []
    out = np.concatenate(list(mix.feed(block, 100)))
    assert len(out) == 2500
    assert out[:10] == pytest.approx(block.mean(axis=1), abs=1e-6)
    assert not out[1990:2490].any()
    assert next(iter(mix.feed(block, 100))) == pytest.approx(block.mean(axis=1), abs=1e-6)


def test_surround_sound_folds_to_two_channels() -> None:
    """Each channel of 5.1 alone: 1 / (1 + sqrt 2) of it, -3 dB for centre and surrounds.

    ITU-R BS.775-3, Table 2; low frequencies (the fourth) are left out.
    """
    unit, half = 1 / (1 + np.sqrt(2)), np.sqrt(0.5)
    out = to_stereo(np.eye(6, dtype=np.float32)) / unit
    sides = [(1, 0), (0, 1), (half, half), (0, 0), (half, 0), (0, half)]
    assert out == pytest.approx(np.array(sides), abs=1e-6)
    five = to_stereo(np.eye(5, dtype=np.float32)) / unit
    assert five == pytest.approx(np.array(sides)[[0, 1, 2, 4, 5]], abs=1e-6)
    assert to_stereo(np.eye(4, dtype=np.float32)) == pytest.approx(np.full((4, 2), 0.25))
    assert to_stereo(np.ones((3, 1), np.float32)) == pytest.approx(np.ones((3, 2)))


def test_joined_tracks_lie_at_their_starts() -> None:
    """A gap is silent, an overlap adds at equal power, all else is the track itself."""
    ones = np.ones((10, 1), np.float32)
    out = np.concatenate(list(audio.join_tracks([(0.2, ones), (1.0, 2 * ones), (2.5, ones)], 10)))
    rise = np.sin(np.pi / 2 * (np.arange(2) + 0.5) / 2)
    expected = [0, 0, *[1] * 8, *(rise[::-1] + 2 * rise), *[2] * 8, *[0] * 5, *[1] * 10]
    assert out[:, 0] == pytest.approx(expected, abs=1e-6)
