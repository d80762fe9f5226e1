"""A palette for tests of favourites: a few moves of the catalogue, rated by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from planning_forms import form_of, rated

from aquatempo.class_shape.limits import Limits, limits_of
from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.moves.palette import Rated
from aquatempo.records.moves import Factor, Move, MoveForm
from aquatempo.records.plan import Brief
from aquatempo.records.verdict import ImpactBand

__all__ = ["Moves"]


@dataclass
class Moves:
    """Stands for a palette of some moves: those of hard land with high impact, barred say why."""

    brief: Brief
    keys: tuple[str, ...] = ("jack", "jog", "twist")
    hard: str = ""
    barred: str = ""
    why: str = "no"

    @property
    def source(self) -> Catalogue:
        """The whole catalogue."""
        return catalogue()

    @property
    def limits(self) -> Limits:
        """What the brief asks."""
        return limits_of(self.brief)

    @property
    def holds(self) -> Sequence[MoveForm]:
        """Nothing carries a bridge."""
        return ()

    @property
    def moves(self) -> list[Move]:
        """The moves of the class."""
        return [catalogue().moves[key] for key in self.keys]

    def form(self, move: Move, changes: tuple[tuple[Factor, str], ...]) -> MoveForm:
        """Return a form of a move."""
        return form_of(move.key, *changes)

    def rate(self, forms: list[MoveForm], tempo_bpm: float) -> list[Rated]:
        """Return forms by hand; the songs have 128 beats/min."""
        assert tempo_bpm == 128.0
        return [
            replace(
                rated(
                    one.move.key,
                    impact=ImpactBand.HIGH if one.move.key == self.hard else ImpactBand.LOW,
                    changes=one.variation.changes,
                ),
                left_out=self.why if one.move.key == self.barred else "",
            )
            for one in forms
        ]
