"""Whether right and left, planes and opposed muscles get their share over the class."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from aquatempo.moves.rules import rules
from aquatempo.records.moves import MoveKind, Plane
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.spots import ReadPlan, Spot, finding
from aquatempo.units import COUNTS_PER_PHRASE, percent

__all__ = ["balance", "balance_shares"]

LEAD_PHRASES = 4  # on one side in a row; more and the swap was forgotten
ONE_SIDE_COUNTS = 16  # that a move may leave one side behind over the class
_EVEN = 0.05  # share of the counts: less and both sides work alike
PLANE_SHARE = 0.8
MUSCLE_RATIO = 3.0
_TAUGHT = (MoveKind.BASE, MoveKind.DEEP_ONLY)
LEAST_PHRASES = 8  # of work: less says nothing about a balance


def balance(reading: ReadPlan) -> Iterator[Finding]:
    """Yield leads and sides that are forgotten, and what gets too large a share of the class."""
    yield from _leads(reading)
    yield from _sides(reading)
    working = [spot for spot in reading.spots if spot.works]
    if sum(spot.what.counts for spot in working) >= LEAST_PHRASES * COUNTS_PER_PHRASE:
        yield from _planes(working)
        yield from _muscles(working, _there_are(reading))


def balance_shares(reading: ReadPlan) -> tuple[tuple[str, float], ...]:
    """Return the share of the worked counts of each side, plane and muscle, largest first."""
    working = [spot for spot in reading.spots if spot.works]
    total = sum(spot.what.counts for spot in working) or 1
    sides = [spot.side_counts() for spot in reading.spots]
    right, left = (sum(side) for side in zip(*sides, strict=True)) if sides else (0.0, 0.0)
    both = (right + left) or 1.0
    shares = [("right", right / both), ("left", left / both)]
    planes, muscles = _planes_of(working), _muscles_of(working)
    for counter in (planes, muscles):
        shares += [(name, counts / total) for name, counts in counter.most_common()]
    return tuple((name, round(share, 4)) for name, share in shares)


def _leads(reading: ReadPlan) -> Iterator[Finding]:
    """Yield leads that are missing, and that stay where one side works more than the other."""
    held: list[Spot] = []
    for spot in reading.spots:
        if not spot.move.sided or spot.stretches:
            continue
        if spot.what.lead not in ("right", "left"):
            if spot.works:
                yield finding(
                    *(Fault.LEAD_MISSING, Severity.WARNING, spot),
                    f"{spot.name} has a leading side and none is named",
                    'name it: lead = "right" or "left"',
                )
            continue
        right, left = spot.side_counts()
        if abs(right - left) <= _EVEN * spot.what.counts:
            continue  # both legs work alike, whichever starts
        if held and held[-1].what.lead != spot.what.lead:
            yield from _frozen(held)
            held = []
        held.append(spot)
    yield from _frozen(held)


def _frozen(held: Sequence[Spot]) -> Iterator[Finding]:
    counts = sum(spot.what.counts for spot in held)
    if counts > LEAD_PHRASES * COUNTS_PER_PHRASE:
        yield finding(
            *(Fault.LEAD, Severity.WARNING, held[0]),
            f"the {held[0].what.lead} works more for {counts} counts from here without a swap",
            "swap the lead every phrase or set",
        )


def _sides(reading: ReadPlan) -> Iterator[Finding]:
    """Yield moves of which one side gets less, and a class that is lopsided on the whole."""
    right = left = 0.0
    apart: dict[str, float] = {}
    for spot in reading.spots:
        ours, theirs = spot.side_counts()
        right, left = right + ours, left + theirs
        apart[spot.move.key] = apart.get(spot.move.key, 0.0) + ours - theirs
    told = [move for move, off in apart.items() if abs(off) > ONE_SIDE_COUNTS]
    for move in told:
        at = _last_of(reading, move, 1 if apart[move] > 0 else -1)
        less = "left" if apart[move] > 0 else "right"
        yield finding(
            *(Fault.ONE_SIDE, Severity.WARNING, at),
            f"{at.move.name.lower()}: the {less} gets {abs(apart[move]):.0f} counts less over the"
            " class; the other side has it last here",
            f"let the {less} do it here, or once more elsewhere",
        )
    if told or abs(right - left) <= COUNTS_PER_PHRASE:
        return
    more, less, sign = ("right", "left", 1) if right > left else ("left", "right", -1)
    move = max(apart, key=lambda key: sign * apart[key])
    at = _last_of(reading, move, sign)
    yield finding(
        *(Fault.SIDES, Severity.WARNING, at),
        f"the {more} works {max(right, left):.0f} counts, the {less} {min(right, left):.0f};"
        f" {at.move.name.lower()} adds most to it, here last",
        f"let the {less} do it here, or once more elsewhere",
    )


def _last_of(reading: ReadPlan, move: str, sign: int) -> Spot:
    """Return the last spot of a move in which the side that has too much works more."""
    return [
        spot
        for spot in reading.spots
        if spot.move.key == move and sign * (spot.side_counts()[0] - spot.side_counts()[1]) > 0
    ][-1]


def _planes_of(working: Sequence[Spot]) -> Counter[str]:
    found: Counter[str] = Counter()
    for spot in working:
        found[spot.move.plane.value] += spot.what.counts
    return found


def _planes(working: Sequence[Spot]) -> Iterator[Finding]:
    counts = _planes_of(working)
    plane, most = counts.most_common(1)[0]
    share = most / counts.total()
    if share <= PLANE_SHARE:
        return
    instead = "jack or side kick" if plane == Plane.SAGITTAL else "knee lift or front kick"
    at = next(spot for spot in working if spot.move.plane == plane)
    yield finding(
        *(Fault.PLANES, Severity.ADVICE, at),
        f"{percent(share)} of the work is {plane}",
        f"give another plane its share, such as {instead}",
    )


def _muscles_of(working: Sequence[Spot]) -> Counter[str]:
    found: Counter[str] = Counter()
    for spot in working:
        for muscle in spot.move.muscles:
            found[muscle] += spot.what.counts
    return found


def _there_are(reading: ReadPlan) -> frozenset[str]:
    """Return the muscles for which the brief and the depth leave a base move."""
    brief, depth = reading.brief, reading.brief.depth
    return frozenset(
        muscle
        for move in reading.source.moves.values()
        if depth in move.depths
        and move.kind in _TAUGHT
        and move.key not in brief.banned_moves
        and (not brief.allowed_moves or move.key in brief.allowed_moves)
        for muscle in move.muscles
    )


def _muscles(working: Sequence[Spot], there_are: frozenset[str]) -> Iterator[Finding]:
    """Yield the pair that is furthest apart; what is worked little is no imbalance.

    there_are: muscles that a move of this class could work: no others are asked for.
    """
    counts, total = _muscles_of(working), sum(spot.what.counts for spot in working)
    opposed = [pair for pair in rules().opposed_muscles if there_are.issuperset(pair)]
    if not opposed:
        return
    pairs = [pair if counts[pair[0]] >= counts[pair[1]] else pair[::-1] for pair in opposed]
    much, little = max(pairs, key=lambda pair: counts[pair[0]] - counts[pair[1]])
    if counts[much] < total / 3 or counts[much] <= MUSCLE_RATIO * counts[little]:
        return
    at = next(spot for spot in working if much in spot.move.muscles)
    yield finding(
        *(Fault.MUSCLES, Severity.ADVICE, at),
        f"{much} work {counts[much]} counts, {little} {counts[little]}",
        f"add moves for the {little}",
    )
