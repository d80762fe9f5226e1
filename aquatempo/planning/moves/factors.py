"""Which form of its move each half phrase carries: the third constraint problem."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from aquatempo.class_shape import GENTLE_PARTS
from aquatempo.planning.moves.curves import hardness
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.solver.choosing import Link, Puzzle, Sum, choose
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.records.moves import Factor, MoveForm, MoveKind
from aquatempo.records.plan import BuildWay, PartName

__all__ = [
    "Taste",
    "Unit",
    "changed_factors",
    "choose_forms",
    "forms_puzzle",
    "menu",
]

MOST_FORMS = 11  # of one move in one track, the start form among them
_PER_FACTOR = 2
_LAYERED = 6
_AGAIN, _HALF_WAY, _LAYER_LOST = 6, 6, 5
_SLOW_BPM = 80.0  # where the counts are slow already, tempo is not slowed further
_UNVARIED = 12
_BEGINS_VARIED = 5  # a move is seen plain first
_TWICE, _PLAIN_TWICE = 3, 2  # a form that comes back within a run
_USED = 3  # for each time that the class has had an option of a move
_FACTOR_SHARE = 0.35  # of all half phrases; a factor beyond that is overdone
_OVERDONE = 3
# Dearer than effort says, as they ask for space, balance or an ear, or cheaper, as they
# change more than they cost (common practice, no source).
_DEMANDING = {
    (Factor.LEVEL, "III"): 8,
    (Factor.LEVEL, "power"): 8,
    (Factor.TRAVEL, "back"): 4,
    (Factor.TURN, "half"): 4,
    (Factor.TURN, "quarter"): 2,
    (Factor.TEMPO, "build"): 4,
    (Factor.COMBINATION, ""): 2,
    (Factor.RANGE, "small"): 4,
    (Factor.RANGE, "large"): -2,
    (Factor.TRAVEL, "forward"): -2,
    (Factor.TRAVEL, "sideways"): -1,
    (Factor.ARMS, "still"): 4,
    (Factor.HANDS, ""): 2,
    (Factor.ARM_SYMMETRY, ""): 2,
}
_DIRECTIONS = {PartName.WARM_UP: 1, PartName.COOL_DOWN: -1}
_NOT_GENTLE = ((Factor.LEVEL, "power"), (Factor.LEVEL, "III"), (Factor.TEMPO, "land"),
              (Factor.TEMPO, "build"), (Factor.RANGE, "large"))  # fmt: skip


@dataclass(frozen=True)
class Unit:
    """Half a phrase (or a whole one that cannot be halved) of one move.

    run: units of one run follow one another with the same move. opens: it starts a phrase.
    bridge: counts of a stretch before it. wanted: hardness. vary: it should not be as before.
    spare: its last eight may be given to a holding move. begins: it is the first of its run.
    """

    slot: int
    counts: int
    run: int
    opens: bool
    bridge: int
    wanted: float
    vary: bool = False
    spare: bool = False
    begins: bool = False


@dataclass(frozen=True)
class Taste:
    """What the part and the way of building ask of forms."""

    part: PartName
    way: BuildWay
    mets: Sequence[float]


def menu(
    palette: Palette, start: Rated, tempo_bpm: float, ledger: Ledger, taste: Taste
) -> list[Rated]:
    """Return the forms of a move to choose from: the start form, then the least used changes.

    palette: the rated moves that the brief leaves; tempo_bpm: as played [beats/min]; ledger:
    what the class has done so far; taste: what the part likes.
    """
    move = start.form.move
    if move.kind in (MoveKind.HOLDING, MoveKind.STRETCH):
        return [start]
    forms = palette.forms_of(move, tempo_bpm, start.form)
    base = start.form.variation.changes
    by_factor: dict[Factor, list[Rated]] = {}
    for rated in forms:
        changes = [one for one in rated.form.variation.changes if one not in base]
        quiet = taste.part in GENTLE_PARTS and any(change in _NOT_GENTLE for change in changes)
        slow = tempo_bpm < _SLOW_BPM and bool(changes) and changes[0][0] is Factor.TEMPO
        other = move.kind is MoveKind.ARMS_ONLY and rated.form.arms != start.form.arms
        if len(changes) == 1 and not (quiet or other or slow):
            by_factor.setdefault(changes[0][0], []).append(rated)

    def used(rated: Rated) -> int:
        return sum(
            ledger.options[move.key, factor.value, key]
            for factor, key in rated.form.variation.changes
        )

    fresh = [sorted(group, key=used)[:_PER_FACTOR] for group in by_factor.values()]
    singles = [group[turn] for turn in range(_PER_FACTOR) for group in fresh if turn < len(group)]
    found = [start, *singles[: MOST_FORMS - 1]]
    if taste.way is BuildWay.LAYER and not base:
        layered = sorted(palette.layered(move, found[1:], tempo_bpm), key=used)
        found += layered[:_LAYERED]
    return found


def changed_factors(before: MoveForm, after: MoveForm) -> set[Factor]:
    """Return the factors that differ between two forms of one move.

    before: the one; after: the other.
    """
    return {f for f, _ in set(before.variation.changes) ^ set(after.variation.changes)}


def choose_forms(
    units: Sequence[Unit],
    domains: Sequence[Sequence[Rated]],
    taste: Taste,
    ledger: Ledger,
    passages: Passages,
    effort: Effort,
) -> tuple[list[Rated], Solved] | None:
    """Return the form of each unit, None where no choice keeps the rules.

    units: half phrases to fill; domains: forms to choose from, one a unit; taste: what the part
    likes; ledger: what the class has done so far; passages: what may follow what; effort: how
    hard to search, and the seed.
    """
    puzzle = forms_puzzle(units, domains, taste, ledger, passages)
    result = choose(puzzle, effort)
    if result is None:
        return None
    choice, solved = result
    return [domain[option] for domain, option in zip(domains, choice, strict=True)], solved


def forms_puzzle(
    units: Sequence[Unit],
    domains: Sequence[Sequence[Rated]],
    taste: Taste,
    ledger: Ledger,
    passages: Passages,
) -> Puzzle:
    """Return the puzzle of a track: one row a unit.

    units: half phrases to fill; domains: forms to choose from, one a unit; taste: what the part
    likes; ledger: what the class has done so far; passages: what may follow what.
    """
    options = [
        [_cost(unit, rated, domain[0], taste, ledger) for rated in domain]
        for unit, domain in zip(units, domains, strict=True)
    ]
    links = []
    for row, (before, after) in enumerate(pairwise(units)):
        costs = {}
        for i, first in enumerate(domains[row]):
            for j, second in enumerate(domains[row + 1]):
                cost = (
                    _within(first.form, second.form, after, taste, passages)
                    if before.run == after.run
                    else passages.cost(first.form, second.form, after.bridge, before.spare)
                )
                if cost is not None:
                    costs[i, j] = cost
        links.append(Link(row, row + 1, costs))
    sums = []
    for factor in Factor:
        amounts = {
            (row, option): 1
            for row, domain in enumerate(domains)
            for option, rated in enumerate(domain)
            if factor in dict(rated.form.variation.changes)
        }
        if amounts:
            sums.append(Sum(amounts, 0, 0, round(_FACTOR_SHARE * len(units)), 0, _OVERDONE))
    sums += _slope(domains, taste)
    return Puzzle(options, links, [*sums, *_repeats(units, domains)])


def _slope(domains: Sequence[Sequence[Rated]], taste: Taste) -> list[Sum]:
    """Return what it costs that the later half goes the wrong way, up or down."""
    rising = _DIRECTIONS.get(taste.part, 0)
    amounts = {
        (row, option): rising
        * (1 if 2 * row >= len(domains) else -1)
        * round(hardness(rated.met, taste.mets) / 5.0)
        for row, domain in enumerate(domains)
        for option, rated in enumerate(domain)
    }
    return [Sum(amounts, 0, 0, 0, 1, 0)] if rising else []


def _repeats(units: Sequence[Unit], domains: Sequence[Sequence[Rated]]) -> list[Sum]:
    """Return what it costs that a run comes back to a form instead of going on to a new one."""
    cells: dict[tuple[int, MoveForm], list[tuple[int, int]]] = {}
    for row, (unit, domain) in enumerate(zip(units, domains, strict=True)):
        for option, rated in enumerate(domain):
            if len(domain) > 1:
                cells.setdefault((unit.run, rated.form), []).append((row, option))
    return [
        Sum(
            dict.fromkeys(places, 1),
            *(0, 0, 2, 0, _TWICE if form.variation.changes else _PLAIN_TWICE),
        )
        for (_, form), places in cells.items()
        if len(places) > 2
    ]


def _cost(unit: Unit, rated: Rated, start: Rated, taste: Taste, ledger: Ledger) -> int:
    form = rated.form
    if form.move.kind is MoveKind.STRETCH:
        return 0
    cost = round(
        abs(hardness(rated.met, taste.mets) - unit.wanted)
        / (4.0 if taste.part in GENTLE_PARTS else 6.0)
    )
    cost += _UNVARIED if unit.vary and not form.variation.changes else 0
    for factor, key in form.variation.changes:
        cost += min(9, _USED * ledger.options[form.move.key, factor.value, key])
        cost += _DEMANDING.get((factor, key), _DEMANDING.get((factor, ""), 0))
    if unit.begins and not unit.vary:
        cost += _BEGINS_VARIED * len(changed_factors(start.form, form))
    return cost


def _within(
    before: MoveForm, after: MoveForm, unit: Unit, taste: Taste, passages: Passages
) -> int | None:
    """Return what a change inside a run costs: one factor at a time, on count 1."""
    if before == after and not unit.bridge:
        return _AGAIN if unit.opens else 0
    changed = changed_factors(before, after)
    if len(changed) > 1:
        return None
    if not unit.opens:
        one_side = after.move.sided and not after.move.alternates
        if one_side or before.arms_in_water != after.arms_in_water:
            return None
    passage = passages.cost(before, after, unit.bridge, set_up=False)
    if passage is None:
        return None
    lost = len(after.variation.changes) < len(before.variation.changes)
    if before == after:
        return passage + _AGAIN
    layer = _LAYER_LOST if taste.way is BuildWay.LAYER and lost else 0
    return passage + layer + (0 if unit.opens else _HALF_WAY)
