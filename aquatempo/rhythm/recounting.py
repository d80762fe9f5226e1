"""The beats of a track counted at another level, over the whole track or a part of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.rhythm import BeatEvidence

__all__ = ["LEVELS", "Counted", "at_level", "level_for", "without"]

LEVELS = {1.0: (1, 1), 0.5: (1, 2), 2.0: (2, 1), 2 / 3: (2, 3), 1.5: (3, 2), 1 / 3: (1, 3),
          3.0: (3, 1)}  # fmt: skip
"""Tempo over that heard, as beats counted to beats heard."""
NEAR = 0.06  # relative: how near a tempo must be to a level
NOTHING = -3.0  # log-odds that a beat which nobody heard is count 1 of anything

Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Counted:
    """Beats [s], whether each is inferred, and what each shows."""

    beats_s: Doubles
    inferred: NDArray[np.bool_]
    evidence: BeatEvidence


def level_for(heard_bpm: float, wanted_bpm: float) -> float | None:
    """Return the level whose tempo is meant by wanted_bpm, as a factor; None where none is near.

    heard_bpm: the tempo as heard, wanted_bpm: as meant [beats/min].

    >>> level_for(128.0, 64.2)
    0.5
    >>> level_for(128.0, 100.0) is None
    True
    """
    level = min(LEVELS, key=lambda factor: abs(np.log(heard_bpm * factor / wanted_bpm)))
    return level if abs(heard_bpm * level / wanted_bpm - 1) < NEAR else None


def at_level(counted: Counted, level: float, first: int, last: int, end_s: float) -> Counted:
    """Return the beats with those from first to last (exclusive) counted at a level.

    Beats that hold more of the count 1s stay. end_s: end of the track [s].
    """
    if level == 1.0 or last - first < 2:
        return counted
    wanted, heard = LEVELS[level]
    start = first
    if heard > 1:
        odds = np.array(counted.evidence.bar_odds[first:last])
        start = first + int(np.argmax([odds[offset::heard].mean() for offset in range(heard)]))
    places = np.arange(start, last, heard / wanted)
    if last == len(counted.beats_s):  # what would lie past the end of the track goes
        period = counted.beats_s[-1] - counted.beats_s[-2]
        places = places[(places < last - 1) | (
            counted.beats_s[-1] + (places - last + 1) * period < end_s)]  # fmt: skip
    index = np.concatenate([np.arange(first), places, np.arange(last, len(counted.beats_s))])
    known = np.append(counted.beats_s, 2 * counted.beats_s[-1] - counted.beats_s[-2])
    beats_s = np.interp(index, np.arange(len(known)), known)
    return _picked(counted, beats_s, index)


def without(counted: Counted, keep: NDArray[np.bool_]) -> Counted:
    """Return the beats that are kept; where some are left out, another grid begins.

    counted: all beats; keep: those to keep, shape (beats,).
    """
    index = np.flatnonzero(keep).astype(np.float64)
    gaps = np.flatnonzero(np.diff(index) > 1) + 1
    found = _picked(counted, counted.beats_s[keep], index)
    splices = sorted({*found.evidence.splices, *gaps.tolist()})
    return replace(found, evidence=replace(found.evidence, splices=tuple(splices)))


def _picked(counted: Counted, beats_s: Doubles, index: Doubles) -> Counted:
    """Return what is known at places between beats; new beats show nothing of a bar."""
    evidence = counted.evidence
    nearest = np.minimum(np.floor(index + 1e-9).astype(int), len(counted.beats_s) - 1)
    heard = np.abs(index - nearest) < 1e-6

    def odds(values: tuple[float, ...]) -> tuple[float, ...]:
        if not values:
            return ()
        kept = np.where(heard, np.array(values)[nearest], NOTHING)
        return tuple(round(float(value), 3) for value in kept)

    ends = np.searchsorted(index, np.array(evidence.splices) - 1e-6)
    splices = [int(place) for place in ends if place < len(index)]
    return Counted(
        beats_s,
        counted.inferred[nearest],
        replace(
            evidence,
            energy=tuple(evidence.energy[place] for place in nearest),
            bar_odds=odds(evidence.bar_odds),
            phrase_odds=odds(evidence.phrase_odds),
            bridge_odds=odds(evidence.bridge_odds),
            end_odds=odds(evidence.end_odds),
            splices=tuple(sorted(set(splices))),
        ),
    )
