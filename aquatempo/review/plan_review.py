"""Any plan, ours or a hand-written one, judged: findings with place, reason and remedy."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import replace
from itertools import chain

from aquatempo.moves import Catalogue, catalogue
from aquatempo.records.plan import ClassPlan
from aquatempo.records.review import CallLoad, Fault, Finding, Review, Severity
from aquatempo.review import balance, changes, stillness, structure, time
from aquatempo.review.agreed import agreed
from aquatempo.review.effort import effort, effort_curve, exertion_curve
from aquatempo.review.figures import figures
from aquatempo.review.intervals import intervals
from aquatempo.review.jumping import jump_minutes, jumps
from aquatempo.review.learning import learning
from aquatempo.review.loads import loads
from aquatempo.review.people import heat, prompts
from aquatempo.review.permits import permits, space_known
from aquatempo.review.ranges import ranges
from aquatempo.review.spots import ReadPlan, read

__all__ = ["review_plan"]

MUCH_TOO_THICK = 1.25  # times the budget: up to there shorter words will do (common practice)
_WEIGHT = {severity: place for place, severity in enumerate(Severity)}


def review_plan(
    plan: ClassPlan,
    source: Catalogue | None = None,
    calls: Sequence[CallLoad] = (),
    slips: Sequence[Finding] = (),
    unread: Set[tuple[int, int]] = frozenset(),
) -> Review:
    """Return what is wrong with a plan, worst first, and the figures it rests on.

    source: the catalogue (default: the packaged one). calls: what is spoken in each phrase,
    where calls were placed. slips: what could not be read in its file; unread: (track, phrase),
    1-based, left out for that. Figures are estimates for planning, never a clearance.
    """
    reading = read(plan, source or catalogue())
    known = figures(reading)
    found = chain(
        slips,
        structure.phrases(plan, unread),
        reading.broken,
        structure.allowed(reading),
        permits(reading, known),
        heat(reading, known),
        ranges(reading, known),
        structure.parts(plan),
        structure.stretched(reading),
        structure.bridges(reading),
        changes.holding(reading),
        changes.changes(reading),
        changes.arms(reading),
        balance.balance(reading),
        loads(reading, known),
        learning(reading),
        effort(reading, known),
        intervals(reading, known),
        stillness.stillness(reading),
        stillness.fillers(reading),
        stillness.stretches(reading, known),
        time.class_length(reading),
        time.songs(reading),
        jumps(reading),
        space_known(reading),
        agreed(reading),
        _calls(calls),
    )
    return Review(
        findings=tuple(sorted(_timed(found, reading), key=_rank)),
        minutes=round(reading.minutes, 4),
        effort=effort_curve(reading, known),
        balance=balance.balance_shares(reading),
        jump_minutes=round(jump_minutes(reading), 3),
        parts=_parts(reading),
        prompts=prompts(reading),
        exertion=exertion_curve(reading, known),
    )


def _timed(found: Iterable[Finding], reading: ReadPlan) -> Iterator[Finding]:
    """Yield findings with the minute of the first block in their place."""
    for one in found:
        at = (
            spot.minute
            for spot in reading.spots
            if (spot.track, spot.phrase) >= (one.track, one.phrase)
        )
        yield replace(one, minute=round(one.minute or (next(at, 0.0) if one.track else 0.0), 3))


def _rank(one: Finding) -> tuple[int, int, int, int]:
    return _WEIGHT[one.severity], one.track, one.phrase, one.block


def _calls(calls: Sequence[CallLoad]) -> Iterator[Finding]:
    """Yield what is too thick or cannot be called; what is easily mended is told once."""
    for load in calls:
        if load.words > load.budget * MUCH_TOO_THICK:
            yield _thick(load, Severity.WARNING, "")
        if load.missing and not load.after_break:
            yield _uncalled(load, Severity.WARNING, "")
    mild = [c for c in calls if c.budget < c.words <= c.budget * MUCH_TOO_THICK]
    if mild:
        worst = max(mild, key=lambda load: load.words - load.budget)
        yield _thick(worst, Severity.ADVICE, _in_others(mild))
    quiet = [load for load in calls if load.missing and load.after_break]
    if quiet:
        yield _uncalled(quiet[0], Severity.ADVICE, _in_others(quiet))


def _in_others(some: Sequence[CallLoad]) -> str:
    return f"; so it is in {len(some) - 1} more" if len(some) > 1 else ""


def _uncalled(load: CallLoad, severity: Severity, others: str) -> Finding:
    remedy = "hold the move before it longer, or announce the change before the song"
    if load.after_break:
        remedy = "show the sign in the break; with words in the break's block it is called there"
    reason = "; ".join(load.missing) + others
    return Finding(Fault.CALL_MISSING, severity, load.track, load.phrase, 0, reason, remedy)


def _thick(load: CallLoad, severity: Severity, others: str) -> Finding:
    return Finding(
        *(Fault.CALLS, severity, load.track, load.phrase, 0),
        f"{load.words} words are called in it, more than {load.budget}{others}",
        "change fewer things here, or use shorter names and signs",
    )


def _parts(reading: ReadPlan) -> tuple[tuple[str, float, float], ...]:
    """Return the parts as they follow one another on the clock."""
    found: list[tuple[str, float, float]] = []
    for spot in reading.spots:
        end = round(spot.minute + spot.minutes, 4)
        part = spot.planned.part
        if found and found[-1][0] == part:
            found[-1] = (part, found[-1][1], end)
        else:
            found.append((part, round(spot.minute, 4), end))
    return tuple(found)
