"""A song's slices in the order in which they are played: what the two puzzles work on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from aquatempo.planning.moves.structure import Design
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import MoveKind

__all__ = ["Slot", "slots_of"]


@dataclass(frozen=True)
class Slot:
    """Some counts of one place. phrase: index in the track; offset: counts from its count 1.

    wanted: effort [Borg]; bridge: counts of what lies before it that carries no move; seconds:
    how long it lasts [s]. tail: counts that a holding move takes over after it, to the end.
    only: kinds of moves that may fill it, empty for the part's usual ones.
    """

    phrase: int
    offset: int
    counts: int
    wanted: float
    bridge: int
    place: int
    tie: int
    turn: int
    role: Role
    seconds: float
    pyramid: bool = False
    plain: bool = False
    tail: int = 0
    only: tuple[MoveKind, ...] = ()


def slots_of(
    design: Design,
    phrases: Sequence[int],
    wanted: Sequence[float],
    bridges: Sequence[int],
    beat_s: float,
    tail: int = 0,
    resting: frozenset[int] = frozenset(),
) -> list[Slot]:
    """Return the slots of a song. phrases: indexes in the track of the design's rows.

    wanted: effort of each row [Borg]; bridges: counts before each; beat_s [s]; tail: counts
    after the last; resting: places in which the class rests.
    """
    found: list[Slot] = []
    for row, slices in enumerate(design.slices):
        offset = 0
        for one in slices:
            found.append(
                Slot(
                    phrase=phrases[row],
                    offset=offset,
                    counts=one.counts,
                    wanted=wanted[row],
                    bridge=0 if offset else bridges[row],
                    place=one.place,
                    tie=one.tie,
                    turn=one.turn,
                    role=design.roles[one.place],
                    seconds=one.counts * beat_s,
                    pyramid=one.pyramid,
                    plain=one.plain,
                    only=(MoveKind.HOLDING,) if one.place in resting else (),
                )
            )
            offset += one.counts
    if found and tail:
        found[-1] = replace(found[-1], tail=tail)
    return found
