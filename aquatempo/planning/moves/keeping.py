"""What is done to a move in a section and in the next: what comes, stays, or is given up.

Pure comparisons of forms and slots; what they cost is told in factors.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.lessons import is_new
from aquatempo.planning.moves.menus import Taste, changes_beyond
from aquatempo.planning.moves.offers import EASIER
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.records.moves import Factor, MoveForm
from aquatempo.records.plan import PartName

__all__ = ["at_once", "finals", "loses", "same_section", "taught"]

_EASED = {*EASIER, (Factor.LEVEL, "grounded"), (Factor.LEVEL, "II")}  # less than the plain move


def finals(slots: Sequence[MoveSlot]) -> set[int]:
    """Return the ties of one slot with which their place ends.

    slots: of the song.
    """
    times = Counter(slot.tie for slot in slots)
    last = {slot.place: slot.tie for slot in slots}
    return {tie for tie in last.values() if times[tie] == 1}


def taught(rated: Rated, start: Rated, ledger: Ledger) -> bool:
    """Return whether a form is other than the start form, and not learned by then.

    rated: the form; start: the form that its move starts with; ledger: what the class has done
    so far.
    """
    same = rated.form.move.key == start.form.move.key
    return same and rated.form != start.form and is_new(rated, ledger)


def at_once(rated: Rated, start: Rated, taste: Taste, ledger: Ledger) -> int:
    """Return how many things a form of a warm-up brings at once, to what the move had by then.

    Those who work hard know how to put together what they have met with other moves. rated: the
    form; start: the form that its move starts with; taste: what the part and the group ask;
    ledger: what the class has done so far.
    """
    if taste.part is not PartName.WARM_UP:
        return 0
    more = {
        (factor.value, key) for factor, key in changes_beyond(rated, start.form.variation.changes)
    }
    had = [set(changes) for changes in ledger.learned(rated.form.move.key)]
    fewest = min((more - one for one in [set[tuple[str, str]](), *had]), key=len)
    if taste.vigorous:
        fewest = {one for one in fewest if one not in {option[1:] for option in ledger.options}}
    return len(fewest)


def same_section(before: MoveSlot, after: MoveSlot) -> bool:
    """Return whether two slots of one move are in one return of their section.

    before, after: in their order.
    """
    return before.role is after.role and before.turn == after.turn and not after.bridge


def loses(before: MoveForm, after: MoveForm, start: MoveForm) -> bool:
    """Return whether something done to a move beyond its start form is given up, or made easier.

    before, after: forms of it, in their order; start: the form that it starts with.
    """
    was, comes, begun = (set(form.variation.changes) for form in (before, after, start))
    return bool(was - begun - _EASED - comes) or bool((comes - was - begun) & _EASED)
