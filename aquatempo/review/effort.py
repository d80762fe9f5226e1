"""The effort of a class along its clock: as asked, in the right direction, never too long."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from aquatempo.class_shape.parts import class_shape
from aquatempo.class_shape.standards import HOLD_SECONDS, LEAP_RPE
from aquatempo.records.plan import PartName
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.records.rhythm import EnergyLevel
from aquatempo.review.figures import FormFigures, figures, mean_rpe, phrases_of
from aquatempo.review.spots import ReadPlan, Spot, finding
from aquatempo.units import clock

__all__ = ["effort", "effort_curve", "exertion_curve", "mean_efforts"]

SLACK = 1.0  # points of the 6 to 20 scale: less is not felt (common practice)
ASKED_SLACK = 1.5  # that the mean of a main part may lie off what was asked
LOUD_SLACK = 1.0
LEAST_PHRASES = 4  # a part that is shorter has no direction
_EASIER = 1.0  # points below: that is a rest from it
_SCALE = "the 6 to 20 scale of Borg; garber-2011 for light, moderate and vigorous"


def effort_curve(reading: ReadPlan, known: FormFigures) -> tuple[tuple[float, float], ...]:
    """Return (minute, MET) a phrase, in order.

    reading: the plan; known: figures of its forms.
    """
    curve = []
    for spots in phrases_of(reading.spots):
        pairs = [(known[s.form_key].met, s.minutes) for s in spots if s.form_key in known]
        total = sum(minutes for _, minutes in pairs)
        if total:
            met = sum(met * minutes for met, minutes in pairs) / total
            curve.append((round(spots[0].minute, 4), round(met, 3)))
    return tuple(curve)


def exertion_curve(reading: ReadPlan, known: FormFigures) -> tuple[tuple[float, float], ...]:
    """Return (minute, perceived exertion from 6 to 20) a phrase, in order.

    reading: the plan; known: figures of its forms.
    """
    curve = []
    for spots in phrases_of(reading.spots):
        rpe = mean_rpe(spots, known)
        if rpe is not None:
            curve.append((round(spots[0].minute, 4), round(rpe, 2)))
    return tuple(curve)


def mean_efforts(reading: ReadPlan) -> tuple[tuple[float | None, ...], dict[str, float | None]]:
    """Return the mean perceived exertion of each track, and of each part, over time [Borg].

    None where no move of it has a figure. reading: the plan.
    """
    known = figures(reading)
    tracks = range(1, len(reading.plan.tracks) + 1)
    songs = tuple(mean_rpe([s for s in reading.spots if s.track == n], known) for n in tracks)
    names = dict.fromkeys(track.part for track in reading.plan.tracks)
    parts = {
        name: mean_rpe([spot for spot in reading.spots if spot.planned.part == name], known)
        for name in names
    }
    return songs, parts


def effort(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield what is wrong with the effort along the class.

    reading: the plan; known: figures of its forms.
    """
    yield from _directions(reading, known)
    yield from _asked(reading, known)
    yield from _too_hard(reading, known)
    yield from _too_long(reading, known)
    yield from _leap(reading, known)
    yield from _loud(reading, known)


def _directions(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield a warm-up that falls, a cool-down that rises or is harder than the main part."""
    working = {
        part: [spot for spot in reading.of_parts(part) if not spot.between] for part in PartName
    }
    up, down = working[PartName.WARM_UP], working[PartName.COOL_DOWN]
    main = mean_rpe([*working[PartName.MAIN], *working[PartName.INTERVALS]], known)
    first, second = _halves(up, known)
    if first is not None and second is not None and first > second + SLACK:
        yield finding(
            *(Fault.EFFORT, Severity.WARNING, _later(up)),
            f"the warm-up falls: RPE {first:.1f} in its first half, {second:.1f} in its second",
            "put the easier moves first",
        )
    first, second = _halves(down, known)
    if first is not None and second is not None and second > first + SLACK:
        yield finding(
            *(Fault.EFFORT, Severity.WARNING, _later(down)),
            f"the cool-down rises: RPE {first:.1f} in its first half, {second:.1f} in its second",
            "put the harder moves first, or take easier ones here",
        )
    last = mean_rpe(down, known)
    if last is not None and main is not None and last > main + SLACK:
        yield finding(
            *(Fault.EFFORT, Severity.WARNING, down[0]),
            f"the cool-down is harder than the main part: RPE {last:.1f} against {main:.1f}",
            "take easier moves or a slower song to cool down",
        )


def _asked(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield a main part whose mean effort is not what the brief asks."""
    main = [spot for spot in reading.of_parts(PartName.MAIN) if not spot.between]
    mean = mean_rpe(main, known)
    if mean is None or len({(spot.track, spot.phrase) for spot in main}) < LEAST_PHRASES:
        return
    own = next((p.rpe for p in class_shape(reading.brief) if p.name is PartName.MAIN), None)
    low, high = own or reading.limits.rpe
    asked = f"{low:g} to {high:g} was asked"
    if mean > high + ASKED_SLACK:
        yield finding(
            *(Fault.TOO_HARD, Severity.WARNING, main[0]),
            f"the main part is at RPE {mean:.1f} on the whole, {asked}",
            "take slower songs, smaller or grounded forms, or ask for more",
            _SCALE,
        )
    elif mean < low - ASKED_SLACK:
        yield finding(
            *(Fault.TOO_EASY, Severity.ADVICE, main[0]),
            f"the main part is at RPE {mean:.1f} on the whole, {asked}",
            "take larger or faster forms, open hands, travel, or ask for less",
            _SCALE,
        )


def _too_hard(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield the first block above the most that the class may be asked, one a track."""
    most = reading.limits.max_rpe
    told: set[int] = set()
    for spot in reading.spots:
        figures = known.get(spot.form_key)
        if figures is not None and figures.rpe > most + SLACK and spot.track not in told:
            told.add(spot.track)
            yield finding(
                *(Fault.TOO_HARD, Severity.WARNING, spot),
                f"{spot.name} is at RPE {figures.rpe:.1f}, the most for this class is {most:g}",
                "take a smaller, slower or grounded form here",
                _SCALE,
            )


def _too_long(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield stretches of high effort that go on for too long without an easier phrase."""
    told: set[tuple[int, int, int]] = set()
    for level, seconds in HOLD_SECONDS:
        run: list[Spot] = []
        for spot in [*reading.spots, None]:
            figures = known.get(spot.form_key) if spot is not None else None
            rpe = figures.rpe if figures is not None else 0.0
            if spot is not None and run and rpe > level - _EASIER:
                run.append(spot)
            elif spot is not None and not run and rpe >= level:
                run = [spot]
            else:
                yield from _long_run(run, level, seconds, told)
                run = [spot] if spot is not None and rpe >= level else []


def _long_run(
    run: Sequence[Spot], level: float, seconds: float, told: set[tuple[int, int, int]]
) -> Iterator[Finding]:
    lasted = 60.0 * sum(spot.minutes for spot in run)
    places = {(spot.track, spot.phrase, spot.block) for spot in run}
    if lasted <= seconds or places & told:
        return
    told |= places
    yield finding(
        *(Fault.HARD_LONG, Severity.WARNING, run[0]),
        f"RPE {level:g} and more for {clock(lasted)} from here, {clock(seconds)} is the most",
        "put an easier phrase between, or fewer sets",
    )


def _leap(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield a main part that does not begin where the warm-up ended."""
    up = list(phrases_of(reading.of_parts(PartName.WARM_UP)))[-2:]
    main = [one for one in phrases_of(reading.of_parts(PartName.MAIN)) if not one[0].between][:2]
    before = mean_rpe([spot for phrase in up for spot in phrase if not spot.between], known)
    after = mean_rpe([spot for phrase in main for spot in phrase], known)
    if before is not None and after is not None and after > before + LEAP_RPE:
        yield finding(
            *(Fault.LEAP, Severity.WARNING, main[0][0]),
            f"the main part begins at RPE {after:.1f}, the warm-up ended at {before:.1f}",
            "begin with easier moves, or let the warm-up rise further",
        )


def _loud(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield songs whose loud phrases are easier than their quiet ones."""
    for number in range(1, len(reading.plan.tracks) + 1):
        mine = [
            spot
            for spot in reading.of_parts(PartName.MAIN)
            if spot.track == number and not spot.between
        ]
        loud = [spot for spot in mine if spot.stretch.energy_level is EnergyLevel.HIGH]
        quiet = [spot for spot in mine if spot.stretch.energy_level is EnergyLevel.LOW]
        high, low = mean_rpe(loud, known), mean_rpe(quiet, known)
        if high is not None and low is not None and high < low - LOUD_SLACK:
            yield finding(
                *(Fault.LOUD, Severity.ADVICE, loud[0]),
                f"the loud phrases of the song are at RPE {high:.1f}, its quiet ones at {low:.1f}",
                "let the chorus be the harder move and the break the lighter one",
            )


def _halves(spots: Sequence[Spot], known: FormFigures) -> tuple[float | None, float | None]:
    """Return the effort of the two halves of a part by time; None where it is too short."""
    if len({(spot.track, spot.phrase) for spot in spots}) < LEAST_PHRASES:
        return None, None
    later = _later(spots)
    first = [spot for spot in spots if spot.minute < later.minute]
    second = [spot for spot in spots if spot.minute >= later.minute]
    return mean_rpe(first, known), mean_rpe(second, known)


def _later(spots: Sequence[Spot]) -> Spot:
    """Return the spot in which the second half of a part starts."""
    middle = sum(spot.minutes for spot in spots) / 2
    done = 0.0
    for spot in spots:
        if done + spot.minutes / 2 > middle:
            return spot
        done += spot.minutes
    return spots[-1]
