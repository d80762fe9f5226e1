"""Range kept against music tempo, and the limits of full range, as arrays for others to draw."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.engine import judge_forms
from aquatempo.feasibility.inputs import FreeInputs
from aquatempo.records.moves import MoveForm, Pattern
from aquatempo.records.people import Group, Pool
from aquatempo.records.verdict import RangeCurve

__all__ = ["TEMPOS_BPM", "full_range_limits", "range_curve"]

TEMPOS_BPM = tuple(float(tempo) for tempo in range(80, 181, 2))


def range_curve(
    form: MoveForm,
    pattern: Pattern,
    pool: Pool | None = None,
    group: Group | None = None,
    tempos_bpm: Sequence[float] = TEMPOS_BPM,
    inputs: FreeInputs | None = None,
) -> RangeCurve:
    """Return the range that a group keeps over music tempos [beats/min].

    form, pattern, pool, inputs: as in judge_forms; tempos_bpm [beats/min].
    """
    grid = judge_forms([form], [pattern], tempos_bpm, pool, group, inputs)
    low, median, high = (tuple(float(x) for x in grid.range_kept[0, 0, :, i]) for i in range(3))
    return RangeCurve(form.name, pattern.text, tuple(tempos_bpm), low, median, high)


def full_range_limits(
    forms: Sequence[MoveForm],
    patterns: Sequence[Pattern],
    pool: Pool | None = None,
    group: Group | None = None,
    inputs: FreeInputs | None = None,
) -> NDArray[np.float64]:
    """Return the highest tempo [beats/min] for full range of the median, (forms, patterns).

    pool, group, inputs: default where None.
    Not a number where nothing limits it up to 240 b/min.
    """
    return judge_forms(forms, patterns, [120.0], pool, group, inputs).max_tempo_bpm
