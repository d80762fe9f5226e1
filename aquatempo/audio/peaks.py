"""True peak by 4 x oversampling, and a limiter that keeps below a ceiling."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

__all__ = ["limit", "limit_blocks", "true_peak_dbtp"]

OVERSAMPLING = 4  # ITU-R BS.1770-4, Annex 2
LOOK_AHEAD_S = 0.005
MARGIN_DB = 0.1  # for what the moving gain adds between samples
CONTEXT = 64  # frames on each side that the oversampling filter may see

Samples = NDArray[np.float32]


def true_peak_dbtp(samples: Samples, sample_rate_hz: int) -> float:
    """Return the highest peak between samples [dB, full scale 0], ITU-R BS.1770-4 Annex 2.

    samples: shape (frames,) or (frames, channels). Minus infinity for silence. sample_rate_hz:
    frames a second [Hz].
    """
    columns = samples[:, None] if samples.ndim == 1 else samples
    step = 30 * sample_rate_hz
    peak = 0.0
    for start in range(0, len(columns), step):
        first = max(0, start - CONTEXT)
        peak = max(peak, float(_peaks(columns[first : start + step + CONTEXT]).max(initial=0.0)))
    return 20 * float(np.log10(peak)) if peak > 0 else -np.inf


def limit(samples: Samples, sample_rate_hz: int, ceiling_dbtp: float = -1.0) -> Samples:
    """Return samples with peaks above a ceiling [dBTP] turned down; see limit_blocks.

    samples: shape (frames,) or (frames, channels); sample_rate_hz: frames a second [Hz];
    ceiling_dbtp: highest true peak [dBTP].
    """
    columns = samples[:, None] if samples.ndim == 1 else samples
    step = 30 * sample_rate_hz
    pieces = (columns[start : start + step] for start in range(0, len(columns), step))
    limited = list(limit_blocks(pieces, sample_rate_hz, ceiling_dbtp))
    return np.concatenate(limited).reshape(samples.shape) if limited else samples.copy()


def limit_blocks(
    blocks: Iterable[Samples], sample_rate_hz: int, ceiling_dbtp: float = -1.0
) -> Iterator[Samples]:
    """Yield blocks, shape (frames, channels), with peaks above a ceiling [dBTP] turned down.

    All channels share one gain, which moves within 5 ms on each side of a peak. The length
    stays, and how the sound is cut into blocks changes nothing. sample_rate_hz: frames a second
    [Hz]; ceiling_dbtp: highest true peak [dBTP].
    """
    reach = round(LOOK_AHEAD_S * sample_rate_hz)
    margin = 2 * reach + CONTEXT  # what the gain of a frame depends on, on each side
    held: Samples | None = None
    done = 0  # frames at the start of held that are out already and stay as context
    for block in blocks:
        held = block if held is None else np.concatenate((held, block))
        ready = len(held) - margin
        if ready > done:
            yield _limited(held, reach, ceiling_dbtp)[done:ready]
            keep = max(0, ready - margin)
            held, done = held[keep:], ready - keep
    if held is not None and len(held) > done:
        yield _limited(held, reach, ceiling_dbtp)[done:]


def _limited(samples: Samples, reach: int, ceiling_dbtp: float) -> Samples:
    from scipy.ndimage import minimum_filter1d, uniform_filter1d

    ceiling = 10 ** ((ceiling_dbtp - MARGIN_DB) / 20)
    peaks = _peaks(samples)
    if peaks.max(initial=0.0) <= ceiling:
        return samples
    needed = ceiling / np.maximum(peaks, ceiling).astype(np.float64)
    window = 2 * reach + 1
    lowest = minimum_filter1d(needed, window, mode="nearest")
    gain = np.minimum(uniform_filter1d(lowest, window, mode="nearest"), 1.0)
    return np.asarray(samples * gain[:, None], dtype=np.float32)


def _peaks(samples: Samples) -> Samples:
    """Return the true peak around each frame over all channels, shape (frames,)."""
    from scipy.signal import resample_poly

    if len(samples) == 0:
        return np.zeros(0, dtype=np.float32)
    # Channels as rows and maxima of slices: reducing a short last axis takes far longer.
    fine = resample_poly(np.ascontiguousarray(samples.T), OVERSAMPLING, 1, axis=1)
    loudest: Samples = np.maximum.reduce(np.abs(fine, out=fine))
    on, *between = (loudest[phase::OVERSAMPLING] for phase in range(OVERSAMPLING))
    after = np.maximum.reduce(between)
    around = np.maximum(on, after)
    around[1:] = np.maximum(around[1:], after[:-1])  # a peak between two frames concerns both
    return around
