"""From forms to blocks: bridges carried, sides led, pyramids counted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from aquatempo.moves import counts_a_repetition
from aquatempo.planning.blocks.leads import balanced_leads
from aquatempo.planning.moves.move_costs import one_sided
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.slots import MoveSlot
from aquatempo.planning.moves.structure import pyramid_counts, sets_of
from aquatempo.records.moves import MoveForm
from aquatempo.records.plan import Block, PlannedPhrase, Stint
from aquatempo.records.rhythm import PhraseKind
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE

__all__ = [
    "LEFT",
    "RIGHT",
    "Piece",
    "block_of",
    "led",
    "parted",
    "row_pieces",
    "tail_counts",
    "with_holds",
]

RIGHT, LEFT = "right", "left"
_INTRO_COUNTS = 2 * COUNTS_PER_EIGHT  # a longer one carries moves of its own


@dataclass(frozen=True)
class Piece:
    """Some counts of a form. lead: settled already, "" to be settled or where it has none.

    stint: the work or rest that it is part of. pattern: counts of its movements, "" for the
    form's own; held_s: how long a stretch is held [s]. kept: the block that it stays.
    """

    counts: int
    form: MoveForm
    lead: str = ""
    stint: Stint | None = None
    pattern: str = ""
    held_s: float = 0.0
    kept: Block | None = None


def row_pieces(
    by_phrase: Mapping[int, Sequence[MoveSlot]],
    phrase: int,
    forms: Mapping[int, MoveForm],
    follows: MoveForm | None,
    passages: Passages,
) -> dict[int, list[Piece]]:
    """Return the pieces of a phrase, and of those after it that one pyramid goes on over.

    follows: what the next phrase starts with, None where a bridge or the end comes first. Where
    the class cannot go straight there, the last eight is given to a holding move. by_phrase:
    the slots of each phrase; forms: of each tie; passages: what may follow what.
    """
    mine = by_phrase[phrase]
    if mine[0].pyramid and one_sided(forms[mine[0].tie].move):
        run = [phrase]
        while _goes_on(by_phrase, run[-1], mine[0]):
            run.append(run[-1] + 1)
        counts = [sum(slot.counts for slot in by_phrase[one]) for one in run]
        return dict(zip(run, _pyramids(forms[mine[0].tie], counts), strict=True))
    pieces: list[Piece] = []
    for slot in mine:
        form = forms[slot.tie]
        if slot.kept is not None:
            block = slot.kept.block
            pieces.append(Piece(slot.counts, form, block.lead, kept=block))
        elif one_sided(form.move):
            half = slot.counts // 2
            pieces += [Piece(half, form, RIGHT), Piece(slot.counts - half, form, LEFT)]
        else:
            pieces.append(Piece(slot.counts, form))
    last = pieces[-1]
    if follows is None or passages.works(last.form, follows):
        return {phrase: pieces}
    hold = passages.hold(last.form, COUNTS_PER_EIGHT, follows)
    free = last.kept is None and not last.lead
    if hold is not None and last.counts > COUNTS_PER_EIGHT and free:
        pieces[-1] = replace(last, counts=last.counts - COUNTS_PER_EIGHT)
        pieces.append(Piece(COUNTS_PER_EIGHT, hold))
    return {phrase: pieces}


def _goes_on(by_phrase: Mapping[int, Sequence[MoveSlot]], phrase: int, first: MoveSlot) -> bool:
    after = by_phrase.get(phrase + 1)
    return bool(
        after and after[0].pyramid and after[0].place == first.place
        and after[0].tie == first.tie and not after[0].bridge
    )  # fmt: skip


def _pyramids(form: MoveForm, counts: Sequence[int]) -> list[list[Piece]]:
    """Return pyramids over whole phrases of a form that works one side."""
    assert form.pattern is not None, "every resolved form has a pattern"
    repetition = counts_a_repetition(len(form.movements), form.pattern)
    if repetition != int(repetition) or any(one != COUNTS_PER_PHRASE for one in counts):
        halves = [(one // 2, one - one // 2) for one in counts]
        return [[Piece(a, form, RIGHT), Piece(b, form, LEFT)] for a, b in halves]
    each = int(repetition)
    turns: list[Piece] = []
    for size in sets_of(len(counts), most=max(1, each)):
        told = pyramid_counts(each, size * COUNTS_PER_PHRASE)
        turns += [Piece(one, form, (RIGHT, LEFT)[k % 2]) for k, one in enumerate(told)]
    rows: list[list[Piece]] = []
    for _ in counts:
        row: list[Piece] = []
        while sum(piece.counts for piece in row) < COUNTS_PER_PHRASE and turns:
            row.append(turns.pop(0))
        rows.append(row)
    return rows


def with_holds(
    phrases: Sequence[PlannedPhrase], filled: Mapping[int, list[Piece]], passages: Passages
) -> list[list[Piece]]:
    """Return the pieces of every phrase: what lies between is carried by holding moves.

    The last few counts of a song, fewer than an eight, carry on what was done before. phrases:
    of the track, in order; filled: the pieces of each phrase that carries moves; passages: what
    may follow what.
    """
    rows: list[list[Piece]] = []
    index = 0
    while index < len(phrases):
        if index in filled:
            rows.append(filled[index])
            index += 1
            continue
        end = index
        while end < len(phrases) and end not in filled:
            end += 1
        before = rows[-1][-1] if rows else None
        after = filled[end][0].form if end < len(phrases) else None
        total = sum(phrase.counts for phrase in phrases[index:end])
        if (
            before is None
            and after is not None
            and total < _INTRO_COUNTS
            and not filled[end][0].lead
        ):
            # A short intro is not filled up: the class begins with what it begins with.
            rows += [[replace(filled[end][0], counts=p.counts)] for p in phrases[index:end]]
        elif before and after is None and not tail_counts(phrases[index:end]):
            rows += [[replace(before, counts=p.counts)] for p in phrases[index:end]]
        else:
            hold = passages.hold(before.form if before else None, total, after)
            hold = hold or passages.holds[0]
            rows += [[Piece(p.counts, hold)] for p in phrases[index:end]]
        index = end
    return rows


def parted(pieces: Sequence[Piece], counts: Sequence[int]) -> list[list[Piece]]:
    """Return pieces parted where the stretches of the song end, a row each; counts: of those."""
    left, rows = list(pieces), []
    for room in counts:
        row: list[Piece] = []
        while room and left:
            first = left.pop(0)
            take = min(room, first.counts)
            row.append(replace(first, counts=take))
            if take < first.counts:
                left.insert(0, replace(first, counts=first.counts - take))
            room -= take
        rows.append(row)
    return rows


def tail_counts(phrases: Sequence[PlannedPhrase]) -> int:
    """Return the counts that a holding move takes over at the end of a song.

    0 where less than an eight of outro is left: there the class goes on.
    """
    total = sum(phrase.counts for phrase in phrases)
    ending = all(phrase.kind is PhraseKind.OUTRO for phrase in phrases)
    return 0 if ending and total < COUNTS_PER_EIGHT else total


def led(rows: Sequence[Sequence[Piece]], apart: int) -> tuple[list[tuple[Block, ...]], int]:
    """Return the blocks with their leads, and how far right is ahead of left after them.

    rows: the pieces of each phrase; apart: counts that right is ahead of left.
    """
    groups: list[tuple[int, bool]] = []
    group_of: dict[tuple[int, int], int] = {}
    previous: tuple[int, str] | None = None
    for row, pieces in enumerate(rows):
        for column, piece in enumerate(pieces):
            key = piece.form.move.key
            if piece.form.move.sided and not piece.lead and piece.kept is None:
                same = previous is not None and previous[1] == key
                if same and previous is not None and previous[0] == row:
                    counts, begins = groups[-1]
                    groups[-1] = (counts + piece.counts, begins)
                else:
                    groups.append((piece.counts, not same))
                group_of[row, column] = len(groups) - 1
            previous = (row, key)
    leads, apart = balanced_leads(groups, apart)
    blocks = []
    for row, pieces in enumerate(rows):
        blocks.append(
            tuple(
                block_of(piece, leads[group_of[row, column]] if (row, column) in group_of else "")
                for column, piece in enumerate(pieces)
            )
        )
    return blocks, apart


def block_of(piece: Piece, lead: str = "") -> Block:
    """Return a piece as it stands in a plan.

    lead: the side that leads.
    """
    if piece.kept is not None:
        return replace(piece.kept, counts=piece.counts)
    form = piece.form
    return Block(
        counts=piece.counts,
        move=form.move.key,
        variation=tuple((factor.value, key) for factor, key in form.variation.changes),
        pattern=piece.pattern or (form.pattern.text if form.pattern else form.move.pattern),
        lead=piece.lead or lead,
        level=form.level.value,
        travel=form.travel.value,
        stint=piece.stint,
        held_s=piece.held_s,
    )
