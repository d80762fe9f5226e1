"""A rehearsal track from song to file: beats, level, peaks and length as stated."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import butter, find_peaks, sosfiltfilt
from scipy.signal.windows import hann

from aquatempo import audio
from aquatempo.records.cues import CueKind

RATE_HZ = 44_100
SPEED = 1.04
BEATS_S = np.arange(0.31, 23.5, 60 / 126)
Samples = NDArray[np.float32]


@pytest.fixture(scope="module")
def stems() -> audio.RehearsalStems:
    """Return 24 s of drums and bass at 126 bpm, played 4 percent faster, clicks and calls."""
    time_s = np.arange(24 * RATE_HZ) / RATE_HZ
    samples = 0.2 * np.sin(2 * np.pi * 55 * time_s)
    generator = np.random.default_rng(12)
    for beat_s in BEATS_S:
        start = round(beat_s * RATE_HZ)
        drum = generator.standard_normal(4000) * np.exp(-np.arange(4000) / 700)
        samples[start : start + 4000] += 0.5 * drum
    song = audio.stretch(np.stack([samples] * 2, axis=1).astype(np.float32), RATE_HZ, SPEED)
    clicks = [
        (float(beat_s) / SPEED, audio.Click.PHRASE if number % 32 == 0 else audio.Click.BEAT)
        for number, beat_s in enumerate(BEATS_S)
    ]
    call = audio.call_tone(CueKind.NAME, RATE_HZ)
    return audio.rehearsal_stems(song, RATE_HZ, clicks, [(5.0, call), (15.0, call)])


def onsets_s(samples: Samples) -> NDArray[np.float64]:
    """Return onsets [s] by a detector of its own: rises of short-time energy above 700 Hz."""
    high = sosfiltfilt(butter(4, 700, "highpass", fs=RATE_HZ, output="sos"), samples)
    window = hann(133)  # 3 ms
    energy = np.convolve(np.square(high), window / window.sum(), mode="same")
    rise = np.maximum(np.diff(np.sqrt(energy)), 0)
    peaks, _ = find_peaks(rise, height=0.3 * rise.max(), distance=round(0.2 * RATE_HZ))
    return np.asarray(peaks / RATE_HZ, dtype=np.float64)


def test_clicks_lie_on_the_beats(stems: audio.RehearsalStems) -> None:
    """In the click stem, and in the mix without song and calls, onsets are the beats (5 ms)."""
    expected_s = BEATS_S / SPEED
    without_song = stems.mix[:, 0] - stems.song[:, 0] - stems.calls
    for part in (stems.clicks, without_song):
        found_s = onsets_s(part)
        nearest_s = found_s[np.abs(found_s[None, :] - expected_s[:, None]).argmin(axis=1)]
        np.testing.assert_allclose(nearest_s, expected_s, atol=0.005)
        assert len(found_s) == len(expected_s)


@pytest.mark.parametrize("suffix", ["wav", "ogg"])
@pytest.mark.parametrize("target_lufs", [-16.0, -12.0])
def test_file_is_as_stated(
    tmp_path: Path, stems: audio.RehearsalStems, suffix: str, target_lufs: float
) -> None:
    """The file read back is within 1 LU of its loudness, under -1 dBTP, exactly as long."""
    path = tmp_path / f"rehearsal.{suffix}"
    ceiling_dbtp = audio.ceiling_before_coding(path, -1.0)
    mix = audio.level_to(stems.mix, RATE_HZ, target_lufs, ceiling_dbtp)
    audio.write_audio(path, mix, RATE_HZ, {"title": "Lane Four, rehearsal"})
    back = audio.load_stereo(path).samples
    assert audio.loudness_lufs(back, RATE_HZ) == pytest.approx(target_lufs, abs=1.0)
    assert audio.true_peak_dbtp(back, RATE_HZ) < -1.0
    assert len(back) == round(24 * RATE_HZ / SPEED)
