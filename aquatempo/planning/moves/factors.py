"""Which form of its move each slice carries: the third constraint problem.

A form is learned plain, then varied by one thing, repeated, and put together with another
one that was learned: few variations, each seen often. Weights are common practice and
judgement, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from aquatempo.class_shape.parts import GENTLE_PARTS
from aquatempo.class_shape.standards import NEW_IN_A_SONG, SETS_IN_A_SONG
from aquatempo.planning.moves.keeping import at_once, finals, loses, same_section, taught
from aquatempo.planning.moves.landings import firm_sums
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.lessons import is_new
from aquatempo.planning.moves.menus import (
    OFF,
    Taste,
    alone,
    changed_factors,
    changes_beyond,
    taste_of,
)
from aquatempo.planning.moves.move_costs import HOPS_IN_A_ROW, one_sided, phrases_to_learn
from aquatempo.planning.moves.palette import Rated, jumps
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.returns import FOR_NOTHING, GIVEN_UP, ROUNDS, VARYING, returns
from aquatempo.planning.moves.slots import MoveSlot, parted
from aquatempo.planning.moves.windows import STUCK, jump_rows, windows
from aquatempo.planning.solver.choosing import Kinds, Link, Puzzle, Sum, choose
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import Factor, MoveForm, MoveKind
from aquatempo.records.plan import BuildWay, PartName
from aquatempo.records.rhythm import EnergyLevel
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = [
    "choose_forms",
    "forms_puzzle",
]

_NEW, _NEW_BEYOND, _LAYERED_NEW = 5, 30, 2
_CHANGE, _HALF_WAY = 2, 4  # what is on is kept: fewer calls, shorter card
# Something given up, or exchanged, where one section goes over into the next with the same move.
_LOST, _ANOTHER = 10, 4
_AT_ONCE = 30  # in a warm-up one thing comes after the other
_WORN, _FRESH_SONGS = 5, 2  # for each song of the main part beyond so many that had this form
_COOLS_RAISED = 12  # a song of the cool-down does not begin with raised arms
_A_SET = 20  # beyond those that a song should have, to be learned and called
_SETS_TOO_MANY = 60  # each beyond what review allows
_MORE_IN_ROUNDS = 1  # each round asks for something more
_ALONE = 4  # a new form that comes in one phrase of the song only
_UNVARIED = 12
_SAME_VERSE = 8  # a verse that comes back plain, for those who know their way about
_BEGINS_VARIED = 4  # a move comes plain first
_PLAIN_TWICE = 2  # beyond two phrases plain a run goes on to something
_FACTOR_SHARE = 0.40  # of all slices; a factor beyond that is overdone
_OVERDONE = 3
_BRIGHT = 6  # for each point by which a chorus is no harder than the verse before it
_DULL = 1  # for each hundredth of a point by which loud phrases lie more than that below quiet ones
_DULL_FROM = 30
_OTHER_FORM = 10  # a factor other than in the plan that is followed


def choose_forms(
    slots: Sequence[MoveSlot],
    starts: Mapping[int, Rated],
    domains: Mapping[int, Sequence[Rated]],
    taste: Taste,
    ledger: Ledger,
    passages: Passages,
    effort: Effort,
) -> tuple[dict[int, Rated], Solved] | None:
    """Return the form of each tie, None where no choice keeps the rules.

    slots: of the song; starts: the start form of each place; domains: the options of each
    place; taste: what the part and the group ask; ledger: what the class has done so far;
    passages: what may follow what; effort: how long the solver may search, and its seed.
    """
    puzzle, order = forms_puzzle(slots, starts, domains, taste, ledger, passages)
    result = choose(puzzle, effort)
    if result is None:
        return None
    choice, solved = result
    return {tie: domains[tie][choice[row]] for row, tie in enumerate(order)}, solved


def forms_puzzle(
    slots: Sequence[MoveSlot],
    starts: Mapping[int, Rated],
    domains: Mapping[int, Sequence[Rated]],
    taste: Taste,
    ledger: Ledger,
    passages: Passages,
) -> tuple[Puzzle, list[int]]:
    """Return the puzzle of a song, and the tie that each of its rows stands for.

    starts: the start form of each place; domains: the forms that each tie may take. slots: of
    the song; taste: what the part and the group ask; ledger: what the class has done so far;
    passages: what may follow what.
    """
    order = list(dict.fromkeys(slot.tie for slot in slots))
    rows = {tie: row for row, tie in enumerate(order)}
    ending = finals(slots)
    begun: set[int] = set()
    begins: dict[int, bool] = {}
    for slot in slots:
        begins.setdefault(slot.tie, slot.place not in begun)
        begun.add(slot.place)
    options = []
    for tie in order:
        mine = [slot for slot in slots if slot.tie == tie]
        start = starts[mine[0].place]
        options.append(
            [
                _cost(mine, rated, start, begins[tie], taste, ledger)
                + FOR_NOTHING * (begins[tie] and tie in ending and taught(rated, start, ledger))
                for rated in domains[tie]
            ]
        )
    links = _links(slots, rows, starts, domains, taste, ledger, passages)
    sums = _sums(slots, rows, starts, domains, taste, ledger)
    return Puzzle(options, links, sums, kinds=_kinds(rows, domains, taste, ledger)), order


def _kinds(
    rows: Mapping[int, int],
    domains: Mapping[int, Sequence[Rated]],
    taste: Taste,
    ledger: Ledger,
) -> list[Kinds]:
    """Return what is to stay few in a song: its sets, and the ways of varying new to the class.

    What open hands are is learned once, and used with every move after that.
    """
    had = {(factor, key) for _, factor, key in ledger.options}
    sets: dict[MoveForm, list[tuple[int, int]]] = {}
    ways: dict[tuple[Factor, str], list[tuple[int, int]]] = {}
    for tie, row in rows.items():
        for option, rated in enumerate(domains[tie]):
            if rated.form.move.kind not in (MoveKind.HOLDING, MoveKind.STRETCH):
                sets.setdefault(rated.form, []).append((row, option))
            for factor, key in rated.form.variation.changes:
                if (factor.value, key) not in had and factor is not Factor.SIDES:
                    ways.setdefault((factor, key), []).append((row, option))
    know = taste.experience
    more = _MORE_IN_ROUNDS if taste.way is BuildWay.BLOCK else 0
    return [
        Kinds(list(sets.values()), SETS_IN_A_SONG[know] + more, _A_SET),
        Kinds(list(sets.values()), SETS_IN_A_SONG[know] + 2, _SETS_TOO_MANY),
        Kinds(list(ways.values()), NEW_IN_A_SONG[know], _NEW_BEYOND),
    ]


def _links(
    slots: Sequence[MoveSlot],
    rows: Mapping[int, int],
    starts: Mapping[int, Rated],
    domains: Mapping[int, Sequence[Rated]],
    taste: Taste,
    ledger: Ledger,
    passages: Passages,
) -> list[Link]:
    links, seen = [], set()
    ending = finals(slots)
    done: dict[int, int] = {}
    broken = parted([_by_tie(slot) for slot in slots])
    for before, after in pairwise(slots):
        done[before.place] = done.get(before.place, 0) + before.counts
        case = (before.tie, after.tie, after.bridge)
        if before.tie == after.tie or case in seen:
            continue
        if before.fixed is not None and after.fixed is not None:
            continue
        seen.add(case)
        held = before.fixed is not None or after.fixed is not None
        costs = {}
        whole = case not in broken
        for i, first in enumerate(domains[before.tie]):
            lesson = COUNTS_PER_PHRASE * phrases_to_learn(starts[before.place])
            spare = whole and (first.form.move.key in ledger.known or done[before.place] > lesson)
            free = len(domains[after.tie]) > 1  # not a lesson, which is as hard as it is
            for j, second in enumerate(domains[after.tie]):
                if first.form.move.key == second.form.move.key:
                    start = starts[after.place]
                    cost = _within(first, second, start, before, after, passages)
                    if cost is not None and after.tie in ending and first.form != second.form:
                        cost += FOR_NOTHING * taught(second, start, ledger)
                else:
                    cost = passages.cost(first.form, second.form, after.bridge, spare)
                    if cost is not None and taste.part not in GENTLE_PARTS and free:
                        cost += round(taste.drive * _bright(before, first, after, second))
                if cost is None and held:
                    cost = STUCK  # what is kept is kept, also where it does not fit
                if cost is not None:
                    other = first.form.move.key != second.form.move.key
                    both = other and jumps(first) and jumps(second) and not after.bridge
                    costs[i, j] = cost + HOPS_IN_A_ROW * both
        links.append(Link(rows[before.tie], rows[after.tie], costs))
    return [*links, *returns(slots, rows, starts, domains, taste, ledger)]


def _bright(before: MoveSlot, first: Rated, after: MoveSlot, second: Rated) -> float:
    """Return what it costs that a chorus is no harder than the verse that leads to it."""
    if before.role is Role.CHORUS or after.role is not Role.CHORUS:
        return 0
    return _BRIGHT * max(0.0, first.rpe + 0.3 - second.rpe)


def _sums(
    slots: Sequence[MoveSlot],
    rows: Mapping[int, int],
    starts: Mapping[int, Rated],
    domains: Mapping[int, Sequence[Rated]],
    taste: Taste,
    ledger: Ledger,
) -> list[Sum]:
    sums = []
    places = {slot.tie: slot.place for slot in slots}
    for factor in Factor:
        amounts = {
            (row, option): 1
            for tie, row in rows.items()
            for option, rated in enumerate(domains[tie])
            if factor in dict(changes_beyond(rated, starts[places[tie]].form.variation.changes))
            and rated.form != starts[places[tie]].form
        }
        if amounts:
            high = max(1, round(_FACTOR_SHARE * len(rows)))
            sums.append(Sum(amounts, 0, 0, high, 0, _OVERDONE))
    counts: dict[int, int] = {}
    for slot in slots:
        counts[slot.tie] = counts.get(slot.tie, 0) + slot.counts
    hopping = {
        (row, option): counts[tie]
        for tie, row in rows.items()
        for option, rated in enumerate(domains[tie])
        if jumps(rated)
    }
    room = int(COUNTS_PER_PHRASE * taste.hop_room)
    sums.append(Sum(hopping, 0, 0, room, 0, STUCK // COUNTS_PER_PHRASE))
    if taste.part is PartName.MAIN:
        sums += _contrast(slots, rows, domains)
    by_place: dict[int, list[int]] = {}
    for tie, row in rows.items():
        by_place.setdefault(places[tie], []).append(row)
    for place, mine in by_place.items():
        plain = {(row, 0): 1 for row in mine}
        if len(mine) > 2 and starts[place].form.move.kind is not MoveKind.HOLDING:
            sums.append(Sum(plain, 0, 0, 2, 0, _PLAIN_TWICE))
    tied = {slot.tie: list(domains[slot.tie]) for slot in slots}
    by_tie = [_by_tie(slot) for slot in slots]
    sums += firm_sums(by_tie, tied, rows, taste.firm, ledger)
    sums += jump_rows(by_tie, tied, rows)
    return [*sums, *windows(by_tie, tied, rows, ledger.tail)]


def _contrast(
    slots: Sequence[MoveSlot], rows: Mapping[int, int], domains: Mapping[int, Sequence[Rated]]
) -> list[Sum]:
    """Return the sum by which quiet phrases are harder than loud ones [hundredths of a point].

    Each phrase for itself may be as it should, and the song still fall where its music rises.
    """
    told = {EnergyLevel.HIGH: -1, EnergyLevel.LOW: 1}
    counts = {one: sum(slot.counts for slot in slots if slot.energy is one) for one in told}
    if not all(counts.values()):
        return []
    shares: dict[int, float] = {}
    for slot in slots:
        if slot.energy in told:
            share = told[slot.energy] * slot.counts / counts[slot.energy]
            shares[slot.tie] = shares.get(slot.tie, 0.0) + share
    amounts = {
        (rows[tie], option): round(100 * share * rated.rpe)
        for tie, share in shares.items()
        for option, rated in enumerate(domains[tie])
    }
    return [Sum(amounts, 0, 0, _DULL_FROM, 0, _DULL)]


def _by_tie(slot: MoveSlot) -> MoveSlot:
    """Return a slot whose place is its tie, so that windows can be told over forms."""
    return replace(slot, place=slot.tie)


def _cost(
    mine: Sequence[MoveSlot], rated: Rated, start: Rated, begins: bool, taste: Taste, ledger: Ledger
) -> int:
    form = rated.form
    if form.move.kind is MoveKind.STRETCH:
        return 0
    below = OFF * taste.drive
    cost = 0.0
    for slot in mine:
        price = below if rated.rpe < slot.wanted else OFF
        cost += price * slot.counts / COUNTS_PER_PHRASE * abs(rated.rpe - slot.wanted)
    new = form != start.form and is_new(rated, ledger)
    if form != start.form:
        cost += taste_of(rated, start, ledger, taste, len(mine))
        cost += _WORN * max(0, ledger.worn[form.variation] - _FRESH_SONGS)
        cost += _AT_ONCE * max(0, at_once(rated, start, taste, ledger) - 1)
        if new:
            single = alone(rated, start.form.variation.changes)
            cost += _NEW if single else _LAYERED_NEW
            cost += _ALONE * (len(mine) == 1)
        met = taste.drive > 1.0 and not new
        if begins and mine[0].turn == 0 and not met:
            cost += _BEGINS_VARIED * len(changed_factors(start.form, form))
        if begins and taste.part is PartName.COOL_DOWN:
            cost += _COOLS_RAISED * ((Factor.ARMS, "raise") in form.variation.changes)
        if mine[0].plain:
            cost += _NEW_BEYOND
    elif mine[0].turn > 0 and taste.way in ROUNDS:
        cost += _UNVARIED  # another round asks for something more
    elif mine[0].turn > 0 and taste.part is PartName.MAIN and taste.experience in VARYING:
        cost += _SAME_VERSE
    if taste.follow:
        changes = {(factor.value, key) for factor, key in form.variation.changes}
        for slot in mine:
            block = taste.follow.get((slot.phrase, slot.offset))
            if block is not None and block.move == form.move.key:
                cost += _OTHER_FORM * len(changes ^ set(block.variation))
    if jumps(rated):
        cost += taste.hop_cost * sum(slot.counts for slot in mine) / COUNTS_PER_PHRASE
    return round(cost)


def _within(
    first: Rated, second: Rated, start: Rated, last: MoveSlot, unit: MoveSlot, passages: Passages
) -> int | None:
    """Return what a change inside a run costs: one factor at a time, on count 1."""
    before, after = first.form, second.form
    if before == after and not unit.bridge:
        return 0
    changed = changed_factors(before, after)
    if len(changed) > 1:
        return None
    if unit.offset and (one_sided(after.move) or before.arms_in_water != after.arms_in_water):
        return None
    passage = passages.cost(before, after, unit.bridge, set_up=False)
    if passage is None:
        return None
    lost = len(after.variation.changes) < len(before.variation.changes)
    another = len(after.variation.changes) == len(before.variation.changes)
    if before == after:
        return passage
    price = _LOST * lost + _ANOTHER * another
    if same_section(last, unit) and loses(before, after, start.form):
        price = GIVEN_UP
    return passage + _CHANGE + price + (_HALF_WAY if unit.offset else 0)
