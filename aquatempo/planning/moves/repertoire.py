"""The base moves of a class: few enough to learn, enough for its effort, planes and muscles.

A small constraint problem over the whole class: which moves the warm-up teaches and the
main part varies. Every weight is common practice and judgement, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from aquatempo.class_shape.effort import wanted_rpe
from aquatempo.class_shape.standards import base_move_count, jump_minutes
from aquatempo.class_shape.themes import theme_weight
from aquatempo.moves.rules import rules
from aquatempo.moves.tags import big_hop
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.moves.passages import passages_for
from aquatempo.planning.solver.solving import Effort, Solved, minimise
from aquatempo.records.brief import Experience, PartName
from aquatempo.records.moves import Lever, Move, MoveKind, Plane
from aquatempo.records.people import ClassDepth
from aquatempo.records.rhythm import EnergyLevel

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = ["Repertoire", "choose_repertoire", "involved"]

_LEAST = 3
_INVOLVED = {
    Experience.FIRST_WEEK: 9,
    Experience.BEGINNERS: 6,
    Experience.REGULAR: 2,
    Experience.TRAINED: 0,
}
_NEW, _NEW_BEYOND, _THEME, _AVOID, _DULL = 4, 30, 9, 60, 6
_LONELY, _UNREACHED, _PLANE_MISSING, _ONE_SIDED_PLANE, _UNOPPOSED = 12, 30, 16, 6, 4
_ONE_DEPTH = 25  # a move of one depth only, in a class for both
_OPENERS, _NO_OPENER, _SIMPLE = 2, 20, 2
_NEAR_RPE = 0.75
_JITTER = 3  # another seed, another choice among near equals
_BIG_HOPS = {Experience.FIRST_WEEK: 0, Experience.BEGINNERS: 0, Experience.REGULAR: 1}
_MOST_BIG_HOPS = 2
_JUMPS_FROM, _NO_JUMPS = 0.5, 25  # minutes of jumps from which the class has a move for them
_DIRECT = 2  # moves that each can go straight to


@dataclass(frozen=True)
class Repertoire:
    """The base moves chosen, and how easily each is learned (least involved first)."""

    keys: tuple[str, ...]
    solved: Solved
    new: tuple[str, ...] = ()
    avoided: tuple[str, ...] = field(default=())


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


def choose_repertoire(
    palette: Palette,
    tempos_bpm: Sequence[float],
    effort: Effort,
    avoid: Sequence[str] = (),
) -> Repertoire:
    """Return the base moves of a class whose working songs have some tempos [beats/min].

    avoid: moves that are taken only where nothing else is left. palette: what the class may do
    here; tempos_bpm: as played [beats/min]; effort: how long the solver may search, and its
    seed.
    """
    from ortools.sat.python import cp_model

    brief, limits = palette.brief, palette.limits
    moves = palette.of(MoveKind.BASE, MoveKind.DEEP_ONLY)
    starts = _starting(palette, moves, tempos_bpm)
    keys = list(starts)
    size = min(base_move_count(brief, limits), len(keys))
    if size == len(keys):
        return Repertoire(tuple(_in_order(keys, palette)), Solved(0.0, 0.0, True))
    model = cp_model.CpModel()
    taken = {key: model.new_bool_var(key) for key in keys}
    known = set(brief.known_moves)
    terms = []
    for place, key in enumerate(keys):
        move = palette.source.move(key)
        cost = _INVOLVED[limits.experience] * max(0, involved(move, palette.source.moves) - 1)
        cost += _NEW if key not in known and known else 0
        cost -= round(_THEME * theme_weight(brief.themes, move))
        cost += _AVOID if key in avoid else 0
        cost += _ONE_DEPTH if brief.twin and len(move.depths) < len(ClassDepth) else 0
        cost += _DULL if move.key in ("walk", "shuffle") and limits.rpe[1] > 13.0 else 0
        cost += _hash(key, effort.seed, place) % (_JITTER + 1)
        terms.append(cost * taken[key])
    total = sum(taken.values())
    model.add(total == size)
    for key in brief.wanted_moves:
        if key in taken:
            model.add(taken[key] == 1)
    course = brief.course
    if course is not None and known:
        fresh = [taken[key] for key in keys if key not in known]
        over = model.new_int_var(0, len(keys), "")
        model.add(over >= sum(fresh) - course.new_moves)
        model.add(over >= course.new_moves - sum(fresh))
        terms.append(_NEW_BEYOND * over)
    terms += _coverage(model, taken, starts, palette, tempos_bpm)
    model.minimize(sum(terms))
    result = minimise(model, effort)
    assert result is not None, "any set of the size will do"
    solved, solver = result
    chosen = [key for key in keys if solver.boolean_value(taken[key])]
    return Repertoire(
        tuple(_in_order(chosen, palette)),
        solved,
        tuple(key for key in chosen if key not in known),
        tuple(avoid),
    )


def _starting(
    palette: Palette, moves: Sequence[Move], tempos_bpm: Sequence[float]
) -> dict[str, list[Rated]]:
    """Return the moves that can be started at most of the tempos, with how they start."""
    found: dict[str, list[Rated]] = {}
    for tempo in tempos_bpm:
        for key, rated in palette.starts(moves, tempo).items():
            found.setdefault(key, []).append(rated)
    most = max((len(rows) for rows in found.values()), default=0)
    often = {key: rows for key, rows in found.items() if 2 * len(rows) >= most}
    return often if len(often) >= _LEAST else found


def _coverage(
    model: cp_model.CpModel,
    taken: Mapping[str, cp_model.IntVar],
    starts: dict[str, list[Rated]],
    palette: Palette,
    tempos_bpm: Sequence[float],
) -> list[cp_model.LinearExpr]:
    """Return what it costs that efforts, planes, muscles or ways between moves are missing."""
    terms: list[cp_model.LinearExpr] = []

    def short(amount: cp_model.LinearExprT, least: int, price: int) -> None:
        off = model.new_int_var(0, least, "")
        model.add(off >= least - amount)
        terms.append(price * off)

    limits, source = palette.limits, palette.source
    middle = sorted(tempos_bpm)[len(tempos_bpm) // 2]
    reaches = {}
    for key in taken:
        start = palette.start(source.move(key), middle)
        if start is not None:
            reaches[key] = palette.reach(start, middle)
    for share in (0.0, 0.4, 0.7):
        wanted = wanted_rpe(PartName.MAIN, share, EnergyLevel.MEDIUM, limits)
        near = [k for k, (low, high) in reaches.items()
                if low - _NEAR_RPE <= wanted <= high + _NEAR_RPE]  # fmt: skip
        if not near:  # out of reach of all: the nearest will have to do
            near = sorted(reaches, key=lambda k: min(abs(r - wanted) for r in reaches[k]))[:4]
        short(sum(taken[key] for key in near), 3, _UNREACHED)
    planes = {key: source.move(key).plane for key in taken}
    size = len(taken)
    for plane, least in ((Plane.SAGITTAL, 2), (Plane.FRONTAL, 2)):
        mine = [taken[key] for key in taken if planes[key] is plane]
        short(sum(mine), min(least, len(mine)), _PLANE_MISSING)
    over = model.new_int_var(0, size, "")
    sagittal = sum(taken[key] for key in taken if planes[key] is Plane.SAGITTAL)
    model.add(5 * over >= 5 * sagittal - 3 * sum(taken.values()))
    terms.append(_ONE_SIDED_PLANE * over)
    for pair in rules().opposed_muscles:
        for muscle in pair:
            mine = [taken[key] for key in taken if muscle in source.move(key).muscles]
            if mine:
                short(sum(mine), 1, _UNOPPOSED)
    easy = [taken[key] for key in taken if _opens(source.move(key), source.moves)]
    short(sum(easy), min(_OPENERS, len(easy)), _NO_OPENER)
    hops = [taken[key] for key in taken if big_hop(source.move(key))]
    most = _BIG_HOPS.get(limits.experience, _MOST_BIG_HOPS)
    if jump_minutes(palette.brief, limits) >= _JUMPS_FROM:
        short(sum(hops), min(most, len(hops)), _NO_JUMPS)
    beyond = model.new_int_var(0, size, "")
    model.add(beyond >= sum(hops) - most)
    terms.append(_UNREACHED * beyond)
    passages = passages_for(palette)
    forms = {key: rows[0].form for key, rows in starts.items()}
    for key, form in forms.items():
        after = [other for other, to in forms.items() if other != key and passages.works(form, to)]
        off = model.new_int_var(0, _DIRECT, "")
        model.add(off >= _DIRECT * taken[key] - sum(taken[other] for other in after))
        terms.append(_LONELY * off)
    return terms


def _opens(move: Move, moves: Mapping[str, Move]) -> bool:
    """Return whether a class can begin with a move: leg after leg, short or walking, simple."""
    simple = involved(move, moves) <= _SIMPLE
    return move.alternates and simple and (move.lever is Lever.SHORT or (move.kind is MoveKind.BASE
                                           and move.travel_m > 0))  # fmt: skip


def _in_order(keys: Sequence[str], palette: Palette) -> list[str]:
    moves = palette.source.moves
    return sorted(keys, key=lambda key: (involved(moves[key], moves), list(moves).index(key)))


def _hash(key: str, seed: int, place: int) -> int:
    """Return a number that depends on a move and a seed, the same on every machine."""
    value = 2166136261
    for byte in f"{key}/{seed}/{place}".encode():
        value = (value ^ byte) * 16777619 % 2**32
    return value >> 8
