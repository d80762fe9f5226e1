"""What cues say and show of each move and option, taken from the catalogue."""

from __future__ import annotations

from aquatempo.moves import Catalogue
from aquatempo.records.cues import CallWords
from aquatempo.records.moves import Move

__all__ = ["call_words", "move_words"]


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
