"""What is told of many verdicts at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["TempoFigures", "VerdictGrid"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TempoFigures:
    """What is told of a group at each tempo; arrays end as named here, after axes of their own.

    Where a last axis of 3 is named it holds the weak tenth, the median and the strong tenth
    of the group by that figure (range_kept: least first; met, rpe: most able first, so that
    [..., 2] is the less fit).

    range_kept (..., 3): share of the full range of what decides the move: its legs, else
    its arms, else the hop of a jump. legs_kept, arms_kept, hop_kept, travel_kept: of the
    median. full_share: share of the group that keeps full range; odds: chance that somebody
    of the group does, by people and model; lost_share: share that loses the beat. met, rpe
    (..., 3); met_model, rpe_model (..., 2): the median as the model's inputs allow, tenth and
    ninetieth percentile. capacity_share: of the median's maximal uptake; capacity_less_fit of
    the 90 % point. heart_rate_bpm: rough, of the median. held_s, full_held_s (..., 2): how
    long it can be held as it is done and at full range, less fit tenth and median [s], 3600: a
    class. impact_bw (..., 2): highest landing of the cycle, median and 90 % point [body
    weights]. hand_force_n, foot_force_n: median [N]. breath: what breath leaves of the
    median's range.
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
    met_model: Array
    rpe: Array
    rpe_model: Array
    capacity_share: Array
    capacity_less_fit: Array
    heart_rate_bpm: Array
    held_s: Array
    full_held_s: Array
    impact_bw: Array
    hand_force_n: Array
    foot_force_n: Array
    breath: Array


@dataclass(frozen=True, slots=True)
class VerdictGrid(TempoFigures):
    """Figures of many verdicts; arrays of TempoFigures start with (forms, patterns, tempos).

    rated (forms, patterns) False: the trunk decides and no capacity is published; range_kept
    is then a bound. allowed (forms,): depth, level and space do not forbid it; depth_right
    (forms,): for which share the water is right.

    max_tempo_bpm (forms, patterns): highest tempo at which half the group keeps full range,
    NaN where nothing limits it up to 240 b/min; below 40 an extrapolation. Its intervals
    (forms, patterns, 2): limit_bpm, the middle half by people and model; limit_people_bpm and
    limit_model_bpm, from the tenth to the ninetieth percentile by each alone.
    """

    rated: NDArray[np.bool_]
    allowed: NDArray[np.bool_]
    depth_right: Array
    max_tempo_bpm: Array
    limit_bpm: Array
    limit_people_bpm: Array
    limit_model_bpm: Array
