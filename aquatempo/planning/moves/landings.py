"""How much of the main part lands firmly: steady classes change with soft work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil, floor

from aquatempo.class_shape.standards import FIRM_SHARES
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Rated, firm
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.solver.choosing import Sum
from aquatempo.records.plan import Brief, PartName
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["firm_share", "firm_sums", "note_landings"]

_IMPACT = 6  # an eight more, or less, at medium impact than the class should have (judgement)
_ANY = (0.0, 1.0)


def firm_share(part: PartName, brief: Brief) -> tuple[float, float]:
    """Return which share of a part is to land at medium impact, at least and at most.

    part: of the class; brief: how hard the class is to be.
    """
    return FIRM_SHARES[brief.group.intensity] if part is PartName.MAIN else _ANY


def note_landings(ledger: Ledger, slots: Sequence[MoveSlot], done: Sequence[Rated]) -> None:
    """Write down how much of a song of the main part landed firmly.

    ledger: what the class has done so far; slots: of the song; done: the form of each.
    """
    told = [(slot, one) for slot, one in zip(slots, done, strict=True) if not slot.pyramid]
    ledger.worked += sum(slot.counts for slot, _ in told)
    ledger.firm += sum(slot.counts for slot, one in told if firm(one))


def firm_sums(
    slots: Sequence[MoveSlot],
    domains: Mapping[int, Sequence[Rated]],
    rows: Mapping[int, int],
    shares: tuple[float, float],
    ledger: Ledger,
) -> list[Sum]:
    """Return what it costs that more or less of the main part lands firmly than it should.

    Pyramids stand on one leg while the other works, so they do not count.

    slots: of the song; domains: the options of each place; rows: of each place; shares: least and
    most of the main part at medium impact; ledger: what the class has done so far.
    """
    if shares == _ANY:
        return []
    eights: dict[int, int] = {}
    for slot in slots:
        if slot.pyramid:
            continue
        eights[slot.place] = eights.get(slot.place, 0) + slot.counts // COUNTS_PER_EIGHT
    amounts = {
        (rows[place], option): eights[place]
        for place in eights
        for option, rated in enumerate(domains[place])
        if firm(rated)
    }
    if not amounts:
        return []
    whole = ledger.worked // COUNTS_PER_EIGHT + sum(eights.values())
    low, high = floor(shares[0] * whole), ceil(shares[1] * whole)
    return [Sum(amounts, ledger.firm // COUNTS_PER_EIGHT, low, high, _IMPACT, _IMPACT)]
