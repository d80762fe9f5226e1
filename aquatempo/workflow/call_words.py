"""What cues say and show of each move and option, taken from the catalogue."""

from __future__ import annotations

from aquatempo.moves import Catalogue
from aquatempo.records.cues import CallWords

__all__ = ["call_words"]


def call_words(source: Catalogue) -> tuple[CallWords, ...]:
    """Return the words and signs of all moves and factor options of a catalogue."""
    moves = [
        CallWords(move.key, move.name, move.spoken, move.sign) for move in source.moves.values()
    ]
    options = [
        CallWords(option.key, option.name, option.spoken, option.sign, factor=str(option.factor))
        for option in source.options.values()
    ]
    return (*moves, *options)
