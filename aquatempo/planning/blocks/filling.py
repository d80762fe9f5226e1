"""One track filled: design, base moves, forms, then pieces; what it did goes to the ledger."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from aquatempo.class_shape.effort import wanted_rpe
from aquatempo.class_shape.limits import Limits
from aquatempo.class_shape.parts import GENTLE_PARTS, ClassPart
from aquatempo.planning.blocks.pieces import Piece, row_pieces, tail_counts, with_holds
from aquatempo.planning.moves.base_moves import choose_moves
from aquatempo.planning.moves.factors import choose_forms
from aquatempo.planning.moves.favourites import with_favourite
from aquatempo.planning.moves.landings import firm_share, note_landings
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.lessons import drive_of, is_new, met_then_varied
from aquatempo.planning.moves.menus import VIGOROUS, Taste, menu
from aquatempo.planning.moves.move_costs import Terms, phrases_to_learn
from aquatempo.planning.moves.palette import Palette, Rated, usual_kinds
from aquatempo.planning.moves.passages import Passages, passages_for
from aquatempo.planning.moves.slots import Fixed, Kept, MoveSlot, slots_of
from aquatempo.planning.moves.structure import Design, design_song
from aquatempo.planning.moves.windows import STUCK
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.sections import Role, sections_of
from aquatempo.planning.songs.song import usable
from aquatempo.records.brief import Experience
from aquatempo.records.moves import MoveForm, MoveKind
from aquatempo.records.plan import Block, BuildWay, PartName, PlannedPhrase
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE

__all__ = ["Filled", "Music", "carries_moves", "fill"]

_NEW_MOVES = {
    Experience.FIRST_WEEK: 1,
    Experience.BEGINNERS: 1,
    Experience.REGULAR: 1,
    Experience.TRAINED: 2,
}  # moves new to the class in a song of the main part (common practice, no source)
_DRIVEN = {PartName.WARM_UP: 2.0, PartName.MAIN: VIGOROUS, PartName.INTERVALS: VIGOROUS}  # at most
_INTRO_RPE = -0.5  # an intro is a little easier than what follows


@dataclass(frozen=True)
class Music:
    """Music to fill. shares: where each phrase lies in its part, 0 to 1.

    tempo_bpm: as played [beats/min]. design: what its whole phrases are made of, None for
    what the way of building says; resting: the places that are rest. hop_cost: of a phrase
    of big jumps; None where none may come; hop_room: phrases of them at most. kept: of some
    phrases, the blocks that stay and the counts between them that are free. follow: (phrase,
    offset) -> the block of another plan that this one follows. only: of some phrases, the
    moves that may fill them.
    """

    phrases: Sequence[PlannedPhrase]
    shares: Sequence[float]
    tempo_bpm: float
    part: ClassPart
    design: Design | None = None
    resting: frozenset[int] = frozenset()
    hop_cost: int | None = None
    hop_room: float = 0.0
    kept: Mapping[int, Sequence[Kept | int]] = field(default_factory=dict)
    follow: Mapping[tuple[int, int], Block] = field(default_factory=dict)
    only: Mapping[int, frozenset[str]] = field(default_factory=dict)

    @property
    def whole(self) -> list[int]:
        """Indexes of the phrases that carry moves."""
        return [index for index in range(len(self.phrases)) if carries_moves(self.phrases, index)]


@dataclass(frozen=True)
class Filled:
    """Pieces of every phrase and how sure the search was. names: what each phrase is called."""

    rows: list[list[Piece]]
    solved: tuple[Solved, ...]
    names: tuple[str, ...] = ()


def carries_moves(phrases: Sequence[PlannedPhrase], index: int) -> bool:
    """Return whether a stretch is filled with moves: a phrase, or an intro of whole eights.

    phrases: of the track, in order; index: of the phrase.
    """
    phrase = phrases[index]
    if usable(phrase):
        return True
    eights = phrase.counts % COUNTS_PER_EIGHT == 0 and phrase.counts >= 2 * COUNTS_PER_EIGHT
    followed = index + 1 < len(phrases) and usable(phrases[index + 1])
    return phrase.kind is PhraseKind.INTRO and index == 0 and eights and followed


def fill(
    music: Music,
    palette: Palette,
    ledger: Ledger,
    effort: Effort,
    repertoire: Sequence[str] = (),
) -> Filled | None:
    """Return the pieces of some music and note in the ledger what they teach.

    repertoire: the base moves of the class, empty for all that suit. None where no choice of
    moves keeps the rules. palette: what the class may do here; effort: how long the solver may
    search, and its seed.
    """
    if not music.whole:
        return Filled(with_holds(music.phrases, {}, passages_for(palette)), (), ())
    passages = passages_for(palette)
    found = _chosen_moves(music, palette, ledger, effort, repertoire, passages)
    if found is None:
        return None
    way, slots, moves, first, names = found
    if drive_of(palette.limits) > 1.0:
        slots = met_then_varied(slots, moves, ledger)
    forms, second = _chosen_forms(music, way, slots, moves, palette, ledger, passages, effort)
    rows = _rows(music, slots, forms, passages)
    _note(ledger, music, slots, forms, palette)
    return Filled(with_holds(music.phrases, rows, passages), (first, second), names)


def _chosen_moves(
    music: Music,
    palette: Palette,
    ledger: Ledger,
    effort: Effort,
    repertoire: Sequence[str],
    passages: Passages,
) -> tuple[BuildWay, list[MoveSlot], dict[int, Rated], Solved, tuple[str, ...]] | None:
    """Return the base move of each place.

    Holding moves fill in only where nothing else keeps the rules, the way of building
    gives way only where even that does not help.
    """
    name, tempo = music.part.name, music.tempo_bpm
    starts = palette.starts(palette.of(*usual_kinds(name), MoveKind.HOLDING), tempo)
    found = None
    favourite = ""
    ways = dict.fromkeys((music.part.build, BuildWay.LINEAR))
    for way, wider, filling in product(ways, (False, True), (False, True)):
        design = music.design or _design(music, way, palette.limits)
        own = with_favourite(music.part.name, music.whole, design, palette, ledger, tempo)
        design = own.design
        slots = _slots(music, design, palette.limits, {**own.kept, **music.kept}, ledger.cooled)
        domains = {
            place: _domain(slots, place, starts, repertoire, palette, music, wider, filling)
            for place in dict.fromkeys(slot.place for slot in slots)
        }
        if not all(domains.values()):
            continue
        terms = _terms(music, way, palette, ledger, repertoire)
        chosen = choose_moves(slots, domains, terms, ledger, passages, effort)
        if chosen is not None and (found is None or chosen[1].cost < found[3].cost):
            found = (way, slots, *chosen, design.names)
            favourite = own.name
        if found is not None and found[3].cost < STUCK:
            break
    if favourite:
        ledger.favourites.add(favourite)
    return found


def _design(music: Music, way: BuildWay, limits: Limits) -> Design:
    """Return the design of a song; an intro that is long enough is part of its first section."""
    whole = music.whole
    phrases = [music.phrases[index] for index in whole]
    intro = bool(phrases) and phrases[0].kind is PhraseKind.INTRO
    body = phrases[1:] if intro else phrases
    gaps = [not _follows(whole, index + intro) for index in range(len(body))]
    sections = sections_of([phrase.energy_level for phrase in body], gaps)
    teaching = music.part.name is PartName.WARM_UP
    quiet = music.part.name is PartName.COOL_DOWN
    design = design_song(
        BuildWay.LINEAR if teaching or quiet else way,
        sections,
        [phrase.counts for phrase in body],
        limits.experience,
        teaching=teaching or quiet,
    )
    if not intro:
        return design
    first = design.slices[0][0]
    opening = replace(first, counts=phrases[0].counts)
    if first.pyramid or len(design.slices[0]) > 1:
        opening = replace(opening, pyramid=False, tie=_ties(design), plain=True)
    return Design(((opening,), *design.slices), ("intro", *design.names), design.roles)


def _ties(design: Design) -> int:
    return 1 + max(one.tie for row in design.slices for one in row)


def _follows(whole: Sequence[int], place: int) -> bool:
    return place == 0 or whole[place] == whole[place - 1] + 1


def _slots(
    music: Music,
    design: Design,
    limits: Limits,
    kept: Mapping[int, Sequence[Kept | Fixed | int]],
    cooled: float | None,
) -> list[MoveSlot]:
    """Return the slots of a song; a cool-down goes down from the song before it (cooled)."""
    whole, phrases = music.whole, music.phrases
    most = cooled if music.part.name is PartName.COOL_DOWN and cooled is not None else math.inf
    wanted, bridges = [], []
    for turn, index in enumerate(whole):
        phrase = phrases[index]
        energy = EnergyLevel.LOW if phrase.kind is PhraseKind.INTRO else phrase.energy_level
        rpe = wanted_rpe(music.part.name, music.shares[index], energy, limits, music.part.rpe)
        rpe += _INTRO_RPE if phrase.kind is PhraseKind.INTRO else 0.0
        wanted.append(min(rpe, most))
        between = phrases[whole[turn - 1] + 1 : index] if turn else ()
        bridges.append(sum(one.counts for one in between))
    tail = tail_counts(phrases[whole[-1] + 1 :])
    beat_s = 60.0 / music.tempo_bpm
    slots = slots_of(design, whole, wanted, bridges, beat_s, tail, music.resting, kept)
    if slots:
        slots[0] = replace(slots[0], lead_in=sum(one.counts for one in phrases[: whole[0]]))
    slots = [replace(slot, energy=phrases[slot.phrase].energy_level) for slot in slots]
    return [replace(slot, wanted=8.0) if slot.only else slot for slot in slots]


def _domain(
    slots: Sequence[MoveSlot],
    place: int,
    starts: Mapping[str, Rated],
    repertoire: Sequence[str],
    palette: Palette,
    music: Music,
    wider: bool,
    filling: bool,
) -> list[Rated]:
    """Return what a place may carry; wider: any move that suits, not the class's own alone."""
    mine = [slot for slot in slots if slot.place == place]
    if mine[0].fixed is not None:
        return palette.rate([mine[0].fixed], music.tempo_bpm)
    named = [music.only[slot.phrase] for slot in mine if slot.phrase in music.only]
    if named:
        keys = frozenset.intersection(*named)
        return [rated for key, rated in palette.named_starts(starts, keys, music.tempo_bpm).items()]
    if mine[0].only:
        return [rated for rated in starts.values() if rated.form.move.kind in mine[0].only]
    own = set(repertoire)
    found = []
    for key, rated in starts.items():
        kind = rated.form.move.kind
        if kind is MoveKind.HOLDING:
            if filling:
                found.append(rated)
            continue
        if own and not wider and key not in own and kind is not MoveKind.ARMS_ONLY:
            continue
        if any(slot.pyramid for slot in mine):
            one = palette.start(palette.source.move(key), music.tempo_bpm, one_side=True)
            if one is not None:
                found.append(one)
            if one is None or wider:
                found.append(rated)
        else:
            found.append(rated)
    return found


def _terms(
    music: Music, way: BuildWay, palette: Palette, ledger: Ledger, repertoire: Sequence[str]
) -> Terms:
    name, tempo = music.part.name, music.tempo_bpm
    done = sum(ledger.phrases.values())
    teaching = name is PartName.WARM_UP
    new_moves = _NEW_MOVES[palette.limits.experience]
    new_moves += max(2, 2 * new_moves - 1) if teaching else 0
    return Terms(
        way=way,
        new_moves=new_moves,
        reach=lambda rated: palette.reach(rated, tempo),
        gentle=name in GENTLE_PARTS,
        teaching=teaching,
        met_all=set(repertoire) <= ledger.known,
        jumps_allowed=music.hop_cost is not None and name in (PartName.MAIN, PartName.INTERVALS),
        hop_cost=music.hop_cost or 0,
        hop_room=music.hop_room,
        share=max(4.0, (done + 12.0) / max(1, len(repertoire) or 8)),
        firm=firm_share(music.part.name, palette.brief),
        own=frozenset(repertoire),
        follow=music.follow,
        moves=palette.source.moves,
    )


def _chosen_forms(
    music: Music,
    way: BuildWay,
    slots: Sequence[MoveSlot],
    moves: Mapping[int, Rated],
    palette: Palette,
    ledger: Ledger,
    passages: Passages,
    effort: Effort,
) -> tuple[dict[int, MoveForm], Solved]:
    """Return the form of each tie; the start forms where no other choice keeps the rules."""
    limits = palette.limits
    taste = Taste(
        part=music.part.name,
        way=way,
        experience=limits.experience,
        themes=palette.brief.themes,
        calm=limits.calm,
        jumps_allowed=music.hop_cost is not None,
        hop_cost=max(0, music.hop_cost or 0),
        hop_room=music.hop_room,
        follow=music.follow,
        drive=min(drive_of(limits), _DRIVEN.get(music.part.name, 1.0)),
        firm=firm_share(music.part.name, palette.brief),
    )
    domains: dict[int, list[Rated]] = {}
    learning = dict.fromkeys(moves, 0)
    menus: dict[int, list[Rated]] = {}
    met: set[int] = set()
    for slot in slots:
        start = moves[slot.place]
        if slot.place not in menus:
            mine = [one for one in slots if one.place == slot.place]
            wanted = max(one.wanted for one in mine)
            menus[slot.place] = menu(palette, start, music.tempo_bpm, ledger, taste, wanted)
        known = start.form.move.key in ledger.known
        new = not known and learning[slot.place] < COUNTS_PER_PHRASE * phrases_to_learn(start)
        learning[slot.place] += slot.counts
        if slot.tie not in domains:
            fixed = new or slot.only or slot.plain or slot.fixed is not None
            domains[slot.tie] = [start] if fixed else menus[slot.place]
            brief = slot.counts < 2 * COUNTS_PER_EIGHT
            if brief and slot.place not in met:  # too short to meet something new in
                domains[slot.tie] = [
                    one for one in domains[slot.tie] if one == start or not is_new(one, ledger)
                ]
            met.add(slot.place)
    opening = sum(phrase.counts for phrase in music.phrases[: music.whole[0]])
    for tie, before, after in ((slots[0].tie, opening, 0), (slots[-1].tie, 0, slots[-1].tail)):
        if before or after:
            fitting = [
                rated for rated in domains[tie] if _meets(rated.form, before, after, passages)
            ]
            domains[tie] = fitting or domains[tie]
    result = choose_forms(slots, moves, domains, taste, ledger, passages, effort)
    if result is None:
        return {slot.tie: moves[slot.place].form for slot in slots}, Solved(1.0, 0.0, False)
    chosen, solved = result
    return {tie: rated.form for tie, rated in chosen.items()}, solved


def _meets(form: MoveForm, before: int, after: int, passages: Passages) -> bool:
    """Return whether a hold leads into a form over some counts, or out of it to the end."""
    if before:
        return passages.hold(None, before, form) is not None
    return passages.hold(form, after, None) is not None


def _rows(
    music: Music, slots: Sequence[MoveSlot], forms: Mapping[int, MoveForm], passages: Passages
) -> dict[int, list[Piece]]:
    """Return the pieces of each phrase that carries moves."""
    by_phrase: dict[int, list[MoveSlot]] = {}
    for slot in slots:
        by_phrase.setdefault(slot.phrase, []).append(slot)
    order = list(by_phrase)
    found: dict[int, list[Piece]] = {}
    for turn, phrase in enumerate(order):
        if phrase in found:
            continue
        after = by_phrase[order[turn + 1]][0] if turn + 1 < len(order) else None
        follows = forms[after.tie] if after is not None and not after.bridge else None
        found |= row_pieces(by_phrase, phrase, forms, follows, passages)
    return found


def _note(
    ledger: Ledger,
    music: Music,
    slots: Sequence[MoveSlot],
    forms: Mapping[int, MoveForm],
    palette: Palette,
) -> None:
    """Write down what some music taught, how long it jumped and what it ended with."""
    for slot in slots:
        form = forms[slot.tie]
        ledger.add_phrase(form.move)
        ledger.add_form(form)
    chorus = {forms[slot.tie].move.key for slot in slots if slot.role is Role.CHORUS}
    main = music.part.name is PartName.MAIN
    ledger.add_song([forms[slot.tie] for slot in slots], chorus, main)
    if main:
        note_landings(ledger, slots, palette.rate([forms[s.tie] for s in slots], music.tempo_bpm))
