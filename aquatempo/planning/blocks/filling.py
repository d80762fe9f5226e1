"""One track filled: runs, base moves, factors, then blocks; what it did goes to the ledger."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

from aquatempo.class_shape import GENTLE_PARTS, ClassPart
from aquatempo.planning.blocks.pieces import (
    Piece,
    one_sided,
    phrase_pieces,
    pyramid_pieces,
    tail_counts,
    with_holds,
)
from aquatempo.planning.moves.base_moves import choose_moves
from aquatempo.planning.moves.curves import wanted
from aquatempo.planning.moves.factors import Taste, Unit, choose_forms, menu
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.move_costs import STUCK, PhraseSlot, Terms, phrases_to_learn
from aquatempo.planning.moves.palette import Palette, Rated, usual_kinds
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.runs import places_of
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.song import usable
from aquatempo.records.moves import Factor, MoveForm, MoveKind
from aquatempo.records.plan import BuildWay, PartName, PlannedPhrase
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["Filled", "Music", "fill"]

_PASS_FACTORS = (Factor.ARMS, Factor.TRAVEL, Factor.HANDS, Factor.TEMPO, Factor.RANGE)
_NEW_MOVES = {BuildWay.BLOCK: 3, BuildWay.ADD_ON: 3, BuildWay.LAYER: 1}
_FIRST_NEW_MOVES = 4
_MOVES_OF_A_CLASS = 12  # about so many a group remembers (common practice, no source)


@dataclass(frozen=True)
class Music:
    """Music to fill. shares: where each phrase lies in its part, 0 to 1.

    tempo_bpm: as played [beats/min]. places: which of its whole phrases share a move,
    empty for what the way of building says; resting: the places that are rest. likings:
    (place, move) -> what it costs on top, for a plan that follows another.
    """

    phrases: Sequence[PlannedPhrase]
    shares: Sequence[float]
    tempo_bpm: float
    part: ClassPart
    places: tuple[int, ...] = ()
    resting: frozenset[int] = frozenset()
    likings: Mapping[tuple[int, str], int] | None = None

    @property
    def whole(self) -> list[int]:
        """Indexes of the phrases that carry moves."""
        return [index for index, phrase in enumerate(self.phrases) if usable(phrase)]


@dataclass(frozen=True)
class Filled:
    """Pieces of every phrase and how sure the search was; None: no choice kept the rules."""

    rows: list[list[Piece]]
    solved: tuple[Solved, ...]


def fill(
    music: Music, palette: Palette, ledger: Ledger, effort: Effort, hop_cost: int = 0
) -> Filled | None:
    """Return the pieces of some music and note in the ledger what they teach.

    palette: the rated moves that the brief leaves; effort: how hard to search, and the seed;
    hop_cost: of a phrase of jumping.
    """
    name, tempo = music.part.name, music.tempo_bpm
    passages = Passages(palette.holds)
    starts = palette.starts(palette.of(*usual_kinds(name), MoveKind.HOLDING), tempo)
    plain = palette.of(MoveKind.BASE, MoveKind.DEEP_ONLY, MoveKind.HOLDING)
    mets = sorted(rated.met for rated in palette.starts(plain, tempo).values())
    found = None
    # Holding moves fill in only where no base move keeps the rules, the way of building
    # gives way only where even that does not help.
    for way, filling in product(dict.fromkeys((music.part.build, BuildWay.LINEAR)), (False, True)):
        slots = _slots(music, way)
        domains = {
            slot.place: _domain(slot, slots, list(starts.values()), filling) for slot in slots
        }
        terms = Terms(
            way,
            mets,
            new_moves=_new_moves(way, ledger, name),
            gentle=name in GENTLE_PARTS,
            rising=(name is PartName.WARM_UP) - (name is PartName.COOL_DOWN),
            simple=name is PartName.WARM_UP,
            moves=palette.source.moves,
            pyramid_sides=way is BuildWay.PYRAMID,
            extra=music.likings,
            hop_cost=hop_cost,
        )
        chosen = choose_moves(slots, domains, terms, ledger, passages, effort)
        if chosen is not None:
            found = (way, slots, *chosen)
            if chosen[1].cost < STUCK:
                break
    if found is None:
        return None
    way, slots, moves, first = found
    taste = Taste(name, way, mets)
    halves, second = _choose_halves(music, slots, moves, taste, palette, ledger, passages, effort)
    filled = _phrases(slots, halves, moves, way, passages)
    for slot in slots:
        ledger.add_phrase(moves[slot.place].form.move)
    ledger.recent = frozenset(rated.form.move.key for rated in moves.values())
    for form in dict.fromkeys(form for row in halves for form in row):
        ledger.add_form(form)
    return Filled(with_holds(music.phrases, filled, passages), (first, second))


def _new_moves(way: BuildWay, ledger: Ledger, part: PartName) -> int:
    """Return how many new moves a track may bring: few moves, much made of them."""
    if not ledger.known:
        return _FIRST_NEW_MOVES
    if len(ledger.known) >= _MOVES_OF_A_CLASS and part is not PartName.COOL_DOWN:
        return 0
    return _NEW_MOVES.get(way, 2)


def _slots(music: Music, way: BuildWay) -> list[PhraseSlot]:
    whole = music.whole
    energies = [music.phrases[index].energy_level for index in whole]
    places = music.places or places_of(way, energies)
    slots = []
    for turn, (index, place) in enumerate(zip(whole, places, strict=True)):
        phrase = music.phrases[index]
        last = whole[turn - 1] if turn else index - 1
        between = music.phrases[last + 1 : index] if turn else ()
        resting = place in music.resting
        slots.append(
            PhraseSlot(
                phrase=index,
                counts=phrase.counts,
                wanted=0.0
                if resting
                else wanted(music.part.name, music.shares[index], phrase.energy_level),
                bridge=sum(one.counts for one in between),
                place=place,
                only=(MoveKind.HOLDING,) if resting else (),
                tail=tail_counts(music.phrases[index + 1 :]) if index == whole[-1] else 0,
            )
        )
    return slots


def _domain(
    slot: PhraseSlot, slots: Sequence[PhraseSlot], starts: list[Rated], filling: bool
) -> list[Rated]:
    """Return what a place may carry: one-sided moves only where phrases halve."""
    if slot.only:
        return [rated for rated in starts if rated.form.move.kind in slot.only]
    if not filling:
        starts = [rated for rated in starts if rated.form.move.kind is not MoveKind.HOLDING]
    mine = [one for one in slots if one.place == slot.place]
    halves = all(one.counts == COUNTS_PER_PHRASE for one in mine)
    return [rated for rated in starts if halves or not one_sided(rated.form)]


def _choose_halves(
    music: Music,
    slots: Sequence[PhraseSlot],
    moves: Mapping[int, Rated],
    taste: Taste,
    palette: Palette,
    ledger: Ledger,
    passages: Passages,
    effort: Effort,
) -> tuple[list[list[MoveForm]], Solved]:
    """Return the forms of each slot's halves; the start forms where no change is possible."""
    units: list[Unit] = []
    domains: list[list[Rated]] = []
    menus: dict[int, list[Rated]] = {}
    known, run, learnt, passes = set(ledger.known), -1, 0, dict[int, int]()
    for index, slot in enumerate(slots):
        start = moves[slot.place]
        if index == 0 or slots[index - 1].place != slot.place:
            run += 1
            learnt = 0
            passes[slot.place] = passes.get(slot.place, -1) + 1
        if slot.place not in menus:
            menus[slot.place] = menu(palette, start, music.tempo_bpm, ledger, taste)
        learning = start.form.move.key not in known and learnt < phrases_to_learn(start)
        learnt += 1
        followed = index + 1 < len(slots) and slots[index + 1].place == slot.place
        if not followed and passes[slot.place] == 0:
            known.add(start.form.move.key)
        domain = [start] if learning or slot.only else menus[slot.place]
        again = taste.way is BuildWay.BLOCK and passes[slot.place] > 0
        if again:
            factor = _PASS_FACTORS[(passes[slot.place] - 1) % len(_PASS_FACTORS)]
            domain = [r for r in domain if r is start or factor in dict(r.form.variation.changes)]
        elif taste.way is BuildWay.PYRAMID and pyramid_pieces(start.form):
            domain = [start]
        parts = 2 if slot.counts == COUNTS_PER_PHRASE and not again else 1
        for part in range(parts):
            units.append(
                Unit(
                    slot=index,
                    counts=slot.counts // parts,
                    run=run,
                    opens=part == 0,
                    bridge=slot.bridge if part == 0 else 0,
                    wanted=slot.wanted,
                    vary=again,
                    spare=not learning,
                    begins=learnt == 1 and part == 0,
                )
            )
            domains.append(domain)
    domains[-1] = _ending(music, domains[-1], passages)
    result = choose_forms(units, domains, taste, ledger, passages, effort)
    if result is None:
        chosen = [moves[slots[unit.slot].place] for unit in units]
        solved = Solved(1.0, 0.0, False)
    else:
        chosen, solved = result
    halves: list[list[MoveForm]] = [[] for _ in slots]
    for unit, rated in zip(units, chosen, strict=True):
        halves[unit.slot].append(rated.form)
    return halves, solved


def _ending(music: Music, domain: list[Rated], passages: Passages) -> list[Rated]:
    """Return the forms that a song's last counts can take over from."""
    left = tail_counts(music.phrases[music.whole[-1] + 1 :])
    if not left:
        return domain
    fitting = [rated for rated in domain if passages.hold(rated.form, left, None) is not None]
    return fitting or domain


def _phrases(
    slots: Sequence[PhraseSlot],
    halves: Sequence[Sequence[MoveForm]],
    moves: Mapping[int, Rated],
    way: BuildWay,
    passages: Passages,
) -> dict[int, list[Piece]]:
    found: dict[int, list[Piece]] = {}
    for index, (slot, forms) in enumerate(zip(slots, halves, strict=True)):
        after = slots[index + 1] if index + 1 < len(slots) else None
        follows = halves[index + 1][0] if after is not None and not after.bridge else None
        found[slot.phrase] = phrase_pieces(forms, slot.counts, follows, passages)
    if way is BuildWay.PYRAMID:
        for before, after in pairwise(slots):
            pyramid = pyramid_pieces(moves[before.place].form)
            alone = sum(slot.place == before.place for slot in slots) == 2
            if pyramid and before.place == after.place and alone and not after.bridge:
                lasts = found[after.phrase][-1].form == moves[after.place].form
                if lasts and before.counts == after.counts == COUNTS_PER_PHRASE:
                    found[before.phrase], found[after.phrase] = pyramid
    return found
