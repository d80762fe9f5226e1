"""What can be held for a bout, and how long a demand can be held.

The three-parameter hyperbola of critical power, told in shares of the most: what can be
held for D seconds is critical + finite / (D + tau), with tau so that it is the most that one
can do at D = 0. Morton 1996 (J Sports Sci 14:491), from memory; Poole et al. 2016 (Med Sci
Sports Exerc 48:2320) tells that the hyperbola holds across exercises and single muscles.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

__all__ = ["LONGEST_S", "held_for_s", "holdable"]

Array = NDArray[np.float64]
Number = TypeVar("Number", float, Array)

LONGEST_S = 3600.0  # beyond a class: told as no limit


def holdable(bout_s: float, critical: Number, finite_s: Number, most: Number) -> Number:
    """Return the share [1] that can be held for a bout [s].

    bout_s: how long [s].
    critical, most: shares that can be held for ever and for an instant; finite_s: what can
    be done above critical [share x s].

    >>> round(holdable(240.0, 0.80, 48.0, 2.0), 2)
    0.97
    """
    return critical + finite_s / (bout_s + finite_s / (most - critical))


def held_for_s(
    share: Array, critical: Array | float, finite_s: Array | float, most: Array | float
) -> Array:
    """Return how long a share can be held [s], at most LONGEST_S. All of them broadcast.

    share: of any shape, such as (n, J); critical, most: what can be held for ever and for an
    instant [1]; finite_s: what can be done above critical [share x s].

    >>> float(held_for_s(np.array(0.7), 0.80, 48.0, 2.0))
    3600.0
    """
    above = np.maximum(np.asarray(share, float) - critical, 1e-9)
    time = finite_s / above - finite_s / (most - critical)
    return np.asarray(np.clip(time, 0.0, LONGEST_S))
