"""Whether work and rest are as long as asked, as many, and hard and easy in turn."""

from __future__ import annotations

from collections.abc import Iterator

from aquatempo.class_shape.standards import INTERVAL_TOLERANCE_S
from aquatempo.records.brief import Intervals, IntervalUnit, PartName
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.figures import FormFigures, mean_rpe
from aquatempo.review.spots import ReadPlan, Spot, finding

__all__ = ["intervals"]

APART = 2.0  # points of effort between work and rest (common practice)
_ROUNDING = 1e-6


def intervals(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield turns of work and rest that are off their time, missing, or alike.

    reading: the plan; known: figures of its forms.
    """
    asked = reading.brief.intervals
    mine = reading.of_parts(PartName.INTERVALS)
    if asked is None or not mine:
        return
    turns = _turns(mine)
    if not turns:
        yield finding(
            *(Fault.INTERVAL, Severity.WARNING, mine[0]),
            "no block says whether it is work or rest",
            'mark them: stint = "work 1/8 20 s"',
        )
        return
    for turn in turns:
        yield from _length(turn, asked)
    sets = {turn[0].what.stint.number for turn in turns if turn[0].what.stint}
    if len(sets) != asked.sets:
        yield finding(
            *(Fault.INTERVAL, Severity.WARNING, mine[0]),
            f"{len(sets)} sets of work and rest, {asked.sets} were asked",
            "add or take out whole sets",
        )
    yield from _alike(turns, known)


def _turns(spots: list[Spot]) -> list[list[Spot]]:
    """Return the blocks of each turn that belongs to a set, in order."""
    found: list[list[Spot]] = []
    key: tuple[int, bool, int] | None = None
    for spot in spots:
        stint = spot.what.stint
        if stint is None or not stint.number:
            key = None
            continue
        now = (spot.track, stint.works, stint.number)
        if now != key:
            found.append([])
            key = now
        found[-1].append(spot)
    return found


def _length(turn: list[Spot], asked: Intervals) -> Iterator[Finding]:
    stint = turn[0].what.stint
    assert stint is not None
    name = "work" if stint.works else "rest"
    wanted = asked.work if stint.works else asked.rest
    if asked.unit is IntervalUnit.SECONDS:
        lasts = 60.0 * sum(spot.minutes for spot in turn)
        off, words = abs(lasts - wanted), f"{lasts:.1f} s, {wanted:g} s were asked"
        wrong = off > INTERVAL_TOLERANCE_S + _ROUNDING
    else:
        phrases = len({(spot.track, spot.phrase) for spot in turn})
        words = f"{phrases} phrases, {wanted:g} were asked"
        wrong = phrases != wanted
    if wrong:
        yield finding(
            *(Fault.INTERVAL, Severity.WARNING, turn[0]),
            f"{name} of set {stint.number} lasts {words}",
            "begin the next turn on the count nearest to its time, or cut the song there",
        )


def _alike(turns: list[list[Spot]], known: FormFigures) -> Iterator[Finding]:
    work = [turn for turn in turns if turn[0].what.stint and turn[0].what.stint.works]
    rest = [turn for turn in turns if turn[0].what.stint and not turn[0].what.stint.works]
    hard = mean_rpe([spot for turn in work for spot in turn], known)
    if hard is None:
        return
    for turn in rest:
        easy = mean_rpe(turn, known)
        if easy is not None and easy > hard - APART:
            yield finding(
                *(Fault.INTERVAL_EFFORT, Severity.WARNING, turn[0]),
                f"rest is at RPE {easy:.1f}, work at {hard:.1f} on the whole",
                "rest in something that a group can talk in, work at something hard",
            )
