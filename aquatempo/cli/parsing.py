"""Read values that an option or argument holds as text."""

from __future__ import annotations

import re
from pathlib import Path

from aquatempo.errors import InputError
from aquatempo.units import check_range, parse_span

__all__ = ["expected_range", "names_in", "tempo_or_track"]


_TEMPO = re.compile(r"([-+]?\d+(?:[.,]\d+)?)\s*(?:bpm|b/min|beats/min|/min)?", re.IGNORECASE)


def expected_range(text: str | None) -> tuple[float, float] | None:
    """Return the tempo range [beats/min] in ``120-150``, None where there is none.

    >>> expected_range("120-150")
    (120.0, 150.0)
    """
    if text is None:
        return None
    try:
        low, high = (float(end) for end in parse_span(text, "tempo range"))
    except ValueError:
        raise InputError(f"tempo range {text!r}: needs a range such as 120-150") from None
    check_range("tempo range", low, "bpm", 30, 300)
    check_range("tempo range", high, "bpm", 30, 300)
    if low > high:
        raise InputError(f"tempo range {text!r}: needs the slower end first")
    return low, high


def names_in(text: str) -> tuple[str, ...]:
    """Return the names in a list parted by commas, each once; ``none`` alone is no name.

    >>> names_in("card, page")
    ('card', 'page')
    """
    names = dict.fromkeys(part.strip().lower() for part in text.split(",") if part.strip())
    return () if list(names) == ["none"] else tuple(names)


def _is_there(name: str) -> bool:
    try:
        return Path(name).exists()
    except OSError:  # longer than any name of the file system
        return False


def tempo_or_track(text: str) -> float | str:
    """Return a tempo where text is one, else text as the path of a track.

    >>> tempo_or_track("132"), tempo_or_track("132bpm"), tempo_or_track("song.mp3")
    (132.0, 132.0, 'song.mp3')
    """
    found = _TEMPO.fullmatch(text.strip())
    if found and not _is_there(text):
        return float(found[1].replace(",", "."))
    try:
        return float(text)
    except ValueError:
        return text
