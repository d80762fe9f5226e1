"""Stretches one after the other, each as long as its pattern asks; arithmetic."""

from __future__ import annotations

from math import ceil

from aquatempo.planning.blocks.filling import Filled, Music
from aquatempo.planning.blocks.pieces import LEFT, RIGHT, Piece, one_sided, with_holds
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.moves.passages import Passages
from aquatempo.records.moves import Move, MoveForm
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["fill_with_stretches"]

MOVING_PHRASES = 1  # of a moving stretch, both sides in it


def fill_with_stretches(music: Music, palette: Palette, ledger: Ledger) -> Filled:
    """Return stretches for each whole phrase; a held one takes a phrase a side.

    The least used come first, so that a second song goes on where the first ended. music: to
    fill; palette: the rated moves that the brief leaves; ledger: what the class has done so
    far.
    """
    holds = palette.holds
    stretches = palette.stretches()
    left = music.whole

    def times(move: Move) -> int:
        return ledger.phrases[move.key] // _phrases(move)

    filled: dict[int, list[Piece]] = {}
    while left:
        fitting = [move for move in stretches if _phrases(move) <= len(left)]
        if not fitting:
            filled[left.pop(0)] = [Piece(COUNTS_PER_PHRASE, holds[-1])]
            continue
        move = min(fitting, key=lambda one: (times(one), stretches.index(one)))
        form = palette.form(move)
        for side in range(_phrases(move)):
            index = left.pop(0)
            filled[index] = _pieces(form, music.phrases[index].counts, side)
            ledger.add_phrase(move)
    return Filled(with_holds(music.phrases, filled, Passages(holds)), ())


def _phrases(move: Move) -> int:
    """Return how many phrases a stretch takes for all it works."""
    form_pattern = move.default_counts
    a_round = sum(form_pattern) / max(1, len(form_pattern)) * len(move.movements)
    return max(MOVING_PHRASES, ceil(a_round / COUNTS_PER_PHRASE))


def _pieces(form: MoveForm, counts: int, side: int) -> list[Piece]:
    if one_sided(form):
        return [Piece(counts // 2, form, RIGHT), Piece(counts - counts // 2, form, LEFT)]
    if form.move.sided:
        return [Piece(counts, form, (RIGHT, LEFT)[side % 2])]
    return [Piece(counts, form)]
