"""A form with a pattern told for the whole group, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.combining import LOST_BELOW, Persons
from aquatempo.feasibility.inputs import FreeInputs, thresholds
from aquatempo.feasibility.law import TEMPI_BPM, TEMPO_RANGE_BPM
from aquatempo.feasibility.sample import Sample, spread
from aquatempo.water.effort import heart_rate_bpm

__all__ = ["GroupFigures", "figures_of", "limits_bpm"]

Array = NDArray[np.float64]

_SOFT = 0.012  # of range: who is within it of a threshold counts in part
_UNLIMITED_BPM = 480.0
_LOG_TEMPI = np.log(TEMPI_BPM)


@dataclass(frozen=True, slots=True)
class GroupFigures:
    """Figures of a form with a pattern over TEMPI_BPM (J); see VerdictGrid for their meaning.

    limits_bpm (n,): highest tempo at which each person keeps full range. muscle_part (n,):
    how much of the loss there muscles cause, the rest breath [1].
    """

    range_kept: Array
    legs_kept: Array
    arms_kept: Array
    hop_kept: Array
    travel_kept: Array
    full_share: Array
    odds: Array
    lost_share: Array
    met: Array
    rpe: Array
    capacity_share: Array
    capacity_less_fit: Array
    heart_rate_bpm: Array
    held_s: Array
    impact_bw: Array
    hand_force_n: Array
    foot_force_n: Array
    worst: NDArray[np.int_]
    limits_bpm: Array
    muscle_part: Array
    max_tempo_bpm: float


def figures_of(persons: Persons, people: Sample, inputs: FreeInputs) -> GroupFigures:
    """Return the figures of a group."""
    full = thresholds().full_range
    limits = limits_bpm(persons.kept, full)
    muscle = _muscle_part(persons, limits)
    ordered = np.sort(limits)
    middle = 0.5 * (ordered[(len(ordered) - 1) // 2] + ordered[len(ordered) // 2])
    low, high = TEMPO_RANGE_BPM
    median_met = np.median(persons.met, axis=0)
    heart = heart_rate_bpm(persons.met, people.peak_met[:, None], people.bodies.age_years[:, None])
    share, held = spread(persons.share), spread(persons.held_s)
    impact = spread(persons.impact_bw)
    del median_met
    return GroupFigures(
        range_kept=spread(persons.kept),
        legs_kept=np.median(persons.legs, axis=0),
        arms_kept=np.median(persons.arms, axis=0),
        hop_kept=np.median(persons.hop, axis=0),
        travel_kept=np.median(persons.travel, axis=0),
        full_share=_share_above(persons.kept, full),
        odds=_share_above(persons.kept, full),
        lost_share=1.0 - _share_above(persons.kept, LOST_BELOW),
        met=spread(persons.met),
        rpe=spread(persons.rpe),
        capacity_share=share[..., 1],
        capacity_less_fit=share[..., 2],
        heart_rate_bpm=np.median(heart, axis=0),
        held_s=held[..., :2],
        impact_bw=impact[..., 1:],
        hand_force_n=np.median(persons.hand_n, axis=0),
        foot_force_n=np.median(persons.foot_n, axis=0),
        worst=np.argmin(np.median(persons.by_step, axis=1), axis=0),
        limits_bpm=limits,
        muscle_part=muscle,
        max_tempo_bpm=float("nan") if middle > high else float(middle if middle >= low else 0.0),
    )


def limits_bpm(kept: Array, wanted: float) -> Array:
    """Return the highest tempo [beats/min] at which each person keeps a share (n, J) -> (n,).

    Linear in the logarithm of the tempo; 480 where nothing limits it up to 254, 20 where
    not even 40 b/min is slow enough.
    """
    below = kept < wanted
    first = np.argmax(below, axis=1)
    none, at_once = ~below.any(axis=1), below[:, 0]
    i = np.maximum(first, 1)
    rows = np.arange(len(kept))
    after, before = kept[rows, i], kept[rows, i - 1]
    part = np.clip((before - wanted) / np.maximum(before - after, 1e-12), 0.0, 1.0)
    found = np.exp(_LOG_TEMPI[i - 1] + part * (_LOG_TEMPI[1] - _LOG_TEMPI[0]))
    return np.where(none, _UNLIMITED_BPM, np.where(at_once, 20.0, found))


def _share_above(kept: Array, wanted: float) -> Array:
    """Return the share of the group (J,) that keeps at least a share of the range (n, J)."""
    return np.asarray(np.mean(1.0 / (1.0 + np.exp((wanted - kept) / _SOFT)), axis=0))


def _muscle_part(persons: Persons, limits: Array) -> Array:
    place = np.clip((np.log(limits) - _LOG_TEMPI[0]) / (_LOG_TEMPI[1] - _LOG_TEMPI[0]), 0, 31.99)
    rows, at = np.arange(len(limits)), np.ceil(place).astype(int)
    breath = np.log(np.minimum(persons.breath[rows, at], 1 - 1e-9))
    whole = np.minimum(np.log(np.minimum(persons.kept[rows, at], 1 - 1e-9)), breath)
    return np.asarray(1.0 - breath / whole)
