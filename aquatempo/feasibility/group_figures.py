"""A form with a pattern told for the whole group, and how sure that is.

Every person has a highest tempo of full range. How much those differ is the spread of the
people. How far the draws of the model's inputs move that of a typical person is the spread of the
model. Both are taken as factors on the tempo that do not depend on each other.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.combining import LOST_BELOW, Persons
from aquatempo.feasibility.inputs import thresholds
from aquatempo.feasibility.law import TEMPI_BPM, TEMPO_RANGE_BPM
from aquatempo.feasibility.sample import QUANTILES, Sample
from aquatempo.feasibility.verdict_grid import TempoFigures
from aquatempo.water.effort import heart_rate_bpm

__all__ = ["GroupFigures", "figures_of", "limits_bpm"]

Array = NDArray[Any]  # of 32 or 64 bits

_SOFT = 0.01  # who is within 1 % of a tempo counts in part
_FARTHEST_BPM = (20.0, 480.0)
_LOG_TEMPI = np.log(TEMPI_BPM)
_LOSS_PER_OCTAVE = 1.0 / 16.0  # of ln tempo to ln loss: a strain goes with the square, its loss^8
_MIDDLE_HALF = (0.25, 0.75)


@dataclass(frozen=True, slots=True)
class GroupFigures(TempoFigures):
    """Figures of a form with a pattern; arrays of TempoFigures start with TEMPI_BPM (J).

    The limits are those of VerdictGrid. by_step (S, J): what decides each step, median.
    people_bpm (n,), model (draws,): highest tempo of full range of each person, and factor
    on it of each draw.
    """

    by_step: Array
    people_bpm: Array
    model: Array
    max_tempo_bpm: float
    limit_bpm: Array
    limit_people_bpm: Array
    limit_model_bpm: Array


def figures_of(persons: Persons, people: Sample) -> GroupFigures:
    """Return the figures of a group.

    persons: the form person by person; people: who they are.
    """
    group, drawn = slice(0, people.people), slice(people.people + 2, None)
    bodies = people.bodies
    heart = heart_rate_bpm(persons.met, people.peak_met[:, None], bodies.age_years[:, None])
    told = [getattr(persons, name) for name in _SPREAD] + [heart]
    q = dict(zip((*_SPREAD, "heart"), _quantiles(np.stack(told)[:, group]), strict=True))
    limits = np.log(limits_bpm(persons.kept, thresholds().full_range))
    lost = np.log(limits_bpm(persons.kept[group], LOST_BELOW))
    own, moved = limits[group], limits[drawn] - limits[people.typical]
    both = np.sort((own[:, None] + moved).ravel())
    tempi = np.concatenate([[0.5], np.arange(len(both)) + 0.5]) / len(both)
    likely = float(np.median(own))
    middle = float(np.exp(likely))
    return GroupFigures(
        range_kept=q["kept"],
        legs_kept=q["legs"][:, 1],
        arms_kept=q["arms"][:, 1],
        hop_kept=q["hop"][:, 1],
        travel_kept=q["travel"][:, 1],
        full_share=_share_above(own),
        odds=1.0 - np.interp(_LOG_TEMPI, both, tempi[1:], left=0.0, right=1.0),
        lost_share=1.0 - _share_above(lost),
        met=q["met"],
        met_model=_model_range(persons.met, people, q["met"][:, 1]),
        rpe=q["rpe"],
        rpe_model=_model_range(persons.rpe, people, q["rpe"][:, 1]),
        capacity_share=q["share"][:, 1],
        capacity_less_fit=q["share"][:, 2],
        heart_rate_bpm=q["heart"][:, 1],
        held_s=q["held_s"][:, :2],
        full_held_s=q["full_held_s"][:, :2],
        impact_bw=q["impact_bw"][:, 1:],
        hand_force_n=q["hand_n"][:, 1],
        foot_force_n=q["foot_n"][:, 1],
        breath=q["breath"][:, 1],
        by_step=np.stack([_quantiles(step[None, group])[0][:, 1] for step in persons.by_step]),
        people_bpm=np.exp(own),
        model=np.exp(moved),
        max_tempo_bpm=float("nan") if middle > TEMPO_RANGE_BPM[1] else middle,
        limit_bpm=np.exp(np.quantile(both, _MIDDLE_HALF)),
        limit_people_bpm=np.exp(np.quantile(own, (QUANTILES[0], QUANTILES[2]))),
        limit_model_bpm=np.exp(likely + np.quantile(moved, (QUANTILES[0], QUANTILES[2]))),
    )


_SPREAD = tuple(f.name for f in fields(Persons) if f.name != "by_step")


def limits_bpm(kept: Array, wanted: float) -> Array:
    """Return the highest tempo [beats/min] at which each person keeps a share (n, J) -> (n,).

    kept (n, J): over TEMPI_BPM; wanted: the share that is to be kept [1].
    Linear in the logarithm of the tempo. Beyond both ends of TEMPI_BPM the loss is taken to go
    with the sixteenth power of the tempo, from 20 to 480 beats/min.
    """
    below = kept < wanted
    first = np.argmax(below, axis=1)
    none, at_once = ~below.any(axis=1), below[:, 0]
    i = np.maximum(first, 1)
    rows = np.arange(len(kept))
    after, before = kept[rows, i], kept[rows, i - 1]
    part = np.clip((before - wanted) / np.maximum(before - after, 1e-12), 0.0, 1.0)
    found = _LOG_TEMPI[i - 1] + part * (_LOG_TEMPI[1] - _LOG_TEMPI[0])
    for rows_beyond, column in ((none, -1), (at_once, 0)):
        loss = np.maximum(1.0 - kept[rows_beyond, column], 1e-9)
        more = _LOSS_PER_OCTAVE * np.log((1.0 - wanted) / loss)
        found[rows_beyond] = _LOG_TEMPI[column] + more
    return np.asarray(np.clip(np.exp(found), *_FARTHEST_BPM))


def _share_above(log_limits: Array) -> Array:
    """Return the share of the group (J,) whose limit (n,) lies above each tempo, soft."""
    over = np.clip((log_limits[:, None] - _LOG_TEMPI) / _SOFT, -40.0, 40.0)
    return np.asarray(np.mean(1.0 / (1.0 + np.exp(-over)), axis=0))


def _quantiles(values: Array) -> Array:
    """Return the weak tenth, median and strong tenth over people (F, n, J) -> (F, J, 3)."""
    ordered = np.sort(values, axis=1)
    low, part = _places(values.shape[1])
    weight = part[:, None]
    between = ordered[:, low] * (1 - weight) + ordered[:, low + 1] * weight
    return np.asarray(between.transpose(0, 2, 1))


@cache
def _places(count: int) -> tuple[NDArray[np.int_], Array]:
    place = np.array(QUANTILES) * count - 0.5
    low = np.clip(place.astype(int), 0, max(count - 2, 0))
    return low, place - low


def _model_range(values: Array, people: Sample, median: Array) -> Array:
    """Return the median as nine of ten draws have it at least and at most, (J, 2)."""
    drawn = values[people.people + 2 :] / values[people.typical]
    ordered = np.sort(drawn, axis=0)
    low, part = _places(len(ordered))
    ends = ordered[low] * (1 - part[:, None]) + ordered[low + 1] * part[:, None]
    return np.asarray((ends * median)[[0, 2]].T)
