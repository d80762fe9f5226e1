"""A song's slices in the order in which they are played: what the two puzzles work on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from aquatempo.planning.moves.structure import Design, Slice
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import MoveForm, MoveKind
from aquatempo.records.plan import Block
from aquatempo.records.rhythm import EnergyLevel
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["Fixed", "Kept", "MoveSlot", "parted", "slots_of"]


@dataclass(frozen=True)
class Kept:
    """A block that stays as it is, with the form that the catalogue makes of it."""

    block: Block
    form: MoveForm


@dataclass(frozen=True)
class Fixed:
    """Some counts of a form that is settled; which side leads is not."""

    counts: int
    form: MoveForm


@dataclass(frozen=True)
class MoveSlot:
    """Some counts of one place. phrase: index in the track; offset: counts from its count 1.

    wanted: effort [Borg]; bridge: counts of what lies before it that carries no move; seconds:
    how long it lasts [s]. tail: counts that a holding move takes over after it, to the end;
    lead_in: counts before it that begin the song with its move. energy: how loud its phrase is.
    only: kinds of moves that may fill it, empty for the part's usual ones. kept: the block
    that it is, whatever else would be better; fixed: the form that it is.
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
    lead_in: int = 0
    only: tuple[MoveKind, ...] = ()
    kept: Kept | None = None
    fixed: MoveForm | None = None
    energy: EnergyLevel = EnergyLevel.MEDIUM


def parted(slots: Sequence[MoveSlot]) -> set[tuple[int, int, int]]:
    """Return (place, next place, bridge) wherever a move goes on from less than a whole phrase.

    There no eight may be given to a holding move. slots: of the song, in order.
    """
    return {
        (one.place, other.place, other.bridge)
        for one, other in pairwise(slots)
        if one.counts != COUNTS_PER_PHRASE or one.pyramid
    }


def slots_of(
    design: Design,
    phrases: Sequence[int],
    wanted: Sequence[float],
    bridges: Sequence[int],
    beat_s: float,
    tail: int = 0,
    resting: frozenset[int] = frozenset(),
    kept: Mapping[int, Sequence[Kept | Fixed | int]] | None = None,
) -> list[MoveSlot]:
    """Return the slots of a song. phrases: indexes in the track of the design's rows.

    wanted: effort of each row [Borg]; bridges: counts before each; beat_s [s]; tail: counts
    after the last; resting: places in which the class rests. kept: of some phrases, the
    blocks that stay and the counts between them that are free.
    """
    found: list[MoveSlot] = []
    fresh = _Fresh(design)
    for row, slices in enumerate(design.slices):
        parts = (kept or {}).get(phrases[row])
        offset = 0
        for one, block in fresh.parted(slices, parts):
            found.append(
                MoveSlot(
                    phrase=phrases[row],
                    offset=offset,
                    counts=one.counts,
                    wanted=wanted[row],
                    bridge=0 if offset else bridges[row],
                    place=one.place,
                    tie=one.tie,
                    turn=one.turn,
                    role=design.roles[slices[0].place],
                    seconds=one.counts * beat_s,
                    pyramid=one.pyramid,
                    plain=one.plain,
                    only=(MoveKind.HOLDING,) if one.place in resting else (),
                    kept=block if isinstance(block, Kept) else None,
                    fixed=block.form if block is not None else None,
                )
            )
            offset += one.counts
    if found and tail:
        found[-1] = replace(found[-1], tail=tail)
    return found


class _Fresh:
    """Places and ties that no slice of a design has yet."""

    def __init__(self, design: Design) -> None:
        self.place = design.places
        self.tie = 1 + max((one.tie for row in design.slices for one in row), default=0)

    def parted(
        self, slices: Sequence[Slice], parts: Sequence[Kept | Fixed | int] | None
    ) -> list[tuple[Slice, Kept | Fixed | None]]:
        """Return the slices of a phrase, parted anew where blocks in it are kept."""
        if parts is None:
            return [(one, None) for one in slices]
        found: list[tuple[Slice, Kept | Fixed | None]] = []
        for part in parts:
            if isinstance(part, int):
                one = replace(slices[0], counts=part, tie=self.tie, pyramid=False)
                found.append((one, None))
            else:
                counts = part.counts if isinstance(part, Fixed) else part.block.counts
                one = Slice(counts, self.place, self.tie)
                found.append((one, part))
                self.place += 1
            self.tie += 1
        return found
