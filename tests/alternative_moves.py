"""A class of a few moves whose efforts are told by hand, for tests of what a block might be."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from plan_shapes import class_of, song_of
from planning_forms import form_of

from aquatempo.class_shape.effort import wanted_rpe
from aquatempo.class_shape.figures import Figures
from aquatempo.class_shape.limits import Limits, limits_of
from aquatempo.moves import Catalogue
from aquatempo.planning.moves.palette import Rated
from aquatempo.records.moves import Factor, Move, MoveForm, MoveKind
from aquatempo.records.plan import Brief, PartName
from aquatempo.records.rhythm import EnergyLevel
from aquatempo.records.verdict import ImpactBand

__all__ = ["BRIEF", "FIST", "KEYS", "ROW", "Moves"]

FIST = (Factor.HANDS, "fist")
KEYS = ("jog", "jack", "front-kick", "leg-curl", "knee-lift")
BRIEF = Brief(known_moves=("jog", "jack", "front-kick", "leg-curl"))
ROW = class_of(song_of("Lane", "main", "jog", "jack", "jog"), brief=BRIEF)
WANTED = wanted_rpe(PartName.MAIN, 0.5, EnergyLevel.MEDIUM, limits_of(BRIEF), None)
OFF = {
    "jog": 0.0,
    "jack": 0.0,
    "front-kick": 1.0,
    "leg-curl": -2.0,
    "knee-lift": 0.5,
    "easy-jog": -4.0,
}


@dataclass
class Moves:
    """Stands for a palette of a few moves whose efforts are so far from what is wanted.

    ways: what each may be varied by; hard: what lands with high impact.
    """

    brief: Brief
    tempos_bpm: Sequence[float]
    source: Catalogue
    keys: Sequence[str] = KEYS
    ways: Sequence[tuple[tuple[Factor, str], ...]] = ((FIST,),)
    hard: Collection[tuple[str, tuple[tuple[Factor, str], ...]]] = ()
    off: Mapping[str, float] = field(default_factory=lambda: OFF)

    @property
    def limits(self) -> Limits:
        """What the brief asks."""
        return limits_of(self.brief)

    def under(self, limits: Limits) -> Moves:
        """Return the same under other limits."""
        assert limits == self.limits
        return self

    @property
    def holds(self) -> list[MoveForm]:
        """What may carry a bridge."""
        return [form_of("easy-jog")]

    @property
    def moves(self) -> list[Move]:
        """The moves that there are."""
        return [self.source.moves[key] for key in self.keys]

    def of(self, *kinds: MoveKind) -> list[Move]:
        """Return the moves of some kinds."""
        return [move for move in self.moves if move.kind in kinds]

    def rate(self, forms: Sequence[MoveForm], tempo_bpm: float) -> list[Rated]:
        """Return forms with their figures at 128 beats/min."""
        assert tempo_bpm == 128.0
        found = []
        for one in forms:
            off = self.off.get(one.move.key, 0.0)
            high = (one.move.key, one.variation.changes) in self.hard
            band = ImpactBand.HIGH if high else ImpactBand.LOW
            found.append(Rated(one, Figures(1.0, 5.0 + off, WANTED + off, band)))
        return found

    def start(self, move: Move, tempo_bpm: float, one_side: bool = False) -> Rated | None:
        """Return how a move starts: as it stands, or on one side where it has sides in turn."""
        if one_side and not move.sided:
            return None
        sides = [(Factor.SIDES, "one")] if one_side and move.alternates else []
        return self.rate([form_of(move.key, *sides)], tempo_bpm)[0]

    def forms_of(self, move: Move, tempo_bpm: float, start: MoveForm) -> list[Rated]:
        """Return a move as it stands, and varied."""
        base = start.variation.changes
        varied = [form_of(move.key, *base, *way) for way in self.ways]
        return self.rate([start, *varied], tempo_bpm)
