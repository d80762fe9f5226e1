"""From forms to blocks: bridges carried, sides led, pyramids counted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from aquatempo.moves import counts_a_repetition
from aquatempo.planning.blocks.leads import balanced_leads
from aquatempo.planning.moves.passages import Passages
from aquatempo.planning.moves.runs import pyramid_counts
from aquatempo.records.moves import MoveForm
from aquatempo.records.plan import Block, PlannedPhrase
from aquatempo.records.rhythm import PhraseKind
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE

__all__ = [
    "LEFT",
    "RIGHT",
    "Piece",
    "block_of",
    "led",
    "one_sided",
    "phrase_pieces",
    "pyramid_pieces",
    "tail_counts",
    "with_holds",
]

RIGHT, LEFT = "right", "left"


@dataclass(frozen=True)
class Piece:
    """Some counts of a form. lead: settled already, "" to be settled or where it has none."""

    counts: int
    form: MoveForm
    lead: str = ""


def one_sided(form: MoveForm) -> bool:
    """Return whether a form works the leading side only."""
    return form.move.sided and not form.move.alternates


def phrase_pieces(
    forms: Sequence[MoveForm], counts: int, follows: MoveForm | None, passages: Passages
) -> list[Piece]:
    """Return the pieces of a phrase from the forms of its halves, or of the whole.

    follows: what the next phrase starts with, None where a bridge or the end comes first. Where
    the class cannot go straight there, the last eight is given to a holding move. counts: of
    the phrase; passages: what may follow what.
    """
    first, last = forms[0], forms[-1]
    if one_sided(first) and counts == COUNTS_PER_PHRASE:
        half = counts // 2
        return [Piece(half, first, RIGHT), Piece(half, last, LEFT)]
    if follows is not None and not passages.works(last, follows):
        hold = passages.hold(first, COUNTS_PER_EIGHT, follows)
        if hold is not None:
            return [Piece(counts - COUNTS_PER_EIGHT, first), Piece(COUNTS_PER_EIGHT, hold)]
        hold = passages.hold(last, COUNTS_PER_EIGHT, follows)
        if hold is not None:
            half = counts // 2
            pieces = [Piece(half, first), Piece(counts - half - COUNTS_PER_EIGHT, last)]
            return [*pieces, Piece(COUNTS_PER_EIGHT, hold)]
    if first == last:
        return [Piece(counts, first)]
    return [Piece(counts // 2, first), Piece(counts // 2, last)]


def pyramid_pieces(form: MoveForm) -> tuple[list[Piece], list[Piece]] | None:
    """Return a pyramid on two phrases, sides in turn, None where it has no two steps."""
    assert form.pattern is not None, "every resolved form has a pattern"
    repetition = counts_a_repetition(len(form.movements), form.pattern)
    counts = pyramid_counts(int(repetition)) if repetition == int(repetition) else ()
    if not form.move.sided or len(set(counts)) < 2 or sum(counts) != 2 * COUNTS_PER_PHRASE:
        return None
    pieces = [Piece(c, form, (RIGHT, LEFT)[i % 2]) for i, c in enumerate(counts)]
    done, first = 0, []
    while done < COUNTS_PER_PHRASE:
        first.append(pieces.pop(0))
        done += first[-1].counts
    return first, pieces


def with_holds(
    phrases: Sequence[PlannedPhrase], filled: Mapping[int, list[Piece]], passages: Passages
) -> list[list[Piece]]:
    """Return the pieces of every phrase: what lies between is carried by holding moves.

    The last few counts of a song, fewer than an eight, carry on what was done before. phrases:
    of the track; filled: index of a phrase -> its pieces; passages: what may follow what.
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
        if before and after is None and not tail_counts(phrases[index:end]):
            rows += [[replace(before, counts=p.counts)] for p in phrases[index:end]]
        else:
            hold = passages.hold(before.form if before else None, total, after)
            hold = hold or passages.holds[0]
            rows += [[Piece(p.counts, hold)] for p in phrases[index:end]]
        index = end
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

    rows: pieces of each phrase; apart: counts that right is ahead of left before.
    """
    groups: list[tuple[int, bool]] = []
    group_of: dict[tuple[int, int], int] = {}
    previous: tuple[int, str] | None = None
    for row, pieces in enumerate(rows):
        for column, piece in enumerate(pieces):
            key = piece.form.move.key
            if piece.form.move.sided and not piece.lead:
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

    lead: the side, where the piece has none of its own.
    """
    form = piece.form
    return Block(
        counts=piece.counts,
        move=form.move.key,
        variation=tuple((factor.value, key) for factor, key in form.variation.changes),
        pattern=form.pattern.text if form.pattern else form.move.pattern,
        lead=piece.lead or lead,
        level=form.level.value,
        travel=form.travel.value,
    )
