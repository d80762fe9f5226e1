"""The law of effort, range and time: r = 1 - y^k (docs/design/feasibility.md).

y is strain over what can be held for the bout, r the share of the range that is kept. For a
demand that grows with range and tempo there is one r, y never falls and r never rises as the tempo
rises. Times are those of a movement, in eighths of an octave from 6 s down, so that 1, 2 and 4
counts at tempi in such steps from 40 b/min up fall on the same grid.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError
from aquatempo.water.paths import SHARES

__all__ = [
    "FULL",
    "INNER_SHARES",
    "TEMPI_BPM",
    "TEMPO_RANGE_BPM",
    "TIMES_S",
    "AtShares",
    "at_share",
    "beat_slice",
    "kept_of",
    "strain_at",
]

Array = NDArray[Any]  # of 32 or 64 bits

TEMPO_RANGE_BPM = (40.0, 240.0)
_STEPS = 8  # an octave: 24 would move a limit by 1 b/min at the most
TEMPI_BPM = 40.0 * 2.0 ** (np.arange(22) / _STEPS)
TIMES_S = 6.0 * 2.0 ** (-np.arange(22 + 2 * _STEPS) / _STEPS)
FULL = 1.0
_INNER = SHARES[SHARES <= FULL]
INNER_SHARES = len(_INNER)  # of SHARES: the rest is for excursions beyond the full range
_ROUNDS = 9


def beat_slice(counts: int) -> slice:
    """Return where the times of a movement of some counts lie in TIMES_S, for TEMPI_BPM.

    >>> start = beat_slice(2).start
    >>> float(TIMES_S[start])  # 2 counts at 40 beats/min
    3.0
    """
    if counts not in (1, 2, 4):
        raise InputError(f"a movement of {counts} counts: needs 1, 2 or 4")
    first = _STEPS * {4: 0, 2: 1, 1: 2}[counts]
    return slice(first, first + len(TEMPI_BPM))


def strain_at(kept: Array, stiffness: Array | float) -> Array:
    """Return the strain y [1] at which a share of the range is kept: (1 - r)^(1/k). Broadcasts.

    kept: of any shape; stiffness: k, one for all or a shape that broadcasts.

    >>> round(float(strain_at(np.array(0.5), 8.0)), 3)
    0.917
    """
    return np.asarray(np.maximum(1.0 - kept, 0.0) ** (1.0 / stiffness))


def kept_of(strain: Array, stiffness: Array) -> Array:
    """Return the share of the range kept (n, K) for strains (n, R, K) at SHARES.

    stiffness (n,). The strain has to grow with the share; it is taken to be linear between
    shares and to go with the square of the share below the least one.
    """
    inner = strain[:, : len(_INNER)]
    wanted = strain_at(_INNER, stiffness[:, None])
    above = inner >= wanted.astype(inner.dtype)[..., None]
    index = np.argmax(above, axis=1)  # at the full range any strain is too much
    before = np.maximum(index - 1, 0)
    y1 = np.take_along_axis(inner, index[:, None], axis=1)[:, 0]
    y0 = np.where(index > 0, np.take_along_axis(inner, before[:, None], axis=1)[:, 0], 0.0)
    r1 = _INNER[index]
    r0 = np.where(index > 0, _INNER[before], 0.0)
    low, high = np.zeros_like(y1), np.ones_like(y1)
    square = index == 0
    for _ in range(_ROUNDS):
        middle = 0.5 * (low + high)
        y = np.where(square, y1 * middle * middle, y0 + (y1 - y0) * middle)
        over = _raised(y, stiffness) > 1.0 - (r0 + (r1 - r0) * middle)
        high = np.where(over, middle, high)
        low = np.where(over, low, middle)
    return np.asarray(r0 + (r1 - r0) * 0.5 * (low + high))


def _raised(y: Array, stiffness: Array) -> Array:
    """Return y^k of (n, K), k of each row; the usual 8 by three squares, quicker than a power."""
    eighth = y * y
    eighth *= eighth
    eighth *= eighth
    other = stiffness != 8.0
    if other.any():
        eighth[other] = y[other] ** stiffness[other, None]
    return eighth


class AtShares:
    """Reads tables (n, R) at shares of the range (n, K) that are found once."""

    def __init__(self, kept: Array) -> None:
        place = np.interp(kept, SHARES, np.arange(len(SHARES)))
        self.low = np.minimum(place.astype(np.intp), len(SHARES) - 2)
        self.part = (place - self.low).astype(np.float32)
        self.rows = np.arange(len(kept))[:, None]
        self.below = kept < SHARES[0]
        self.fraction = (kept / SHARES[0]).astype(np.float32) if self.below.any() else None

    def read(self, table: Array, power: float = 1.0) -> Array:
        """Return a table at the shares; it goes about with that power of the share."""
        rooted = _rooted(table, power)
        first = rooted[self.rows, self.low]
        value = first + (rooted[self.rows, self.low + 1] - first) * self.part
        if self.fraction is not None:
            value = np.where(self.below, rooted[:, :1] * self.fraction, value)
        return np.asarray(value * value * value if power == 3.0 else value**power)

    def read_ways(self, table: Array) -> Array:
        """Return a table (R,) that is the same for all people at the shares (n, K)."""
        first = table[self.low]
        value = first + (table[self.low + 1] - first) * self.part
        if self.fraction is not None:
            value = np.where(self.below, table[0] * self.fraction, value)
        return np.asarray(value)


def _rooted(table: Array, power: float) -> Array:
    if power == 1.0:
        return table
    return np.cbrt(np.abs(table)) if power == 3.0 else np.abs(table) ** (1.0 / power)


def at_share(table: Array, kept: Array, power: float = 1.0) -> Array:
    """Return a table (n, R) at shares (n, K); it goes about with that power of the share.

    kept: shares of the range [1].
    """
    return AtShares(kept).read(table, power)
