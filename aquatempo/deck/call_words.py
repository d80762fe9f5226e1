"""What cues say and show of each move and option, taken from the catalogue."""

from __future__ import annotations

from aquatempo.documents.move_requests import open_catalogue
from aquatempo.moves import Catalogue
from aquatempo.records.cues import CallWords
from aquatempo.records.moves import Factor, Move
from aquatempo.records.plan import Block

__all__ = ["block_names", "call_words", "move_words"]


def move_words(move: Move) -> CallWords:
    """Return how a move is written, spoken and signed in the catalogue."""
    return CallWords(move.key, move.name, move.spoken, move.sign)


def call_words(source: Catalogue) -> tuple[CallWords, ...]:
    """Return the words and signs of all moves and factor options of a catalogue."""
    options = [
        CallWords(option.key, option.name, option.spoken, option.sign, factor=str(option.factor))
        for option in source.options.values()
    ]
    return (*map(move_words, source.moves.values()), *options)


def block_names(block: Block, own_moves: str | None) -> tuple[str, tuple[str, ...]]:
    """Return the name of a block's move, and those of the options set in it.

    own_moves: the user's own catalogue file, or None.
    """
    source = open_catalogue(own_moves)
    options = (source.option(Factor(factor), key).name for factor, key in block.variation)
    return source.move(block.move).name, tuple(options)
