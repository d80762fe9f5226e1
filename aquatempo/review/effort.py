"""The effort of a class along its clock, and whether each part goes the way it should."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from aquatempo.records.plan import PartName
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.ranges import Figures
from aquatempo.review.spots import ReadPlan, Spot, finding

__all__ = ["effort", "effort_curve"]

SLACK_MET = 0.25  # less is not felt: half a step of a 10 step scale or so (common practice)
LEAST_PHRASES = 4  # a part that is shorter has no direction
_MAIN = (PartName.MAIN, PartName.INTERVALS)


def effort_curve(reading: ReadPlan, known: Figures) -> tuple[tuple[float, float], ...]:
    """Return (minute, MET) a phrase, in order.

    reading: the plan; known: figures of its forms.
    """
    curve = []
    for spots in _phrases(reading):
        met = _mean(spots, known)
        if met is not None:
            curve.append((round(spots[0].minute, 4), round(met, 3)))
    return tuple(curve)


def effort(reading: ReadPlan, known: Figures) -> Iterator[Finding]:
    """Yield a warm-up that falls, a cool-down that rises or is harder than the main part.

    reading: the plan; known: figures of its forms.
    """
    working = {
        part: [spot for spot in reading.spots if spot.planned.part == part and not spot.between]
        for part in PartName
    }
    up, down = working[PartName.WARM_UP], working[PartName.COOL_DOWN]
    main = _mean([spot for part in _MAIN for spot in working[part]], known)
    first, second = _halves(up, known)
    if first is not None and second is not None and first > second + SLACK_MET:
        yield finding(
            *(Fault.EFFORT, Severity.WARNING, _later(up)),
            f"the warm-up falls: {first:.1f} MET in its first half, {second:.1f} in its second",
            "put the easier moves first",
        )
    first, second = _halves(down, known)
    if first is not None and second is not None and second > first + SLACK_MET:
        yield finding(
            *(Fault.EFFORT, Severity.WARNING, _later(down)),
            f"the cool-down rises: {first:.1f} MET in its first half, {second:.1f} in its second",
            "put the harder moves first, or take easier ones here",
        )
    last = _mean(down, known)
    if last is not None and main is not None and last > main + SLACK_MET:
        yield finding(
            *(Fault.EFFORT, Severity.WARNING, down[0]),
            f"the cool-down is harder than the main part: {last:.1f} MET against {main:.1f}",
            "take easier moves or a slower song to cool down",
        )


def _phrases(reading: ReadPlan) -> Iterator[list[Spot]]:
    spots: list[Spot] = []
    for spot in reading.spots:
        if spots and (spots[-1].track, spots[-1].phrase) != (spot.track, spot.phrase):
            yield spots
            spots = []
        spots.append(spot)
    if spots:
        yield spots


def _mean(spots: Sequence[Spot], known: Figures) -> float | None:
    """Return the mean effort over time [MET], None where none is known."""
    pairs = [(known[s.form_key].met, s.minutes) for s in spots if s.form_key in known]
    total = sum(minutes for _, minutes in pairs)
    return sum(met * minutes for met, minutes in pairs) / total if total else None


def _halves(spots: Sequence[Spot], known: Figures) -> tuple[float | None, float | None]:
    """Return the effort of the two halves of a part by time; None where it is too short."""
    if len({(spot.track, spot.phrase) for spot in spots}) < LEAST_PHRASES:
        return None, None
    middle = sum(spot.minutes for spot in spots) / 2
    done = 0.0
    first: list[Spot] = []
    second: list[Spot] = []
    for spot in spots:
        (first if done + spot.minutes / 2 <= middle else second).append(spot)
        done += spot.minutes
    return _mean(first, known), _mean(second, known)


def _later(spots: Sequence[Spot]) -> Spot:
    """Return the spot in which the second half of a part starts."""
    middle = sum(spot.minutes for spot in spots) / 2
    done = 0.0
    for spot in spots:
        if done + spot.minutes / 2 > middle:
            return spot
        done += spot.minutes
    return spots[-1]
