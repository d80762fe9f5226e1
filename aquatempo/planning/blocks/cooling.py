"""A cool-down that stretches too, where no song is left for a stretch part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from aquatempo.planning.blocks.filling import Filled, Music
from aquatempo.planning.blocks.stretch_part import fill_with_stretches
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.songs.song import usable

__all__ = ["cool_and_stretch", "phrases_to_stretch"]

_SHARE = 0.45  # of the song, as 5 minutes of stretches after 6 of cooling down (common practice)
_LEAST, _MOVING = 2, 1  # phrases to stretch, right and left; phrases of moves before them


def phrases_to_stretch(phrases: int) -> int:
    """Return how many of so many last phrases of a class are for stretches, 0 for none.

    phrases: whole ones of the song.

    >>> [phrases_to_stretch(phrases) for phrases in (2, 3, 6, 12)]
    [0, 2, 3, 5]
    """
    return max(_LEAST, round(_SHARE * phrases)) if phrases >= _LEAST + _MOVING else 0


def cool_and_stretch(
    music: Music, palette: Palette, ledger: Ledger, fill: Callable[[Music], Filled | None]
) -> Filled | None:
    """Return the last song of a class whose first phrases cool down and whose last are stretches.

    fill: fills what cools down. music: of the song; palette: what the class may do here; ledger:
    what the class has done so far.
    """
    places = [index for index, phrase in enumerate(music.phrases) if usable(phrase)]
    stretched = phrases_to_stretch(len(places))
    if not stretched:
        return fill(music)
    at = places[-stretched]
    first = replace(music, phrases=music.phrases[:at], shares=music.shares[:at])
    cooled = fill(first)
    if cooled is None:
        return None
    rest = replace(music, phrases=music.phrases[at:], shares=music.shares[at:], design=None)
    still = fill_with_stretches(rest, palette, ledger, ends=True)
    told = dict(zip(first.whole, cooled.names, strict=False))
    names = (*(told.get(index, "") for index in range(at)), *still.names)
    return Filled([*cooled.rows, *still.rows], cooled.solved, names)
