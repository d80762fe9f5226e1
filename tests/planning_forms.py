"""Forms with figures by hand and slots of a song, for tests of what planning weighs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from aquatempo.class_shape.figures import Figures
from aquatempo.moves import catalogue, resolve
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.move_costs import Terms, cost_at
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.solver.choosing import Sum
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import Factor, MoveForm, Variation
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import BuildWay
from aquatempo.records.verdict import ImpactBand

__all__ = ["KNOWN", "PassagesByHand", "form_of", "move_price", "rated", "slot", "sums_price"]

SHALLOW = ClassDepth.SHALLOW
KNOWN = {"jack", "jog", "front-kick", "jump", "twist", "side-step"}  # what a class knows here


def form_of(key: str, *changes: tuple[Factor, str]) -> MoveForm:
    """Return a form of a move in shallow water."""
    return resolve(catalogue().moves[key], Variation(key, changes), SHALLOW)


def rated(
    key: str,
    rpe: float = 12.0,
    hard: tuple[str, ...] = (),
    impact: ImpactBand = ImpactBand.LOW,
    changes: Sequence[tuple[Factor, str]] = (),
) -> Rated:
    """Return a form with figures by hand."""
    return Rated(form_of(key, *changes), Figures(1.0, rpe / 2.0, rpe, impact, hard))


def slot(place: int, counts: int = 32, bridge: int = 0, **others: object) -> MoveSlot:
    """Return a slot of a place that lasts half a second a count (120 beats/min)."""
    usual = MoveSlot(0, 0, counts, 12.0, bridge, place, place, 0, Role.VERSE, counts / 2.0)
    return replace(usual, **others)  # type: ignore[arg-type]


def move_price(
    slots: Sequence[MoveSlot], one: Rated | None = None, ledger: Ledger | None = None, **terms: Any
) -> int:
    """Return what a form, a jack unless told, costs at place 0 of a song.

    The class knows all of KNOWN unless told; a move reaches its own effort only.
    """
    told: dict[str, Any] = {"way": BuildWay.LINEAR, "new_moves": 2}
    told["reach"] = lambda form: (form.rpe, form.rpe)
    asked = Terms(**(told | terms))
    return cost_at(slots, 0, one or rated("jack"), asked, ledger or Ledger(set(KNOWN)))


def sums_price(sums: Sequence[Sum], choice: Sequence[int]) -> int:
    """Return what some sums cost at a choice: what lies over and under the range, at its price."""
    total = 0
    for one in sums:
        amount = one.start + sum(one.amounts.get(cell, 0) for cell in enumerate(choice))
        total += one.over * max(0, amount - one.high) + one.under * max(0, one.low - amount)
    return total


@dataclass
class PassagesByHand:
    """Passages by hand: what was asked, and for which pairs and counts there is no way.

    Each passage costs 10. never: pairs of moves that never meet.
    """

    never: set[tuple[str, str]] = field(default_factory=set)
    asked: list[tuple[str, str, int, bool]] = field(default_factory=list)

    def cost(self, before: MoveForm, after: MoveForm, bridge: int, set_up: bool) -> int | None:
        """Return 10 for each passage, None for those that never work."""
        pair = (before.move.key, after.move.key)
        self.asked.append((*pair, bridge, set_up))
        return None if pair in self.never else 10

    def hold(self, before: MoveForm | None, counts: int, after: MoveForm | None) -> None:
        """Return that no holding move carries anything."""
