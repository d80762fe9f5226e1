"""What may follow what: from one form to the next, straight, over a hold, or set up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from aquatempo.class_shape.standards import CHANGE_COUNTS
from aquatempo.moves import transition
from aquatempo.planning.moves.palette import Palette
from aquatempo.records.brief import Experience
from aquatempo.records.moves import MoveForm, MoveKind, Transition
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["HOLD_COUNTS", "Passages", "passages_for"]

HOLD_COUNTS = 4  # into or out of a holding move, which has no shape to miss
_SET_UP = 150  # what an eight of a holding move between two moves costs a plan


@dataclass
class Passages:
    """Transitions between forms, remembered.

    holds: forms that may carry a bridge, best first. most: counts that a change may cost.
    """

    holds: Sequence[MoveForm]
    most: int = CHANGE_COUNTS[Experience.REGULAR]
    _known: dict[tuple[int, int], tuple[MoveForm, MoveForm, Transition]] = field(
        default_factory=dict
    )  # by identity, as hashing forms takes longer than reading; the forms are kept with it

    def between(self, before: MoveForm, after: MoveForm) -> Transition:
        """Return what going straight from one form to another costs.

        before: the form that was; after: the form that comes.
        """
        key = (id(before), id(after))
        if key not in self._known:
            self._known[key] = (before, after, transition(before, None, after, None))
        return self._known[key][2]

    def works(self, before: MoveForm, after: MoveForm) -> bool:
        """Return whether a class goes straight from one form to another.

        before: the form that was; after: the form that comes.
        """
        counts = self.between(before, after).counts
        if counts <= self.most or before.variation == after.variation:
            return True
        holding = MoveKind.HOLDING in (before.move.kind, after.move.kind)
        return holding and counts <= HOLD_COUNTS

    def hold(self, before: MoveForm | None, counts: int, after: MoveForm | None) -> MoveForm | None:
        """Return the best holding form between two forms, None where none works.

        before: the form that was; after: the form that comes.
        """
        for form in self.holds:
            into = 0 if before is None else self.between(before, form).counts
            out = after is None or self.works(form, after)
            if out and (into <= 2 or into <= min(HOLD_COUNTS, counts)):
                return form
        return None

    def cost(self, before: MoveForm, after: MoveForm, bridge: int, set_up: bool) -> int | None:
        """Return what a passage costs a plan, None where it does not work.

        bridge: counts of a stretch between the two, 0 for none. set_up: the last eight of the
        form before may be given to a holding move. after: the form that comes.
        """
        if bridge:
            return None if self.hold(before, bridge, after) is None else 0
        if self.works(before, after):
            return 2 * self.between(before, after).counts
        one_side = before.move.sided and not before.move.alternates
        if set_up and not one_side and self.hold(before, COUNTS_PER_EIGHT, after) is not None:
            return _SET_UP
        return None


def passages_for(palette: Palette) -> Passages:
    """Return the passages of a class: what its group takes without a move between."""
    return Passages(palette.holds, CHANGE_COUNTS[palette.limits.experience])
