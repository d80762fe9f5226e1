"""Which form of its move each slice carries: the third constraint problem.

A form is learned plain, then varied by one thing, repeated, and put together with another
one that was learned: few variations, each seen often. Weights are common practice and
judgement, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from aquatempo.class_shape.parts import GENTLE_PARTS
from aquatempo.class_shape.standards import NEW_IN_A_SONG, VARIATIONS
from aquatempo.class_shape.themes import factor_weight
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.move_costs import STUCK, one_sided, windows
from aquatempo.planning.moves.palette import Palette, Rated, jumps
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.slots import Slot
from aquatempo.planning.solver.choosing import Link, Puzzle, Sum, choose
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.sections import Role
from aquatempo.records.brief import Experience
from aquatempo.records.moves import Factor, ImpactLevel, MoveForm, MoveKind
from aquatempo.records.plan import Block, BuildWay, PartName

__all__ = [
    "Taste",
    "changed_factors",
    "choose_forms",
    "forms_puzzle",
    "menu",
]

MOST_NEW = 5  # new forms of a move to choose from in a song
MOST_LAYERED = 4
_OFF = 3.0  # a phrase and point of effort off what is wanted
_QUIET_OFF = 4.0
_NEW, _NEW_BEYOND, _LAYERED_NEW = 5, 12, 2
_AGAIN, _HALF_WAY, _LAYER_LOST = 3, 4, 6
_SLOW_BPM = 80.0  # where the counts are slow already, tempo is not slowed further
_UNVARIED = 12
_BEGINS_VARIED = 4  # a move comes plain first
_PLAIN_TWICE = 2  # beyond two phrases plain a run goes on to something
_USED = 2  # for each other move that has this option already: the class has seen it
_FACTOR_SHARE = 0.40  # of all slices; a factor beyond that is overdone
_OVERDONE = 3
_THEME = 5
_BRIGHT = 3  # for each point by which a chorus is no harder than the verse before it
_OTHER_FORM = 10  # a factor other than in the plan that is followed
_TURN_ROUND = 6  # a change of direction for groups that should have few
# Dearer than effort says, as they ask for space, balance or an ear, or cheaper, as they
# change more than they cost (common practice, no source).
_DEMANDING = {
    (Factor.LEVEL, "III"): 5,
    (Factor.LEVEL, "power"): 5,
    (Factor.TRAVEL, "back"): 4,
    (Factor.TURN, "half"): 5,
    (Factor.TURN, "quarter"): 3,
    (Factor.TURN, "torso"): 2,
    (Factor.TEMPO, "build"): 6,
    (Factor.TEMPO, "hold"): 4,
    (Factor.TEMPO, "bounce"): 3,
    (Factor.TEMPO, "mixed"): 3,
    (Factor.COMBINATION, ""): 8,
    (Factor.RANGE, "small"): 6,
    (Factor.RANGE, "large"): 0,
    (Factor.TRAVEL, "forward"): 0,
    (Factor.TRAVEL, "sideways"): 1,
    (Factor.ARMS, "still"): 5,
    (Factor.HANDS, "fist"): 4,
    (Factor.HANDS, "slice"): 6,
    (Factor.ARM_SYMMETRY, ""): 2,
    (Factor.ARM_SYMMETRY, "one"): 4,
}
_NOT_GENTLE = ((Factor.LEVEL, "power"), (Factor.LEVEL, "III"), (Factor.TEMPO, "land"),
              (Factor.TEMPO, "build"), (Factor.TEMPO, "quick-recover"),
              (Factor.RANGE, "large"))  # fmt: skip
_STILL = ((Factor.TEMPO, "hold"), (Factor.TEMPO, "recover"))  # not where the class is to work


@dataclass(frozen=True)
class Taste:
    """What the part, the group and the way of building ask of forms.

    follow: (phrase, offset) -> the block of another plan that this one follows.
    """

    part: PartName
    way: BuildWay
    experience: Experience
    themes: tuple[str, ...] = ()
    calm: bool = False
    jumps_allowed: bool = False
    hop_cost: int = 0
    follow: Mapping[tuple[int, int], Block] | None = None


def menu(
    palette: Palette,
    start: Rated,
    tempo_bpm: float,
    ledger: Ledger,
    taste: Taste,
    wanted: float,
) -> list[Rated]:
    """Return the forms of a move to choose from: the start form, what is learned, what is new.

    wanted: the effort that it is varied towards [Borg].
    """
    move = start.form.move
    if move.kind in (MoveKind.HOLDING, MoveKind.STRETCH):
        return [start]
    base = start.form.variation.changes
    singles = {
        rated.form: rated
        for rated in palette.forms_of(palette.source.move(move.key), tempo_bpm, start.form)
        if rated.form != start.form and _suits(rated, start, tempo_bpm, taste)
    }
    learned = _learned(palette, start, tempo_bpm, ledger, taste)
    lately = [one for one in learned if _alone(one, base) and not _from_before(one, ledger)]
    room = VARIATIONS[taste.experience] - len({one.form.variation for one in lately})
    fresh = sorted(
        (rated for form, rated in singles.items() if form not in {one.form for one in learned}),
        key=lambda rated: _liking(rated, start, ledger, taste, wanted),
    )
    varied: dict[Factor, int] = {}
    new: list[Rated] = []
    for rated in fresh:
        factor = _more(rated, base)[0][0]
        if varied.get(factor, 0) < 2 and len(new) < (MOST_NEW if room > 0 else 0):
            varied[factor] = varied.get(factor, 0) + 1
            new.append(rated)
    found = [start, *learned, *new]
    alone = [one for one in [*learned, *new[:2]] if _alone(one, base)]
    layered = palette.layered(start.form, alone, tempo_bpm)
    layered = [one for one in layered if _suits(one, start, tempo_bpm, taste)]
    layered.sort(key=lambda rated: abs(rated.rpe - wanted))
    have = {one.form for one in found}
    return found + [one for one in layered if one.form not in have][:MOST_LAYERED]


def _more(rated: Rated, base: Sequence[tuple[Factor, str]]) -> list[tuple[Factor, str]]:
    return [change for change in rated.form.variation.changes if change not in base] or [
        (Factor.LEVEL, rated.form.level.value)
    ]


def _alone(rated: Rated, base: Sequence[tuple[Factor, str]]) -> bool:
    return len(_more(rated, base)) == 1


def _from_before(rated: Rated, ledger: Ledger) -> bool:
    """Return whether a form was learned in an earlier class."""
    changes = tuple((factor.value, key) for factor, key in rated.form.variation.changes)
    return (rated.form.move.key, changes) in ledger.old


def _learned(
    palette: Palette, start: Rated, tempo_bpm: float, ledger: Ledger, taste: Taste
) -> list[Rated]:
    """Return the forms of a move that the class has learned and that fit here."""
    base, move = start.form.variation.changes, palette.source.move(start.form.move.key)
    forms = []
    for changes in ledger.learned(move.key):
        pairs = tuple((Factor(factor), key) for factor, key in changes)
        more = tuple(
            change for change in pairs if change not in base and change[0] is not Factor.SIDES
        )
        if more and not any(f in {factor for factor, _ in base} for f, _ in more):
            forms.append(palette.form(move, (*base, *more)))
    rated = palette.rate(list(dict.fromkeys(forms)), tempo_bpm)
    return [
        one
        for one in rated
        if one.allowed and one.form != start.form and _suits(one, start, tempo_bpm, taste)
    ]


def _suits(rated: Rated, start: Rated, tempo_bpm: float, taste: Taste) -> bool:
    """Return whether a form has its place in the part."""
    changes = _more(rated, start.form.variation.changes)
    if taste.part in GENTLE_PARTS and any(change in _NOT_GENTLE for change in changes):
        return False
    if taste.part in (PartName.MAIN, PartName.INTERVALS):
        if any(change in _STILL for change in changes) and "balance" not in taste.themes:
            return False
    elif taste.part is PartName.WARM_UP and any(change in _STILL for change in changes):
        return False
    if tempo_bpm < _SLOW_BPM and any(factor is Factor.TEMPO for factor, _ in changes):
        return False
    if jumps(rated) and not taste.jumps_allowed:
        return False
    if (Factor.TEMPO, "bounce") in changes and rated.form.level is not ImpactLevel.I:
        return False
    arms_only = rated.form.move.kind is MoveKind.ARMS_ONLY
    return not (arms_only and rated.form.arms != start.form.arms)


def _liking(
    rated: Rated, start: Rated, ledger: Ledger, taste: Taste, wanted: float
) -> tuple[float, str]:
    """Return the key that sorts new forms: what fits the effort and asks little, first."""
    cost = _OFF * abs(rated.rpe - wanted) + _taste_of(rated, start, ledger, taste)
    return cost, str(rated.form.variation.changes)


def _taste_of(rated: Rated, start: Rated, ledger: Ledger, taste: Taste) -> float:
    """Return what a variation costs by itself."""
    cost = 0.0
    for factor, key in _more(rated, start.form.variation.changes):
        if factor is Factor.LEVEL and (factor, key) not in _DEMANDING:
            continue
        cost += _DEMANDING.get((factor, key), _DEMANDING.get((factor, ""), 0))
        cost -= _THEME * factor_weight(taste.themes, factor, key)
        others = sum(
            1 for (move, f, k) in ledger.options
            if f == factor.value and k == key and move != rated.form.move.key
        )  # fmt: skip
        cost += min(6, _USED * others)
        if taste.calm and factor in (Factor.TRAVEL, Factor.TURN):
            cost += _TURN_ROUND
    return cost


def changed_factors(before: MoveForm, after: MoveForm) -> set[Factor]:
    """Return the factors that differ between two forms of one move."""
    return {f for f, _ in set(before.variation.changes) ^ set(after.variation.changes)}


def choose_forms(
    slots: Sequence[Slot],
    starts: Mapping[int, Rated],
    domains: Mapping[int, Sequence[Rated]],
    taste: Taste,
    ledger: Ledger,
    passages: Passages,
    effort: Effort,
) -> tuple[dict[int, Rated], Solved] | None:
    """Return the form of each tie, None where no choice keeps the rules."""
    puzzle, order = forms_puzzle(slots, starts, domains, taste, ledger, passages)
    result = choose(puzzle, effort)
    if result is None:
        return None
    choice, solved = result
    return {tie: domains[tie][choice[row]] for row, tie in enumerate(order)}, solved


def forms_puzzle(
    slots: Sequence[Slot],
    starts: Mapping[int, Rated],
    domains: Mapping[int, Sequence[Rated]],
    taste: Taste,
    ledger: Ledger,
    passages: Passages,
) -> tuple[Puzzle, list[int]]:
    """Return the puzzle of a song, and the tie that each of its rows stands for.

    starts: the start form of each place; domains: the forms that each tie may take.
    """
    order = list(dict.fromkeys(slot.tie for slot in slots))
    rows = {tie: row for row, tie in enumerate(order)}
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
            [_cost(mine, rated, start, begins[tie], taste, ledger) for rated in domains[tie]]
        )
    links = _links(slots, rows, starts, domains, taste, passages)
    return Puzzle(options, links, _sums(slots, rows, starts, domains, taste, ledger)), order


def _links(
    slots: Sequence[Slot],
    rows: Mapping[int, int],
    starts: Mapping[int, Rated],
    domains: Mapping[int, Sequence[Rated]],
    taste: Taste,
    passages: Passages,
) -> list[Link]:
    links, seen = [], set()
    for before, after in pairwise(slots):
        case = (before.tie, after.tie, after.bridge)
        if before.tie == after.tie or case in seen:
            continue
        if before.fixed is not None and after.fixed is not None:
            continue
        seen.add(case)
        held = before.fixed is not None or after.fixed is not None
        costs = {}
        spare = before.counts == 32 and not before.pyramid
        for i, first in enumerate(domains[before.tie]):
            for j, second in enumerate(domains[after.tie]):
                if first.form.move.key == second.form.move.key:
                    cost = _within(first.form, second.form, before, after, taste, passages)
                else:
                    cost = passages.cost(first.form, second.form, after.bridge, spare)
                    if cost is not None:
                        cost += _bright(before, first, after, second)
                if cost is None and held:
                    cost = STUCK  # what is kept is kept, also where it does not fit
                if cost is not None:
                    costs[i, j] = cost
        links.append(Link(rows[before.tie], rows[after.tie], costs))
    return links


def _bright(before: Slot, first: Rated, after: Slot, second: Rated) -> int:
    """Return what it costs that a chorus is no harder than the verse that leads to it."""
    if before.role is Role.CHORUS or after.role is not Role.CHORUS:
        return 0
    return round(_BRIGHT * max(0.0, first.rpe + 0.3 - second.rpe))


def _sums(
    slots: Sequence[Slot],
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
            if factor in dict(_more(rated, starts[places[tie]].form.variation.changes))
            and rated.form != starts[places[tie]].form
        }
        if amounts:
            high = max(1, round(_FACTOR_SHARE * len(rows)))
            sums.append(Sum(amounts, 0, 0, high, 0, _OVERDONE))
    fresh: dict[MoveForm, list[tuple[int, int]]] = {}
    for tie, row in rows.items():
        for option, rated in enumerate(domains[tie]):
            if _is_new(rated, starts[places[tie]], ledger):
                fresh.setdefault(rated.form, []).append((row, option))
    # A new form is paid once, however often it comes: what is learned is used.
    sums += [Sum(dict.fromkeys(cells, 1), 0, 0, 0, 0, 1) for cells in fresh.values() if cells]
    sums.append(
        Sum(
            {cell: 1 for cells in fresh.values() for cell in cells},
            *(0, 0, NEW_IN_A_SONG[taste.experience] + 1, 0, _NEW_BEYOND),
        )
    )
    by_place: dict[int, list[int]] = {}
    for tie, row in rows.items():
        by_place.setdefault(places[tie], []).append(row)
    for place, mine in by_place.items():
        plain = {(row, 0): 1 for row in mine}
        if len(mine) > 2 and starts[place].form.move.kind is not MoveKind.HOLDING:
            sums.append(Sum(plain, 0, 0, 2, 0, _PLAIN_TWICE))
    tied = {slot.tie: list(domains[slot.tie]) for slot in slots}
    return [*sums, *windows([_by_tie(s) for s in slots], tied, rows, ledger)]


def _by_tie(slot: Slot) -> Slot:
    """Return a slot whose place is its tie, so that windows can be told over forms."""
    return replace(slot, place=slot.tie)


def _is_new(rated: Rated, start: Rated, ledger: Ledger) -> bool:
    if rated.form == start.form:
        return False
    changes = tuple((factor.value, key) for factor, key in rated.form.variation.changes)
    return changes not in ledger.forms.get(rated.form.move.key, {})


def _cost(
    mine: Sequence[Slot], rated: Rated, start: Rated, begins: bool, taste: Taste, ledger: Ledger
) -> int:
    form = rated.form
    if form.move.kind is MoveKind.STRETCH:
        return 0
    off = _QUIET_OFF if taste.part in GENTLE_PARTS else _OFF
    cost = sum(off * slot.counts / 32 * abs(rated.rpe - slot.wanted) for slot in mine)
    if form != start.form:
        cost += _taste_of(rated, start, ledger, taste)
        if _is_new(rated, start, ledger):
            alone = _alone(rated, start.form.variation.changes)
            cost += _NEW if alone else _LAYERED_NEW
        if begins and mine[0].turn == 0:
            cost += _BEGINS_VARIED * len(changed_factors(start.form, form))
        if mine[0].plain:
            cost += _NEW_BEYOND
    elif mine[0].turn > 0 and taste.way in (BuildWay.BLOCK, BuildWay.LAYER):
        cost += _UNVARIED  # another round asks for something more
    if taste.follow:
        changes = {(factor.value, key) for factor, key in form.variation.changes}
        for slot in mine:
            block = taste.follow.get((slot.phrase, slot.offset))
            if block is not None and block.move == form.move.key:
                cost += _OTHER_FORM * len(changes ^ set(block.variation))
    if jumps(rated):
        cost += taste.hop_cost * sum(slot.counts for slot in mine) / 32
    return round(cost)


def _within(
    before: MoveForm, after: MoveForm, first: Slot, unit: Slot, taste: Taste, passages: Passages
) -> int | None:
    """Return what a change inside a run costs: one factor at a time, on count 1."""
    if before == after and not unit.bridge:
        return _AGAIN
    changed = changed_factors(before, after)
    if len(changed) > 1:
        return None
    if unit.offset and (one_sided(after.move) or before.arms_in_water != after.arms_in_water):
        return None
    passage = passages.cost(before, after, unit.bridge, set_up=False)
    if passage is None:
        return None
    lost = len(after.variation.changes) < len(before.variation.changes)
    if before == after:
        return passage + _AGAIN
    layer = _LAYER_LOST if taste.way is BuildWay.LAYER and lost else 0
    return passage + layer + (_HALF_WAY if unit.offset else 0)
