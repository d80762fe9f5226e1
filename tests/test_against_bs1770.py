"""Loudness and true peak against ITU-R BS.1770-4 and the signals of EBU Tech 3341."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from aquatempo import audio
from aquatempo.audio.loudness import k_weighting

RATE_HZ = 48_000
Samples = NDArray[np.float32]

# EBU Tech 3341 (2016), Table 1, minimum requirements test signals: integrated loudness
# within 0.1 LU. Levels and signals as published; typed in from memory of the table.
TOLERANCE_LU = 0.1


def sine(seconds_and_levels: list[tuple[float, float]], rate_hz: int = RATE_HZ) -> Samples:
    """Return a stereo sine of 1000 Hz in steps of (duration [s], peak level [dBFS])."""
    level = np.concatenate(
        [np.full(round(s * rate_hz), 10 ** (db / 20)) for s, db in seconds_and_levels]
    )
    tone = level * np.sin(2 * np.pi * 1000 * np.arange(len(level)) / rate_hz)
    return np.stack([tone, tone], axis=1).astype(np.float32)


def test_k_weighting_is_the_published_table() -> None:
    """At 48 kHz the filters are those of BS.1770-4, Annex 1, Tables 1 and 2."""
    table_1 = (1.53512485958697, -2.69169618940638, 1.19839281085285)
    table_1_poles = (1.0, -1.69065929318241, 0.73248077421585)
    table_2 = (1.0, -2.0, 1.0)
    table_2_poles = (1.0, -1.99004745483398, 0.99007225036621)
    shelf, high_pass = k_weighting(48_000)
    # 1e-7: the table is rounded to 14 digits, our prototypes are derived from it.
    assert shelf == pytest.approx([*table_1, *table_1_poles], abs=1e-7)
    assert high_pass == pytest.approx([*table_2, *table_2_poles], abs=1e-7)


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
def test_full_scale_sine_in_one_channel(rate_hz: int) -> None:
    """997 Hz at 0 dBFS in one front channel reads -3.01 LKFS: BS.1770-4, Annex 1."""
    tone = np.sin(2 * np.pi * 997 * np.arange(5 * rate_hz) / rate_hz).astype(np.float32)
    silent = np.zeros_like(tone)
    # 0.01 LU: the standard gives two decimals.
    for samples in (tone, np.stack([tone, silent], axis=1)):
        assert audio.loudness_lufs(samples, rate_hz) == pytest.approx(-3.01, abs=0.01)


@pytest.mark.parametrize(
    ("steps", "expected_lufs"),
    [
        ([(20, -23.0)], -23.0),
        ([(20, -33.0)], -33.0),
        ([(10, -36.0), (60, -23.0), (10, -36.0)], -23.0),
        ([(10, -72.0), (10, -36.0), (60, -23.0), (10, -36.0), (10, -72.0)], -23.0),
        ([(20, -26.0), (20.1, -20.0), (20, -26.0)], -23.0),
    ],
    ids=["case 1", "case 2", "case 3", "case 4", "case 5"],
)
def test_ebu_tech_3341_loudness(steps: list[tuple[float, float]], expected_lufs: float) -> None:
    """EBU Tech 3341 test cases 1 to 5: tones through both gates."""
    measured = audio.loudness_lufs(sine(steps), RATE_HZ)
    assert measured == pytest.approx(expected_lufs, abs=TOLERANCE_LU)


def test_ebu_tech_3341_surround() -> None:
    """EBU Tech 3341 test case 6: 5.0 channels with their weights read -23.0 LUFS."""
    time = np.arange(20 * RATE_HZ) / RATE_HZ
    tone = np.sin(2 * np.pi * 1000 * time)
    levels_db = np.array([-28.0, -28.0, -24.0, -30.0, -30.0])
    samples = (tone[:, None] * 10 ** (levels_db / 20)).astype(np.float32)
    assert audio.loudness_lufs(samples, RATE_HZ) == pytest.approx(-23.0, abs=TOLERANCE_LU)


@pytest.mark.parametrize(
    ("divisor", "phase_degrees", "amplitude", "expected_dbtp"),
    [
        (4, 0.0, 0.5, -6.0),
        (4, 45.0, 0.5, -6.0),
        (6, 60.0, 0.5, -6.0),
        (8, 67.5, 0.5, -6.0),
        (4, 45.0, 1.41, 3.0),
    ],
    ids=["case 15", "case 16", "case 17", "case 18", "case 19"],
)
def test_ebu_tech_3341_true_peak(
    divisor: int, phase_degrees: float, amplitude: float, expected_dbtp: float
) -> None:
    """EBU Tech 3341 test cases 15 to 19: peaks between samples, +0.2 / -0.4 dB."""
    phase = 2 * np.pi * np.arange(RATE_HZ) / divisor + math.radians(phase_degrees)
    # Faded at the ends: a sine switched on has honest overshoot of its own.
    tone = audio.fade((amplitude * np.sin(phase)).astype(np.float32), 4800, 4800)
    measured = audio.true_peak_dbtp(tone, RATE_HZ)
    assert expected_dbtp - 0.4 <= measured <= expected_dbtp + 0.2


def test_agrees_with_pyloudnorm() -> None:
    """A programme of changing level reads as in pyloudnorm (MIT) with the same filters."""
    pyloudnorm = pytest.importorskip("pyloudnorm")
    generator = np.random.default_rng(8)
    level = np.repeat(10 ** (generator.uniform(-50, -10, 40) / 20), RATE_HZ)
    samples = (level[:, None] * generator.standard_normal((len(level), 2)) * 0.3).astype(np.float32)
    meter = pyloudnorm.Meter(RATE_HZ, filter_class="DeMan")
    # 0.05 LU: pyloudnorm derives its high-pass with another gain by some hundredths.
    expected = meter.integrated_loudness(samples)
    assert audio.loudness_lufs(samples, RATE_HZ) == pytest.approx(expected, abs=0.05)


def test_silence_has_no_loudness() -> None:
    """Silence, and less than a gating block, read minus infinity."""
    assert audio.loudness_lufs(np.zeros((RATE_HZ, 2), np.float32), RATE_HZ) == -math.inf
    assert audio.loudness_lufs(np.ones(100, np.float32), RATE_HZ) == -math.inf
    assert audio.true_peak_dbtp(np.zeros(0, np.float32), RATE_HZ) == -math.inf


def test_blocks_of_any_length_read_alike() -> None:
    """Streaming a programme in odd blocks reads as the whole."""
    samples = sine([(3, -20.0), (3, -40.0), (2, -14.0)])
    meter = audio.LoudnessMeter(RATE_HZ, 2)
    for start in range(0, len(samples), 7_777):
        meter.add(samples[start : start + 7_777])
    assert meter.integrated_lufs() == pytest.approx(audio.loudness_lufs(samples, RATE_HZ), abs=1e-9)
