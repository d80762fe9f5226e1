"""One choice a place, along a row: the constraint problem behind base moves and factors.

Each place takes one option. Options have a cost; what follows what has a cost or is
forbidden; sums over all places are pulled towards a wanted value or kept under a cap.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from aquatempo.planning.solver.solving import Effort, Solved, minimise

__all__ = ["Kinds", "Link", "Puzzle", "Sum", "choose"]


@dataclass(frozen=True)
class Link:
    """Two places and what each pair of their options costs; a pair not listed is forbidden."""

    first: int
    second: int
    costs: Mapping[tuple[int, int], int]


@dataclass(frozen=True)
class Sum:
    """A sum over all places, and what it costs to be off.

    amounts: (place, option) -> amount; start: carried in from before. Each unit above
    high costs over, each below low costs under.
    """

    amounts: Mapping[tuple[int, int], int]
    start: int
    low: int
    high: int
    under: int
    over: int


@dataclass(frozen=True)
class Kinds:
    """Groups of (place, option); one counts once, however many of its cells are taken.

    Each group beyond the free ones costs price.
    """

    groups: Sequence[Sequence[tuple[int, int]]]
    free: int
    price: int


@dataclass(frozen=True)
class Puzzle:
    """Costs of the options of each place, links between places, sums over all.

    once: sets of (place, option) of which at most one is taken. kinds: what is to stay few.
    """

    options: Sequence[Sequence[int]]
    links: Sequence[Link] = ()
    sums: Sequence[Sum] = ()
    once: Sequence[Sequence[tuple[int, int]]] = ()
    kinds: Sequence[Kinds] = ()


def choose(puzzle: Puzzle, effort: Effort) -> tuple[tuple[int, ...], Solved] | None:
    """Return the cheapest choice and how sure it is, None where there is none.

    puzzle: options, links and sums; effort: how hard to search, and the seed.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    taken = [[model.new_bool_var("") for _ in costs] for costs in puzzle.options]
    for row in taken:
        model.add_exactly_one(row)
    for cells in puzzle.once:
        model.add_at_most_one(taken[place][option] for place, option in cells)
    terms = [
        cost * var
        for row, costs in zip(taken, puzzle.options, strict=True)
        for var, cost in zip(row, costs, strict=True)
        if cost
    ]
    for kinds in puzzle.kinds:
        used = []
        for cells in kinds.groups:
            used.append(model.new_bool_var(""))
            for place, option in cells:
                model.add_implication(taken[place][option], used[-1])
        beyond = model.new_int_var(0, len(used), "")
        model.add(beyond >= sum(used) - kinds.free)
        terms.append(kinds.price * beyond)
    for link in puzzle.links:
        pairs = {pair: model.new_bool_var("") for pair in link.costs}
        # A pair is taken where both of its options are: a flow from one place to the next.
        for place, side in ((link.first, 0), (link.second, 1)):
            by_option: dict[int, list[cp_model.IntVar]] = {}
            for pair, var in pairs.items():
                by_option.setdefault(pair[side], []).append(var)
            for option, var in enumerate(taken[place]):
                model.add(sum(by_option.get(option, ())) == var)
        terms += [cost * pairs[pair] for pair, cost in link.costs.items() if cost]
    for one in puzzle.sums:
        most = abs(one.start) + abs(one.low) + abs(one.high)
        most += sum(abs(amount) for amount in one.amounts.values())
        amount = one.start + sum(
            value * taken[place][option] for (place, option), value in one.amounts.items()
        )
        for weight, gap in ((one.over, amount - one.high), (one.under, one.low - amount)):
            if weight:
                off = model.new_int_var(0, most, "")
                model.add(off >= gap)
                terms.append(weight * off)
    model.minimize(sum(terms))
    result = minimise(model, effort)
    if result is None:
        return None
    solved, solver = result
    choice = tuple(
        next(option for option, var in enumerate(row) if solver.boolean_value(var)) for row in taken
    )
    return choice, solved
