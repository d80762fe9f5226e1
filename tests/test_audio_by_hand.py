"""Clicks, tones, limiting and stretching, sample by sample."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from test_audio_worked import noise

from aquatempo.audio import peaks, stretching
from aquatempo.audio.clicks import Click, call_tone, click_track, clicks_over, sample_at
from aquatempo.audio.loudness import LoudnessMeter, k_weighting, loudness_lufs
from aquatempo.audio.mixdown import MonoMix
from aquatempo.errors import InputError, RangeError
from aquatempo.records.cues import CueKind

RATE_HZ = 48_000
FIGURES_HZ = {
    CueKind.WARN: (660, 660),
    CueKind.PREVIEW: (550, 660, 550),
    CueKind.COUNTDOWN: (880,),
    CueKind.NAME: (660, 880, 1100),
    CueKind.COUNT_ONE: (1320,),
}


@pytest.mark.parametrize("kind", list(CueKind))
def test_a_tone_is_a_note_and_its_octave(kind: CueKind) -> None:
    """Each note of 0.12 s: a sine, its octave at 0.3 of it, over 1.3, with edges of 8 ms."""
    t = np.arange(5760) / RATE_HZ
    edge = np.clip(np.minimum(t, 0.12 - t) / 0.008, 0, 1)
    notes = [
        0.8 / 1.3 * edge * (np.sin(2 * np.pi * hz * t) + 0.3 * np.sin(2 * np.pi * 2 * hz * t))
        for hz in FIGURES_HZ[kind]
    ]
    assert call_tone(kind, RATE_HZ, 0.8) == pytest.approx(np.concatenate(notes), abs=1e-6)
    assert call_tone(kind, RATE_HZ) == pytest.approx(np.concatenate(notes) * 5 / 8, abs=1e-6)


@pytest.mark.parametrize("cuts", [[], [100], [4805], [4800, 4801, 5000, 6000, 9000, 9500]])
def test_clicks_over_blocks_are_those_of_the_whole(cuts: list[int]) -> None:
    """Clicks add to a song on all its channels, also across the blocks that it comes in."""
    song = noise(12_000, 2)
    times, strengths = [0.1, 0.11, 0.19, -0.01, 0.2495, 5.0], [2, 0, 1, 0, 0, 2]
    kinds = [Click(one) for one in strengths]
    track = np.zeros((12_000, 1))
    for time_s, kind in zip(times, strengths, strict=True):
        hz, share = [(1000, 0.5), (1500, 0.7), (2000, 1.0)][kind]
        t = np.arange(1440) / RATE_HZ
        wave = 0.5 * share * np.exp(-t / 0.006) * np.cos(2 * np.pi * hz * t)
        start = round(time_s * RATE_HZ)
        if start >= 0:
            part = track[start : start + 1440, 0]
            part += wave[: len(part)]
    found = list(clicks_over(np.split(song, cuts), times, kinds, RATE_HZ))
    assert [len(block) for block in found] == [len(block) for block in np.split(song, cuts)]
    assert np.concatenate(found) == pytest.approx(song + track, abs=1e-6)
    assert click_track(times, kinds, 12_000, RATE_HZ) == pytest.approx(track[:, 0], abs=1e-6)
    assert sample_at(0.1, RATE_HZ) == 4800


def test_as_many_strengths_as_clicks() -> None:
    """Two times and one strength are refused, with both numbers."""
    with pytest.raises(InputError) as caught:
        click_track([0.1, 0.2], [Click.BEAT], 100, RATE_HZ)
    assert str(caught.value) == "2 click times and 1 strengths: need as many"


def test_limiting_in_pieces_of_30_s_is_limiting_the_whole() -> None:
    """At 20 frames a second, 75 s in pieces of 30 s keep below -1 dBTP as one block does.

    Nothing softer is touched; one channel has the shape that it came in.
    """
    samples = noise(1500, 1, seed=4) * np.float32(0.4)
    samples[[5, 590, 597, 604, 1190, 1205, 1490]] *= 9
    whole = np.concatenate(list(peaks.limit_blocks([samples], 20)))
    assert peaks.limit(samples, 20) == pytest.approx(whole, abs=1e-6)
    assert peaks.limit(samples[:, 0], 20) == pytest.approx(whole[:, 0], abs=1e-6)
    assert peaks.limit(samples, 20, -1.0) == pytest.approx(whole, abs=1e-6)
    assert peaks.true_peak_dbtp(whole, 20) <= -0.9
    assert peaks.limit(samples[:0], 20).shape == (0, 1)
    soft = samples / np.float32(9)
    assert peaks.limit(soft, 20) is not soft
    assert peaks.limit(soft, 20).tolist() == soft.tolist()


@pytest.mark.parametrize("at", [599, 600, 601, 1199, 1200])
def test_the_peak_of_pieces_is_that_of_the_whole(at: int) -> None:
    """A loud pair beside a border of 30 s overshoots between the samples: seen all the same."""
    samples = np.zeros(1500, np.float32)
    samples[[at - 1, at]] = 0.5
    alone = np.zeros(200, np.float32)
    alone[[99, 100]] = 0.5
    expected = peaks.true_peak_dbtp(alone, 20)
    assert expected > -5.9
    assert peaks.true_peak_dbtp(samples, 20) == pytest.approx(expected, abs=1e-3)
    assert peaks.true_peak_dbtp(samples * 0, 20) == -np.inf


@pytest.mark.parametrize("sizes", [[300] * 5, [77] * 19 + [37], [1500], [10] * 150])
def test_limited_blocks_come_as_soon_as_they_can(sizes: list[int]) -> None:
    """All but the last twice 5 ms and 64 frames are out when a block is taken; none is lost."""
    samples = noise(1500, 2, seed=6)
    taken: list[int] = []

    def blocks() -> Any:
        for block in np.split(samples, np.cumsum(sizes)[:-1]):
            taken.append(len(block))
            yield block

    out: list[int] = []
    for block in peaks.limit_blocks(blocks(), 1000):
        out.append(len(block))
        if sum(out) < 1500:
            assert sum(out) == sum(taken) - 2 * 5 - 64
    assert sum(out) == 1500


@pytest.mark.parametrize(("speed", "frames"), [(0.5, 2000), (2.0, 500), (1.1, 909), (0.9, 1111)])
def test_stretched_frames_are_frames_over_speed(speed: float, frames: int) -> None:
    """1000 frames at another speed, to the nearest; half and double may be, no more."""
    assert stretching.stretched_frames(1000, speed) == frames


@pytest.mark.parametrize("speed", [0.49, 2.01, 0.0, -1.0])
def test_speeds_beyond_half_and_double_are_refused(speed: float) -> None:
    """The message tells the range and what 1.05 means."""
    with pytest.raises(RangeError) as caught:
        stretching.stretched_frames(1000, speed)
    assert str(caught.value) == (f"speed {speed:g}: needs 0.5 to 2 (1.05 is five percent faster)")


@pytest.mark.parametrize("frames", range(2000, 2007))
def test_a_stretch_has_the_frames_that_are_told(frames: int) -> None:
    """Of any length: what is missing to the nearest frame is silent, at the end."""
    samples = noise(frames, 2)
    for speed in (1.5, 0.7):
        moved = stretching.stretch(samples, 8000, speed)
        assert moved.shape == (round(frames / speed), 2)
        assert moved.dtype == np.float32
        assert np.abs(moved[:50]).max() > 0
    same = stretching.stretch(samples, 8000, 1.0)
    assert same.tolist() == samples.tolist()
    assert same is not samples


@pytest.mark.parametrize("rate_hz", [32_000, 44_100, 96_000])
def test_k_weighting_has_one_gain_at_all_rates(rate_hz: int) -> None:
    """At 1 kHz the filters of every rate have the gain of those at 48 kHz, within 0.01 dB.

    0.691 dB there, which the offset of BS.1770 takes off again.
    """

    def gain_db(rate: int) -> float:
        z = np.exp(-2j * np.pi * 997 / rate * np.arange(3))
        sections = k_weighting(rate)
        total = np.prod([(row[:3] @ z) / (row[3:] @ z) for row in sections])
        return float(20 * np.log10(np.abs(total)))

    assert gain_db(rate_hz) == pytest.approx(gain_db(48_000), abs=0.01)
    assert gain_db(48_000) == pytest.approx(0.691, abs=0.01)


def test_loudness_in_blocks_is_that_of_the_whole() -> None:
    """However a programme is cut, the meter tells the same; nothing added has no loudness."""
    samples = noise(9000, 2, seed=8)
    whole = loudness_lufs(samples, 8000)
    meter = LoudnessMeter(8000, 2)
    assert meter.integrated_lufs() == -np.inf
    for block in np.split(samples, [1, 799, 801, 4000, 8999]):
        meter.add(block)
    assert meter.integrated_lufs() == pytest.approx(whole, abs=1e-6)
    long = noise(300_000, 1, seed=9)  # 75 s: pieces of 30 s
    meter = LoudnessMeter(4000, 1)
    meter.add(long)
    assert loudness_lufs(long, 4000) == pytest.approx(meter.integrated_lufs(), abs=1e-6)
    assert loudness_lufs(long[:, 0], 4000) == pytest.approx(meter.integrated_lufs(), abs=1e-6)


def test_silent_channels_do_not_cancel() -> None:
    """No energy at all is not less than a thousandth of none: silence is no cancelling."""
    mix = MonoMix()
    assert list(mix.flush()) == []
    assert not mix.cancels
