"""What a base move at a place of a track costs: the wishes behind the second problem.

Every weight is common practice and judgement, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil

from aquatempo.moves.rules import rules
from aquatempo.moves.tags import big_hop
from aquatempo.planning.moves.curves import hardness
from aquatempo.planning.moves.ledger import Ledger, leaning
from aquatempo.planning.moves.palette import Rated, hops
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.solver.choosing import Sum
from aquatempo.records.moves import Move, MoveKind, Plane
from aquatempo.records.plan import BuildWay
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = [
    "STUCK",
    "PhraseSlot",
    "Terms",
    "cost_at",
    "involved",
    "phrases_to_learn",
    "stuck_at",
    "sums_over",
]

MOVEMENTS_A_SIDE = 8
STUCK = 5000  # what breaks a rule is taken only where nothing else is left
_FILLER = 60  # a holding move in the place of a base move, a phrase
_NEW, _NEW_BEYOND = 10, 14
_NEW_AT_FIRST = 3  # the warm-up is where base moves are met
# Coming back to a move is wanted (learn, correct, intensify) until it has had its share.
_REPEATS, _SEEN, _SEEN_MOST = 5, 2, 30
_PLANE_SHARES = {Plane.SAGITTAL: 0.55, Plane.FRONTAL: 0.35}
_OTHER_PLANES = 0.2
_LEAN = 3  # phrases that opposed muscles may be apart before it costs
_RECENT, _RECENT_LAYERED = 3, 14  # it was in the song before
_WRONG_WAY = 2  # for each step of 5 in hardness, a phrase
_HOP, _REBOUND = 15, 7
_INVOLVED = 10  # for each easier move under it, a phrase
_FOLLOWING, _FEW = 6, 4  # phrases of one move in a track, and in one of the warm-up


@dataclass(frozen=True)
class PhraseSlot:
    """A phrase to fill. phrase: index in the track; wanted: hardness; bridge: counts before it.

    place: slots of one place share their move. only: kinds of moves that may fill it, empty
    for the part's usual ones. tail: counts that a holding move takes over after it, to the end.
    """

    phrase: int
    counts: int
    wanted: float
    bridge: int
    place: int
    only: tuple[MoveKind, ...] = ()
    tail: int = 0


@dataclass(frozen=True)
class Terms:
    """What holds for one track. mets: sorted efforts that make the scale of hardness.

    new_moves: how many moves new to the class are welcome. gentle: no hops wanted;
    rising: 1 where effort should go up over the track, -1 down. simple: what is easy first. extra:
    (place, move) -> cost on top, for a twin plan that follows another. may_repeat: places
    next to each other may share a move (they are parted by rest).
    """

    way: BuildWay
    mets: Sequence[float]
    new_moves: int
    gentle: bool = False
    rising: int = 0
    simple: bool = False
    pyramid_sides: bool = False
    may_repeat: bool = False
    extra: Mapping[tuple[int, str], int] | None = None
    moves: Mapping[str, Move] = field(default_factory=dict)
    hop_cost: int = 0


def involved(move: Move, moves: Mapping[str, Move]) -> int:
    """Return how many easier moves lie under a move, by the catalogue: jog 2, star 4.

    A move on nothing easier is 0.
    """
    steps, seen = 0, {move.key}
    while move.easier and move.easier in moves and move.easier not in seen:
        move = moves[move.easier]
        seen.add(move.key)
        steps += 1
    return steps


def phrases_to_learn(rated: Rated) -> int:
    """Return how many phrases a new form needs for 8 movements a side."""
    form = rated.form
    pattern = form.pattern
    each = pattern.counts / len(pattern.steps) if pattern else 2.0
    a_side = COUNTS_PER_PHRASE / each
    if form.move.sided:
        a_side /= 2.0
    return max(1, ceil(MOVEMENTS_A_SIDE / a_side))


def cost_at(
    slots: Sequence[PhraseSlot], place: int, rated: Rated, terms: Terms, ledger: Ledger
) -> int:
    """Return what a form at a place costs by itself.

    slots: phrases of the track; rated: the form; terms: what holds for the track; ledger: what
    the class has done so far.
    """
    mine = [slot for slot in slots if slot.place == place]
    move = rated.form.move
    if move.kind is MoveKind.STRETCH:
        return 0
    hard = hardness(rated.met, terms.mets)
    scale = 2.5 if terms.gentle else 4.0  # warm-up and cool-down go one way
    cost = sum(round(abs(hard - slot.wanted) / scale) for slot in mine)
    resting = bool(mine[0].only)
    if move.kind is MoveKind.HOLDING:
        return cost + (0 if resting else _FILLER * len(mine))
    if move.key not in ledger.known:
        cost += _NEW_AT_FIRST if terms.simple else _NEW
        if _in_a_row(slots, place) < phrases_to_learn(rated):
            cost += STUCK
    cost += min(_SEEN_MOST, _SEEN * max(0, ledger.phrases[move.key] - _REPEATS))
    if move.key in ledger.recent:
        cost += _RECENT_LAYERED if terms.way is BuildWay.LAYER else _RECENT
    if big_hop(move):
        cost += (_HOP if terms.gentle else 0) + terms.hop_cost * len(mine)
    if terms.gentle and hops(rated.form):
        cost += _REBOUND * len(mine)
    if terms.simple:
        early = sum(100.0 - slot.wanted for slot in mine) / 100.0
        cost += round(_INVOLVED * max(0, involved(move, terms.moves) - 1) * early)
    if rated.form.variation.changes:
        cost += 4  # it has to be slowed down to fit
    if terms.pyramid_sides and not move.sided:
        cost += 12
    if terms.extra is not None:
        cost += terms.extra.get((place, move.key), 0)
    return cost


def _in_a_row(slots: Sequence[PhraseSlot], place: int) -> int:
    """Return how many phrases a place takes the first time it comes."""
    places = [slot.place for slot in slots]
    start = places.index(place)
    end = start
    while end < len(places) and places[end] == place and (end == start or not slots[end].bridge):
        end += 1
    return end - start


def stuck_at(slots: Sequence[PhraseSlot], place: int, rated: Rated, passages: Passages) -> int:
    """Return how many stretches within or after a place no holding move can carry.

    slots: phrases of the track; rated: the form; passages: what may follow what.
    """
    stuck = 0
    for index, slot in enumerate(slots):
        if slot.place != place:
            continue
        inside = index > 0 and slots[index - 1].place == place and slot.bridge
        stuck += bool(inside and passages.hold(rated.form, slot.bridge, rated.form) is None)
        stuck += bool(slot.tail and passages.hold(rated.form, slot.tail, None) is None)
    return stuck


def sums_over(
    slots: Sequence[PhraseSlot],
    domains: Mapping[int, Sequence[Rated]],
    rows: Mapping[int, int],
    terms: Terms,
    ledger: Ledger,
) -> list[Sum]:
    """Return the wishes that count over the whole track: balance, variety, new moves.

    slots: phrases of the track; domains: place -> forms to choose from; rows: place -> row of
    the puzzle; terms: what holds for the track; ledger: what the class has done so far.
    """
    phrases = {place: sum(slot.place == place for slot in slots) for place in rows}
    cells = [
        (rows[place], option, rated.form.move, phrases[place])
        for place in rows
        for option, rated in enumerate(domains[place])
        if rated.form.move.kind not in (MoveKind.HOLDING, MoveKind.STRETCH)
    ]
    done = sum(ledger.planes.values())
    sums = []
    for plane in Plane:
        share = _PLANE_SHARES.get(plane, _OTHER_PLANES)
        amounts = {(row, option): n for row, option, m, n in cells if m.plane is plane}
        high = ceil(share * (done + len(slots))) + 1
        sums.append(Sum(amounts, ledger.planes[plane.value], 0, high, 0, 3))
    for first, second in rules().opposed_muscles:
        leans = {(r, o): n * leaning(m, first, second) for r, o, m, n in cells}
        leans = {cell: amount for cell, amount in leans.items() if amount}
        sums.append(Sum(leans, ledger.leans[first], -_LEAN, _LEAN, 2, 2))
    new = {(row, option): 1 for row, option, m, _ in cells if m.key not in ledger.known}
    sums.append(Sum(new, 0, 0, terms.new_moves, 0, _NEW_BEYOND))
    if terms.rising:
        sums.append(Sum(_slope(slots, domains, rows, terms), 0, 0, 0, _WRONG_WAY, 0))
    if terms.way in (BuildWay.LINEAR, BuildWay.PYRAMID):
        for key in sorted({move.key for _, _, move, _ in cells}):
            amounts = {(row, option): n for row, option, m, n in cells if m.key == key}
            sums.append(Sum(amounts, 0, 0, _FEW if terms.simple else _FOLLOWING, 0, 6))
    return sums


def _slope(
    slots: Sequence[PhraseSlot],
    domains: Mapping[int, Sequence[Rated]],
    rows: Mapping[int, int],
    terms: Terms,
) -> dict[tuple[int, int], int]:
    """Return how each choice adds to the later half of a track less the earlier one."""
    weights = dict.fromkeys(rows, 0)
    for index, slot in enumerate(slots):
        weights[slot.place] += terms.rising * (1 if 2 * index >= len(slots) else -1)
    return {
        (rows[place], option): weight * round(hardness(rated.met, terms.mets) / 5.0)
        for place, weight in weights.items()
        for option, rated in enumerate(domains[place])
        if weight
    }
