"""What it costs that a move comes back in a song: as it was, plainer, or otherwise.

Weights are common practice and judgement, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from aquatempo.class_shape.parts import GENTLE_PARTS
from aquatempo.planning.moves.keeping import finals, loses, same_section, taught
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.lessons import is_new
from aquatempo.planning.moves.menus import Taste
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.rounds import to_and_fro
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.solver.choosing import Link
from aquatempo.planning.songs.sections import Role
from aquatempo.records.brief import Experience
from aquatempo.records.plan import BuildWay, PartName
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["FOR_NOTHING", "GIVEN_UP", "ROUNDS", "VARYING", "returns"]

VARYING = (Experience.REGULAR, Experience.TRAINED)  # they know their way about
ROUNDS = (BuildWay.BLOCK, BuildWay.LAYER, BuildWay.ADD_ON)
_AS_IT_WAS, _PLAINER = 8, 20  # a round brings nothing new, or less than there was
_PLAINER_VERSE = 14
_SAME_AGAIN = 12  # a verse comes back just as it was, for those who know their way about
# Layers and rows gather: a return has what it had, and more.
_EXCHANGED, _EXCHANGED_VERSE = 20, 12
_GATHERING = (BuildWay.LAYER, BuildWay.ADD_ON)
_RISES = 12  # for each point by which a move of the cool-down comes back harder
_RETURNING = (*ROUNDS, BuildWay.PYRAMID)
# While a section lasts, what is on stays or goes on to more: what is given up, or exchanged, is
# given up where the song turns. It costs two windows of a muscle that works on (see windows.py).
GIVEN_UP = 120
FOR_NOTHING = 14  # a new form in one phrase with which its move ends: it is taught for nothing


def returns(
    slots: Sequence[MoveSlot],
    rows: Mapping[int, int],
    starts: Mapping[int, Rated],
    domains: Mapping[int, Sequence[Rated]],
    taste: Taste,
    ledger: Ledger,
) -> list[Link]:
    """Return what it costs that a move comes back as it was, or plainer than it was.

    In a few counts of a row nothing new is met: there it is what it was, or what is learned. A
    warm-up and a cool-down are verses and choruses, whatever the way of building of the class.
    slots: of the song; rows: of each tie; starts: the start form of each place; domains: the forms
    that each tie may take; taste: what the part and the group ask; ledger: what the class has done
    so far.
    """
    if taste.part is PartName.STRETCH:
        return []
    cools = taste.part is PartName.COOL_DOWN
    way = BuildWay.LINEAR if taste.part in GENTLE_PARTS else taste.way
    rounds = way in (BuildWay.BLOCK, BuildWay.ADD_ON)
    plainer = 0 if cools else _PLAINER if way in _RETURNING else _PLAINER_VERSE
    exchanged = 0 if cools else _EXCHANGED if way in _GATHERING else _EXCHANGED_VERSE
    builds = taste.part is PartName.MAIN and taste.experience in VARYING
    ending = finals(slots)
    last: dict[int, tuple[int, MoveSlot]] = {}
    visits: dict[int, list[int]] = {}
    links = []
    for index, slot in enumerate(slots):
        where, before = last.get(slot.place, (index, slot))
        mine = visits.setdefault(slot.place, [])
        if slot.tie not in mine:
            mine.append(slot.tie)
            if rounds and len(mine) > 2 and len(domains[slot.tie]) > 1:
                earlier, tie = mine[-3], slot.tie
                links.append(to_and_fro(rows[earlier], rows[tie], domains[earlier], domains[tie]))
        last[slot.place] = index, slot
        if before.tie == slot.tie or len(domains[slot.tie]) == 1:
            continue
        inside = where < index - 1 and same_section(before, slot)
        away = slot.role is Role.VERSE and where < index - 1
        if way not in _RETURNING and not away and not inside and not cools:
            continue  # it has not been away
        stays = _AS_IT_WAS * rounds + _SAME_AGAIN * (builds and away and way not in _RETURNING)
        short = slot.counts < 2 * COUNTS_PER_EIGHT
        costs = {}
        for i, first in enumerate(domains[before.tie]):
            for j, second in enumerate(domains[slot.tie]):
                as_it_was = first.form == second.form
                if short and not as_it_was and is_new(second, ledger):
                    continue
                less = len(second.form.variation.changes) < len(first.form.variation.changes)
                given_up = loses(first.form, second.form, starts[slot.place].form)
                price = plainer if less else exchanged * given_up
                price = GIVEN_UP if inside and given_up else price
                if cools:
                    price += round(_RISES * max(0.0, second.rpe - first.rpe))
                if away and slot.tie in ending and not as_it_was:
                    price += FOR_NOTHING * taught(second, starts[slot.place], ledger)
                costs[i, j] = stays if as_it_was else price
        links.append(Link(rows[before.tie], rows[slot.tie], costs))
    return links
