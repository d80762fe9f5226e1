"""What may be asked of this group in this water: moves and forms, rated once for all tempos."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from aquatempo.class_shape.figures import Figures, rate
from aquatempo.class_shape.limits import BANDS, Limits, limits_of
from aquatempo.class_shape.standards import NARROW_M2
from aquatempo.moves import Catalogue, catalogue, resolve
from aquatempo.moves.tags import BIG_HOP_M, big_hop, sent_away
from aquatempo.planning.moves.beside import in_halves
from aquatempo.planning.moves.offers import (
    changes_of,
    moves_the_body,
    singles,
    steady,
    strongest,
)
from aquatempo.planning.moves.together import LAYERS, PROBES
from aquatempo.records.brief import Experience
from aquatempo.records.moves import (
    Factor,
    ImpactLevel,
    Move,
    MoveForm,
    MoveKind,
    Variation,
)
from aquatempo.records.people import Pool
from aquatempo.records.plan import Brief, PartName
from aquatempo.records.verdict import ImpactBand

__all__ = [
    "Palette",
    "Rated",
    "firm",
    "hops",
    "jumps",
    "usual_kinds",
]

# Where a move is too fast or lands too hard as it stands: what it starts with instead.
_GENTLER = ((Factor.LEVEL, "grounded"), (Factor.LEVEL, "II"))
_SLOWER = ((Factor.TEMPO, "water"), (Factor.TEMPO, "half"))
_AT_A_TIME = {Experience.REGULAR: 2, Experience.TRAINED: 3}  # factors put together
_SLACK_RPE = 0.5  # an estimate is not sharper than this


@dataclass(frozen=True)
class Rated:
    """A form at one tempo with its figures, and why it is left out ("" where it is not)."""

    form: MoveForm
    figures: Figures
    left_out: str = ""

    @property
    def allowed(self) -> bool:
        """Whether the class may do it here."""
        return not self.left_out

    @property
    def rpe(self) -> float:
        """Perceived exertion of the middle of the group [Borg 6 to 20]."""
        return self.figures.rpe

    @property
    def met(self) -> float:
        """Effort of the middle of the group [MET]."""
        return self.figures.met


class Palette:
    """The moves that a brief leaves, resolved and rated; every rating is made once."""

    def __init__(
        self,
        brief: Brief,
        tempos_bpm: Iterable[float],
        source: Catalogue | None = None,
        limits: Limits | None = None,
    ) -> None:
        self.brief = brief
        self.source = (source or catalogue()).at(brief.depth)
        self.pool: Pool = replace(brief.pool, kind=brief.depth)
        self.limits = limits or limits_of(brief)
        self.tempos_bpm = sorted({round(tempo, 2) for tempo in tempos_bpm})
        # Keyed by variation: within one palette it tells the form, and is quick to look up.
        self._rated: dict[tuple[Variation, float], Figures] = {}
        # By identity: forms of a palette are kept, and hashing one takes longer than its figures.
        self._known: dict[tuple[int, float], Rated] = {}
        self._forms: dict[tuple[str, tuple[tuple[Factor, str], ...]], MoveForm] = {}
        self._options: dict[str, frozenset[tuple[Factor, str]]] = {}
        self._starts: dict[tuple[str, float], Rated | None] = {}
        self._reaches: dict[tuple[Variation, float], tuple[float, float]] = {}
        self._others: dict[Limits, Palette] = {}

    def under(self, limits: Limits) -> Palette:
        """Return the same palette under other limits; what is rated is shared."""
        if limits == self.limits:
            return self
        if limits not in self._others:
            other = Palette(self.brief, self.tempos_bpm, self.source, limits)
            other._rated, other._forms = self._rated, self._forms
            self._others[limits] = other
        return self._others[limits]

    def form(self, move: Move, changes: Sequence[tuple[Factor, str]] = ()) -> MoveForm:
        """Return a form of a move at the depth of the class.

        changes: factors with their options.
        """
        key = (move.key, tuple(changes))
        if key not in self._forms:
            told = Variation(*key)
            self._forms[key] = resolve(move, told, self.brief.depth, self.source)
        return self._forms[key]

    @cached_property
    def moves(self) -> tuple[Move, ...]:
        """The moves that the brief, its rules and the depth leave, in the catalogue's order."""
        brief, rules = self.brief, self.brief.rules
        banned = {*brief.banned_moves, *(rules.banned_moves if rules else ())}
        allowed = set(brief.allowed_moves)
        if rules and rules.allowed_moves:
            allowed = allowed & set(rules.allowed_moves) if allowed else set(rules.allowed_moves)
        none_left = bool(rules and rules.allowed_moves and brief.allowed_moves and not allowed)
        free = (MoveKind.HOLDING, MoveKind.STRETCH)
        return tuple(
            move
            for move in self.source.moves.values()
            if brief.depth in move.depths
            and move.key not in banned
            and (not (allowed or none_left) or move.key in allowed or move.kind in free)
            and (moves_the_body(move) or move.key in brief.allowed_moves)
        )

    def of(self, *kinds: MoveKind) -> tuple[Move, ...]:
        """Return the moves of some kinds."""
        return tuple(move for move in self.moves if move.kind in kinds)

    def rate(self, forms: Sequence[MoveForm], tempo_bpm: float) -> list[Rated]:
        """Return the ratings of forms at a tempo, computed for all tempos at once if new.

        tempo_bpm: as played [beats/min].
        """
        tempo = round(tempo_bpm, 2)
        unknown = [form for form in forms if (id(form), tempo) not in self._known]
        new = {
            form.variation: form for form in unknown if (form.variation, tempo) not in self._rated
        }
        if new:
            tempos = self.tempos_bpm if tempo in self.tempos_bpm else [tempo]
            told = self.pool, self.brief.group
            lines = in_halves(lambda some: rate(some, tempos, *told), list(new.values()))
            for variation, line in zip(new, lines, strict=True):
                for one, figures in zip(tempos, line, strict=True):
                    self._rated[variation, one] = figures
        for form in unknown:
            figures = self._rated[form.variation, tempo]
            self._known[id(form), tempo] = self._judged(form, figures)  # which keeps the form
        return [self._known[id(form), tempo] for form in forms]

    def _judged(self, form: MoveForm, figures: Figures) -> Rated:
        """Return a form with the reason why it is left out, if it is."""
        free = form.move.kind in (MoveKind.HOLDING, MoveKind.STRETCH)
        if figures.barred:
            why = figures.barred
        elif free:
            why = self.limits.excludes(form) if form.move.kind is MoveKind.STRETCH else ""
        elif not figures.rated:
            why = "its range cannot be rated"
        elif figures.kept < self.brief.range_floor:
            why = (
                f"keeps {figures.kept:.0%} of its range, {self.brief.range_floor:.0%} is the floor"
            )
        elif figures.rpe > self.limits.max_rpe + _SLACK_RPE:
            why = f"RPE {figures.rpe:.0f}, {self.limits.max_rpe:g} is the most here"
        elif not steady(form):
            why = "its sides do not come out even"
        elif self._narrow and any(f is Factor.TRAVEL for f, _ in form.variation.changes):
            why = f"travelling needs {NARROW_M2:g} m2 each"
        elif self._unplaced(form):
            why = "it travels, and no space is named"
        elif not self._partnered(form):
            why = f"{form.partner} is not there to alternate with"
        else:
            why = self.limits.excludes(form, figures.impact)
        return Rated(form, figures, why)

    def start(self, move: Move, tempo_bpm: float, one_side: bool = False) -> Rated | None:
        """Return the form that a move starts with at a tempo, None where it has none.

        The move as it stands or, where it lands too hard so, grounded or at level II, and where
        it is too fast, in a slower tempo option: that is changed before the move, and the move
        before the song's speed. one_side: the leading side alone. tempo_bpm: as played
        [beats/min].
        """
        sides = ((Factor.SIDES, "one"),) if one_side and move.alternates else ()
        key = (f"{move.key}{'|' if sides else ''}", round(tempo_bpm, 2))
        if key not in self._starts:
            self._starts[key] = self._found_start(move, tempo_bpm, sides)
        return self._starts[key]

    def _found_start(
        self, move: Move, tempo_bpm: float, sides: tuple[tuple[Factor, str], ...]
    ) -> Rated | None:
        if sides and not self.legal(move, sides[0]):
            return None
        # A jump that stays on the floor is another move than the one that is called.
        gentler = () if big_hop(move) else _GENTLER
        cases = [sides, *((*sides, one) for one in gentler), *((*sides, one) for one in _SLOWER)]
        cases += [(*sides, level, tempo) for level in gentler for tempo in _SLOWER]
        for changes in cases:
            if not all(self.legal(move, change) for change in changes):
                continue
            (rated,) = self.rate([self.form(move, changes)], tempo_bpm)
            if rated.allowed:
                return rated
        return None

    def starts(self, moves: Sequence[Move], tempo_bpm: float) -> dict[str, Rated]:
        """Return the form that each move starts with at a tempo, where it has one.

        tempo_bpm: as played [beats/min].
        """
        self.rate([self.form(move) for move in moves], tempo_bpm)  # all at once
        found = ((move.key, self.start(move, tempo_bpm)) for move in moves)
        return {key: rated for key, rated in found if rated is not None}

    def named_starts(
        self, starts: Mapping[str, Rated], keys: Iterable[str], tempo_bpm: float
    ) -> dict[str, Rated]:
        """Return start forms of moves that are asked for by name, also of kinds unusual here.

        starts: those that are known; keys: of the moves; tempo_bpm: as played [beats/min].
        """
        found = {}
        for key in sorted(keys):
            rated = starts.get(key) or self.start(self.source.move(key), tempo_bpm)
            if rated is not None:
                found[key] = rated
        return found

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

    def forms_of(
        self,
        move: Move,
        tempo_bpm: float,
        start: MoveForm,
        fits: Callable[[tuple[Factor, str]], bool] | None = None,
    ) -> list[Rated]:
        """Return the start form and all single changes of it that suit the group.

        move: the base move; tempo_bpm: as played [beats/min]; fits: which changes to rate at
        all, None for every one.
        """
        forms = singles(self, move, start, fits)
        return [rated for rated in self.rate(forms, tempo_bpm) if rated.allowed]

    def strong(self, start: MoveForm, tempo_bpm: float, driven: bool = False) -> list[Rated]:
        """Return forms with two factors more than the start that make a move much harder.

        tempo_bpm: as played [beats/min]; driven: also three, for those who work and know them.
        """
        forms = strongest(self, start, driven)
        return [rated for rated in self.rate(forms, tempo_bpm) if rated.allowed]

    def layered(self, start: MoveForm, singles: Sequence[Rated], tempo_bpm: float) -> list[Rated]:
        """Return forms with two factors more than the start, each of them allowed alone.

        singles: forms that change one thing; tempo_bpm: as played [beats/min].
        """
        base = start.variation.changes
        taken = {factor for factor, _ in base}
        alone = [
            more[0]
            for one in singles
            if len(more := [c for c in one.form.variation.changes if c not in base]) == 1
            and more[0][0] not in taken
        ]
        forms = [
            self.form(start.move, (*base, first, second))
            for first in alone
            for second in alone
            if (first[0], second[0]) in LAYERS
        ]
        return [rated for rated in self.rate(forms, tempo_bpm) if rated.allowed]

    def reach(self, start: Rated, tempo_bpm: float) -> tuple[float, float]:
        """Return the least and the most effort that forms of a move come to [Borg].

        Told from a few forms that go far: large, with raised arms and open hands, at land tempo,
        and small. start: the form that its move starts with;
        tempo_bpm: as played [beats/min].
        """
        key = (start.form.variation, round(tempo_bpm, 2))
        if key not in self._reaches:
            base = start.form.variation.changes
            taken = {factor for factor, _ in base}
            move = self.source.move(start.form.move.key)
            most = _AT_A_TIME.get(self.limits.experience, 1)
            forms = {
                changes: self.form(move, (*base, *changes))
                for changes in PROBES
                if len(changes) <= most
                and all(c[0] not in taken and self.legal(move, c) for c in changes)
            }
            far = [form for changes, form in forms.items() if len(changes) in (1, most)]
            rated = self.rate([start.form, *far], tempo_bpm)
            if not all(one.allowed for one in rated):
                rated = self.rate([start.form, *forms.values()], tempo_bpm)
            efforts = [one.rpe for one in rated if one.allowed]
            low, high = min(efforts, default=start.rpe), max(efforts, default=start.rpe)
            self._reaches[key] = (min(low, start.rpe), max(high, start.rpe))
        return self._reaches[key]

    @property
    def _narrow(self) -> bool:
        """Whether people stand too close to be sent about the pool."""
        return self.pool.space_m2 is not None and self.pool.space_m2 < NARROW_M2

    def _unplaced(self, form: MoveForm) -> bool:
        """Return whether a form goes about a pool whose room is not told, and was not asked for."""
        brief = self.brief
        asked = form.move.key in (*brief.wanted_moves, *brief.allowed_moves)
        if self.pool.space_m2 is not None or asked or "travel" in brief.themes:
            return False
        return sent_away(form)

    def _partnered(self, form: MoveForm) -> bool:
        """Return whether the brief leaves the move that a form is combined with."""
        return not form.partner or any(move.key == form.partner for move in self.moves)

    def knows(self, form: MoveForm, tempo_bpm: float) -> bool:
        """Return whether a form is rated already.

        tempo_bpm: as played [beats/min].
        """
        return (form.variation, round(tempo_bpm, 2)) in self._rated

    def legal(self, move: Move, change: tuple[Factor, str]) -> bool:
        """Return whether a move can take a change; change: a factor with its option."""
        if move.key not in self._options:
            self._options[move.key] = changes_of(move, self.brief.depth, self.source)
        return change in self._options[move.key]


def firm(rated: Rated) -> bool:
    """Return whether nine of ten land in a form with medium impact or more."""
    return BANDS.index(rated.figures.impact) >= BANDS.index(ImpactBand.MEDIUM)


def hops(form: MoveForm) -> bool:
    """Return whether the body is thrown up anywhere in a form: it lands with impact."""
    flies = any(movement.flight_m > 0 for movement in form.movements)
    return flies and form.level is not ImpactLevel.III


def jumps(rated: Rated) -> bool:
    """Return whether a form is a big jump: high impact, or thrown up by 8 cm or more."""
    flight = max((movement.flight_m for movement in rated.form.movements), default=0.0)
    grounded = rated.form.level is ImpactLevel.III
    return not grounded and (rated.figures.impact is ImpactBand.HIGH or flight >= BIG_HOP_M - 1e-6)


def usual_kinds(part: PartName) -> tuple[MoveKind, ...]:
    """Return the kinds of moves that a part is made of."""
    if part is PartName.STRETCH:
        return (MoveKind.STRETCH,)
    if part is PartName.COOL_DOWN:
        return (MoveKind.BASE, MoveKind.DEEP_ONLY, MoveKind.ARMS_ONLY)
    return (MoveKind.BASE, MoveKind.DEEP_ONLY)
