"""Which base move each place of a track carries: the second constraint problem."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise

from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.move_costs import (
    STUCK,
    PhraseSlot,
    Terms,
    cost_at,
    phrases_to_learn,
    stuck_at,
    sums_over,
)
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.solver.choosing import Link, Puzzle, choose
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.records.moves import Move, MoveKind
from aquatempo.records.plan import BuildWay

__all__ = ["choose_moves", "moves_puzzle"]

# Two moves in a row that are alike, or both new (common practice, no source).
_SAME_MUSCLE, _SAME_PLANE, _BOTH_NEW = 3, 1, 6


def choose_moves(
    slots: Sequence[PhraseSlot],
    domains: Mapping[int, Sequence[Rated]],
    terms: Terms,
    ledger: Ledger,
    passages: Passages,
    effort: Effort,
) -> tuple[dict[int, Rated], Solved] | None:
    """Return the start form of each place, None where no choice keeps the rules.

    slots: phrases to fill; domains: place -> start forms to choose from; terms: what holds for
    the track; ledger: what the class has done so far; passages: what may follow what; effort:
    how hard to search, and the seed.
    """
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
    """Return the puzzle of a track, and the place that each of its rows stands for.

    slots: phrases to fill; domains: place -> start forms to choose from; terms: what holds for
    the track; ledger: what the class has done so far; passages: what may follow what.
    """
    order = list(dict.fromkeys(slot.place for slot in slots))
    rows = {place: row for row, place in enumerate(order)}
    options = [
        [
            cost_at(slots, place, rated, terms, ledger)
            + STUCK * stuck_at(slots, place, rated, passages)
            for rated in domains[place]
        ]
        for place in order
    ]
    links = _passage_links(slots, domains, rows, terms, ledger, passages)
    sums = sums_over(slots, domains, rows, terms, ledger)
    return Puzzle(options, links, sums, _once(domains, rows, terms)), order


def _run_length(slots: Sequence[PhraseSlot], index: int) -> int:
    """Return how many phrases of one place in a row end with a slot."""
    start = index
    while start > 0 and slots[start - 1].place == slots[index].place:
        start -= 1
    return index - start + 1


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
    times = Counter((one.place, other.place, other.bridge) for one, other in pairwise(slots))
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
                    alike = _alike(first.form.move, second.form.move, ledger)
                    costs[i, j] = times[case] * cost + alike
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
