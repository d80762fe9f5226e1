"""What may be asked of this group in this water: moves and forms, rated once for all tempos."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from aquatempo.feasibility import judge_forms, thresholds
from aquatempo.moves import Catalogue, catalogue, lead_check, resolve, variations
from aquatempo.records.moves import (
    Factor,
    FactorOption,
    ImpactLevel,
    Move,
    MoveForm,
    MoveKind,
    Variation,
)
from aquatempo.records.people import Pool
from aquatempo.records.plan import Brief, PartName
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = [
    "Palette",
    "Rated",
    "hops",
    "usual_kinds",
]

# Pairs of factors that may be set together: neither changes what the other needs.
LAYERS = (
    (Factor.ARMS, Factor.TRAVEL),
    (Factor.ARMS, Factor.HANDS),
    (Factor.HANDS, Factor.TRAVEL),
    (Factor.ARMS, Factor.TEMPO),
    (Factor.TRAVEL, Factor.TEMPO),
)
MOST = 0.5  # of the group have the right depth for a move that is planned
SLOWER = ("water", "half")  # tempo options to start with where a move is too fast as it stands


@dataclass(frozen=True)
class Rated:
    """A form at one tempo. kept: share of range that the median keeps; met: its effort."""

    form: MoveForm
    kept: float
    met: float
    allowed: bool


class Palette:
    """The moves that a brief leaves, resolved and rated; every rating is made once."""

    def __init__(
        self, brief: Brief, tempos_bpm: Iterable[float], source: Catalogue | None = None
    ) -> None:
        self.brief, self.source = brief, source or catalogue()
        self.pool: Pool = replace(brief.pool, kind=brief.depth)
        self.tempos_bpm = sorted({round(tempo, 2) for tempo in tempos_bpm})
        self._rated: dict[tuple[MoveForm, float], Rated] = {}

    def form(self, move: Move, changes: Sequence[tuple[Factor, str]] = ()) -> MoveForm:
        """Return a form of a move at the depth of the class.

        changes: pairs of factor and option key.
        """
        return resolve(move, Variation(move.key, tuple(changes)), self.brief.depth, self.source)

    @cached_property
    def moves(self) -> tuple[Move, ...]:
        """The moves that the brief and the depth leave, in the order of the catalogue."""
        brief = self.brief
        return tuple(
            move
            for move in self.source.moves.values()
            if brief.depth in move.depths
            and move.key not in brief.banned_moves
            and (
                not brief.allowed_moves
                or move.key in brief.allowed_moves
                or move.kind in (MoveKind.HOLDING, MoveKind.STRETCH)
            )
            and (_moves_the_body(move) or move.key in brief.allowed_moves)
        )

    def of(self, *kinds: MoveKind) -> tuple[Move, ...]:
        """Return the moves of some kinds."""
        return tuple(move for move in self.moves if move.kind in kinds)

    def rate(self, forms: Sequence[MoveForm], tempo_bpm: float) -> list[Rated]:
        """Return the ratings of forms at a tempo, computed for all tempos at once if new.

        tempo_bpm: as played [beats/min].
        """
        tempo = round(tempo_bpm, 2)
        tempos = self.tempos_bpm if tempo in self.tempos_bpm else [tempo]
        new = [form for form in dict.fromkeys(forms) if (form, tempo) not in self._rated]
        if new:
            grid = judge_forms(new, [None], tempos, self.pool, self.brief.group)
            for row, form in enumerate(new):
                suits = grid.allowed[row] and grid.depth_right[row] >= MOST
                steady = _steady(form)
                for column, one in enumerate(tempos):
                    kept = float(grid.range_kept[row, 0, column, 1])
                    free = form.move.kind in (MoveKind.HOLDING, MoveKind.STRETCH)
                    fits = free or (bool(grid.rated[row, 0]) and kept >= self.brief.range_floor)
                    self._rated[form, one] = Rated(
                        form,
                        kept,
                        float(grid.met[row, 0, column, 1]),
                        fits and bool(suits) and (steady or free) and self._partnered(form),
                    )
        return [self._rated[form, tempo] for form in forms]

    def starts(self, moves: Sequence[Move], tempo_bpm: float) -> dict[str, Rated]:
        """Return the form that each move starts with at a tempo, where it has one.

        The move as it stands or, where it is too fast so, in a slower tempo option: that is
        changed before the move, and the move before the song's speed. moves: to start;
        tempo_bpm: as played [beats/min].
        """
        found: dict[str, Rated] = {}
        for option in ("", *SLOWER):
            change = (Factor.TEMPO, option)
            changes = (change,) if option else ()
            left = [move for move in moves if move.key not in found]
            if option:
                left = [move for move in left if self._legal(move, change)]
            forms = [self.form(move, changes) for move in left]
            for move, rated in zip(left, self.rate(forms, tempo_bpm), strict=True):
                if rated.allowed:
                    found[move.key] = rated
        return {move.key: found[move.key] for move in moves if move.key in found}

    @cached_property
    def holds(self) -> tuple[MoveForm, ...]:
        """The forms that may carry a bridge here, the best known first."""
        forms = [self.form(move) for move in self.of(MoveKind.HOLDING)]
        rated = self.rate(forms, self.tempos_bpm[0])
        return tuple(one.form for one in rated if one.allowed)

    def suiting(self, tempo_bpm: float) -> int:
        """Return how many base moves can be started at a tempo in their usual pattern."""
        forms = [self.form(move) for move in self.of(MoveKind.BASE, MoveKind.DEEP_ONLY)]
        return sum(rated.allowed for rated in self.rate(forms, tempo_bpm))

    def forms_of(self, move: Move, tempo_bpm: float, start: MoveForm) -> list[Rated]:
        """Return the start form and all single changes of it that suit the group.

        move: to vary; tempo_bpm: as played [beats/min].
        """
        base = start.variation.changes
        taken = {factor for factor, _ in base}
        forms = [start]
        for one in variations(move, self.brief.depth, self.source):
            if one.changes[0][0] not in taken:
                forms.append(self.form(move, (*base, *one.changes)))
        if base:
            forms.append(self.form(move))
        return [rated for rated in self.rate(forms, tempo_bpm) if rated.allowed]

    def layered(self, move: Move, singles: Sequence[Rated], tempo_bpm: float) -> list[Rated]:
        """Return forms with two factors set, each of them allowed alone.

        move: to vary; singles: its forms with one factor set; tempo_bpm: as played [beats/min].
        """
        changes = [one.form.variation.changes for one in singles]
        alone = [change[0] for change in changes if len(change) == 1]
        forms = [
            self.form(move, (first, second))
            for first in alone
            for second in alone
            if (first[0], second[0]) in LAYERS
        ]
        return [rated for rated in self.rate(forms, tempo_bpm) if rated.allowed]

    def option(self, factor: Factor, key: str) -> FactorOption:
        """Return an option of the catalogue.

        factor: it belongs to; key: of the option.
        """
        return self.source.option(factor, key)

    def stretches(self) -> tuple[Move, ...]:
        """Return the stretches that come first: held in warm water, moving in cool water."""
        forms = [self.form(move) for move in self.of(MoveKind.STRETCH)]
        rated = self.rate(forms, self.tempos_bpm[0])
        all_of_them = tuple(one.form.move for one in rated if one.allowed)
        cool = self.pool.temperature_c < thresholds().cool_below_c
        return tuple(sorted(all_of_them, key=lambda move: ("h" in move.pattern) == cool))

    def _partnered(self, form: MoveForm) -> bool:
        """Return whether the brief leaves the move that a form is combined with."""
        return not form.partner or any(move.key == form.partner for move in self.moves)

    def _legal(self, move: Move, change: tuple[Factor, str]) -> bool:
        legal = variations(move, self.brief.depth, self.source)
        return Variation(move.key, (change,)) in legal


def hops(form: MoveForm) -> bool:
    """Return whether the body is thrown up anywhere in a form: it lands with impact."""
    flies = any(movement.flight_m > 0 for movement in form.movements)
    return flies and form.level is not ImpactLevel.III


def _moves_the_body(move: Move) -> bool:
    """Return whether legs or trunk move in it: a hold is no base move unless asked for."""
    if move.kind not in (MoveKind.BASE, MoveKind.DEEP_ONLY):
        return True
    return any(m.swings or m.flight_m > 0 or m.sway_m > 0 for m in move.movements)


def usual_kinds(part: PartName) -> tuple[MoveKind, ...]:
    """Return the kinds of moves that a part is made of."""
    if part is PartName.STRETCH:
        return (MoveKind.STRETCH,)
    if part is PartName.COOL_DOWN:
        return (MoveKind.BASE, MoveKind.DEEP_ONLY, MoveKind.ARMS_ONLY)
    return (MoveKind.BASE, MoveKind.DEEP_ONLY)


def _steady(form: MoveForm) -> bool:
    """Return whether half a phrase of a form ends where it began, both sides served alike."""
    pattern = form.pattern
    if pattern is None or not pattern.fills_eights:
        return False
    check = lead_check(form.move, pattern, len(form.movements))
    even = check.lead_counts == check.other_counts
    return check.at_start and even and check.returns_after_counts <= COUNTS_PER_PHRASE // 2
