"""What may follow what: from one form to the next, straight, over a hold, or set up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from aquatempo.moves import transition
from aquatempo.records.moves import MoveForm, MoveKind, Transition
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["HOLD_COUNTS", "Passages"]

HOLD_COUNTS = 4  # into or out of a holding move, which has no shape to miss
_SET_UP = 10  # what an eight of a holding move between two moves costs a plan


@dataclass
class Passages:
    """Transitions between forms, remembered. holds: forms that may carry a bridge, best first."""

    holds: Sequence[MoveForm]
    _known: dict[tuple[MoveForm, MoveForm], Transition] = field(default_factory=dict)

    def between(self, before: MoveForm, after: MoveForm) -> Transition:
        """Return what going straight from one form to another costs.

        before: the form done; after: the form to come.
        """
        if (before, after) not in self._known:
            self._known[before, after] = transition(before, None, after, None)
        return self._known[before, after]

    def works(self, before: MoveForm, after: MoveForm) -> bool:
        """Return whether a class goes straight from one form to another.

        before: the form done; after: the form to come.
        """
        change = self.between(before, after)
        holding = MoveKind.HOLDING in (before.move.kind, after.move.kind)
        return before == after or change.works or (holding and change.counts <= HOLD_COUNTS)

    def hold(self, before: MoveForm | None, counts: int, after: MoveForm | None) -> MoveForm | None:
        """Return the best holding form between two forms, None where none works.

        before: None at the start; counts: it lasts; after: None at the end.
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
        form before may be given to a holding move. after: the form to come.
        """
        if bridge:
            return None if self.hold(before, bridge, after) is None else 0
        if self.works(before, after):
            return 2 * self.between(before, after).counts
        one_side = before.move.sided and not before.move.alternates
        if set_up and not one_side and self.hold(before, COUNTS_PER_EIGHT, after) is not None:
            return _SET_UP
        return None
