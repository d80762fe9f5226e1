"""Tags of a move: the words by which a factor option says which moves it fits."""

from __future__ import annotations

from aquatempo.records.moves import (
    Factor,
    FactorOption,
    Lever,
    Move,
    MoveForm,
    MoveKind,
    Plane,
    Travel,
)
from aquatempo.records.people import ClassDepth

__all__ = [
    "BIG_HOP_M",
    "KNOWN_TAGS",
    "big_hop",
    "fits",
    "sent_away",
    "tags",
]

BIG_HOP_M = 0.08  # from here on a flight takes more than a count of any class tempo

KNOWN_TAGS: frozenset[str] = frozenset(
    {
        *(plane.value for plane in Plane),
        *(f"{lever} lever" for lever in Lever),
        *(kind.value for kind in MoveKind),
        *("travels", "in place", "no hop", "hops", "big hop", "one side", "alternates"),
        *("arms still", "arms out of water", "deep water"),
    }
)


def big_hop(move: Move) -> bool:
    """Return whether the move throws the body up at least BIG_HOP_M.

    It is judged by the highest flight among its movements [m].
    """
    return max(movement.flight_m for movement in move.movements) >= BIG_HOP_M


def sent_away(form: MoveForm) -> bool:
    """Return whether a form goes about the pool: forward, back, or told to travel.

    A step to the side that the move has of itself comes back within the phrase, and needs no more
    room than people have anyway. form: of a move, resolved.
    """
    if form.travel in (Travel.FORWARD, Travel.BACK):
        return True
    told = any(factor is Factor.TRAVEL for factor, _ in form.variation.changes)
    return told and form.travel is not Travel.IN_PLACE


def tags(
    move: Move, depth: ClassDepth = ClassDepth.SHALLOW, arms_out_of_water: bool = False
) -> frozenset[str]:
    """Return the tags of a move in a class of some depth, its key among them.

    arms_out_of_water: whether its arm action leaves the water.
    """
    deep = depth is ClassDepth.DEEP  # where nothing can be pushed off from
    hops = not deep and any(movement.flight_m > 0 for movement in move.movements)
    told = {
        "hops": hops,
        "no hop": not hops,
        "big hop": not deep and big_hop(move),
        "travels": move.travel is not Travel.IN_PLACE,
        "in place": move.travel is Travel.IN_PLACE,
        "alternates": move.alternates,
        "one side": move.sided and not move.alternates,
        "arms still": move.arms == "still",
        "arms out of water": arms_out_of_water,
        "deep water": deep,
    }
    own = {move.key, move.plane.value, f"{move.lever} lever", move.kind.value}
    return frozenset(own | {tag for tag, holds in told.items() if holds})


def fits(
    option: FactorOption,
    move: Move,
    depth: ClassDepth = ClassDepth.SHALLOW,
    arms_out_of_water: bool = False,
) -> bool:
    """Return whether an option says of itself that it fits a move.

    depth: shallow or deep class; arms_out_of_water: whether the arm action of the move leaves
    the water.
    """
    own = tags(move, depth, arms_out_of_water)
    return (not option.fits or bool(own & set(option.fits))) and not own & set(option.unfit)
