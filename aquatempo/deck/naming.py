"""File names that every system takes."""

from __future__ import annotations

import re
import unicodedata

__all__ = ["file_stem"]

LONGEST = 40


def file_stem(number: int, title: str) -> str:
    """Return the name of a track's files, without suffix.

    number: of the track in the class; title: as people write it.

    >>> file_stem(1, "It's a Song!")
    '01_it_s_a_song'
    """
    title = unicodedata.normalize("NFC", title).casefold()
    words = re.sub(r"\W+", "_", title).strip("_")[:LONGEST].strip("_")
    return f"{number:02d}_{words or 'track'}"
