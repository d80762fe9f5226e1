"""Which single factors can be changed in a move, and the ladder that they make."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from aquatempo.moves.catalogue import Catalogue, catalogue
from aquatempo.moves.forms import resolve
from aquatempo.moves.rules import axis_of, rules
from aquatempo.moves.tags import fits
from aquatempo.moves.transitions import transition
from aquatempo.records.moves import (
    Factor,
    FactorOption,
    ImpactLevel,
    LadderRung,
    Move,
    MoveForm,
    MoveKind,
    Variation,
)
from aquatempo.records.people import ClassDepth

__all__ = ["ladder", "variations", "why_not"]

MOST_PER_FACTOR = 6


def variations(
    move: Move,
    depth: ClassDepth = ClassDepth.SHALLOW,
    source: Catalogue | None = None,
    most_per_factor: int | None = MOST_PER_FACTOR,
) -> tuple[Variation, ...]:
    """Return every legal variation of a move that changes exactly one factor.

    Legal: the option fits the move, its level and depth allow it, every joint stays inside its
    norm, and what the move is combined with can be reached from it and left again.
    most_per_factor: the first so many packaged options of each factor in the order of the
    catalogue (None: all); the user's own always count as well. source: the catalogue in force
    (None: the packaged one).
    """
    return _variations(move, depth, source or catalogue(), most_per_factor)


def why_not(
    option: FactorOption,
    move: Move,
    depth: ClassDepth = ClassDepth.SHALLOW,
    source: Catalogue | None = None,
) -> str:
    """Return why a move cannot be varied by an option, "" if it can.

    depth: shallow or deep class; source: the catalogue in force (None: the packaged one).
    """
    own = source or catalogue()
    effect = dict(option.effect)
    smaller = option.factor is Factor.RANGE and float(effect["range_scale"]) < 1.0
    if move.kind is MoveKind.STRETCH and not smaller:
        return "a stretch is done as it stands, or smaller"
    out_of_water = not dict(own.option(Factor.ARMS, move.arms).effect).get("arms_in_water", True)
    if not fits(option, move, depth, out_of_water):
        return f"{option.name.lower()} does not fit {move.name.lower()}"
    if option.factor is Factor.LEVEL and (reason := _level_reason(option, move, depth)):
        return reason
    base = resolve(move, None, depth, own)
    if option.factor is Factor.TRAVEL and effect["travel"] == move.travel:
        return f"{move.name.lower()} travels so already"
    if effect.get("partner") and (reason := _partner_reason(option, base, depth, own)):
        return reason
    form = resolve(move, Variation(move.key, ((option.factor, option.key),)), depth, own)
    if _same(form, base):
        return f"{move.name} is done so already"
    for movement in form.movements:
        for swing in movement.swings:
            low, high = rules().norms_deg[axis_of(swing)]
            if min(swing.start_deg, swing.end_deg) < low or high < max(
                swing.start_deg, swing.end_deg
            ):
                return f"takes the {swing.joint} out of its norm ({low:g} to {high:g} degrees)"
    return ""


def ladder(
    move: Move, depth: ClassDepth = ClassDepth.SHALLOW, source: Catalogue | None = None
) -> tuple[LadderRung, ...]:
    """Return the move and its variations from easier to harder, as practice feels them.

    The base move stands on rung 0 with no changes. The order is common practice, no source;
    physics may order them anew by the effort of each form. depth: shallow or deep class.
    """
    own = source or catalogue()
    rungs = [LadderRung(0, Variation(move.key), resolve(move, None, depth, own), "the base move")]
    for variation in variations(move, depth, own):
        option = own.option(*variation.changes[0])
        form = resolve(move, variation, depth, own)
        rungs.append(LadderRung(option.rung, variation, form, option.physics))
    return tuple(sorted(rungs, key=lambda r: (r.rung, bool(r.variation.changes))))


@lru_cache(maxsize=1024)
def _variations(
    move: Move, depth: ClassDepth, own: Catalogue, most: int | None
) -> tuple[Variation, ...]:
    found: list[Variation] = []
    for factor in Factor:
        legal = [o.key for o in own.options_of(factor) if not why_not(o, move, depth, own)]
        packaged = [key for key in legal if (factor, key) not in own.own_options]
        beyond = () if most is None else packaged[most:]
        found += [Variation(move.key, ((factor, key),)) for key in legal if key not in beyond]
    return tuple(found)


def _level_reason(option: FactorOption, move: Move, depth: ClassDepth) -> str:
    if depth is ClassDepth.DEEP:
        return "in deep water every move is suspended"
    level = ImpactLevel(str(dict(option.effect)["level"]))
    return "" if level in move.levels else f"{move.name.lower()} has no {option.name.lower()}"


def _partner_reason(option: FactorOption, base: MoveForm, depth: ClassDepth, own: Catalogue) -> str:
    partner = own.move(str(dict(option.effect)["partner"]))
    if depth not in partner.depths:
        return f"{partner.name.lower()} is not done in {depth} water"
    if partner.key == base.move.key:
        return f"{partner.name.lower()} is the move itself"
    if depth is ClassDepth.SHALLOW and base.level not in partner.levels:
        return f"{partner.name.lower()} is not done at the level of {base.move.name.lower()}"
    # In a combination the partner takes over level, travel and arms.
    other = replace(
        resolve(partner, None, depth, own),
        level=base.level,
        travel=base.travel,
        arms_in_water=base.arms_in_water,
    )
    for first, second in ((base, other), (other, base)):
        cost = transition(first, None, second, None)
        if not cost.works:
            return f"from {first.move.name.lower()} to {second.move.name.lower()}: " + "; ".join(
                words for words, _ in cost.reasons
            )
    return ""


def _same(form: MoveForm, base: MoveForm) -> bool:
    """Return whether nothing that is computed or called differs between two forms."""
    fields = (
        *("movements", "level", "hands", "arms_in_water", "arms_same_way", "travel", "travel_m"),
        *("turn_deg", "range_scale", "pattern", "partner"),
    )
    return all(getattr(form, field) == getattr(base, field) for field in fields)
