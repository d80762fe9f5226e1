"""Water, moves and tempo brought together: verdicts.

>>> from aquatempo import feasibility
>>> feasibility.judge.__name__
'judge'
"""

from __future__ import annotations

from aquatempo.feasibility.depths import DepthOnPerson, depths_on_group
from aquatempo.feasibility.engine import judge_forms
from aquatempo.feasibility.inputs import FreeInputs, free_inputs, input_ranges, thresholds
from aquatempo.feasibility.judging import judge
from aquatempo.feasibility.ranges import full_range_limits, range_curve
from aquatempo.feasibility.suitability import Fit, TrackFit, fit_track
from aquatempo.feasibility.tempo_curve import tempo_range, tempo_ranges, warm_up_range
from aquatempo.feasibility.verdict_grid import VerdictGrid

__all__ = [
    "DepthOnPerson",
    "Fit",
    "FreeInputs",
    "TrackFit",
    "VerdictGrid",
    "depths_on_group",
    "fit_track",
    "free_inputs",
    "full_range_limits",
    "input_ranges",
    "judge",
    "judge_forms",
    "range_curve",
    "tempo_range",
    "tempo_ranges",
    "thresholds",
    "warm_up_range",
]
