"""Programme loudness by ITU-R BS.1770-4, streaming."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["LoudnessMeter", "k_weighting", "loudness_lufs"]

# BS.1770-4, Annex 1: gating blocks of 400 ms with 75 % overlap, absolute gate -70 LKFS,
# relative gate 10 LU below; loudness = -0.691 + 10 log10 of the weighted mean square.
HOP_S = 0.1
HOPS_A_BLOCK = 4
ABSOLUTE_GATE_LUFS = -70.0
RELATIVE_GATE_LU = -10.0
OFFSET_DB = -0.691
SURROUND_WEIGHT = 1.41  # BS.1770-4, Table 3: +1.5 dB for the surrounds of 5.0 and 5.1

# Analogue prototypes of the two K-weighting filters, from which the bilinear transform
# gives the coefficients of BS.1770-4, Tables 1 and 2, at 48 kHz and those of other rates.
# Derived from the tables; the test of the tables holds them.
SHELF_HZ, SHELF_Q, SHELF_DB = 1681.974450955533, 0.7071752369554196, 3.999843853973347
HIGH_PASS_HZ, HIGH_PASS_Q = 38.13547087602444, 0.5003270373238773
SHELF_MIDDLE_POWER = 0.4996667741545416

Samples = NDArray[np.float32]
Biquads = NDArray[np.float64]


class LoudnessMeter:
    """Measures blocks of one programme; ask integrated_lufs when all are added."""

    def __init__(self, sample_rate_hz: int, channels: int) -> None:
        self._hop = round(HOP_S * sample_rate_hz)
        self._filters = k_weighting(sample_rate_hz)
        self._state = np.zeros((2, 2, channels))
        # Channel order of 5.0: left, right, centre, surrounds (BS.1770-4, Table 3).
        self._weights = np.ones(channels)
        self._weights[3:] = SURROUND_WEIGHT
        self._rest = np.zeros((0, channels))
        self._powers: list[NDArray[np.float64]] = []

    def add(self, block: Samples) -> None:
        """Add a block, shape (frames,) for mono or (frames, channels)."""
        from scipy.signal import sosfilt

        columns = block[:, None] if block.ndim == 1 else block
        weighted, self._state = sosfilt(self._filters, columns, axis=0, zi=self._state)
        joined = np.concatenate((self._rest, weighted))
        hops = len(joined) // self._hop
        whole = joined[: hops * self._hop].reshape(hops, self._hop, columns.shape[1])
        self._rest = joined[hops * self._hop :]
        self._powers.append(np.mean(np.square(whole), axis=1) @ self._weights)

    def integrated_lufs(self) -> float:
        """Return the gated loudness [LUFS]; minus infinity where nothing passes the gate."""
        hops = np.concatenate(self._powers) if self._powers else np.zeros(0)
        if len(hops) < HOPS_A_BLOCK:
            return -np.inf
        power = np.convolve(hops, np.full(HOPS_A_BLOCK, 1 / HOPS_A_BLOCK), mode="valid")
        power = power[power > _power(ABSOLUTE_GATE_LUFS)]
        if len(power) == 0:
            return -np.inf
        gate = np.mean(power) * 10 ** (RELATIVE_GATE_LU / 10)
        return float(OFFSET_DB + 10 * np.log10(np.mean(power[power > gate])))


def loudness_lufs(samples: Samples, sample_rate_hz: int) -> float:
    """Return the loudness [LUFS] of a whole programme, shape (frames,) or (frames, channels).

    Minus infinity for silence and for less than 0.4 s. Source: ITU-R BS.1770-4, Annex 1.
    samples: full scale 1.0; sample_rate_hz: frames a second [Hz].
    """
    meter = LoudnessMeter(sample_rate_hz, 1 if samples.ndim == 1 else samples.shape[1])
    step = 30 * sample_rate_hz  # filters work in float64: a piece at a time saves memory
    for start in range(0, len(samples), step):
        meter.add(samples[start : start + step])
    return meter.integrated_lufs()


def k_weighting(sample_rate_hz: int) -> Biquads:
    """Return the two K-weighting filters at a rate [Hz] as second-order sections, (2, 6)."""
    k = np.tan(np.pi * SHELF_HZ / sample_rate_hz)
    high = 10 ** (SHELF_DB / 20)
    middle = high**SHELF_MIDDLE_POWER
    scale = 1 + k / SHELF_Q + k * k
    shelf = [
        (high + middle * k / SHELF_Q + k * k) / scale,
        2 * (k * k - high) / scale,
        (high - middle * k / SHELF_Q + k * k) / scale,
        1.0,
        2 * (k * k - 1) / scale,
        (1 - k / SHELF_Q + k * k) / scale,
    ]
    k, scale = _high_pass_scale(sample_rate_hz)
    # The table's numerator is 1, -2, 1 as it stands, a gain of 1.005 at 48 kHz that the
    # offset of -0.691 reckons with: other rates get the same gain.
    gain = _high_pass_scale(48_000)[1] / scale
    poles = (1.0, 2 * (k * k - 1) / scale, (1 - k / HIGH_PASS_Q + k * k) / scale)
    high_pass = [gain, -2 * gain, gain, *poles]
    return np.array([shelf, high_pass], dtype=np.float64)


def _high_pass_scale(sample_rate_hz: int) -> tuple[float, float]:
    k = float(np.tan(np.pi * HIGH_PASS_HZ / sample_rate_hz))
    return k, 1 + k / HIGH_PASS_Q + k * k


def _power(loudness: float) -> float:
    return float(10 ** ((loudness - OFFSET_DB) / 10))
