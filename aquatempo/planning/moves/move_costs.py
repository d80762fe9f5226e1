"""What a base move at a place of a song costs: the wishes behind the second problem.

Every weight is common practice and judgement, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil

from aquatempo.moves.rules import rules
from aquatempo.planning.moves.landings import firm_sums
from aquatempo.planning.moves.ledger import Ledger, leaning
from aquatempo.planning.moves.palette import Rated, hops, jumps
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.repertoire import involved
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.moves.windows import HOP_COUNTS, STUCK, windows
from aquatempo.planning.solver.choosing import Sum
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import Lever, Move, MoveKind, Plane
from aquatempo.records.plan import Block, BuildWay
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = [
    "HOPS_IN_A_ROW",
    "Terms",
    "cost_at",
    "longest_row",
    "one_sided",
    "phrases_to_learn",
    "stuck_at",
    "sums_over",
]

MOVEMENTS_A_SIDE = 8
HOPS_IN_A_ROW = 400  # one kind of big jumps goes over into another
_FILLER = 60  # a holding move in the place of a base move, a phrase
_NEW, _NEW_BEYOND, _NEW_IN_CHORUS = 10, 14, 12
_NEW_IN_A_ROW = 24  # it stays plain to the end, as a row is too short to vary it in
_NEW_AT_FIRST = 1  # the warm-up is where base moves are met
_MET = 14  # the warm-up brings the moves of the class, one after the other
_OFF, _QUIET_OFF = 4.0, 6.0  # a phrase and point of effort that a move cannot reach
_OFF_MOST = 6.0  # points; further off is no worse
_QUIET_PLAIN_OFF = 2.0
_PLAIN_OFF = 1.5  # and one that it has to be varied for
# Coming back to a move is wanted (learn, correct, intensify) until it has had its share.
_SEEN, _SEEN_MOST, _MORE_THAN_SHARE = 2, 30, 1.3
_PLANE_SHARES = {Plane.SAGITTAL: 0.55, Plane.FRONTAL: 0.40}
_OTHER_PLANES = 0.2
_LEAN, _LEANING = 3, 3  # phrases that opposed muscles may be apart; each beyond that
_OFTEN_A_CHORUS, _CHORUSES = 8, 2  # a phrase, for each song beyond so many with this chorus
_RECENT = (5, 3)  # a phrase: it was in the song before, or in the one before that
# A song does not begin as the one before did, and has another chorus; in a warm-up, where each song
# is to bring moves of its own, the class would only hear that it goes on. A cool-down comes back to
# what the class knows.
_OPENS_AGAIN, _CHORUS_AGAIN, _LESSON_AGAIN, _KNOWN_AGAIN = 24, 18, 30, 8
_OFTEN_A_SONG, _SONG_SHARE, _FIRST_SONGS = 8, 0.6, 3  # a phrase, for each song beyond that share
_REBOUND = 7
_BOTH_LEGS = 6  # a phrase of a cool-down: legs go one by one, easily
_INVOLVED = 8  # for each easier move under it, a phrase
_OPENS = 12  # the first move of a class that is not done leg after leg, or has a long lever
_SIDES_MISSING, _SLOWED = 60, 3
_OTHER_MOVE = 40  # another move than the plan that is followed has, a phrase


@dataclass(frozen=True)
class Terms:
    """What holds for one song.

    new_moves: how many moves new to the class are welcome. gentle: no hops wanted;
    teaching: moves are met here, what is easy first. jumps_allowed: whether big jumps may
    come in its chorus, for hop_cost a phrase, hop_room phrases at most. reach: of a start
    form, the least and most effort of its forms [Borg]. share: phrases that a move should
    have had so far. extra: (place, move) -> cost on top, for a twin plan that follows
    another. firm: least and most share of the main part at medium impact. may_repeat: places
    next to each other may share a move (they are parted by rest).
    """

    way: BuildWay
    new_moves: int
    reach: Callable[[Rated], tuple[float, float]]
    gentle: bool = False
    teaching: bool = False
    jumps_allowed: bool = False
    hop_cost: int = 0
    hop_room: float = 0.0
    may_repeat: bool = False
    met_all: bool = False
    share: float = 6.0
    firm: tuple[float, float] = (0.0, 1.0)
    own: frozenset[str] = frozenset()
    follow: Mapping[tuple[int, int], Block] | None = None
    moves: Mapping[str, Move] = field(default_factory=dict)


def one_sided(move: Move) -> bool:
    """Return whether a move works the leading side only."""
    return move.sided and not move.alternates


def phrases_to_learn(rated: Rated) -> int:
    """Return how many phrases a new form needs for 8 movements a side."""
    form = rated.form
    pattern = form.pattern
    each = pattern.counts / len(pattern.steps) if pattern else 2.0
    a_side = COUNTS_PER_PHRASE / each
    if form.move.sided:
        a_side /= 2.0
    return max(1, ceil(MOVEMENTS_A_SIDE / a_side))


def cost_at(
    slots: Sequence[MoveSlot], place: int, rated: Rated, terms: Terms, ledger: Ledger
) -> int:
    """Return what a form at a place costs by itself.

    slots: of the song; rated: the form; terms: what holds for the song; ledger: what the class
    has done so far.
    """
    mine = [slot for slot in slots if slot.place == place]
    length = sum(slot.counts for slot in mine) / COUNTS_PER_PHRASE
    move = rated.form.move
    low, high = terms.reach(rated)
    off = _QUIET_OFF if terms.gentle else _OFF
    cost = 0.0
    for slot in mine:
        phrases = slot.counts / COUNTS_PER_PHRASE
        cost += off * phrases * min(_OFF_MOST, max(low - slot.wanted, slot.wanted - high, 0.0))
        plain = _QUIET_PLAIN_OFF if terms.gentle else _PLAIN_OFF
        cost += plain * phrases * min(_OFF_MOST, abs(rated.rpe - slot.wanted))
    if move.kind is MoveKind.HOLDING:
        return round(cost) + (0 if mine[0].only else _FILLER * len(mine))
    if move.key not in ledger.known:
        cost += _NEW_AT_FIRST if terms.teaching else _NEW
        cost += _NEW_IN_A_ROW if terms.way is BuildWay.ADD_ON and not terms.gentle else 0
        cost += _NEW_IN_CHORUS if mine[0].role is Role.CHORUS and not terms.teaching else 0
        if _in_a_row(slots, place) < phrases_to_learn(rated):
            cost += STUCK
    if terms.teaching and ledger.phrases[move.key] and not terms.met_all:
        cost += _MET
    # A cool-down comes back to what the class knows well.
    over = ledger.phrases[move.key] - terms.share * _MORE_THAN_SHARE
    cost += min(_SEEN_MOST, _SEEN * max(0.0, over)) if terms.teaching or not terms.gentle else 0
    cools = terms.gentle and not terms.teaching
    again = _LESSON_AGAIN if terms.teaching else _KNOWN_AGAIN if cools else _CHORUS_AGAIN
    cost += again * (mine[0].role is Role.CHORUS and move.key in ledger.chorus)
    again = _KNOWN_AGAIN if cools else _OPENS_AGAIN
    cost += again * (place == slots[0].place and move.key == ledger.opened)
    if not terms.gentle:
        cost += _OFTEN_A_SONG * length * _beyond_share(slots, move.key, terms, ledger)
        for songs, price in enumerate(_RECENT):
            cost += price * length if move.key in ledger.before(songs) else 0
        if mine[0].role is Role.CHORUS:
            often = min(3, max(0, 1 + ledger.choruses[move.key] - _CHORUSES))
            cost += _OFTEN_A_CHORUS * often * length
    if jumps(rated):
        fits = terms.jumps_allowed and all(slot.role is Role.CHORUS for slot in mine)
        fits = fits and sum(slot.counts for slot in mine) <= COUNTS_PER_PHRASE * terms.hop_room
        fits = fits and longest_row(slots, [slot.place == place for slot in slots]) <= HOP_COUNTS
        cost += terms.hop_cost * len(mine) if fits else STUCK
    if terms.gentle and hops(rated.form):
        cost += _REBOUND * len(mine)
    if terms.gentle and not terms.teaching and move.kind is MoveKind.BASE:
        cost += _BOTH_LEGS * length * (not move.alternates and not one_sided(move))
    if terms.teaching:
        opens = not ledger.phrases and place == slots[0].place  # the first move of the class
        weight = 3.0 if opens else 1.0 if not ledger.known else 0.5
        cost += _INVOLVED * max(0, involved(move, terms.moves) - 1) * weight
        if opens:  # leg after leg, short and easy to see
            cost += _OPENS * ((not move.alternates) + (move.lever is not Lever.SHORT))
    if any(factor.value == "tempo" for factor, _ in rated.form.variation.changes):
        cost += _SLOWED  # it has to be slowed down to fit
    pyramid = any(slot.pyramid for slot in mine)
    if pyramid and not one_sided(move):
        cost += _SIDES_MISSING * len(mine)
    if terms.follow:
        cost += sum(
            _OTHER_MOVE * slot.counts / COUNTS_PER_PHRASE
            for slot in mine
            if (block := terms.follow.get((slot.phrase, slot.offset))) and block.move != move.key
        )
    return round(cost)


def _beyond_share(slots: Sequence[MoveSlot], move: str, terms: Terms, ledger: Ledger) -> float:
    """Return in how many more songs than its share a move has been, this one with it.

    A class with few moves comes back to each more often.
    """
    if ledger.songs < _FIRST_SONGS:
        return 0.0
    places = len({slot.place for slot in slots})
    share = max(_SONG_SHARE, _MORE_THAN_SHARE * places / max(1, len(terms.own) or 8))
    return max(0.0, ledger.visits[move] + 1 - share * (ledger.songs + 1))


def longest_row(slots: Sequence[MoveSlot], mine: Sequence[bool]) -> int:
    """Return the most counts in a row, without a bridge between, of some slots of a song.

    slots: of the song; mine: whether each is one of them.
    """
    most = row = 0
    for slot, one in zip(slots, mine, strict=True):
        row = (0 if slot.bridge else row) + slot.counts if one else 0
        most = max(most, row)
    return most


def _in_a_row(slots: Sequence[MoveSlot], place: int) -> int:
    """Return how many whole phrases a place takes the first time it comes."""
    places = [slot.place for slot in slots]
    start = places.index(place)
    end = start
    while end < len(places) and places[end] == place and (end == start or not slots[end].bridge):
        end += 1
    whole = sum(slot.counts for slot in slots[start:end]) // COUNTS_PER_PHRASE
    return whole if slots[start].offset == 0 else 0


def stuck_at(slots: Sequence[MoveSlot], place: int, rated: Rated, passages: Passages) -> int:
    """Return how many stretches within or after a place no holding move can carry.

    slots: of the song; rated: the form; passages: what may follow what.
    """
    stuck = 0
    for index, slot in enumerate(slots):
        if slot.place != place:
            continue
        inside = index > 0 and slots[index - 1].place == place and slot.bridge
        stuck += bool(inside and passages.hold(rated.form, slot.bridge, rated.form) is None)
        stuck += bool(slot.tail and passages.hold(rated.form, slot.tail, None) is None)
    return stuck


Cells = list[tuple[int, int, Rated, float]]


def sums_over(
    slots: Sequence[MoveSlot],
    domains: Mapping[int, Sequence[Rated]],
    rows: Mapping[int, int],
    terms: Terms,
    ledger: Ledger,
) -> list[Sum]:
    """Return the wishes that count over the whole song: balance, new moves, changes in time.

    slots: of the song; domains: the options of each place; rows: the pieces of each phrase;
    terms: what holds for the song; ledger: what the class has done so far.
    """
    phrases = {
        place: sum(slot.counts for slot in slots if slot.place == place) / COUNTS_PER_PHRASE
        for place in rows
    }
    cells: Cells = [
        (rows[place], option, rated, phrases[place])
        for place in rows
        for option, rated in enumerate(domains[place])
        if rated.form.move.kind not in (MoveKind.HOLDING, MoveKind.STRETCH)
    ]
    done, whole = sum(ledger.planes.values()), round(sum(phrases.values()))
    sums = []
    for plane in Plane:
        share = _PLANE_SHARES.get(plane, _OTHER_PLANES)
        amounts = {(r, o): round(n) for r, o, m, n in cells if m.form.move.plane is plane}
        high = ceil(share * (done + whole)) + 1
        sums.append(Sum(amounts, ledger.planes[plane.value], 0, high, 0, 3))
    for first, second in rules().opposed_muscles:
        leans = {(r, o): round(n) * leaning(m.form.move, first, second) for r, o, m, n in cells}
        leans = {cell: amount for cell, amount in leans.items() if amount}
        sums.append(Sum(leans, ledger.leans[first], -_LEAN, _LEAN, _LEANING, _LEANING))
    new = {(r, o): 1 for r, o, m, _ in cells if m.form.move.key not in ledger.known}
    sums.append(Sum(new, 0, 0, terms.new_moves, 0, _NEW_BEYOND))
    sums += firm_sums(slots, domains, rows, terms.firm, ledger)
    return [*sums, *windows(slots, domains, rows, ledger.tail)]
