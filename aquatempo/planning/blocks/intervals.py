"""Work and rest in turn, on phrases or by the clock.

By the clock each turn lasts its seconds to within two: it changes on the count that comes
nearest, through intros, bridges and breaks, and a song ends with a whole turn. The music
is a timer then, not a metronome of the choreography.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from aquatempo.class_shape.effort import REST_RPE, part_ends
from aquatempo.planning.blocks.filling import Filled, Music, fill
from aquatempo.planning.blocks.pieces import Piece, parted
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.move_costs import one_sided
from aquatempo.planning.moves.palette import Palette, Rated, jumps
from aquatempo.planning.moves.passages import Passages, passages_for
from aquatempo.planning.moves.structure import Design, Slice
from aquatempo.planning.solver.choosing import Link, Puzzle, Sum, choose
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.sections import Role
from aquatempo.planning.turns import IntervalTurn, turns_of
from aquatempo.records.moves import Factor, MoveForm, MoveKind
from aquatempo.records.plan import Intervals, IntervalUnit, PartName, Stint

__all__ = ["Clock", "fill_intervals"]

_SETS_A_ROUND = 4  # so many sets share their one or two moves (common practice, no source)
_MOVES_A_ROUND = 2
_FORMS = 3  # of a move to choose from
_ANOTHER = 60  # a round goes on with other moves than it began with
_AGAIN, _AGAIN_SOON = 16, 20  # a move comes in another round, or in the next
_SENT = 8  # for a whole turn in one direction, a pool is soon too short
_UNSTEADY = ("hold", "recover", "half", "mixed", "build", "quick-recover", "bounce")


@dataclass
class Clock:
    """How far the intervals of a class are: turns done, work and rest counted apart.

    chosen: the form of each move of each round so far, see _row_of.
    """

    turns: int = 0
    chosen: dict[tuple[int, int], MoveForm] = field(default_factory=dict)


def fill_intervals(
    music: Music,
    intervals: Intervals,
    clock: Clock,
    palette: Palette,
    ledger: Ledger,
    effort: Effort,
    repertoire: Sequence[str],
) -> Filled | None:
    """Return pieces that work and rest in turn, each with the set that it belongs to.

    music: the song; intervals: as asked; clock: how far they are; palette: what the class may
    do here; ledger: what the class has done so far; effort: how long the solver may search, and
    its seed; repertoire: the base moves of the class.
    """
    known = [key for key in repertoire if key in ledger.known]
    if intervals.unit is IntervalUnit.SECONDS and known:
        return _by_clock(music, intervals, clock, palette, ledger, effort, known)
    return _by_phrases(music, intervals, clock, palette, ledger, effort, repertoire)


def _by_phrases(
    music: Music,
    intervals: Intervals,
    clock: Clock,
    palette: Palette,
    ledger: Ledger,
    effort: Effort,
    repertoire: Sequence[str],
) -> Filled | None:
    """Return work and rest on whole phrases; phrases after the last set are rest."""
    work, rest = max(1, int(intervals.work)), max(1, int(intervals.rest))
    resting: set[int] = set()
    slices: list[tuple[Slice, ...]] = []
    numbers, roles = [], dict[int, Role]()
    for index in music.whole:
        turn, inside = divmod(clock.turns, work + rest)
        works = inside < work and turn < intervals.sets
        place = 2 * min(turn, intervals.sets) + (not works)
        if not works:
            resting.add(place)
        slices.append((Slice(music.phrases[index].counts, place, len(slices)),))
        numbers.append((works, turn + 1 if turn < intervals.sets else 0))
        roles[place] = Role.CHORUS if works else Role.MIDDLE
        clock.turns += 1
    order = {place: number for number, place in enumerate(sorted(roles))}
    design = Design(
        tuple((replace(row[0], place=order[row[0].place]),) for row in slices),
        tuple("work" if works else "rest" for works, _ in numbers),
        tuple(roles[place] for place in sorted(roles)),
    )
    resting_places = frozenset(order[place] for place in resting)
    filled = fill(
        replace(music, design=design, resting=resting_places), palette, ledger, effort, repertoire
    )
    if filled is None:
        return None
    beat_s = 60.0 / music.tempo_bpm
    rows = [list(row) for row in filled.rows]
    for index, (works, number) in zip(music.whole, numbers, strict=True):
        turn_s = (work if works else rest) * music.phrases[index].counts * beat_s
        if number:
            stint = Stint(works, number, intervals.sets, round(turn_s, 2))
            rows[index] = [replace(piece, stint=stint) for piece in rows[index]]
    return Filled(rows, filled.solved, filled.names)


def _by_clock(
    music: Music,
    intervals: Intervals,
    clock: Clock,
    palette: Palette,
    ledger: Ledger,
    effort: Effort,
    known: Sequence[str],
) -> Filled | None:
    """Return work and rest by the clock, through everything that the song has."""
    total = sum(phrase.counts for phrase in music.phrases)
    turns = turns_of(total, music.tempo_bpm, intervals, clock.turns)
    clock.turns += sum(1 for turn in turns if turn.number)
    passages = passages_for(palette)
    chosen = _work_forms(turns, music, palette, clock, effort, known, passages)
    if chosen is None:
        return None
    forms, solved = chosen
    rest = _rest_form(palette, music.tempo_bpm)
    pieces: list[Piece] = []
    beat_s = 60.0 / music.tempo_bpm
    for place, turn in enumerate(turns):
        form = forms[place] if turn.works else rest
        stint = None
        if turn.number:
            stint = Stint(turn.works, turn.number, intervals.sets, round(turn.counts * beat_s, 2))
        pieces.append(Piece(turn.counts, form, stint=stint))
    for form in dict.fromkeys(forms.values()):
        ledger.add_phrase(form.move)
        ledger.add_form(form)
    rows = parted(pieces, [phrase.counts for phrase in music.phrases])
    return Filled(rows, (solved,), tuple(_name(row) for row in rows))


def _name(row: Sequence[Piece]) -> str:
    told = dict.fromkeys(
        ("work" if piece.stint.works else "rest") for piece in row if piece.stint is not None
    )
    return " and ".join(told) if told else "rest"


def _rest_form(palette: Palette, tempo_bpm: float) -> MoveForm:
    """Return what the class rests with: the easiest that keeps it warm, not standing still."""
    moves = [palette.form(move) for move in palette.of(MoveKind.HOLDING)]
    rated = [one for one in palette.rate(moves, tempo_bpm) if one.allowed]
    moving = [one for one in rated if one.form.move.sided and one.rpe <= REST_RPE]
    best = max(moving or rated, key=lambda one: (one.form.move.key == "easy-jog", -one.rpe))
    return best.form


def _work_forms(
    turns: Sequence[IntervalTurn],
    music: Music,
    palette: Palette,
    clock: Clock,
    effort: Effort,
    known: Sequence[str],
    passages: Passages,
) -> tuple[dict[int, MoveForm], Solved] | None:
    """Return the form of each turn of work: hard, two moves a round, others the next round.

    A round that began in the song before goes on with its moves.
    """
    tempo = music.tempo_bpm
    wanted = part_ends(PartName.INTERVALS, palette.limits, music.part.rpe)[0][1]
    options: list[Rated] = []
    rest = _rest_form(palette, tempo)
    for key in known:
        move = palette.source.move(key)
        start = palette.start(move, tempo)
        if start is None or one_sided(start.form.move) or jumps(start):
            continue
        forms = [
            one
            for one in palette.forms_of(move, tempo, start.form, _steady)
            if not jumps(one) and passages.works(rest, one.form) and passages.works(one.form, rest)
            and all(map(_steady, one.form.variation.changes))
        ]  # fmt: skip
        options += sorted(forms, key=lambda one: abs(one.rpe - wanted))[:_FORMS]
    if not options:
        options = list(palette.starts(palette.of(MoveKind.HOLDING), tempo).values())
    works = [(place, turn) for place, turn in enumerate(turns) if turn.works]
    rows = sorted({_row_of(turn) for _, turn in works})
    if not rows:
        return {}, Solved(0.0, 0.0, True)
    before = palette.rate(list(clock.chosen.values()), tempo)
    done = {row: one for row, one in zip(clock.chosen, before, strict=True) if one.allowed}
    options += [one for one in done.values() if one.form not in {own.form for own in options}]
    costs = [[_price(row, one, done, wanted) for one in options] for row in rows]
    links = []
    for first in range(len(rows)):
        for second in range(first + 1, len(rows)):
            near = second - first <= _MOVES_A_ROUND
            pairs = {}
            for i, one in enumerate(options):
                for j, other in enumerate(options):
                    same = one.form.move.key == other.form.move.key
                    plane = one.form.move.plane is other.form.move.plane
                    muscle = one.form.move.muscles[0] == other.form.move.muscles[0]
                    pairs[i, j] = (
                        near * ((_AGAIN_SOON - _AGAIN) * same + 3 * plane + 5 * muscle)
                        + _AGAIN * same
                    )
            if near or len(rows) <= 8:
                links.append(Link(first, second, pairs))
    result = choose(Puzzle(costs, links, list[Sum]()), effort)
    if result is None:
        return None
    choice, solved = result
    by_row = {row: options[choice[place]].form for place, row in enumerate(rows)}
    clock.chosen |= by_row
    return {place: by_row[_row_of(turn)] for place, turn in works}, solved


def _steady(change: tuple[Factor, str]) -> bool:
    return change[1] not in _UNSTEADY


def _price(
    row: tuple[int, int], rated: Rated, done: Mapping[tuple[int, int], Rated], wanted: float
) -> int:
    """Return what a form costs in a round: off the effort, or what other rounds had."""
    changes = rated.form.variation.changes
    price = 6 * abs(rated.rpe - wanted) + len(changes)
    price += _SENT * any(factor is Factor.TRAVEL for factor, _ in changes)
    for other, one in done.items():
        same = one.form.move.key == rated.form.move.key
        if other == row:
            price += 0 if one.form == rated.form else _ANOTHER
        else:
            near = row[0] - other[0] <= 1
            price += same * (_AGAIN_SOON if near else _AGAIN)
    return round(price)


def _row_of(turn: IntervalTurn) -> tuple[int, int]:
    """Return which round a turn of work is in, and which of its moves it does."""
    number = turn.number - 1
    return number // _SETS_A_ROUND, number % _MOVES_A_ROUND
