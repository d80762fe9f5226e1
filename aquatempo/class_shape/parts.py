"""The parts of a class: how long each is and how fast its music may be."""

from __future__ import annotations

from dataclasses import dataclass, replace

from aquatempo.class_shape.limits import limits_of
from aquatempo.feasibility import tempo_range, warm_up_range
from aquatempo.records.brief import (
    Brief,
    BuildWay,
    Experience,
    Intervals,
    IntervalUnit,
    PartBrief,
    PartName,
)
from aquatempo.units import COUNTS_PER_PHRASE, counts_duration_s

__all__ = [
    "GENTLE_PARTS",
    "SLOW_PARTS",
    "ClassPart",
    "class_shape",
    "interval_seconds",
    "usual_range_bpm",
]

SLOW_PARTS = (PartName.COOL_DOWN, PartName.STRETCH)  # slow music, or none
GENTLE_PARTS = (PartName.WARM_UP, PartName.COOL_DOWN)  # no hops, effort goes one way
SLOW_BPM = (50.0, 100.0)  # cool-down and stretch: under 100 (common practice, no source)
LAND_TEMPO_BPM = 126.0  # most moves keep 85 % at land tempo up to here (docs/design/feasibility.md)
HARD_RPE = 15.5  # from here on a part is hard work
INTERVAL_BPM = 135.0  # usual for work (common practice, no source)
COOL_WATER_C = 28.0  # below it a longer warm-up (common practice)
FULL_CLASS_MINUTES = 30.0  # shorter classes shrink in proportion
_MOST_WARM, _MOST_COOL = 0.30, 0.20  # of a class, where notes ask for more than usual
_STRETCH_MINUTES = 5.0


@dataclass(frozen=True)
class ClassPart:
    """A part with everything settled. own_range: the tempo range is the brief's own line.

    hard: it is hard work; new: it is the main part of those who begin.
    """

    name: PartName
    minutes: float
    tempo_bpm: tuple[float, float]
    build: BuildWay
    own_range: bool = False
    rpe: tuple[float, float] | None = None
    hard: bool = False
    new: bool = False

    @property
    def working_bpm(self) -> float:
        """The tempo that suits the part best: the middle of its range, slow for the end.

        Hard work goes at land tempo, which keeps its range in slower songs only; those who begin
        have the slower songs of the range.
        """
        low, high = self.tempo_bpm
        if self.name in SLOW_PARTS and low <= 90.0 <= high:
            return 90.0
        middle = low + (high - low) / 3.0 if self.new else (low + high) / 2.0
        return min(middle, max(low, LAND_TEMPO_BPM)) if self.hard else middle


def class_shape(brief: Brief) -> tuple[ClassPart, ...]:
    """Return the parts of a class in order; a brief without parts gets the usual ones.

    >>> [(part.name.value, part.minutes) for part in class_shape(Brief(minutes=50))]
    [('warm-up', 9.0), ('main', 30.0), ('cool-down', 6.0), ('stretch', 5.0)]
    """
    given = brief.parts or _usual_parts(brief)
    limits = limits_of(brief)
    asked = limits.rpe
    begins = limits.experience in (Experience.FIRST_WEEK, Experience.BEGINNERS)
    return tuple(
        ClassPart(
            name=part.name,
            minutes=part.minutes,
            tempo_bpm=part.tempo_bpm or usual_range_bpm(part.name, brief),
            build=part.build or (brief.build if part.name is PartName.MAIN else BuildWay.LINEAR),
            own_range=part.tempo_bpm is not None,
            rpe=part.rpe,
            hard=part.name is PartName.MAIN and (part.rpe or asked)[1] >= HARD_RPE,
            new=part.name is PartName.MAIN and begins,
        )
        for part in given
    )


def usual_range_bpm(name: PartName, brief: Brief) -> tuple[float, float]:
    """Return the tempo range [beats/min] of a part where the brief gives none.

    The main part takes the curve for depth and age, the warm-up that for conditioning work.
    name: of the part.
    """
    pool = replace(brief.pool, kind=brief.depth)
    low, high = tempo_range(pool, brief.group)
    if name in SLOW_PARTS:
        return SLOW_BPM
    if name is PartName.WARM_UP:
        return warm_up_range(pool, brief.group)
    if name is PartName.INTERVALS:
        middle = min(INTERVAL_BPM, high)
        return (max(low, middle - 10.0), min(high, middle + 10.0))
    return low, high


def interval_seconds(intervals: Intervals, tempo_bpm: float = INTERVAL_BPM) -> float:
    """Return how long all sets of intervals last [s] at a music tempo [beats/min].

    tempo_bpm: for intervals in phrases [beats/min].
    """
    each = intervals.work + intervals.rest
    if intervals.unit is IntervalUnit.PHRASES:
        each = counts_duration_s(each * COUNTS_PER_PHRASE, tempo_bpm)
    return each * intervals.sets


def _usual_parts(brief: Brief) -> tuple[PartBrief, ...]:
    """Return warm-up 5-10, cool-down 5-10, stretch 5, the rest main (common practice).

    Notes on people may ask for a longer warm-up and cool-down, within a share of the class.
    """
    whole, limits = brief.minutes, limits_of(brief)
    if whole < FULL_CLASS_MINUTES:
        warm, cool, stretch = 0.20 * whole, 0.15 * whole, 0.10 * whole
    else:
        warm, cool, stretch = min(10.0, 0.18 * whole), min(10.0, 0.12 * whole), _STRETCH_MINUTES
        cool = max(5.0, cool)
    if brief.pool.temperature_c < COOL_WATER_C:
        warm *= 1.25
    warm = max(warm, min(limits.warm_up, _MOST_WARM * whole))
    cool = max(cool, min(limits.cool_down, _MOST_COOL * whole))
    parts = {PartName.WARM_UP: warm, PartName.MAIN: 0.0}
    if brief.intervals is not None:
        parts[PartName.INTERVALS] = interval_seconds(brief.intervals) / 60.0
    parts |= {PartName.COOL_DOWN: cool, PartName.STRETCH: stretch}
    parts = {name: round(minutes, 1) for name, minutes in parts.items()}
    parts[PartName.MAIN] = round(whole - sum(parts.values()), 3)
    return tuple(PartBrief(name, minutes) for name, minutes in parts.items() if minutes > 0)
