"""Work and rest in turn, on phrases or by the clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from aquatempo.planning.blocks.filling import Filled, Music
from aquatempo.planning.blocks.pieces import Piece, one_sided, with_holds
from aquatempo.planning.moves.base_moves import choose_moves
from aquatempo.planning.moves.curves import wanted
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.move_costs import PhraseSlot, Terms
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.records.moves import MoveForm, MoveKind
from aquatempo.records.plan import BuildWay, Intervals, PartName
from aquatempo.records.rhythm import EnergyLevel
from aquatempo.units import COUNTS_PER_EIGHT, counts_duration_s

__all__ = ["eights_by_clock", "fill_by_clock", "interval_places"]

_REST = -1


def interval_places(
    music: Music, intervals: Intervals, done: float
) -> tuple[tuple[int, ...], frozenset[int], float]:
    """Return the place of each whole phrase, which places rest, and the phrases done so far.

    Phrases after the last set are rest. music: to fill; intervals: in phrases.
    """
    work, rest = int(intervals.work), int(intervals.rest)
    places, resting = [], set()
    for _ in music.whole:
        turn, inside = divmod(int(done), work + rest)
        place = 2 * turn + (inside >= work)
        if place % 2 or turn >= intervals.sets:
            place = 2 * min(turn, intervals.sets) + 1
            resting.add(place)
        places.append(place)
        done += 1
    return tuple(places), frozenset(resting), done


def eights_by_clock(
    counts: Sequence[int], tempo_bpm: float, intervals: Intervals, done_s: float
) -> tuple[list[list[int]], float]:
    """Return for each stretch of counts the set that each eight of it works in, -1 for rest.

    counts: of the stretches in order; done_s: seconds of intervals so far [s]. An eight goes
    with the state that its middle lies in, so work and rest are off by half an eight at most:
    the music is a timer, and the change still falls on count 1 of an eight. tempo_bpm: as
    played [beats/min].

    >>> from aquatempo.records.plan import IntervalUnit
    >>> eights_by_clock([32], 120.0, Intervals(8, 8, 1, IntervalUnit.SECONDS), 0.0)[0]
    [[0, 0, -1, -1]]
    """
    rows = []
    each = intervals.work + intervals.rest
    for stretch in counts:
        row = []
        for start in range(0, stretch, COUNTS_PER_EIGHT):
            middle = done_s + counts_duration_s(
                start + min(COUNTS_PER_EIGHT, stretch - start) / 2, tempo_bpm
            )
            turn = int(middle // each)
            works = middle % each < intervals.work and turn < intervals.sets
            row.append(turn if works else _REST)
        rows.append(row)
        done_s += counts_duration_s(stretch, tempo_bpm)
    return rows, done_s


@dataclass(frozen=True)
class _Stint:
    phrase: int
    counts: int
    turn: int


def fill_by_clock(
    music: Music,
    intervals: Intervals,
    done_s: float,
    palette: Palette,
    ledger: Ledger,
    effort: Effort,
) -> tuple[Filled | None, float]:
    """Return pieces that work and rest by the clock, and the seconds done after them.

    Only moves that the class knows are worked, because a stint may start inside a phrase.
    music: to fill; intervals: in seconds; done_s: seconds of intervals so far [s]; palette: the
    rated moves that the brief leaves; ledger: what the class has done so far; effort: how hard
    to search, and the seed.
    """
    passages = Passages(palette.holds)
    counts = [phrase.counts for phrase in music.phrases]
    rows, done_s = eights_by_clock(counts, music.tempo_bpm, intervals, done_s)
    whole = set(music.whole)
    stints = [
        stint for index, row in enumerate(rows) if index in whole
        for stint in _stints(index, row)
    ]  # fmt: skip
    work = [stint for stint in stints if stint.turn != _REST]
    forms: dict[int, MoveForm] = {}
    solved: tuple[Solved, ...] = ()
    if work:
        chosen = _work_moves(stints, palette, music, ledger, passages, effort)
        if chosen is None:
            return None, done_s
        moves, one = chosen
        forms, solved = {place: rated.form for place, rated in moves.items()}, (one,)
    filled: dict[int, list[Piece]] = {}
    for index, stint in enumerate(stints):
        before = next((forms[s.turn] for s in stints[index - 1 :: -1] if s.turn != _REST), None)
        after = next((forms[s.turn] for s in stints[index + 1 :] if s.turn != _REST), None)
        hold = passages.hold(before if index else None, stint.counts, after) or passages.holds[0]
        form = hold if stint.turn == _REST else forms[stint.turn]
        filled.setdefault(stint.phrase, []).append(Piece(stint.counts, form))
    return Filled(with_holds(music.phrases, filled, passages), solved), done_s


def _stints(phrase: int, row: Sequence[int]) -> list[_Stint]:
    """Return the runs of eights of a phrase that are in one state."""
    found: list[_Stint] = []
    for turn in row:
        if found and found[-1].turn == turn:
            found[-1] = _Stint(phrase, found[-1].counts + COUNTS_PER_EIGHT, turn)
        else:
            found.append(_Stint(phrase, COUNTS_PER_EIGHT, turn))
    return found


def _work_moves(
    stints: Sequence[_Stint],
    palette: Palette,
    music: Music,
    ledger: Ledger,
    passages: Passages,
    effort: Effort,
) -> tuple[dict[int, Rated], Solved] | None:
    known = [move for move in palette.of(MoveKind.BASE, MoveKind.DEEP_ONLY)
             if move.key in ledger.known]  # fmt: skip
    starts = palette.starts(known, music.tempo_bpm)
    domain = [rated for rated in starts.values() if not one_sided(rated.form)]
    if not domain:
        domain = list(palette.starts(palette.of(MoveKind.HOLDING), music.tempo_bpm).values())
    slots: list[PhraseSlot] = []
    rest = 0
    for stint in stints:
        if stint.turn == _REST:
            rest += stint.counts
            continue
        hard = wanted(PartName.INTERVALS, 0.5, EnergyLevel.MEDIUM)
        slots.append(PhraseSlot(stint.phrase, stint.counts, hard, rest, stint.turn))
        rest = 0
    scale = palette.of(MoveKind.BASE, MoveKind.DEEP_ONLY, MoveKind.HOLDING)
    mets = sorted(rated.met for rated in palette.starts(scale, music.tempo_bpm).values())
    terms = Terms(BuildWay.LAYER, mets, new_moves=0, may_repeat=True)
    domains = {slot.place: domain for slot in slots}
    return choose_moves(slots, domains, terms, ledger, passages, effort)
