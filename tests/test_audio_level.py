"""Levelling and limiting: loud as asked, never over the ceiling, otherwise untouched."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from aquatempo import audio

RATE_HZ = 44_100
Samples = NDArray[np.float32]


@pytest.fixture(scope="module")
def music() -> Samples:
    """Return 12 s of decaying bursts over a chord: spiky, as drums are."""
    time_s = np.arange(12 * RATE_HZ) / RATE_HZ
    burst = np.exp(-((time_s * 2.2) % 1) * 12)
    generator = np.random.default_rng(9)
    left = 0.8 * burst * generator.standard_normal(len(time_s)) + 0.1 * np.sin(1382 * time_s)
    right = 0.8 * burst * generator.standard_normal(len(time_s)) + 0.1 * np.sin(2073 * time_s)
    return np.stack([left, right], axis=1).astype(np.float32)


@pytest.mark.parametrize("target_lufs", [-23.0, -16.0])
def test_level_and_ceiling_hold_together(music: Samples, target_lufs: float) -> None:
    """A spiky programme comes within 1 LU of the target and stays under -1 dBTP."""
    levelled = audio.level_to(music, RATE_HZ, target_lufs, -1.0)
    assert levelled.shape == music.shape
    assert audio.loudness_lufs(levelled, RATE_HZ) == pytest.approx(target_lufs, abs=1.0)
    assert audio.true_peak_dbtp(levelled, RATE_HZ) <= -1.0


def test_loud_enough_but_too_spiky_is_still_limited() -> None:
    """Sound already at the target is limited all the same."""
    samples = np.zeros((4 * RATE_HZ, 2), np.float32)
    samples[::20_000] = 1.4
    lufs = audio.loudness_lufs(samples, RATE_HZ)
    assert audio.true_peak_dbtp(audio.level_to(samples, RATE_HZ, lufs), RATE_HZ) <= -1.0


def test_silence_stays_silent() -> None:
    """Silence has no loudness to raise."""
    assert not audio.level_to(np.zeros((RATE_HZ, 2), np.float32), RATE_HZ).any()


def test_quiet_sound_passes_the_limiter_untouched(music: Samples) -> None:
    """What stays under the ceiling comes out of the limiter sample for sample."""
    quiet = music * np.float32(0.05)
    np.testing.assert_array_equal(audio.limit(quiet, RATE_HZ), quiet)
    np.testing.assert_array_equal(audio.limit(quiet[:, 0], RATE_HZ), quiet[:, 0])


def test_limiter_works_near_peaks_only() -> None:
    """A lone peak is turned down; 11 ms away from it nothing changes."""
    samples = np.full((RATE_HZ, 1), 0.1, np.float32)
    samples[20_000] = 1.5
    limited = audio.limit(samples, RATE_HZ)
    assert audio.true_peak_dbtp(limited, RATE_HZ) <= -1.0
    reach = round(0.011 * RATE_HZ)  # twice the look-ahead of 5 ms, and the filter
    np.testing.assert_array_equal(limited[: 20_000 - reach], samples[: 20_000 - reach])
    np.testing.assert_array_equal(limited[20_000 + reach :], samples[20_000 + reach :])


@pytest.mark.parametrize("step", [1_000, 4_096, 50_000])
def test_limiting_in_blocks_equals_limiting_whole(music: Samples, step: int) -> None:
    """How a programme is cut into blocks changes nothing in the result."""
    part = music[: 3 * RATE_HZ] * np.float32(2.0)
    blocks = (part[start : start + step] for start in range(0, len(part), step))
    pieced = np.concatenate(list(audio.limit_blocks(blocks, RATE_HZ)))
    np.testing.assert_allclose(pieced, audio.limit(part, RATE_HZ), atol=1e-6)  # float32 rounding
