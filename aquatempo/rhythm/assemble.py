"""Segments to labelled phrases with their energy."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.rhythm import EnergyLevel, Phrase, PhraseKind
from aquatempo.rhythm.phrases import BARS_PER_PHRASE, Segmentation, bounds

__all__ = ["energy_of", "phrases_of"]

QUIET_SHARE = 0.6  # of the beats of a break are inferred, not heard
LOW, HIGH = 0.4, 0.75  # energy below and above which a phrase is low and high
LEAST_RANGE = 0.35  # of the loud level: in an even track everything is near the top

Doubles = NDArray[np.float64]


def energy_of(level: Doubles) -> Doubles:
    """Return the energy of each beat, 0 to 1, relative to the loud beats of the track."""
    low, high = np.quantile(level, [0.05, 0.95])
    span = max(high - low, LEAST_RANGE * abs(high), 1e-9)
    return np.asarray(np.clip(1 - (high - level) / span, 0, 1))


def phrases_of(
    found: Segmentation,
    beats_s: Doubles,
    energy: Doubles,
    inferred: NDArray[np.bool_],
    duration_s: float,
) -> tuple[Phrase, ...]:
    """Return the segments as phrases, bridges, breaks, intro and outro.

    found: the segments in beats; beats_s [s], energy (0 to 1) and inferred, all of shape (beats,);
    duration_s: of the track [s].
    """
    period = float(np.median(np.diff(beats_s)))
    last_s = max(min(beats_s[-1] + period, duration_s), beats_s[-1])
    ends_s = np.append(beats_s[1:], last_s)
    whole = BARS_PER_PHRASE * found.beats_per_bar
    phrases = []
    parts = bounds(found.starts, len(beats_s))
    full = [last for first, last in parts if last - first == whole]
    for first, last in parts:
        counts = last - first
        quiet = float(inferred[first:last].mean()) > QUIET_SHARE
        at_start = first == 0 or (counts != whole and bool(full) and last < full[0])
        at_end = last == len(beats_s) or (counts != whole and bool(full) and last > full[-1])
        if at_start and (counts != whole or quiet):
            kind = PhraseKind.INTRO
        elif at_end and (counts != whole or quiet):
            kind = PhraseKind.OUTRO
        elif quiet:
            kind = PhraseKind.BREAK
        else:
            kind = PhraseKind.PHRASE if counts == whole else PhraseKind.BRIDGE
        mean = float(energy[first:last].mean())
        strength = EnergyLevel.LOW if mean < LOW else EnergyLevel.MEDIUM
        phrases.append(
            Phrase(
                start_s=round(float(beats_s[first]), 4),
                end_s=round(float(ends_s[last - 1]), 4),
                start_beat=first,
                counts=counts,
                kind=kind,
                energy=round(mean, 3),
                energy_level=EnergyLevel.HIGH if mean > HIGH else strength,
            )
        )
    return tuple(phrases)
