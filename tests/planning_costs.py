"""What a choice costs, written down once more and plainly: the measure of an exhaustive search."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.planning.solver.choosing import Puzzle
from aquatempo.planning.songs.choice import (
    CUT_COST,
    FREE,
    PART_FREE,
    PART_SECOND_COST,
    SECOND_COST,
    Picked,
    TrackTask,
    length_tenths,
)

__all__ = ["cost_of", "cost_of_tracks"]


def cost_of(puzzle: Puzzle, choice: Sequence[int]) -> int | None:
    """Return the cost of a choice, None where it is forbidden."""
    total = sum(costs[option] for costs, option in zip(puzzle.options, choice, strict=True))
    for link in puzzle.links:
        pair = link.costs.get((choice[link.first], choice[link.second]))
        if pair is None:
            return None
        total += pair
    for cells in puzzle.once:
        if sum(choice[place] == option for place, option in cells) > 1:
            return None
    taken = set(enumerate(choice))
    for kinds in puzzle.kinds:
        used = sum(bool(taken & set(cells)) for cells in kinds.groups)
        total += kinds.price * max(0, used - kinds.free)
    for one in puzzle.sums:
        amount = one.start + sum(one.amounts.get(place, 0) for place in enumerate(choice))
        total += one.over * max(0, amount - one.high) + one.under * max(0, one.low - amount)
    return total


def cost_of_tracks(task: TrackTask, picked: Sequence[Picked], silent: Sequence[int]) -> int | None:
    """Return ten times the cost of a choice of tracks, None where it breaks a rule."""
    used = [one.offer.song for one in picked]
    if len(set(used)) < len(used) or (task.all_once and len(used) < len(task.lengths_s)):
        return None
    if task.all_once and any(one.end for one in picked):
        return None
    cost = sum(one.offer.cost + (CUT_COST if one.end else 0) for one in picked)
    tenths = [0] * len(task.wanted_s)
    for one in picked:
        tenths[one.offer.part] += length_tenths(task, one.offer, one.end)
    for part in silent:
        price = task.silent_costs[part]
        if price is None or tenths[part]:
            return None
        cost += price
        tenths[part] = round(10 * task.wanted_s[part])
    cost += sum(price for price, have in zip(task.missing_costs, tenths, strict=True) if not have)
    if any(have < 10 * least for have, least in zip(tenths, task.least_parts_s, strict=True)):
        return None
    if not 10 * task.least_s <= sum(tenths) <= 10 * task.most_s:
        return None
    wanted = [round(10 * want) for want in task.wanted_s]
    apart = sum(
        max(0, abs(have - want) - PART_FREE) for have, want in zip(tenths, wanted, strict=True)
    )
    off = max(0, abs(sum(tenths) - sum(wanted)) - FREE)
    return 10 * cost + PART_SECOND_COST * apart + SECOND_COST * off
