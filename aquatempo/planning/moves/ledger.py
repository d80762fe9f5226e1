"""What a class has done so far: carried from track to track while a plan is filled."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from aquatempo.moves.rules import rules
from aquatempo.records.moves import Move, MoveForm, MoveKind, Variation

__all__ = ["Ledger", "leaning"]


@dataclass
class Ledger:
    """What was done, and what has been learned.

    known: moves done before. forms: of each move, the ways in which it was varied, in the
    order in which they were learned, with how often they came. phrases: move -> phrases so
    far. jumped: minutes of big jumps so far [min]; jumped_before: in the song before.
    recent: moves of each song so far. tail: what was worked, and seconds, of
    the last phrases, newest last. songs: how many of the main part are done; worked,
    firm: counts of the main part, and those that land at medium impact or above.
    favourites: names of those used. cooled: mean effort of the last song of the cool-down
    [Borg], None before one. choruses: songs of the main part that had a move in the chorus;
    visits: songs of the main part that had a move at all; worn: and that had a form of it;
    pairs: songs in which two moves followed one another.
    chorus, opened: moves in the chorus of the song before, and the move that it began with.
    old: (move, variation) known from earlier classes.
    """

    known: set[str]
    phrases: Counter[str] = field(default_factory=Counter)
    planes: Counter[str] = field(default_factory=Counter)
    leans: Counter[str] = field(default_factory=Counter)
    options: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    forms: dict[str, Counter[tuple[tuple[str, str], ...]]] = field(default_factory=dict)
    recent: list[frozenset[str]] = field(default_factory=list)
    jumped: float = 0.0
    jumped_before: bool = False
    tail: list[tuple[frozenset[str], float]] = field(default_factory=list)
    songs: int = 0
    worked: int = 0
    firm: int = 0
    favourites: set[str] = field(default_factory=set)
    cooled: float | None = None
    choruses: Counter[str] = field(default_factory=Counter)
    visits: Counter[str] = field(default_factory=Counter)
    worn: Counter[Variation] = field(default_factory=Counter)
    pairs: Counter[frozenset[str]] = field(default_factory=Counter)
    chorus: frozenset[str] = frozenset()
    opened: str = ""
    old: set[tuple[str, tuple[tuple[str, str], ...]]] = field(default_factory=set)

    @classmethod
    def starting_with(
        cls, known: Iterable[str], forms: Iterable[tuple[str, str, str]] = ()
    ) -> Ledger:
        """Return the ledger of a class that knows some moves and variations of them."""
        ledger = cls(set(known))
        for move, factor, option in forms:
            ledger.forms.setdefault(move, Counter())[((factor, option),)] += 1
            ledger.old.add((move, ((factor, option),)))
        return ledger

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
        """Note a phrase of a form."""
        changes = tuple((factor.value, key) for factor, key in form.variation.changes)
        for factor, key in changes:
            self.options[form.move.key, factor, key] += 1
        if changes:
            self.forms.setdefault(form.move.key, Counter())[changes] += 1

    def add_song(self, forms: Sequence[MoveForm], chorus: Iterable[str], main: bool) -> None:
        """Note that a song is done.

        forms: of it, in their order; chorus: moves of its chorus; main: whether the main part
        has it.
        """
        self.recent.append(frozenset(form.move.key for form in forms))
        self.chorus = frozenset(chorus)
        works = (one.move for one in forms if one.move.kind is not MoveKind.HOLDING)
        self.opened = next((move.key for move in works), "")
        if main:
            self.songs += 1
            self.choruses.update(self.chorus)
            self.visits.update(self.recent[-1])
            keys = [form.move.key for form in forms]
            self.pairs.update({frozenset(two) for two in pairwise(keys) if len({*two}) > 1})
            self.worn.update({form.variation for form in forms if form.variation.changes})

    def before(self, songs: int) -> frozenset[str]:
        """Return the moves of the last song, or of the one so many before it."""
        return self.recent[-1 - songs] if len(self.recent) > songs else frozenset()

    def learned(self, move: str) -> list[tuple[tuple[str, str], ...]]:
        """Return the ways in which a move was varied, in the order in which they were learned."""
        return list(self.forms.get(move, ()))


def leaning(move: Move, first: str, second: str) -> int:
    """Return 1 where a move works the first muscle only, -1 the second only, else 0."""
    return (first in move.muscles) - (second in move.muscles)
