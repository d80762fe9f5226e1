"""A song to fill: a palette of four moves, its puzzles answered by hand, its phrases.

At 120 beats/min a phrase of 32 counts lasts 16 s.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast

import pytest
from planning_forms import form_of, rated

from aquatempo.class_shape.limits import Limits, limits_of
from aquatempo.class_shape.parts import ClassPart
from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.blocks import filling
from aquatempo.planning.blocks.filling import Filled, Music, fill
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.move_costs import Terms
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.records.moves import Move, MoveForm, MoveKind
from aquatempo.records.plan import Brief, BuildWay, PartName, PlannedPhrase
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

__all__ = ["KEYS", "Asked", "Leads", "Moves", "asked_by", "filled", "music", "song"]

MEDIUM = EnergyLevel.MEDIUM
KEYS = ("jack", "jog", "twist", "scull")


@dataclass
class Moves:
    """Stands for a palette of four moves, of which sculling holds."""

    limits: Limits = field(default_factory=lambda: limits_of(Brief()))
    brief: Brief = field(default_factory=Brief)
    source: Catalogue = field(default_factory=catalogue)

    @property
    def holds(self) -> list[MoveForm]:
        """What may carry a bridge."""
        return [form_of("scull")]

    def of(self, *kinds: MoveKind) -> list[Move]:
        """Return the moves of some kinds."""
        return [one for key in KEYS if (one := self.source.moves[key]).kind in kinds]

    def starts(self, moves: Iterable[Move], _: float) -> dict[str, Rated]:
        """Return each move as it stands."""
        return {move.key: rated(move.key) for move in moves}

    def named_starts(
        self, starts: Mapping[str, Rated], keys: frozenset[str], _: float
    ) -> dict[str, Rated]:
        """Return the moves that are named."""
        return {key: one for key, one in starts.items() if key in keys}

    def rate(self, forms: Sequence[MoveForm], _: float) -> list[Rated]:
        """Return forms with the usual figures."""
        return [replace(rated("jack"), form=form) for form in forms]


@dataclass
class Asked:
    """What was asked of the puzzle of moves; answers: the cost of each, None for no way."""

    answers: list[float | None]
    slots: list[list[MoveSlot]] = field(default_factory=list)
    domains: list[set[str]] = field(default_factory=list)
    terms: list[Terms] = field(default_factory=list)

    def moves(
        self,
        slots: list[MoveSlot],
        domains: Mapping[int, list[Rated]],
        terms: Terms,
        *_: object,
    ) -> tuple[dict[int, Rated], Solved] | None:
        """Answer with the first move of each place."""
        cost = self.answers[min(len(self.slots), len(self.answers) - 1)]
        self.slots.append(slots)
        self.domains.append({one.form.move.key for row in domains.values() for one in row})
        self.terms.append(terms)
        if cost is None:
            return None
        return {place: row[0] for place, row in domains.items()}, Solved(cost, 0.0, True)


class Leads:
    """Stands for passages: a hold leads into and out of one form only, or of none."""

    holds = (form_of("scull"),)

    def __init__(self, form: MoveForm, leads: bool) -> None:
        self.form, self.leads = form, leads
        self.asked: list[tuple[bool, int, bool]] = []

    def works(self, *_: object) -> bool:
        """Return that anything may follow anything."""
        return True

    def hold(self, before: MoveForm | None, counts: int, after: MoveForm | None) -> MoveForm | None:
        """Return a hold for that form alone; note on which side the form is."""
        self.asked.append((before is not None, counts, after is not None))
        form = before or after
        return self.holds[0] if self.leads and form == self.form else None


def asked_by(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Return what is asked of the two puzzles, which are answered at a cost of 1."""
    told = Asked([1.0])

    def forms(
        slots: list[MoveSlot], moves: Mapping[int, Rated], *_: object
    ) -> tuple[dict[int, Rated], Solved]:
        return {slot.tie: moves[slot.place] for slot in slots}, Solved(2.0, 1.0, False)

    monkeypatch.setattr(filling, "choose_moves", told.moves)
    monkeypatch.setattr(filling, "choose_forms", forms)
    monkeypatch.setattr(filling, "menu", lambda palette, start, *_: [start])
    return told


def song(*layout: tuple[int, PhraseKind], energy: EnergyLevel = MEDIUM) -> list[PlannedPhrase]:
    """Return the phrases of a song."""
    starts = [sum(counts for counts, _ in layout[:place]) for place in range(len(layout))]
    return [
        PlannedPhrase(start, counts, kind, energy, (), "")
        for start, (counts, kind) in zip(starts, layout, strict=True)
    ]


def music(
    *layout: tuple[int, PhraseKind],
    part: PartName = PartName.MAIN,
    way: BuildWay = BuildWay.LINEAR,
    energy: EnergyLevel = MEDIUM,
    **others: Any,
) -> Music:
    """Return a song at 120 beats/min whose phrases lie at 0, 0.1, 0.2 and so on of its part."""
    shares = [place / 10.0 for place in range(len(layout))]
    settled = ClassPart(part, 10.0, (110.0, 130.0), way)
    return Music(song(*layout, energy=energy), shares, 120.0, settled, **others)


def filled(
    some: Music,
    ledger: Ledger | None = None,
    repertoire: Sequence[str] = (),
    palette: Moves | None = None,
) -> Filled | None:
    """Return what a song is filled with."""
    known = ledger or Ledger(set(KEYS))
    return fill(some, cast("Palette", palette or Moves()), known, Effort(1, 1.0), repertoire)
