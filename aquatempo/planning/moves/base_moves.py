"""Which base move each place of a song carries: the second constraint problem."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise

from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.move_costs import (
    HOPS_IN_A_ROW,
    Terms,
    cost_at,
    one_sided,
    phrases_to_learn,
    stuck_at,
    sums_over,
)
from aquatempo.planning.moves.palette import Rated, jumps
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.slots import MoveSlot, parted
from aquatempo.planning.moves.windows import STUCK
from aquatempo.planning.solver.choosing import Link, Puzzle, choose
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import Move, MoveKind
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["choose_moves", "moves_puzzle"]

# Two moves in a row that are alike, or both new (common practice, no source).
_WRONG_WAY = 12  # a point of effort
_SAME_MUSCLE, _SAME_PLANE, _BOTH_NEW = 3, 2, 6
_PAIR_AGAIN, _PAIR_MOST = 8, 3  # for each song that had both in a row: songs are not twins
_PLAIN_EASIER, _SLACK_RPE = 4, 1.0  # and beyond so much, by which it is easier before it is varied
_CHORUS_EASIER = 6  # each time, a point of effort by which a chorus cannot be above its verse


def choose_moves(
    slots: Sequence[MoveSlot],
    domains: Mapping[int, Sequence[Rated]],
    terms: Terms,
    ledger: Ledger,
    passages: Passages,
    effort: Effort,
) -> tuple[dict[int, Rated], Solved] | None:
    """Return the start form of each place, None where no choice keeps the rules.

    slots: of the song; domains: the options of each place; terms: what holds for the song;
    ledger: what the class has done so far; passages: what may follow what; effort: how long the
    solver may search, and its seed.
    """
    puzzle, order = moves_puzzle(slots, domains, terms, ledger, passages)
    result = choose(puzzle, effort)
    if result is None:
        return None
    choice, solved = result
    return {place: domains[place][choice[row]] for row, place in enumerate(order)}, solved


def moves_puzzle(
    slots: Sequence[MoveSlot],
    domains: Mapping[int, Sequence[Rated]],
    terms: Terms,
    ledger: Ledger,
    passages: Passages,
) -> tuple[Puzzle, list[int]]:
    """Return the puzzle of a song, and the place that each of its rows stands for.

    slots: of the song; domains: the options of each place; terms: what holds for the song;
    ledger: what the class has done so far; passages: what may follow what.
    """
    order = list(dict.fromkeys(slot.place for slot in slots))
    rows = {place: row for row, place in enumerate(order)}
    options = [
        [
            cost_at(slots, place, rated, terms, ledger)
            + STUCK * stuck_at(slots, place, rated, passages)
            + STUCK * _split(slots, place, rated)
            for rated in domains[place]
        ]
        if len(domains[place]) > 1
        else [0]
        for place in order
    ]
    links = _passage_links(slots, domains, rows, terms, ledger, passages)
    sums = sums_over(slots, domains, rows, terms, ledger)
    kept = {slot.place for slot in slots if slot.fixed is not None}
    once = [] if terms.may_repeat else _once(domains, rows, kept)
    return Puzzle(options, links, sums, once), order


def _split(slots: Sequence[MoveSlot], place: int, rated: Rated) -> int:
    """Return how many parts of phrases a move with one side would have to be done in."""
    if not one_sided(rated.form.move):
        return 0
    mine = (slot for slot in slots if slot.place == place)
    return sum(slot.counts != COUNTS_PER_PHRASE and not slot.pyramid for slot in mine)


def _run_counts(slots: Sequence[MoveSlot], index: int) -> int:
    """Return how many counts of one place in a row end with a slot."""
    total, at = 0, index
    while at >= 0 and slots[at].place == slots[index].place:
        total += slots[at].counts
        at -= 1
    return total


def _passage_links(
    slots: Sequence[MoveSlot],
    domains: Mapping[int, Sequence[Rated]],
    rows: Mapping[int, int],
    terms: Terms,
    ledger: Ledger,
    passages: Passages,
) -> list[Link]:
    links = []
    seen = set()
    times = Counter((one.place, other.place, other.bridge) for one, other in pairwise(slots))
    broken = parted(slots)
    for index, (before, after) in enumerate(pairwise(slots)):
        case = (before.place, after.place, after.bridge)
        if before.place == after.place or case in seen:
            continue
        if before.fixed is not None and after.fixed is not None:
            continue  # nothing is to be chosen there
        seen.add(case)
        held = before.fixed is not None or after.fixed is not None
        done = _run_counts(slots, index)
        whole = case not in broken
        costs = {}
        for i, first in enumerate(domains[before.place]):
            learned = first.form.move.key in ledger.known
            spare = whole and (learned or done > COUNTS_PER_PHRASE * phrases_to_learn(first))
            for j, second in enumerate(domains[after.place]):
                cost = passages.cost(first.form, second.form, after.bridge, spare)
                same = first.form.move.key == second.form.move.key
                if cost is None and held:
                    cost = STUCK  # what is kept is kept, also where it does not fit
                if cost is not None and (terms.may_repeat or held or not same):
                    alike = _alike(first.form.move, second.form.move, ledger)
                    alike += (
                        0 if terms.gentle else _paired(first.form.move, second.form.move, ledger)
                    )
                    rise = _rise(before, first, after, second, terms, ledger)
                    rise += HOPS_IN_A_ROW * (jumps(first) and jumps(second) and not after.bridge)
                    rise *= 1 if terms.gentle else times[case]
                    costs[i, j] = times[case] * cost + alike + rise
        links.append(Link(rows[before.place], rows[after.place], costs))
    return links


def _rise(
    before: MoveSlot, first: Rated, after: MoveSlot, second: Rated, terms: Terms, ledger: Ledger
) -> int:
    """Return what it costs that a chorus cannot be harder than the verse before it.

    A move that is new stays plain at first.
    """
    if terms.gentle:  # a cool-down goes down, a warm-up goes up
        up = second.rpe - first.rpe
        return round(_WRONG_WAY * max(0.0, -up if terms.teaching else up))
    if before.role is not Role.VERSE or after.role is not Role.CHORUS:
        return 0
    known = second.form.move.key in ledger.known
    most = terms.reach(second)[1] if known else second.rpe
    short = terms.reach(first)[0] - most + 0.5
    plain = first.rpe - second.rpe - _SLACK_RPE
    return round(_CHORUS_EASIER * max(0.0, short) + _PLAIN_EASIER * max(0.0, plain))


def _alike(first: Move, second: Move, ledger: Ledger) -> int:
    """Return what it costs that two moves in a row are alike, or both new."""
    if MoveKind.STRETCH in (first.kind, second.kind):
        return 0
    cost = _SAME_MUSCLE if first.muscles[0] == second.muscles[0] else 0
    cost += _SAME_PLANE if first.plane is second.plane else 0
    both = first.key not in ledger.known and second.key not in ledger.known
    return cost + (_BOTH_NEW if both else 0)


def _paired(first: Move, second: Move, ledger: Ledger) -> int:
    """Return what it costs that two moves follow one another as in songs before."""
    return _PAIR_AGAIN * min(_PAIR_MOST, ledger.pairs[frozenset((first.key, second.key))])


def _once(
    domains: Mapping[int, Sequence[Rated]], rows: Mapping[int, int], kept: set[int]
) -> list[list[tuple[int, int]]]:
    """Return what keeps the places of a song apart: each move in one of them."""
    cells: dict[str, list[tuple[int, int]]] = {}
    for place, row in rows.items():
        for option, rated in enumerate(domains[place]):
            if rated.form.move.kind is not MoveKind.HOLDING and place not in kept:
                cells.setdefault(rated.form.move.key, []).append((row, option))
    return [mine for mine in cells.values() if len({row for row, _ in mine}) > 1]
