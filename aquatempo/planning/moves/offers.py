"""Which forms of a move there are to rate: one thing changed, or what makes it much harder."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache, partial
from itertools import islice
from typing import TYPE_CHECKING

from aquatempo.moves import Catalogue, lead_check, variations
from aquatempo.planning.moves.together import STRONG, STRONGEST
from aquatempo.records.brief import Experience
from aquatempo.records.moves import Factor, Move, MoveForm, MoveKind
from aquatempo.records.people import ClassDepth
from aquatempo.units import COUNTS_PER_PHRASE

if TYPE_CHECKING:
    from aquatempo.planning.moves.palette import Palette

__all__ = ["EASIER", "Ahead", "changes_of", "moves_the_body", "singles", "steady", "strongest"]

# What a pyramid of one side has no room for: another move, another level, a turn.
_NOT_ONE_SIDED = (Factor.COMBINATION, Factor.LEVEL, Factor.TURN)
# What makes a move easier; a class that is to work harder than with the plain move has none of it.
EASIER = ((Factor.RANGE, "small"), (Factor.ARMS, "still"), (Factor.HANDS, "fist"),
          (Factor.HANDS, "slice"), (Factor.TEMPO, "half"), (Factor.TEMPO, "bounce"),
          (Factor.TRAVEL, "in-place"), (Factor.ARM_SYMMETRY, "one"))  # fmt: skip
_WORKS_RPE, _HARD_RPE = 11.9, 13.5  # of the main part: moderate work, vigorous work
_AT_ONCE = 2  # forms rated while the solver searches: a fraction of a tenth of a second


@lru_cache(maxsize=1024)
def changes_of(move: Move, depth: ClassDepth, source: Catalogue) -> frozenset[tuple[Factor, str]]:
    """Return every single change that a move can take at a depth.

    source: the catalogue in force.
    """
    return frozenset(one.changes[0] for one in variations(move, depth, source, None))


def moves_the_body(move: Move) -> bool:
    """Return whether legs or trunk move in it: a hold is no base move unless asked for."""
    if move.kind not in (MoveKind.BASE, MoveKind.DEEP_ONLY):
        return True
    return any(m.swings or m.flight_m > 0 or m.sway_m > 0 for m in move.movements)


def steady(form: MoveForm) -> bool:
    """Return whether half a phrase of a form ends where it began, both sides served alike."""
    pattern = form.pattern
    if pattern is None or not pattern.fills_eights:
        return False
    check = lead_check(form.move, pattern, len(form.movements))
    even = check.lead_counts == check.other_counts
    return check.at_start and even and check.returns_after_counts <= COUNTS_PER_PHRASE // 2


def singles(
    palette: Palette,
    move: Move,
    start: MoveForm,
    fits: Callable[[tuple[Factor, str]], bool] | None = None,
) -> list[MoveForm]:
    """Return the start form and all single changes of it.

    palette: what the class may do; move: the base move; fits: which changes to give at all, None
    for every one.
    """
    base = start.variation.changes
    taken = {factor for factor, _ in base}
    one_side = Factor.SIDES in taken
    forms = [start]
    for one in variations(move, palette.brief.depth, palette.source):
        factor = one.changes[0][0]
        if one_side and factor in _NOT_ONE_SIDED:
            continue
        if fits is not None and not fits(one.changes[0]):
            continue
        if factor not in taken and factor is not Factor.SIDES:
            forms.append(palette.form(move, (*base, *one.changes)))
        elif factor is Factor.LEVEL and not one_side:
            rest = tuple(change for change in base if change[0] is not Factor.LEVEL)
            forms.append(palette.form(move, (*rest, *one.changes)))
    return list({form.variation: form for form in forms}.values())


def strongest(palette: Palette, start: MoveForm, driven: bool) -> list[MoveForm]:
    """Return forms with two factors more than the start that make a move much harder.

    palette: what the class may do; driven: also three, for those who work and know them.
    """
    move = palette.source.move(start.move.key)
    base = start.variation.changes
    taken = {factor for factor, _ in base}
    return [
        palette.form(move, (*base, *changes))
        for changes in (*STRONG, *(STRONGEST if driven else ()))
        if all(c[0] not in taken and palette.legal(move, c) for c in changes)
    ]


def _likely(works: bool, change: tuple[Factor, str]) -> bool:
    """Return whether a change is one that a song will be asked for, whatever it knows by then."""
    return change[0] is not Factor.COMBINATION and not (works and change in EASIER)


class Ahead:
    """Verdicts that will be asked for, made while the solver searches on the other core.

    Figures are the same whenever they are made: a plan does not depend on how far this came.
    """

    def __init__(self, palette: Palette, keys: Sequence[str], tempo_bpm: float) -> None:
        self._palette, self._keys, self._tempo_bpm = palette, keys, tempo_bpm
        self._forms = self._in_turn()

    def __call__(self) -> bool:
        """Rate a few forms; return whether there were any."""
        some = list(islice(self._forms, _AT_ONCE))
        self._palette.rate(some, self._tempo_bpm)
        return bool(some)

    def _in_turn(self) -> Iterator[MoveForm]:
        palette, tempo = self._palette, self._tempo_bpm
        limits = palette.limits
        works = limits.rpe[0] >= _WORKS_RPE
        driven = limits.rpe[0] >= _HARD_RPE and limits.experience is Experience.TRAINED
        for key in self._keys:
            start = palette.start(palette.source.move(key), tempo)
            if start is None:
                continue
            forms = singles(palette, palette.source.move(key), start.form, partial(_likely, works))
            forms += strongest(palette, start.form, driven) if driven else []
            yield from (form for form in forms if not palette.knows(form, tempo))
