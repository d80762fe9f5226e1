"""Which base move each place of a track carries: the second constraint problem."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil

from aquatempo.moves.tags import big_hop
from aquatempo.planning.choosing import Link, Puzzle, Sum, choose
from aquatempo.planning.curves import hardness
from aquatempo.planning.ledger import OPPOSED, Ledger, leaning
from aquatempo.planning.palette import Rated, hops
from aquatempo.planning.passages import Passages
from aquatempo.planning.solving import Effort, Solved
from aquatempo.records.moves import Move, MoveKind, Plane
from aquatempo.records.plan import BuildWay
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = [
    "PhraseSlot",
    "Terms",
    "choose_moves",
    "involved",
    "moves_puzzle",
    "phrases_to_learn",
]

MOVEMENTS_A_SIDE = 8
_STUCK = 5000  # what breaks a rule is taken only where nothing else is left
_FILLER = 60  # a holding move in the place of a base move, a phrase
_NEW, _BOTH_NEW, _NEW_BEYOND = 10, 6, 14
# Coming back to a move is wanted (learn, correct, intensify) until it has had its share.
_REPEATS, _SEEN, _SEEN_MOST = 5, 2, 30
_SAME_MUSCLE, _SAME_PLANE = 3, 1
_PLANE_SHARES = {Plane.SAGITTAL: 0.55, Plane.FRONTAL: 0.35}
_OTHER_PLANES = 0.2
_LEAN = 3  # phrases that opposed muscles may be apart before it costs
_RECENT, _RECENT_LAYERED = 3, 14  # it was in the song before
_HOP, _REBOUND = 15, 3
_INVOLVED = 4  # for each easier move under it, a phrase
_FOLLOWING = 6  # phrases of one move in a track


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

    new_moves: how many moves new to the class are welcome. gentle: no hops wanted.
    simple: what is easy to follow first. extra:
    (place, move) -> cost on top, for a twin plan that follows another. may_repeat: places
    next to each other may share a move (they are parted by rest).
    """

    way: BuildWay
    mets: Sequence[float]
    new_moves: int
    gentle: bool = False
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


def choose_moves(
    slots: Sequence[PhraseSlot],
    domains: Mapping[int, Sequence[Rated]],
    terms: Terms,
    ledger: Ledger,
    passages: Passages,
    effort: Effort,
) -> tuple[dict[int, Rated], Solved] | None:
    """Return the start form of each place, None where no choice keeps the rules."""
    puzzle, order = moves_puzzle(slots, domains, terms, ledger, passages)
    result = choose(puzzle, effort)
    if result is None:
        return None
    choice, solved = result
    return {place: domains[place][choice[row]] for row, place in enumerate(order)}, solved


def moves_puzzle(
    slots: Sequence[PhraseSlot],
    domains: Mapping[int, Sequence[Rated]],
    terms: Terms,
    ledger: Ledger,
    passages: Passages,
) -> tuple[Puzzle, list[int]]:
    """Return the puzzle of a track, and the place that each of its rows stands for."""
    order = list(dict.fromkeys(slot.place for slot in slots))
    rows = {place: row for row, place in enumerate(order)}
    options = [
        [
            _cost(slots, place, rated, terms, ledger)
            + _STUCK * _stuck(slots, place, rated, passages)
            for rated in domains[place]
        ]
        for place in order
    ]
    links = _passage_links(slots, domains, rows, terms, ledger, passages)
    sums = _sums(slots, domains, rows, terms, ledger)
    return Puzzle(options, links, sums, _once(domains, rows, terms)), order


def _cost(
    slots: Sequence[PhraseSlot], place: int, rated: Rated, terms: Terms, ledger: Ledger
) -> int:
    mine = [slot for slot in slots if slot.place == place]
    move = rated.form.move
    if move.kind is MoveKind.STRETCH:
        return 0
    hard = hardness(rated.met, terms.mets)
    scale = 2.0 if terms.gentle else 4.0  # warm-up and cool-down go one way
    cost = sum(round(abs(hard - slot.wanted) / scale) for slot in mine)
    resting = bool(mine[0].only)
    if move.kind is MoveKind.HOLDING:
        return cost + (0 if resting else _FILLER * len(mine))
    if move.key not in ledger.known:
        cost += _NEW
        if _in_a_row(slots, place) < phrases_to_learn(rated):
            cost += _STUCK
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


def _run_length(slots: Sequence[PhraseSlot], index: int) -> int:
    """Return how many phrases of one place in a row end with a slot."""
    start = index
    while start > 0 and slots[start - 1].place == slots[index].place:
        start -= 1
    return index - start + 1


def _in_a_row(slots: Sequence[PhraseSlot], place: int) -> int:
    """Return how many phrases a place takes the first time it comes."""
    places = [slot.place for slot in slots]
    start = places.index(place)
    end = start
    while end < len(places) and places[end] == place and (end == start or not slots[end].bridge):
        end += 1
    return end - start


def _stuck(slots: Sequence[PhraseSlot], place: int, rated: Rated, passages: Passages) -> int:
    """Return how many stretches within or after a place no holding move can carry."""
    stuck = 0
    for index, slot in enumerate(slots):
        if slot.place != place:
            continue
        inside = index > 0 and slots[index - 1].place == place and slot.bridge
        stuck += bool(inside and passages.hold(rated.form, slot.bridge, rated.form) is None)
        stuck += bool(slot.tail and passages.hold(rated.form, slot.tail, None) is None)
    return stuck


def _passage_links(
    slots: Sequence[PhraseSlot],
    domains: Mapping[int, Sequence[Rated]],
    rows: Mapping[int, int],
    terms: Terms,
    ledger: Ledger,
    passages: Passages,
) -> list[Link]:
    links = []
    seen = set()
    for index, (before, after) in enumerate(pairwise(slots)):
        case = (before.place, after.place, after.bridge)
        if before.place == after.place or case in seen:
            continue
        seen.add(case)
        done = _run_length(slots, index)
        costs = {}
        for i, first in enumerate(domains[before.place]):
            for j, second in enumerate(domains[after.place]):
                spare = first.form.move.key in ledger.known or done > phrases_to_learn(first)
                cost = passages.cost(first.form, second.form, after.bridge, spare)
                same = first.form.move.key == second.form.move.key
                if cost is not None and (terms.may_repeat or not same):
                    costs[i, j] = cost + _alike(first.form.move, second.form.move, ledger)
        links.append(Link(rows[before.place], rows[after.place], costs))
    return links


def _alike(first: Move, second: Move, ledger: Ledger) -> int:
    """Return what it costs that two moves in a row are alike, or both new."""
    if MoveKind.STRETCH in (first.kind, second.kind):
        return 0
    cost = _SAME_MUSCLE if first.muscles[0] == second.muscles[0] else 0
    cost += _SAME_PLANE if first.plane is second.plane else 0
    both = first.key not in ledger.known and second.key not in ledger.known
    return cost + (_BOTH_NEW if both else 0)


def _once(
    domains: Mapping[int, Sequence[Rated]], rows: Mapping[int, int], terms: Terms
) -> list[list[tuple[int, int]]]:
    """Return what keeps the moves of a set apart (block, add-on): each in one place."""
    if terms.way not in (BuildWay.BLOCK, BuildWay.ADD_ON):
        return []
    cells: dict[str, list[tuple[int, int]]] = {}
    for place, row in rows.items():
        for option, rated in enumerate(domains[place]):
            cells.setdefault(rated.form.move.key, []).append((row, option))
    return list(cells.values())


def _sums(
    slots: Sequence[PhraseSlot],
    domains: Mapping[int, Sequence[Rated]],
    rows: Mapping[int, int],
    terms: Terms,
    ledger: Ledger,
) -> list[Sum]:
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
    for first, second in OPPOSED:
        leans = {(r, o): n * leaning(m, first, second) for r, o, m, n in cells}
        leans = {cell: amount for cell, amount in leans.items() if amount}
        sums.append(Sum(leans, ledger.leans[first], -_LEAN, _LEAN, 2, 2))
    new = {(row, option): 1 for row, option, m, _ in cells if m.key not in ledger.known}
    sums.append(Sum(new, 0, 0, terms.new_moves, 0, _NEW_BEYOND))
    if terms.way in (BuildWay.LINEAR, BuildWay.PYRAMID):
        for key in sorted({move.key for _, _, move, _ in cells}):
            amounts = {(row, option): n for row, option, m, n in cells if m.key == key}
            sums.append(Sum(amounts, 0, 0, _FOLLOWING, 0, 6))
    return sums
