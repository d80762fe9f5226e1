"""What tells, beat by beat, that one song gives way to another in a mix.

A song repeats itself: its loops of 4 and 8 bars go on through changes of section, and what comes
later has mostly been heard before. Where the next song begins, or begins to fade in, both stop.
Loops are compared count by count, so a change of section inside a song tells less than a join, and
the first counts of a fade more than its middle, to which a comparison of means would point.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from aquatempo.rhythm.perbeat import BeatCues

__all__ = ["break_of", "join_signs", "novelty", "rhythm_rows", "rows_of", "standard", "unit"]

LOOP_BEATS = 32  # of harmony; sound and rhythm repeat in half of that
WINDOW = 16  # beats over which two passages are compared
BACK = 64  # beats before a join in which what follows it is looked for
AHEAD = range(0, 32, 4)  # beats after a join from which passages are looked for

Doubles = NDArray[np.float64]


def join_signs(cues: BeatCues) -> dict[str, Doubles]:
    """Return, by name, what speaks for a join at each beat, not yet standardised.

    "sound breaks", "loop breaks": by how much less what follows repeats what came before than what
    came before repeated itself, in sound over ``WINDOW`` beats and in harmony over
    ``LOOP_BEATS``. "new rhythm", "new harmony": how far the passages that follow are from all of
    the last ``BACK`` beats. cues: at the beats.
    """
    harmony = rows_of(cues)
    return {
        "sound breaks": break_of(unit(standard(cues.timbre)), WINDOW),
        "loop breaks": break_of(harmony, LOOP_BEATS),
        "new rhythm": novelty(rhythm_rows(cues)),
        "new harmony": novelty(harmony),
    }


def rows_of(cues: BeatCues) -> Doubles:
    """Return harmony and bass as rows of length 1 about their mean, shape (beats, values)."""
    rows = np.concatenate([unit(cues.chroma), unit(cues.bass)], axis=1)
    return unit(rows - rows.mean(axis=0))


def rhythm_rows(cues: BeatCues) -> Doubles:
    """Return what is struck on each beat and through it as rows of length 1, (beats, values)."""
    return unit(np.concatenate([standard(cues.onset), standard(cues.busy)], axis=1))


def break_of(rows: Doubles, loop: int) -> Doubles:
    """Return by how much less each beat's next ``loop`` beats repeat than those before it did.

    rows: of length 1, shape (beats, values). Likeness is the cosine with the row one loop earlier.
    """
    count = len(rows)
    at = np.arange(2 * loop, count - loop + 1)  # where all before and after can be heard
    if not len(at):
        return np.zeros(count)
    alike = (rows[loop:] * rows[:-loop]).sum(axis=1)
    sums = np.concatenate([np.zeros(loop + 1), np.cumsum(alike)])
    broken = (sums[at] - sums[at - loop]) / loop - (sums[at + loop] - sums[at]) / loop
    out = np.full(count, np.median(broken))
    out[at] = broken
    return out


def novelty(rows: Doubles) -> Doubles:
    """Return how unlike all that was heard just before the passages after each beat are.

    rows: of length 1, shape (beats, values). 1 less the mean, over passages of ``WINDOW`` beats
    that begin up to 28 beats after it, of their best likeness in the ``BACK`` beats before it.
    """
    count, longest = len(rows), BACK + max(AHEAD)
    alike = np.full((count, longest + 1), -1.0)  # of passages, by how many beats they lie apart
    at = np.arange(count)
    ends = np.minimum(at + WINDOW, count)
    for lag in range(WINDOW, min(longest + 1, count)):
        products = np.zeros(count)
        products[lag:] = (rows[lag:] * rows[:-lag]).sum(axis=1)
        sums = np.concatenate([[0.0], np.cumsum(products)])
        alike[lag:, lag] = ((sums[ends] - sums[at]) / WINDOW)[lag:]
    total = np.zeros(count)
    for step in AHEAD:
        best = alike[:, WINDOW + step : BACK + step + 1].max(axis=1)
        total += best[np.minimum(at + step, count - 1)]
    new = 1 - total / len(AHEAD)
    known = (at >= WINDOW) & (at + max(AHEAD) + WINDOW <= count)
    return np.where(known, new, np.median(new[known]) if known.any() else 0)


def unit(rows: Doubles) -> Doubles:
    """Return the rows divided by their lengths, shape (beats, values)."""
    return np.asarray(rows / (np.linalg.norm(rows, axis=1, keepdims=True) + 1e-9))


def standard(rows: Doubles) -> Doubles:
    """Return each column about its mean, in its standard deviations, shape (beats, values)."""
    return np.asarray((rows - rows.mean(axis=0)) / (rows.std(axis=0) + 1e-9))
