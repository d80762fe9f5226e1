"""What a class has done so far: carried from track to track while a plan is filled."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from aquatempo.moves.rules import rules
from aquatempo.records.moves import Move, MoveForm, MoveKind

__all__ = ["Ledger", "leaning"]


@dataclass
class Ledger:
    """known: moves done before. phrases: move -> phrases so far; options: (move, factor, key).

    recent: moves of the song before.
    """

    known: set[str]
    phrases: Counter[str] = field(default_factory=Counter)
    planes: Counter[str] = field(default_factory=Counter)
    leans: Counter[str] = field(default_factory=Counter)
    options: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    recent: frozenset[str] = frozenset()

    @classmethod
    def starting_with(cls, known: Iterable[str]) -> Ledger:
        """Return the ledger of a class that knows some moves."""
        return cls(set(known))

    def add_phrase(self, move: Move) -> None:
        """Note a phrase of a move."""
        self.known.add(move.key)
        self.phrases[move.key] += 1
        if move.kind in (MoveKind.HOLDING, MoveKind.STRETCH):
            return
        self.planes[move.plane.value] += 1
        for first, second in rules().opposed_muscles:
            self.leans[first] += leaning(move, first, second)

    def add_form(self, form: MoveForm) -> None:
        """Note a form that has been taught."""
        for factor, key in form.variation.changes:
            self.options[form.move.key, factor.value, key] += 1


def leaning(move: Move, first: str, second: str) -> int:
    """Return 1 where a move works the first muscle only, -1 the second only, else 0."""
    return (first in move.muscles) - (second in move.muscles)
