"""What can be left out by a word: levels, factors, moves and joint actions, as data says.

The words are data, ``data/bans.toml``; beside them a level ("power"), a factor ("turn") or
one option of a factor ("turn=half") may be named as the catalogue has it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from aquatempo.class_shape.tables import packaged
from aquatempo.errors import UnknownNameError
from aquatempo.moves.rules import axis_of
from aquatempo.records.moves import Factor, Lever, MoveForm, MoveKind

__all__ = ["Ban", "ban_named", "bans", "steps_under"]


@dataclass(frozen=True, slots=True)
class Ban:
    """One thing that can be left out; a form is excluded where any of its lines holds.

    over_deg, under_deg: an angle of the joint's axis that is passed [degrees].
    flight_m_over [m]. counts_under: a movement in fewer counts than these.
    """

    key: str
    words: tuple[str, ...] = ()
    levels: tuple[str, ...] = ()
    moves: tuple[str, ...] = ()
    factors: tuple[str, ...] = ()
    joint: str = ""
    over_deg: float | None = None
    under_deg: float | None = None
    straight: bool = False
    flight_m_over: float | None = None
    counts_under: int = 0
    air: bool = False
    equipment: bool = False

    def excludes(self, form: MoveForm) -> bool:
        """Return whether a form is left out by it; a stretch only by its joint or its name."""
        return _excludes(self, form)


@cache
def bans() -> dict[str, Ban]:
    """Return every documented ban by its key."""
    found = {}
    for key, row in packaged("bans")["bans"].items():
        values: dict[str, Any] = {
            name: tuple(value) if isinstance(value, list) else value for name, value in row.items()
        }
        found[key] = Ban(key=key, **values)
    return found


def ban_named(text: str) -> Ban:
    """Return the ban that a text names; raise UnknownNameError with the nearest.

    >>> ban_named("overhead arms").air, ban_named("turn=half").factors
    (True, ('turn=half',))
    """
    said = " ".join(text.strip().lower().removeprefix("no ").split())
    known = bans()
    for key, ban in known.items():
        if said == key.lower() or said in (word.lower() for word in ban.words):
            return ban
    factor, equals, option = said.partition("=")
    name = factor.strip().replace("_", " ")
    if name in (str(one) for one in Factor):
        own = f"{name}={option.strip()}" if equals else name
        return Ban(own, factors=(own,))
    words = [word for ban in known.values() for word in ban.words]
    raise UnknownNameError("ban", text, [*known, *words])


def steps_under(form: MoveForm, counts: int) -> bool:
    """Return whether a movement of a form gets fewer counts than these."""
    steps = form.pattern.steps if form.pattern is not None else ()
    return any(step.moving_counts < counts for step in steps)


@lru_cache(maxsize=65536)
def _excludes(ban: Ban, form: MoveForm) -> bool:
    move = form.move
    if move.key in ban.moves or (form.partner in ban.moves and bool(form.partner)):
        return True
    if ban.joint and _passes(ban, form):
        return True
    if move.kind is MoveKind.STRETCH:
        return False
    changes = {(factor.value, key) for factor, key in form.variation.changes}
    for named in ban.factors:
        factor, equals, option = named.partition("=")
        if any(f == factor and (not equals or key == option) for f, key in changes):
            return True
    if "travel" in ban.factors and form.travel.value != "in place":
        return True
    if form.level.value in ban.levels:
        return True
    if ban.flight_m_over is not None:
        flights = (movement.flight_m for movement in form.movements)
        if max(flights, default=0.0) > ban.flight_m_over:
            return True
    if ban.counts_under and steps_under(form, ban.counts_under):
        return True
    if ban.air and not form.arms_in_water:
        return True
    return ban.equipment and (form.equipment_area_m2 > 0 or form.equipment_buoyancy_n > 0)


def _passes(ban: Ban, form: MoveForm) -> bool:
    if ban.straight and form.move.lever is not Lever.LONG:
        return False
    for movement in form.movements:
        for swing in movement.swings:
            if axis_of(swing) != ban.joint:
                continue
            low, high = sorted((swing.start_deg, swing.end_deg))
            if ban.over_deg is not None and (high > ban.over_deg or low < -ban.over_deg < 0):
                return True
            if ban.over_deg == 0 and (high > 0 or low < 0):
                return True
            if ban.under_deg is not None and low < ban.under_deg:
                return True
    return False
