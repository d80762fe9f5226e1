"""The base moves of a class against a search of every set of the size, from a palette by hand.

What a set costs is written once more, plainly; its weights are judgement, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any, cast

import pytest
from planning_forms import rated

from aquatempo.class_shape.effort import wanted_rpe
from aquatempo.class_shape.limits import Limits, limits_of
from aquatempo.class_shape.standards import base_move_count, jump_minutes
from aquatempo.class_shape.themes import theme_weight
from aquatempo.moves import catalogue
from aquatempo.moves.rules import rules
from aquatempo.moves.tags import big_hop
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.repertoire import choose_repertoire, involved
from aquatempo.planning.solver.solving import Effort
from aquatempo.records.brief import Course, Experience
from aquatempo.records.moves import Lever, Move, MoveKind, Plane
from aquatempo.records.people import Group, Intensity
from aquatempo.records.plan import Brief, PartName
from aquatempo.records.rhythm import EnergyLevel

MOVES = catalogue().moves
KEYS = (
    *("walk", "jog", "knee-lift", "leg-curl", "jack", "side-kick", "jump", "tuck", "mogul"),
    *("shuffle", "cross-country-ski"),
)
FIRST, BEGINNERS, REGULAR, TRAINED = Experience


@dataclass
class ByHand:
    """A palette of moves at efforts by hand; at another tempo than 120 only some start."""

    brief: Brief
    keys: Sequence[str]
    rpes: Mapping[str, float]
    slow: Collection[str] = ()
    source = catalogue()
    holds = ()

    @property
    def limits(self) -> Limits:
        """What the brief asks."""
        return limits_of(self.brief)

    def of(self, *kinds: MoveKind) -> list[Move]:
        """Return all moves."""
        return [MOVES[key] for key in self.keys]

    def start(self, move: Move, tempo_bpm: float) -> Rated | None:
        """Return a move as it stands."""
        there = tempo_bpm == 120.0 or move.key in self.slow
        return rated(move.key, self.rpes.get(move.key, 12.0)) if there else None

    def starts(self, moves: Sequence[Move], tempo_bpm: float) -> dict[str, Rated]:
        """Return those that start."""
        found = {move.key: self.start(move, tempo_bpm) for move in moves}
        return {key: one for key, one in found.items() if one is not None}

    def reach(self, start: Rated, tempo_bpm: float) -> tuple[float, float]:
        """Return a point below and two above the plain move."""
        return start.rpe - 1.0, start.rpe + 2.0


def fnv(text: str) -> int:
    """Return FNV-1a of 32 bits (Fowler, Noll, Vo; constants as published)."""
    value = 0x811C9DC5
    for byte in text.encode():
        value = ((value ^ byte) * 0x01000193) & 0xFFFFFFFF
    return value


def price(own: ByHand, chosen: Collection[str], avoid: Collection[str], seed: int) -> int:
    """Return what a set of moves costs, told plainly."""
    brief, limits, total = own.brief, own.limits, 0
    for place, key in enumerate(own.keys):
        if key in chosen:
            move = MOVES[key]
            each = {FIRST: 9, BEGINNERS: 6, REGULAR: 2, TRAINED: 0}[limits.experience]
            total += each * max(0, involved(move, MOVES) - 1)
            total += 4 * bool(brief.known_moves and key not in brief.known_moves)
            total -= round(9 * theme_weight(brief.themes, move))
            total += 60 * (key in avoid) + 25 * (brief.twin and len(move.depths) == 1)
            total += 6 * (key in ("walk", "shuffle") and limits.rpe[1] > 13.0)
            total += (fnv(f"{key}/{seed}/{place}") >> 8) % 4
    mine = [MOVES[key] for key in chosen]
    if brief.course and brief.known_moves:
        fresh = sum(key not in brief.known_moves for key in chosen)
        total += 30 * abs(fresh - brief.course.new_moves)
    for share in (0.0, 0.4, 0.7):
        wanted = wanted_rpe(PartName.MAIN, share, EnergyLevel.MEDIUM, limits)
        reach = {key: (own.rpes.get(key, 12.0) - 1.0, own.rpes.get(key, 12.0) + 2.0)
                 for key in own.keys}  # fmt: skip
        off = {k: max(low - wanted, wanted - high) for k, (low, high) in reach.items()}
        near = [key for key in own.keys if off[key] <= 0.75]
        near = near or sorted(own.keys, key=lambda k: min(abs(r - wanted) for r in reach[k]))[:4]
        total += 30 * max(0, 3 - sum(key in near for key in chosen))
    for plane in (Plane.SAGITTAL, Plane.FRONTAL):
        there = sum(MOVES[key].plane is plane for key in own.keys)
        total += 16 * max(0, min(2, there) - sum(move.plane is plane for move in mine))
    sagittal = sum(move.plane is Plane.SAGITTAL for move in mine)
    total += 6 * max(0, -((3 * len(mine) - 5 * sagittal) // 5))
    for muscle in (muscle for pair in rules().opposed_muscles for muscle in pair):
        there = any(muscle in MOVES[key].muscles for key in own.keys)
        total += 4 * (there and not any(muscle in move.muscles for move in mine))
    easy = [key for key in own.keys if opens(MOVES[key])]
    total += 20 * max(0, min(2, len(easy)) - sum(key in easy for key in chosen))
    hops = [key for key in own.keys if big_hop(MOVES[key])]
    most = {FIRST: 0, BEGINNERS: 0, REGULAR: 1, TRAINED: 2}[limits.experience]
    taken = sum(key in hops for key in chosen)
    if jump_minutes(brief, limits) >= 0.5:
        total += 25 * max(0, min(most, len(hops)) - taken)
    total += 30 * max(0, taken - most)
    changes = {FIRST: 2, BEGINNERS: 2, REGULAR: 2, TRAINED: 4}[limits.experience]
    passages, forms = Passages((), changes), {key: rated(key).form for key in own.keys}
    for key in chosen:
        direct = sum(key != k and passages.works(forms[key], forms[k]) for k in chosen)
        total += 12 * max(0, 2 - direct)
    return total


def opens(move: Move) -> bool:
    """Return whether a class can begin with a move: leg after leg, simple, short or walking."""
    walks = move.kind is MoveKind.BASE and move.travel_m > 0
    return move.alternates and involved(move, MOVES) <= 2 and (move.lever is Lever.SHORT or walks)


EFFORTS = {"walk": 8.0, "shuffle": 9.0, "jump": 14.0, "tuck": 15.5, "cross-country-ski": 13.5}
HARD = Group(intensity=Intensity.HARD)


@pytest.mark.parametrize(("brief", "keys", "avoid", "seed"), [
    (Brief(experience=FIRST), KEYS, (), 1),
    (Brief(experience=FIRST), KEYS, (), 2),
    (Brief(experience=FIRST, group=Group(intensity=Intensity.EASY)), KEYS, ("jog", "walk"), 1),
    (Brief(experience=BEGINNERS), KEYS, (), 3),
    (Brief(experience=BEGINNERS, themes=("core",)), KEYS, (), 1),
    (Brief(experience=BEGINNERS, known_moves=("walk", "jack", "tuck")), KEYS, (), 1),
    (Brief(experience=BEGINNERS, known_moves=("walk", "jack", "tuck", "jog"),
           course=Course(new_moves=3)), KEYS, ("leg-curl",), 1),
    (Brief(experience=BEGINNERS, known_moves=("walk", "jack"), course=Course(new_moves=0)),
     KEYS, (), 1),
    (Brief(experience=BEGINNERS, twin=True), KEYS, (), 1),
    (Brief(experience=REGULAR, minutes=20, group=HARD), KEYS, (), 1),
    (Brief(experience=REGULAR, minutes=20, jump_minutes=0.4), KEYS, ("jack",), 1),
    (Brief(experience=TRAINED, minutes=15, group=HARD), KEYS, ("jog", "mogul"), 1),
    (Brief(experience=FIRST), ("jack", "star", "side-kick", "pendulum", "twist", "mogul"), (), 1),
    (Brief(experience=BEGINNERS), ("jump", "tuck", "frog", "star", "leap", "jack", "jog"), (), 1),
    (Brief(experience=FIRST), ("jog", "knee-lift", "leg-curl", "front-kick", "lunge"), (), 1),
])  # fmt: skip
def test_the_cheapest_set_of_moves_is_chosen(
    brief: Brief, keys: tuple[str, ...], avoid: tuple[str, ...], seed: int
) -> None:
    """No other set of the size costs less: learning, effort, planes, muscles, ways between."""
    own = ByHand(brief, keys, EFFORTS)
    found = choose_repertoire(cast("Palette", own), [120.0], Effort(seed, 5.0), avoid)
    size = base_move_count(brief, own.limits)
    costs = {s: price(own, s, avoid, seed) for s in map(frozenset, combinations(keys, size))}
    assert found.solved.optimal
    assert found.solved.cost == min(costs.values()) == costs[frozenset(found.keys)]
    places = [(involved(MOVES[key], MOVES), list(MOVES).index(key)) for key in found.keys]
    assert places == sorted(places)
    assert set(found.new) == set(found.keys) - set(brief.known_moves)
    assert found.avoided == avoid


def test_moves_that_are_asked_for_have_to_come() -> None:
    """What the brief wants is taken at any price, if it starts here at all."""
    brief = Brief(experience=FIRST, wanted_moves=("tuck", "mogul", "star"))
    own = ByHand(brief, KEYS, EFFORTS)
    found = choose_repertoire(cast("Palette", own), [120.0], Effort(), ("tuck",))
    assert {"tuck", "mogul"} <= set(found.keys)
    assert len(found.keys) == 4


def test_where_there_are_no_more_than_are_needed_all_are_taken() -> None:
    """Four moves for a class of four: nothing is to be chosen, the least involved comes first."""
    own = ByHand(Brief(experience=FIRST), ("tuck", "jack", "walk", "jog"), {})
    found = choose_repertoire(cast("Palette", own), [120.0], Effort())
    assert found.keys == ("walk", "jog", "jack", "tuck")
    assert (found.solved.cost, found.solved.bound, found.solved.optimal) == (0.0, 0.0, True)


@pytest.mark.parametrize(("slow", "tempos", "keys"), [
    (("walk", "jog", "jack"), [120.0, 90.0], 4),  # one of two tempos is half of them
    (("walk", "jog", "jack"), [120.0, 90.0, 91.0], 3),  # one of three is less
    (("walk", "jog"), [120.0, 90.0, 91.0], 4),  # two moves are too few to go by
])  # fmt: skip
def test_moves_start_at_half_of_the_tempos(
    slow: tuple[str, ...], tempos: list[float], keys: int
) -> None:
    """What starts at fewer than half as many tempos as the best is left out, if three stay."""
    own = ByHand(Brief(experience=FIRST), ("walk", "jog", "jack", "tuck"), {}, slow)
    assert len(choose_repertoire(cast("Palette", own), tempos, Effort()).keys) == keys


@pytest.mark.parametrize(("key", "steps"), [
    ("stand-and-breathe", 0), ("easy-jog", 1), ("jog", 2), ("knee-lift", 3), ("star", 4),
])  # fmt: skip
def test_a_move_is_as_involved_as_what_lies_under_it(key: str, steps: int) -> None:
    """Each easier move under it is a step: of a star jack, side-step, march and standing."""
    told: dict[str, Any] = dict(MOVES)
    assert involved(MOVES[key], told) == steps
    del told["stand-and-breathe"]
    assert involved(MOVES[key], told) == max(0, steps - 1)
